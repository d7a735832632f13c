"""The map of techniques as rows and cells with their sentences. No Qt; runs in the background, a few bars at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from app.window.proposal_view import chord_texts
from core.chart import Chart
from core.form import Form
from core.row import Row

if TYPE_CHECKING:
    from core.propose import Proposal, Refusal
    from core.technique_map import MapCell

STRETCH = 4
"""Bars that are asked for at once: short enough that other questions need not wait for the whole form."""


class MapRow(NamedTuple):
    """A line of the map: a technique, or the heading of a family (``technique`` is "")."""

    title: str
    technique: str


class MapMark(NamedTuple):
    """What is drawn and said in a cell: ``kind`` "good", "caution" or "refused"; ``mixed``: some of it is refused."""

    kind: str
    mixed: bool
    words: str


Marks = dict[tuple[str, int], MapMark]


def map_rows() -> tuple[MapRow, ...]:
    """Techniques under the headings of their families, both in the order of the catalogue."""
    from core.techniques.catalogue import TECHNIQUES

    families = dict.fromkeys(technique.family for technique in TECHNIQUES)
    rows: list[MapRow] = []
    for family in families:
        rows.append(MapRow(family.replace("_", " ").capitalize(), ""))
        rows += [MapRow(technique.title, technique.id) for technique in TECHNIQUES if technique.family == family]
    return tuple(rows)


def read_map(chart: Chart, take_name: str | None, first: int, last: int, style: str) -> Marks:
    """The marks of bars ``first`` to ``last`` (indexes, ``last`` exclusive); a cell without a place has none."""
    from core.technique_map import technique_map

    take = chart.take_named(take_name) if take_name else None
    form, signature = chart.form_of(take), chart.key_of(take).signature
    cells = technique_map(chart, take_name, first, last)
    return {(cell.technique, cell.bar): _mark(cell, form, signature, style)
            for cell in cells if cell.proposals or cell.refused}  # fmt: skip


def _mark(cell: MapCell, form: Form, signature: int, style: str) -> MapMark:
    said = []
    for proposal in cell.proposals:
        said.append(f"{_change(proposal, form, signature, style)}. {proposal.why}{_cautions(proposal)}")
    for refusal in cell.refused:
        said.append(f"{_change(refusal, form, signature, style)} is refused. {refusal.why}")
    return MapMark(cell.best or "refused", bool(cell.proposals and cell.refused), "\n".join(said))


def _change(item: Proposal | Refusal, form: Form, signature: int, style: str) -> str:
    bar = form.bar_at(item.start)
    beat = (item.start - bar.start) / bar.meter.beat + 1
    place = "" if beat == 1 else f", beat {beat}"
    return f"Bar {bar.number}{place}, {_lowered(item.title)}: {_texts(item.before, signature, style)} → " + _texts(
        item.after, signature, style
    )


def _lowered(title: str) -> str:
    """Inside a sentence; a numeral such as V keeps its capital, which says that it is major."""
    return title[:1].lower() + title[1:] if title[1:2].islower() else title


def _texts(row: Row, signature: int, style: str) -> str:
    return " ".join(parts.text for parts in chord_texts(row, signature, style))


def _cautions(proposal: Proposal) -> str:
    found = [f"{check.name.replace('_', ' ')}: {check.summary}"
             for check in proposal.checks if check.verdict != "good"]  # fmt: skip
    return f" Caution, {'; '.join(found)}." if found else ""


def no_place(title: str, number: int, locked: bool) -> str:
    """What is said of an empty cell."""
    if locked:
        return f"Bar {number} is locked; nothing is proposed there."
    return f"Bar {number}, {_lowered(title)}: no place for it here."
