"""What stands at the head and the foot of a page: title, part, tempo and feel, rows, page number."""

from __future__ import annotations

from app.sheet.drawing import HAIR, INK, LABEL, SECOND, Frame, Item, Rule, Sign, Words
from app.sheet.type import Sizes, centred, elided, to_the_left, width, wrapped
from core.pitch import pretty_name
from core.sheet.content import Sheet

TITLE, SMALLEST_TITLE = 25.0, 16.0
REMARKS = 9.0
RUNNING = 22.0
"""Height of the head of every page but the first."""
_HEAD_QUARTER, _STEM_UP = "E0A4", 3.0


def head_items(sheet: Sheet, sizes: Sizes, room: float) -> tuple[list[Item], float]:
    """The head of the first page, its top at 0, and its height."""
    items: list[Item] = []
    right = room
    if sheet.part.heading:
        wide = width(sheet.part.heading, 11.0, "sans", "strong") + 14.0
        items += [Frame(room - wide, 3.0, wide, 19.0, 3.0, 0.9, INK),
                  centred(room - wide / 2, 16.2, sheet.part.heading, 11.0, INK, "sans", "strong", "part")]  # fmt: skip
        right -= wide + 14.0
    if sheet.kind.answers:
        items.append(to_the_left(right, 16.2, "Answer key", 11.0, SECOND, weight="strong", role="kind"))
        right -= width("Answer key", 11.0, "sans", "strong") + 14.0
    titles, size = _title(sheet.title, right)
    for line, words in enumerate(titles):
        items.append(Words(0.0, 20.0 + line * size * 1.15, words, size, INK, "serif", "strong", role="title"))
    lower = (len(titles) - 1) * size * 1.15
    items += _second_line(sheet, room, 39.0 + lower)
    y = 39.0 + lower
    rows = _rows(sheet)
    if rows:
        y += 17.0
        items += _rows_line(sheet, y, room)
    for words in wrapped(" ".join(sheet.remarks), room, REMARKS):
        y += 1.4 * REMARKS
        items.append(Words(0.0, y + 2.0, words, REMARKS, LABEL, "sans", role="remarks"))
    return items, y + 14.0


def _title(title: str, room: float) -> tuple[list[str], float]:
    """The title as large as it fits on one line, or a long one smaller and on several."""
    for size in range(int(TITLE), int(SMALLEST_TITLE), -1):
        if width(title, float(size), "serif", "strong") <= room:
            return [title], float(size)
    lines = wrapped(title, room, SMALLEST_TITLE, "serif", weight="strong")
    return [elided(line, room, SMALLEST_TITLE, "serif", weight="strong") for line in lines][:3], SMALLEST_TITLE


def _second_line(sheet: Sheet, room: float, y: float) -> list[Item]:
    size = 11.0
    items: list[Item] = []
    x = 0.0
    if not sheet.staff:
        words = f"{pretty_name(sheet.key.tonic)} {sheet.key.mode} · {sheet.meter}"
        items.append(Words(0.0, y, words, size, LABEL, "sans", role="key"))
        x += width(words, size, "sans") + 14.0
    taken = width(sheet.composer, size, "serif", italic=True) if sheet.composer else 0.0
    tempo = tempo_width(sheet, size)
    feel = elided(sheet.feel, room - x - taken - tempo - 40.0, size, "sans")
    items.append(Words(x, y, feel, size, INK, "sans", "strong", role="feel"))
    x += width(feel, size, "sans", "strong") + 10.0
    items += tempo_items(sheet, x, y, size)
    if sheet.composer:
        composer = elided(sheet.composer, room * 0.5, size, "serif", italic=True)
        items.append(to_the_left(room, y, composer, size, INK, "serif", role="composer", italic=True))
    return items


def _tempo(sheet: Sheet) -> tuple[bool, str]:
    """Whether the beat is a dotted quarter, and the number after the note."""
    dotted = sheet.meter.is_compound and sheet.tempo * 2 % 3 == 0
    return dotted, f"= {sheet.tempo * 2 // 3 if dotted else sheet.tempo}"


def tempo_width(sheet: Sheet, size: float) -> float:
    """How wide the tempo is."""
    return 9.0 + (3.0 if _tempo(sheet)[0] else 0.0) + width(_tempo(sheet)[1], size, "sans")


def tempo_items(sheet: Sheet, x: float, y: float, size: float) -> list[Item]:
    """A quarter note (with a dot in compound time) and how many there are in a minute."""
    dotted, words = _tempo(sheet)
    space = 3.1
    stem = x + 1.16 * space
    items: list[Item] = [
        Sign(_HEAD_QUARTER, x, y - 1.6, space),
        Rule(stem, y - 2.0, stem, y - _STEM_UP * space - 1.6, 0.6),
    ]
    at = x + 7.0
    if dotted:
        items.append(Frame(x + 4.9, y - 2.6, 1.6, 1.6, 0.8, 0.0, INK, INK))
        at += 3.0
    items.append(Words(at, y, words, size, INK, "sans", role="tempo"))
    return items


def _rows(sheet: Sheet) -> bool:
    return sheet.kind.answers or bool(sheet.take_name) or sheet.kind.line


def _rows_line(sheet: Sheet, y: float, room: float) -> list[Item]:
    """Which rows stand on the sheet, each in its own ink and weight."""
    size = 9.5
    items: list[Item] = []
    x = 0.0
    both = sheet.kind.standard and bool(sheet.take_name)
    words: list[tuple[str, str, str]] = []
    if both:
        name = "the standard" if sheet.reference_name == "standard" else f"“{sheet.reference_name}”"
        words = [(f"Upper row: {name}", INK, "regular"), (f"Lower row: the take “{sheet.take_name}”", SECOND, "strong")]
    elif sheet.take_name:
        words = [(f"Take: {sheet.take_name}", INK, "regular")]
    elif sheet.kind.standard:
        words = [("Write a row of your own under the standard.", LABEL, "regular")]
    else:
        words = [("Write the chords on the lines.", LABEL, "regular")]
    for text, ink, weight in words:
        shown = text if weight == "strong" else elided(text, room * 0.5, size, "sans")
        items.append(Words(x, y, shown, size, ink, "sans", weight, role="rows"))
        x += width(shown, size, "sans", weight) + 16.0
    if sheet.kind.answers and any(bar.degrees for bar in sheet.bars):
        note = "Under the notes: their degrees over each row."
        if width(note, 8.0, "sans") <= room - x:
            items.append(to_the_left(room, y, note, 8.0, LABEL, role="rows"))
    return items


def running_head(sheet: Sheet, room: float) -> list[Item]:
    """The head of a later page."""
    words = sheet.title + (f" · {sheet.part.heading}" if sheet.part.heading else "")
    return [Words(0.0, 9.0, elided(words, room, 9.5, "serif"), 9.5, LABEL, "serif", role="running head"),
            Rule(0.0, 13.0, room, 13.0, 0.5, HAIR)]  # fmt: skip


def foot_items(sheet: Sheet, number: int, of: int, room: float, y: float) -> list[Item]:
    """The page number."""
    return [centred(room / 2, y, f"{number} of {of}" if of > 1 else "1", 9.0, LABEL, role="page number")]
