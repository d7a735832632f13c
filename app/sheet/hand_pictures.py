"""Pictures of voicings: a fretboard or a keyboard as a list of things to draw, in points.

A guide tone is a square in the second ink, another chord tone a round dot in the first, a tension a ring: the shapes
say it without colour. An upper structure has a bracket with its triad's name.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from app.sheet.drawing import HAIR, INK, LABEL, PAPER, SECOND, Frame, Item, Rule, Words
from app.sheet.type import centred, width
from core.hands.marks import Tone

STRING_GAP, FRET_GAP = 10.0, 11.5
FEWEST_FRETS = 4
RADIUS, LABEL_SIZE = 4.1, 6.0
INLAYS = frozenset({3, 5, 7, 9, 12, 15, 17, 19, 21, 24})
BLACK = frozenset({1, 3, 6, 8, 10})
KEY_WIDE, KEY_TALL = 5.0, 20.0


class Board(NamedTuple):
    """A grip to draw: ``frets`` and ``fingers`` by string, the strings' notes with nothing pressed, the neck's frets
    counted from the capo, and the name of the triad of an upper structure, or ""."""

    frets: tuple[int | None, ...]
    fingers: tuple[int | None, ...]
    open_notes: tuple[int, ...]
    capo: int = 0
    upper: str = ""


def board_width(strings: int) -> float:
    """How wide a fretboard with so many strings is drawn."""
    return (strings - 1) * STRING_GAP + 2 * RADIUS + 9.0


def fretboard(board: Board, tones: Sequence[Tone], x: float, y: float) -> tuple[list[Item], float]:
    """A grip with its labels on the strings and the fingers below; and where it ends."""
    pressed = [fret for fret in board.frets if fret]
    low, high = min(pressed, default=1), max(pressed, default=1)
    first = 1 if high <= FEWEST_FRETS else low
    rows = max(FEWEST_FRETS, high - first + 1)
    left = x + RADIUS + 9.0
    top = y + (9.0 if board.upper else 0.0) + 2 * RADIUS + 3.0
    strings = [left + number * STRING_GAP for number in range(len(board.frets))]
    items = _neck(strings, top, rows, first)
    items += _barres(board, strings, top, first)
    by_note = {tone.note: tone for tone in tones}
    marked: list[tuple[float, Tone]] = []
    for string, (fret, opened) in enumerate(zip(board.frets, board.open_notes, strict=True)):
        if fret is None:
            items.append(centred(strings[string], top - 3.4, "×", 8.0, LABEL, role="silent string"))
            continue
        tone = by_note[opened + fret]
        middle = top - RADIUS - 1.6 if fret == 0 else top + (fret - first + 0.5) * FRET_GAP
        items += _dot(strings[string], middle, tone)
        marked.append((strings[string], tone))
        finger = board.fingers[string]
        if finger:
            y_finger = top + rows * FRET_GAP + 7.4
            items.append(centred(strings[string], y_finger, str(finger), 6.2, LABEL, role="finger"))
    if board.upper:
        items += _bracket([place for place, tone in marked if tone.upper], y + 7.0, board.upper)
    return items, top + rows * FRET_GAP + 9.0


def _neck(strings: Sequence[float], top: float, rows: int, first: int) -> list[Item]:
    left, right, foot = strings[0], strings[-1], top + rows * FRET_GAP
    items: list[Item] = [Rule(x, top, x, foot, 0.6, LABEL) for x in strings]
    for row in range(rows + 1):
        nut = row == 0 and first == 1
        y = top + row * FRET_GAP
        items.append(Rule(left - 0.3, y, right + 0.3, y, 2.0 if nut else 0.6, INK if nut else HAIR))
        fret = first + row
        if row < rows and (row == 0 and first > 1):
            words = str(fret)
            items.append(Words(left - RADIUS - 2.2 - width(words, 6.6, "sans"), y + FRET_GAP / 2 + 2.3, words, 6.6, INK,
                               "sans", role="fret"))  # fmt: skip
        elif row < rows and fret in INLAYS:
            items.append(Frame(left - RADIUS - 4.4, y + FRET_GAP / 2 - 0.9, 1.8, 1.8, 0.9, 0.0, HAIR, HAIR))
    return items


def _barres(board: Board, strings: Sequence[float], top: float, first: int) -> list[Item]:
    """A pale bar where one finger presses several strings."""
    items: list[Item] = []
    for finger in {finger for finger in board.fingers if finger}:
        held = [string for string, other in enumerate(board.fingers) if other == finger]
        fret = board.frets[held[0]]
        if len(held) > 1 and fret:
            middle = top + (fret - first + 0.5) * FRET_GAP
            wide = strings[held[-1]] - strings[held[0]]
            items.append(Frame(strings[held[0]], middle - 1.7, wide, 3.4, 1.7, 0.0, HAIR, HAIR))
    return items


def _dot(x: float, y: float, tone: Tone) -> list[Item]:
    """A label on its mark, which is wide enough for it."""
    wide = max(2 * RADIUS, width(tone.label, LABEL_SIZE, "sans", "strong") + 2.4)
    ground = {"guide": SECOND, "tone": INK, "tension": PAPER}[tone.mark]
    words = INK if tone.mark == "tension" else PAPER
    radius = 1.2 if tone.mark == "guide" else RADIUS
    frame = Frame(
        x - wide / 2, y - RADIUS, wide, 2 * RADIUS, radius, 0.9, INK if tone.mark == "tension" else ground, ground
    )
    return [frame, centred(x, y + 2.1, tone.label, LABEL_SIZE, words, weight="strong", role="voicing degree")]


def _bracket(places: Sequence[float], y: float, name: str) -> list[Item]:
    """The bracket over an upper structure, with the name of its triad."""
    if not places:
        return []
    left, right = min(places) - 2.0, max(places) + 2.0
    return [Rule(left, y, right, y, 0.7, SECOND), Rule(left, y, left, y + 2.4, 0.7, SECOND),
            Rule(right, y, right, y + 2.4, 0.7, SECOND),
            centred((left + right) / 2, y - 1.6, name, 6.4, SECOND, weight="strong", role="upper structure"),
            ]  # fmt: skip


# --- the keyboard -----------------------------------------------------------------------------------------------------


def white_keys(low: int, high: int) -> tuple[int, ...]:
    """MIDI numbers of the white keys from low to high."""
    return tuple(note for note in range(low, high + 1) if note % 12 not in BLACK)


def keyboard(tones: Sequence[Tone], white: tuple[int, ...], x: float, y: float, upper: str = ""
             ) -> tuple[list[Item], float]:  # fmt: skip
    """The keys that are held with a mark on each, labels below; and where it ends.

    A mark is light on a black key and dark on a white one, so that the picture reads in black and white.
    """
    items: list[Item] = []
    top = y + (9.0 if upper else 0.0)
    middles: dict[int, float] = {}
    for place, note in enumerate(white):
        left = x + place * KEY_WIDE
        middles[note] = left + KEY_WIDE / 2
        items.append(Frame(left, top, KEY_WIDE, KEY_TALL, 0.0, 0.5, LABEL, PAPER))
    for place, note in enumerate(white[:-1]):
        if (note + 1) % 12 in BLACK:
            edge = middles[note + 1] = x + (place + 1) * KEY_WIDE
            items.append(Frame(edge - KEY_WIDE * 0.34, top, KEY_WIDE * 0.68, KEY_TALL * 0.62, 0.0, 0.5, INK, INK))
    for tone in tones:
        items.append(_key_mark(middles[tone.note], top, tone))
    if upper:
        items += _bracket([middles[tone.note] for tone in tones if tone.upper], y + 7.0, upper)
    return items, _labels(items, [(middles[tone.note], tone.label) for tone in tones], top + KEY_TALL)


def _key_mark(x: float, top: float, tone: Tone) -> Frame:
    """A guide tone is square, a tension a ring, any other tone a dot."""
    black = tone.note % 12 in BLACK
    ink = PAPER if black else SECOND if tone.mark == "guide" else INK
    half = 1.55
    middle = top + KEY_TALL * (0.62 if black else 1.0) - half - 1.6
    ring = tone.mark == "tension"
    ground = (INK if black else PAPER) if ring else ink
    radius, line = 0.3 if tone.mark == "guide" else half, 0.8 if ring else 0.0
    return Frame(x - half, middle - half, 2 * half, 2 * half, radius, line, ink, ground)


def _labels(items: list[Item], labels: Sequence[tuple[float, str]], y: float) -> float:
    """Labels under their keys, in a second row where they would touch; returns where they end."""
    size = 6.4
    ends = [-1e9, -1e9]
    deepest = 0
    for x, label in labels:
        wide = width(label, size, "sans", "strong")
        row = 0 if x - wide / 2 > ends[0] + 0.6 else 1
        ends[row] = x + wide / 2
        deepest = max(deepest, row)
        items.append(Rule(x, y, x, y + 1.4 + row * 6.4, 0.5, HAIR))
        items.append(centred(x, y + 7.0 + row * 6.4, label, size, INK, weight="strong", role="voicing degree"))
    return y + 8.0 + deepest * 6.4
