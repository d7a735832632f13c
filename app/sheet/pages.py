"""Lines to pages: as few as possible, at the largest scale for that; no line alone on a page where it can be helped."""

from __future__ import annotations

from dataclasses import dataclass

from app.sheet.answers import COLUMN_GAP, Entry, entries_of, heading
from app.sheet.drawing import Item, Page, shifted
from app.sheet.furniture import RUNNING, foot_items, head_items, running_head
from app.sheet.system import System, chart_system, staff_system
from app.sheet.type import Sizes
from core.sheet.content import Sheet
from core.sheet.engrave import Staff, engrave
from core.sheet.kinds import PAPERS
from core.sheet.lines import Line, lines_of
from core.sheet.spacing import head_width

SCALES_OF_LONG, LONG = (0.95,), 60
"""A piece of so many lines fills many pages, however small; it is set at one scale."""
SCALES = (1.12, 1.06, 1.0, 0.95, 0.9, 0.86, 0.82, 0.78, 0.74)
MARGIN, TOP_MARGIN, FOOT = 42.0, 40.0, 44.0
LEAST_GAP, USUAL_GAP, WIDEST_GAP = 7.0, 12.0, 30.0
ENTRY_GAP = 9.0
LIST_GAP = 16.0
_MID_SECTION = 900.0
"""What it costs to turn the page inside a section, beside the empty room on it, so that pages stay about even."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """Lines of each page, and what stands after them on the last."""

    sizes: Sizes
    systems: tuple[System, ...]
    cuts: tuple[tuple[int, int], ...]
    entries: tuple[Entry, ...]
    list_pages: tuple[tuple[int, int], ...]
    list_joins: bool

    @property
    def count(self) -> int:
        """Pages in all."""
        return len(self.cuts) + len(self.list_pages) - (1 if self.list_joins else 0)


def pages_of(sheet: Sheet) -> tuple[Page, ...]:
    """The finished pages of a sheet."""
    lines = lines_of(sheet)
    staves = engrave(sheet, lines) if sheet.staff else ()
    width, height = PAPERS[sheet.options.paper]
    plan: _Plan | None = None
    for scale in SCALES if len(lines) <= LONG else SCALES_OF_LONG:
        tried = _plan(sheet, lines, staves, Sizes(scale, not sheet.staff), width - 2 * MARGIN, height)
        if plan is None or tried.count < plan.count:
            plan = tried
        if plan.count == 1:
            break
    assert plan is not None
    return _Composer(sheet, plan, width, height).pages()


def _plan(sheet: Sheet, lines: tuple[Line, ...], staves: tuple[Staff, ...], sizes: Sizes, room: float, height: float
          ) -> _Plan:  # fmt: skip
    if staves:
        head = max(head_width(staff) for staff in staves)
        pairs = zip(lines, staves, strict=True)
        systems = tuple(staff_system(sheet, line, staff, sizes, room, head) for line, staff in pairs)
    else:
        systems = tuple(chart_system(sheet, line, sizes, room) for line in lines)
    first = height - TOP_MARGIN - FOOT - head_items(sheet, sizes, room)[1]
    later = height - TOP_MARGIN - FOOT - RUNNING
    entries = entries_of(sheet, sizes, (room - COLUMN_GAP) / 2)
    title = heading(sizes, room, True).height
    alone = _list_pages(entries, title, later)
    after = LIST_GAP + title + _columns_height(entries) if entries else 0.0
    cuts = _cuts(systems, first, later, after, len(alone))
    used = _height(systems[cuts[-1][0] : cuts[-1][1]], LEAST_GAP)
    joins = bool(entries) and used + after <= (first if len(cuts) == 1 else later)
    return _Plan(sizes, systems, cuts, entries, ((0, len(entries)),) if joins else alone, joins)


def _height(systems: tuple[System, ...], gap: float) -> float:
    return sum(system.bottom - system.top for system in systems) + gap * max(0, len(systems) - 1)


def _cuts(systems: tuple[System, ...], first: float, later: float, after: float, list_pages: int
          ) -> tuple[tuple[int, int], ...]:  # fmt: skip
    """The fewest pages, and among those the most even, cut before a section where it can be, no line left alone.

    ``after`` is the height of the list that follows the last line, or else takes ``list_pages`` of its own.
    """

    best: list[tuple[int, float, tuple[tuple[int, int], ...]]] = [(0, 0.0, ())] * (len(systems) + 1)
    for start in reversed(range(len(systems))):
        room = first if start == 0 else later
        found: tuple[int, float, tuple[tuple[int, int], ...]] | None = None
        for end in range(start + 1, len(systems) + 1):
            used = _height(systems[start:end], LEAST_GAP)
            if used > room and end > start + 1:
                break
            last = end == len(systems)
            joined = last and used + after <= room
            pages, cost, rest = (0 if joined else list_pages, 0.0, ()) if last else best[end]
            cost += (max(0.0, room - used - (after if joined else 0.0)) / 20) ** 2
            cost += 0.0 if last or systems[end].section else _MID_SECTION
            if found is None or (pages + 1, cost) < found[:2]:
                found = pages + 1, cost, ((start, end), *rest)
        assert found is not None
        best[start] = found
    return best[0][2]


def _list_pages(entries: tuple[Entry, ...], head: float, later: float) -> tuple[tuple[int, int], ...]:
    """Stretches of the list for pages of their own."""
    pages: list[tuple[int, int]] = []
    start = 0
    while start < len(entries):
        end = start + 1
        room = later - (head if start == 0 else 0.0)
        while end < len(entries) and _columns_height(entries[start : end + 1]) <= room:
            end += 1
        pages.append((start, end))
        start = end
    return tuple(pages)


def _split(entries: tuple[Entry, ...]) -> int:
    """How many entries stand in the left column, so that the columns are even."""
    return min(range(1, len(entries) + 1), default=0, key=lambda k: (max(_tall(entries[:k]), _tall(entries[k:])), -k))


def _tall(entries: tuple[Entry, ...]) -> float:
    return sum(entry.height for entry in entries) + ENTRY_GAP * max(0, len(entries) - 1)


def _columns_height(entries: tuple[Entry, ...]) -> float:
    left = _split(entries)
    return max(_tall(entries[:left]), _tall(entries[left:]))


class _Composer:
    """Puts everything in its place."""

    def __init__(self, sheet: Sheet, plan: _Plan, width: float, height: float) -> None:
        self._sheet, self._plan, self._width, self._height = sheet, plan, width, height
        self._room = width - 2 * MARGIN

    def pages(self) -> tuple[Page, ...]:
        plan = self._plan
        pages: list[list[Item]] = []
        stop = 0.0
        for start, end in plan.cuts:
            items, y = self._head(len(pages))
            placed, stop = self._systems(start, end, y, joined=plan.list_joins and end == len(plan.systems))
            pages.append([*items, *placed])
        for number, (start, end) in enumerate(plan.list_pages):
            joins = plan.list_joins and number == 0
            if not joins:
                items, stop = self._head(len(pages))
                pages.append(items)
            pages[-1] += self._list(
                start, end, stop + (LIST_GAP if joins else 0.0), with_head=number == 0, joined=joins
            )
        for number, items in enumerate(pages, 1):
            foot = foot_items(self._sheet, number, len(pages), self._room, self._height - 24.0)
            items += [shifted(item, MARGIN, 0.0) for item in foot]
        return tuple(Page(self._width, self._height, tuple(items)) for items in pages)

    def _head(self, page: int) -> tuple[list[Item], float]:
        if page:
            items, tall = running_head(self._sheet, self._room), RUNNING
        else:
            items, tall = head_items(self._sheet, self._plan.sizes, self._room)
        return [shifted(item, MARGIN, TOP_MARGIN) for item in items], TOP_MARGIN + tall

    def _systems(self, start: int, end: int, y: float, joined: bool) -> tuple[list[Item], float]:
        systems = self._plan.systems[start:end]
        entries = self._plan.entries if joined else ()
        list_height = LIST_GAP + heading(self._plan.sizes, self._room, True).height + _columns_height(entries)
        room = self._height - FOOT - y - (list_height if joined else 0.0)
        natural = _height(systems, 0.0)
        gaps = max(1, len(systems) - 1)
        gap = min(WIDEST_GAP, (room - natural) / gaps)
        if joined:
            gap = min(gap, 1.5 * USUAL_GAP)
        elif end == len(self._plan.systems) and natural + gaps * USUAL_GAP < 0.6 * room:
            gap = 1.6 * USUAL_GAP
        items: list[Item] = []
        for system in systems:
            items += [shifted(item, MARGIN, y - system.top) for item in system.items]
            y += system.bottom - system.top + gap
        return items, y - gap

    def _list(self, start: int, end: int, y: float, with_head: bool, joined: bool) -> list[Item]:
        items: list[Item] = []
        if with_head:
            head = heading(self._plan.sizes, self._room, joined, self._sheet.options.on_guitar)
            items += [shifted(item, MARGIN, y) for item in head.items]
            y += head.height
        entries = self._plan.entries[start:end]
        left = _split(entries)
        column = (self._room - COLUMN_GAP) / 2
        for x, part in ((MARGIN, entries[:left]), (MARGIN + column + COLUMN_GAP, entries[left:])):
            at = y
            for entry in part:
                items += [shifted(item, x, at) for item in entry.items]
                at += entry.height + ENTRY_GAP
        return items
