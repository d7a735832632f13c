"""The best take is no dearer than any other row that it could have been, under the same cost."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from core.chart import Chart
from core.chorus import next_take, plan
from core.chorus.given import cost_of_row
from core.chorus.lattice import HOPELESS
from core.chorus.planning import Plan
from core.chorus.request import Request
from core.files import load_chart
from core.places import folder

DEMOS = sorted(folder("demo_charts").glob("*.json"))


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("boldness", [0.2, 0.5, 0.9])
def test_no_take_of_the_demo_charts_is_cheaper(path: Path, boldness: float) -> None:
    """Neither the takes that were written for them nor the standard."""
    chart: Chart = load_chart(path)[0]
    request = Request(count=1, boldness=boldness, keep_cadences=False, alike=False)
    best = next_take(plan(chart, request), [])
    assert best is not None
    for row in (chart.standard, *(take.row for take in chart.takes)):
        assert best.cost <= cost_of_row(chart, row, request)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_choosing_what_is_cheapest_here_and_now_is_no_better(path: Path) -> None:
    """Greedy: from every place the piece that costs least with its meeting, and so to the end."""
    chart = load_chart(path)[0]
    planned = plan(chart, Request(count=1, boldness=0.6, alike=False))
    best = next_take(planned, [])
    assert best is not None
    assert best.cost <= _greedy(planned)


def _greedy(planned: Plan) -> int:
    """What a greedy take costs, the joint of its end and its beginning included."""
    (there,), joint = planned.lattice.layers, planned.lattice.joints[0, 0]
    place, end, first, total = 0, None, 0, 0
    while place + 1 < len(there.times):
        choices = []
        for number, piece in enumerate(there.pieces):
            if piece.start != place:
                continue
            meeting = there.meetings[place]
            met = 0 if meeting is None or end is None else int(meeting[end, piece.first])
            choices.append((sum(piece.terms) + met, number))
        cost, number = min(choices)
        piece = there.pieces[number]
        first = piece.first if place == 0 else first
        place, end, total = piece.stop, piece.end, total + cost
    assert end is not None
    total += int(joint[end, first])
    return total if total < HOPELESS else int(np.iinfo(np.int64).max)
