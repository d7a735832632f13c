"""Why a proposal stands where it stands: the numbers are the book's, and the sentence says what decides."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from PySide6.QtWidgets import QApplication

from app.window.main_window import MainWindow
from app.window.ranking import TERM_WORDS, explain_place, ranked
from core.propose import WEIGHTS
from tests.app.window.test_walk import select


@dataclass(frozen=True)
class _Weighed:
    terms: tuple[tuple[str, int], ...]
    boldness: float = 0.3

    @property
    def cost(self) -> int:
        return sum(points for _, points in self.terms)


def _weighed(boldness: float = 0.3, **points: int) -> _Weighed:
    return _Weighed(tuple((name, points.get(name, 0)) for name in WEIGHTS), boldness)


def _sentence(items: list[_Weighed], wish: float, place: int, names: tuple[str, ...] = ("E7", "D♭9")) -> str:
    return explain_place(items, wish, place, names).sentence  # type: ignore[arg-type]


def test_every_term_of_the_book_has_words() -> None:
    assert set(TERM_WORDS) == set(WEIGHTS)


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ({"leading": 4}, {"leading": 9}, "First because its voices move less: 4 against 9."),
        ({"leading": 4}, {"melody": 9}, "First because the tune rubs less against it: 0 against 9."),
        ({"rhythm": 4, "leading": 2}, {"leading": 10}, "First because its voices move less: 2 against 10."),
        ({"leading": 4}, {"leading": 4}, "First though both weigh the same: the book names them in this order."),
    ],
)
def test_the_term_that_gains_most_is_named(first: dict[str, int], second: dict[str, int], said: str) -> None:
    assert _sentence([_weighed(**first), _weighed(**second)], 0.3, 0) == said


def test_a_later_one_is_weighed_against_the_first() -> None:
    items = [_weighed(distance=3), _weighed(distance=8), _weighed(distance=12)]
    said = _sentence(items, 0.3, 2, ("E7", "D♭9", "A♭m6"))
    assert said == "Third, behind E7, because it goes further from the standard: 12 against 3."


def test_the_wish_is_named_where_it_decides() -> None:
    items = [_weighed(0.1, leading=2), _weighed(0.9, leading=30)]
    assert ranked(items, 0.9)[0].boldness == 0.9  # type: ignore[arg-type]
    assert _sentence(items, 0.9, 0) == "First because its boldness is nearer to your wish of 90: 90 against 10."
    assert _sentence(items, 0.9, 1) == (
        "Second, behind E7, because its boldness is further from your wish of 90: 10 against 90."
    )


def test_terms_without_points_are_left_out_and_the_sum_is_the_cost() -> None:
    ranking = explain_place([_weighed(leading=4, rhythm=4), _weighed(leading=9)], 0.3, 0, ("E7", "D♭9"))  # type: ignore[list-item]
    rows = {row.name: (row.mine, row.other) for row in ranking.rows}
    assert rows == {"motion of the voices": (4, 9), "chords added": (4, 0), "together": (8, 9), "boldness": (30, 30)}
    assert [row.name for row in ranking.rows if row.decides] == ["motion of the voices"]


def test_one_alone_has_nothing_to_be_weighed_against() -> None:
    ranking = explain_place([_weighed(leading=4)], 0.3, 0, ("E7",))  # type: ignore[list-item]
    assert ranking.sentence == "The only proposal here."
    assert ranking.against is None
    assert all(row.other is None for row in ranking.rows)


def test_the_key_opens_the_points_of_the_card_in_hand(window: MainWindow) -> None:
    select(window, 4)
    sheet = window.panel.why_sheet
    assert not sheet.isVisible()
    window.action("why").trigger()
    assert sheet.isVisible()
    assert sheet.sentence.startswith("First ")
    window.panel.choose(1)
    assert sheet.sentence.startswith("Second, behind ")
    proposal = window.panel.current_proposal()
    assert proposal is not None
    assert f"together {proposal.cost}" in sheet.accessibleName()
    select(window, 9)
    QApplication.processEvents()
    assert not sheet.sentence.startswith("Second"), "another place, another answer"
    window.action("why").trigger()
    assert not sheet.isVisible()
