"""The map: every technique tried over the whole form, a cell for each technique and bar."""

from __future__ import annotations

from dataclasses import dataclass

from core.chart import Chart
from core.finding import VERDICTS, worst
from core.propose import Proposal, Refusal, propose
from core.techniques.catalogue import TECHNIQUES
from core.techniques.technique import Technique


@dataclass(frozen=True, slots=True)
class MapCell:
    """What a technique makes of a bar (index in the form as played): what may begin there, and what is refused there.

    Both empty: there is no place for it.
    """

    technique: str
    bar: int
    proposals: tuple[Proposal, ...]
    refused: tuple[Refusal, ...]

    @property
    def best(self) -> str | None:
        """The verdict of the best proposal, its worst check counting; None where nothing applies."""
        said = (worst(check.verdict for check in proposal.checks) for proposal in self.proposals)
        return min(said, key=VERDICTS.index, default=None)


def technique_map(
    chart: Chart,
    take_name: str | None,
    first: int = 0,
    last: int | None = None,
    techniques: tuple[Technique, ...] = TECHNIQUES,
) -> tuple[MapCell, ...]:
    """Cells technique by technique in the order of the catalogue, bar by bar, from bar index ``first`` to ``last``.

    ``last`` is exclusive, None the end of the form. A stretch has the very cells that the whole form has there.
    """
    form = chart.form_of(None if take_name is None else chart.take_named(take_name))
    bars = form.bars[first:last]
    if not bars:
        return ()
    found = propose(chart, take_name, bars[0].start, bars[-1].end, techniques=techniques)
    applies: dict[tuple[str, int], list[Proposal]] = {}
    refused: dict[tuple[str, int], list[Refusal]] = {}
    for proposal in found.proposals:
        applies.setdefault((proposal.technique, form.bar_at(proposal.start).index), []).append(proposal)
    for refusal in found.refused:
        refused.setdefault((refusal.technique, form.bar_at(refusal.start).index), []).append(refusal)
    places = [(technique.id, bar.index) for technique in techniques for bar in bars]
    return tuple(MapCell(*at, tuple(applies.get(at, ())), tuple(refused.get(at, ()))) for at in places)
