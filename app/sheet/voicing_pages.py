"""A row's voicings as pages of pictures, in reading order, a chord's name over each."""

from __future__ import annotations

from dataclasses import dataclass

from app.sheet.drawing import INK, LABEL, SECOND, Item, Page, Words, shifted
from app.sheet.hand_pictures import KEY_WIDE, Board, board_width, fretboard, keyboard, white_keys
from app.sheet.type import chord_items
from app.window.page.chord_text import printed
from core.hands import guitar, piano
from core.hands.grips import Player
from core.hands.marks import Labels, tones_of
from core.hands.voiced_row import VoicedRow
from core.row import Slot
from core.sheet.kinds import PAPERS
from core.spelling import printed as printed_plain

MARGIN, GAP, HEAD = 48.0, 20.0, 50.0
LOW, HIGH = 48, 71


@dataclass(frozen=True, slots=True)
class _Cell:
    """A picture ready to be placed, its top left at 0."""

    items: tuple[Item, ...]
    wide: float
    tall: float


def guitar_pages(
    voiced: VoicedRow, player: Player, plan: guitar.Plan, labels: Labels = "degrees", paper: str = "A4"
) -> tuple[Page, ...]:
    """Every grip of a row."""
    cells = []
    for slot, choice in zip(voiced.row, plan.choices, strict=True):
        if choice is not None:
            upper = "" if choice.chord.upper is None else printed_plain(choice.chord.upper, voiced.key)
            tones = tones_of(
                choice.chord, choice.grip.notes, choice.grip.degrees, voiced.key, labels, choice.chord.upper
            )
            board = Board(choice.grip.frets, choice.grip.fingers, player.board.open_notes, player.board.capo, upper)
            items, end = fretboard(board, tones, 0.0, 17.0)
            cells.append(_Cell((*_name(voiced, slot), *items), board_width(len(board.frets)), end))
    return _pages(voiced, f"{player.style} on the guitar", cells, paper)


def piano_pages(
    voiced: VoicedRow, player: piano.PianoPlayer, plan: piano.PianoPlan, labels: Labels = "degrees", paper: str = "A4"
) -> tuple[Page, ...]:
    """Every voicing of a row, all on the same stretch of keys."""
    choices = [choice for choice in plan.choices if choice is not None]
    white = white_keys(min([LOW, *(note - note % 12 for choice in choices for note in choice.shape.notes)]),
                       max([HIGH, *(note + 1 for choice in choices for note in choice.shape.notes)]))  # fmt: skip
    cells = []
    for slot, choice in zip(voiced.row, plan.choices, strict=True):
        if choice is not None:
            upper = "" if choice.upper is None else printed_plain(choice.upper, voiced.key)
            tones = tones_of(choice.chord, choice.shape.notes, choice.shape.degrees, voiced.key, labels, choice.upper)
            items, end = keyboard(tones, white, 0.0, 17.0, upper)
            cells.append(_Cell((*_name(voiced, slot), *items), len(white) * KEY_WIDE, end))
    return _pages(voiced, f"{player.style} on the piano", cells, paper)


def _name(voiced: VoicedRow, slot: Slot) -> list[Item]:
    """The chord over its picture, the bar before it where it begins one."""
    bar = voiced.form.bar_at(slot.onset)
    number = [Words(0.0, 10.0, bar.printed, 6.6, LABEL, "sans", role="bar")] if slot.onset == bar.start else []
    assert slot.chord is not None
    parts = printed(slot.chord, voiced.key.signature, "plain", slot.typed)
    return [*number, *chord_items(10.0, 10.0, parts, 11.0, SECOND, "strong", "voiced")]


def _pages(voiced: VoicedRow, what: str, cells: list[_Cell], paper: str) -> tuple[Page, ...]:
    wide, tall = PAPERS[paper]
    across = max(1, int((wide - 2 * MARGIN + GAP) // (max((cell.wide for cell in cells), default=1.0) + GAP)))
    across = across // 4 * 4 if across > 4 else across
    step = (wide - 2 * MARGIN + GAP) / across
    said = f"{voiced.name}: {what}. Squares are guide tones, rings tensions."
    head: list[Item] = [Words(MARGIN, MARGIN + 8.0, voiced.title, 16.0, INK, "serif", "strong", role="title"),
                        Words(MARGIN, MARGIN + 24.0, said, 9.0, LABEL, "sans", role="heading")]  # fmt: skip
    pages: list[list[Item]] = [head]
    y = MARGIN + HEAD
    for start in range(0, len(cells), across):
        line = cells[start : start + across]
        deepest = max(cell.tall for cell in line)
        if y + deepest > tall - MARGIN:
            pages.append([])
            y = MARGIN
        for place, cell in enumerate(line):
            pages[-1] += [shifted(item, MARGIN + place * step, y) for item in cell.items]
        y += deepest + GAP
    return tuple(Page(wide, tall, tuple(items)) for items in pages)
