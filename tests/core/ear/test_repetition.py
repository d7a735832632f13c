"""When to ask again, against the published rule.

Source: P. A. Woźniak, Optimization of learning, master's thesis, University of Technology in Poznań, 1990, ch. 3.2:
I(1) = 1, I(2) = 6, I(n) = I(n−1) · EF; EF' = EF + (0.1 − (5 − q)(0.08 + (5 − q) 0.02)), at least 1.3, 2.5 at first;
under 3 the repetitions start again without a change of EF.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.ear.repetition import Card, quality, reviewed

DAY = 740_000


def test_intervals_of_perfect_answers() -> None:
    card, day, intervals = Card("x"), DAY, []
    for _ in range(5):
        card = reviewed(card, 5, day)
        intervals.append(card.interval)
        day = card.due
    # EF grows by 0.1 each time: 2.6, 2.7, 2.8, 2.9, 3.0; 6 · 2.8 = 16.8, 17 · 2.9 = 49.3, 50 · 3.0 = 150
    assert intervals == [1, 6, 17, 50, 150]


@pytest.mark.parametrize(("grade", "change"), [(5, 0.1), (4, 0.0), (3, -0.14)])
def test_easiness(grade: int, change: float) -> None:
    assert reviewed(Card("x"), grade, DAY).easiness == pytest.approx(2.5 + change)


def test_a_wrong_answer_begins_again_today_with_its_easiness() -> None:
    card = reviewed(reviewed(Card("x"), 5, DAY), 5, DAY + 1)
    again = reviewed(card, 1, DAY + 7)
    assert (again.repetitions, again.due, again.easiness) == (0, DAY + 7, card.easiness)
    assert reviewed(again, 5, DAY + 7).interval == 1


def test_grades_count_hearings() -> None:
    assert [quality(True, hearings) for hearings in (1, 2, 3, 9)] == [5, 4, 3, 3]
    assert quality(False, 1) < 3


@given(st.lists(st.integers(0, 5), max_size=60))
def test_easiness_never_falls_under_its_floor_and_no_card_is_due_in_the_past(grades: list[int]) -> None:
    card, day = Card("x"), DAY
    for grade in grades:
        card = reviewed(card, grade, day)
        assert card.easiness >= 1.3
        assert card.due >= day
        day = card.due
