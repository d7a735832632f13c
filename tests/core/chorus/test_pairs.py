"""The cost must prefer music: forty rows that a player would write against the same devices misplaced."""

from __future__ import annotations

import pytest

from core.chorus.given import cost_of_row
from core.chorus.request import Request
from tests.core.chorus.pairs import PAIRS, Pair, chart_of

AT_LEAST = 0.85
"""The share of pairs in which the player's row must be cheaper."""


def _is_preferred(pair: Pair, boldness: float) -> bool:
    chart = chart_of(pair)
    played, misplaced = (cost_of_row(chart, take.row, Request(boldness=boldness)) for take in chart.takes)
    return played < misplaced


@pytest.mark.parametrize("half", ["set", "held"])
def test_the_cost_prefers_what_a_player_would_write(half: str) -> None:
    """At the boldness that is set at first; the half held back judges weights that were set without it."""
    pairs = [pair for pair in PAIRS if pair.half == half]
    preferred = [pair.id for pair in pairs if _is_preferred(pair, Request().boldness)]
    assert len(pairs) == 20
    assert len(preferred) >= AT_LEAST * len(pairs), sorted({pair.id for pair in pairs} - set(preferred))


def test_over_all_the_cost_prefers_it_when_asked_to_stay_close() -> None:
    """Where little is earned by going far, what is wrong with a row weighs most."""
    assert sum(_is_preferred(pair, 0.3) for pair in PAIRS) >= AT_LEAST * len(PAIRS)
