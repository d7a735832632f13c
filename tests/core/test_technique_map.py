"""The map says of every bar what proposing says there, and a stretch of it is the whole in small."""

from __future__ import annotations

import pytest

from core.files import load_chart
from core.places import folder
from core.propose import propose
from core.technique_map import technique_map
from core.techniques.catalogue import TECHNIQUES

CHART = load_chart(folder("demo_charts") / "harbour_lamps.changes.json")[0]


@pytest.mark.parametrize("take", [None, CHART.takes[0].name])
def test_stretches_are_the_whole_in_small(take: str | None) -> None:
    whole = {(cell.technique, cell.bar): cell for cell in technique_map(CHART, take)}
    assert len(whole) == len(TECHNIQUES) * len(CHART.form.bars)
    parts = [cell for first in range(0, 32, 5) for cell in technique_map(CHART, take, first, first + 5)]
    assert {(cell.technique, cell.bar): cell for cell in parts} == whole
    assert any(cell.refused for cell in parts)


def test_a_cell_is_what_proposing_finds_in_its_bar() -> None:
    bar = CHART.form.bars[3]
    found = propose(CHART, None, bar.start, bar.end)
    cells = technique_map(CHART, None, 3, 4)
    assert sorted(p.cost for cell in cells for p in cell.proposals) == [p.cost for p in found.proposals]
    assert {r for cell in cells for r in cell.refused} == set(found.refused)
    for cell in cells:
        verdicts = {check.verdict for proposal in cell.proposals for check in proposal.checks}
        assert (cell.best is None) == (not cell.proposals)
        assert cell.best != "good" or "good" in verdicts


def test_no_bars_no_cells() -> None:
    assert technique_map(CHART, None, 40, 44) == ()
