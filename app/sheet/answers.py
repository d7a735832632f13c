"""The answer key under the tune: each change with its reason and a picture of every new chord under the hand."""

from __future__ import annotations

from dataclasses import dataclass

from app.sheet.drawing import HAIR, INK, LABEL, SECOND, Item, Rule, Words
from app.sheet.hand_pictures import KEY_WIDE, Board, board_width, fretboard, keyboard, white_keys
from app.sheet.rows import number_items
from app.sheet.type import Sizes, chord_items, to_the_left, width, wrapped
from app.window.page.chord_text import printed
from core.hands.marks import Tone
from core.sheet.change import Change, Voiced
from core.sheet.content import Sheet

LOW, HIGH = 48, 71  # C3 to B4, widened by octaves and keys where a voicing of the sheet leaves it
COLUMN_GAP = 22.0
TEXT_GAP, PICTURE_GAP = 10.0, 7.0
BESIDE = 2
"""Pictures that stand beside the words of a change; more stand below them."""


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
    wide = _picture_width(sheet) if change.voiced and not below else 0.0
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
    """The pictures of a change: beside the words, or in rows below them where there are many; and where they end."""
    wide = _picture_width(sheet)
    across = max(1, int((column - 17.0 + PICTURE_GAP) // (wide + PICTURE_GAP))) if below else 1
    items: list[Item] = []
    for start in range(0, len(voiced), across):
        deepest = 0.0
        for place, one in enumerate(voiced[start : start + across]):
            x = 17.0 + place * (wide + PICTURE_GAP) if below else column - wide
            picture, high = _picture(sheet, one, x, top, size)
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


def _picture_width(sheet: Sheet) -> float:
    """How wide every picture of a sheet is, so that all are alike."""
    voiced = [one for change in sheet.changes for one in change.voiced]
    if sheet.options.on_guitar:
        return board_width(max((len(one.grip.frets) for one in voiced if one.grip), default=6))
    return len(_white(sheet)) * KEY_WIDE


def _white(sheet: Sheet) -> tuple[int, ...]:
    notes = [note for change in sheet.changes for voiced in change.voiced for note in voiced.notes]
    return white_keys(min([LOW, *(note - note % 12 for note in notes)]), max([HIGH, *(note + 1 for note in notes)]))


def _picture(sheet: Sheet, voiced: Voiced, x: float, y: float, size: float) -> tuple[list[Item], float]:
    """A chord's name over the keys that are held, or over the grip; and how high it all is."""
    items: list[Item] = []
    if voiced.slot.chord is not None:
        parts = printed(voiced.slot.chord, sheet.key.signature, sheet.options.style, voiced.slot.typed)
        items += chord_items(x, y + size, parts, size + 1.5, SECOND, "strong", "voiced")
    tones = [Tone(*row) for row in zip(voiced.notes, voiced.degrees, voiced.marks, strict=True)]
    top = y + size + 4.5
    if voiced.grip is not None and voiced.board is not None:
        board = Board(voiced.grip.frets, voiced.grip.fingers, voiced.board.open_notes, voiced.board.capo)
        drawn, end = fretboard(board, tones, x, top)
    else:
        drawn, end = keyboard(tones, _white(sheet), x, top)
    return [*items, *drawn], end - y


def heading(sizes: Sizes, room: float, ruled: bool, guitar: bool = False) -> Entry:
    """The words over the list, under a line where the tune stands above."""
    size = max(11.0, 12.5 * sizes.scale)
    whose = "A guitarist’s grips" if guitar else "A hand’s voicings"
    note = f"{whose}; the bass has the roots. Squares are guide tones."
    small = size * 0.72
    rule: list[Item] = [Rule(0.0, 0.0, room, 0.0, 0.6, HAIR)] if ruled else []
    return Entry((*rule, Words(0.0, size + 7.0, "Changes", size, INK, "serif", "strong", role="heading"),
                  to_the_left(room, size + 7.0, note, small, LABEL, role="heading")), size + 17.0)  # fmt: skip
