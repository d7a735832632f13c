"""The answer key under the tune: each change with its reason and a picture of every new chord on the keyboard."""

from __future__ import annotations

from dataclasses import dataclass

from app.sheet.drawing import HAIR, INK, LABEL, PAPER, SECOND, Frame, Item, Rule, Words
from app.sheet.rows import number_items
from app.sheet.type import Sizes, centred, chord_items, to_the_left, width, wrapped
from app.window.page.chord_text import printed
from core.sheet.change import Change, Voiced
from core.sheet.content import Sheet

LOW, HIGH = 48, 71  # C3 to B4, widened by octaves and keys where a voicing of the sheet leaves it
BLACK = frozenset({1, 3, 6, 8, 10})
KEY_WIDE, KEY_TALL = 5.0, 20.0
DOT = 1.55
COLUMN_GAP = 22.0
TEXT_GAP, PICTURE_GAP = 10.0, 7.0
BESIDE = 2
"""Keyboards that stand beside the words of a change; more stand below them."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A change ready to be placed, its top at 0."""

    items: tuple[Item, ...]
    height: float


def entries_of(sheet: Sheet, sizes: Sizes, column: float) -> tuple[Entry, ...]:
    """Every change of a sheet in a column of a width."""
    return tuple(_entry(sheet, change, number, sizes, column) for number, change in enumerate(sheet.changes, 1))


def _entry(sheet: Sheet, change: Change, number: int, sizes: Sizes, column: float) -> Entry:
    size = max(8.2, 9.0 * sizes.scale)
    lead = size * 1.22
    below = len(change.voiced) > BESIDE
    wide = len(white_keys(sheet)) * KEY_WIDE if change.voiced and not below else 0.0
    room = column - 17.0 - (wide + TEXT_GAP if wide else 0.0)
    items: list[Item] = number_items(5.4, size * 0.66, number, size * 0.92)
    bar = f"Bar {change.bar}"
    items.append(Words(17.0, size, bar, size, LABEL, "sans", role="answer"))
    y = size
    x = 17.0 + width(bar, size, "sans") + 6.0
    for place, words in enumerate(_title(change.title, room - (x - 17.0), room, size)):
        items.append(Words(x if place == 0 else 17.0, y, words, size, SECOND, "sans", "strong", role="answer title"))
        y += lead
    for line in wrapped(change.why, room, size):
        items.append(Words(17.0, y, line, size, INK, "sans", role="answer"))
        y += lead
    for line in wrapped(change.words, room, size, italic=True):
        items.append(Words(17.0, y, line, size, INK, "sans", italic=True, role="answer"))
        y += lead
    pictures, tall = _pictures(sheet, change.voiced, column, y - lead + 3.0 if below else 0.0, below, size)
    return Entry((*items, *pictures), max(y - lead + 3.0, tall))


def _pictures(sheet: Sheet, voiced: tuple[Voiced, ...], column: float, top: float, below: bool, size: float
              ) -> tuple[list[Item], float]:  # fmt: skip
    """The keyboards of a change: beside the words, or in rows below them where there are many; and where they end."""
    wide = len(white_keys(sheet)) * KEY_WIDE
    across = max(1, int((column - 17.0 + PICTURE_GAP) // (wide + PICTURE_GAP))) if below else 1
    items: list[Item] = []
    for start in range(0, len(voiced), across):
        deepest = 0.0
        for place, one in enumerate(voiced[start : start + across]):
            x = 17.0 + place * (wide + PICTURE_GAP) if below else column - wide
            picture, high = keyboard(sheet, one, x, top, size)
            items += picture
            deepest = max(deepest, high)
        top += deepest + 4.0
    return items, top - 4.0


def _title(title: str, first: float, rest: float, size: float) -> list[str]:
    """The title on lines, the first of which is shorter."""
    lines: list[str] = [""]
    for word in title.split():
        longer = f"{lines[-1]} {word}".strip()
        if width(longer, size, "sans", "strong") <= (first if len(lines) == 1 else rest) or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def white_keys(sheet: Sheet) -> tuple[int, ...]:
    """White keys of every picture of a sheet, so that all are alike."""
    notes = [note for change in sheet.changes for voiced in change.voiced for note in voiced.notes]
    low = min([LOW, *(note - note % 12 for note in notes)])
    high = max([HIGH, *(note + 1 for note in notes)])
    return tuple(note for note in range(low, high + 1) if note % 12 not in BLACK)


def keyboard(sheet: Sheet, voiced: Voiced, x: float, y: float, size: float) -> tuple[list[Item], float]:
    """A chord's name, the keys that are held with a dot on each, their degrees; and how high it all is.

    A dot is light on a black key and dark on a white one, so that the picture reads in black and white.
    """
    items: list[Item] = []
    if voiced.slot.chord is not None:
        parts = printed(voiced.slot.chord, sheet.key.signature, sheet.options.style, voiced.slot.typed)
        items += chord_items(x, y + size, parts, size + 1.5, SECOND, "strong", "voiced")
    top = y + size + 4.5
    white = white_keys(sheet)
    middles: dict[int, float] = {}
    for place, note in enumerate(white):
        left = x + place * KEY_WIDE
        middles[note] = left + KEY_WIDE / 2
        items.append(Frame(left, top, KEY_WIDE, KEY_TALL, 0.0, 0.5, LABEL, PAPER))
    for place, note in enumerate(white[:-1]):
        if (note + 1) % 12 in BLACK:
            edge = middles[note + 1] = x + (place + 1) * KEY_WIDE
            items.append(Frame(edge - KEY_WIDE * 0.34, top, KEY_WIDE * 0.68, KEY_TALL * 0.62, 0.0, 0.5, INK, INK))
    for note in voiced.notes:
        ink, down = (PAPER, 0.62) if note % 12 in BLACK else (SECOND, 1.0)
        middle = top + KEY_TALL * down - DOT - 1.6
        items.append(Frame(middles[note] - DOT, middle - DOT, 2 * DOT, 2 * DOT, DOT, 0.0, ink, ink))
    degrees = [(middles[note], degree) for note, degree in zip(voiced.notes, voiced.degrees, strict=True)]
    return items, _degrees(items, degrees, top + KEY_TALL) - y


def _degrees(items: list[Item], degrees: list[tuple[float, str]], y: float) -> float:
    """Degrees under their keys, in a second row where they would touch; returns where they end."""
    size = 6.4
    ends = [-1e9, -1e9]
    deepest = 0
    for x, degree in degrees:
        wide = width(degree, size, "sans", "strong")
        row = 0 if x - wide / 2 > ends[0] + 0.6 else 1
        ends[row] = x + wide / 2
        deepest = max(deepest, row)
        items.append(Rule(x, y, x, y + 1.4 + row * 6.4, 0.5, HAIR))
        items.append(centred(x, y + 7.0 + row * 6.4, degree, size, INK, weight="strong", role="voicing degree"))
    return y + 8.0 + deepest * 6.4


def heading(sizes: Sizes, room: float, ruled: bool) -> Entry:
    """The words over the list, under a line where the tune stands above."""
    size = max(11.0, 12.5 * sizes.scale)
    note = "A hand’s voicings; the bass has the roots."
    small = size * 0.72
    rule: list[Item] = [Rule(0.0, 0.0, room, 0.0, 0.6, HAIR)] if ruled else []
    return Entry((*rule, Words(0.0, size + 7.0, "Changes", size, INK, "serif", "strong", role="heading"),
                  to_the_left(room, size + 7.0, note, small, LABEL, role="heading")), size + 17.0)  # fmt: skip
