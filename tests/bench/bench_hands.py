"""How long it takes to plan hands over 32 bars, and to draw what they hold.

*Cold* empties every cache first, *warm* is what a lock or a new style of a chord costs; ``tune`` has the melody on top.
"""

from __future__ import annotations

from collections.abc import Callable

from app.sheet.drawing import Page
from app.sheet.files import image_of, make_ready
from app.sheet.hand_pictures import Board, board_width, fretboard, keyboard, white_keys
from core.chord import in_context
from core.hands import guitar, piano
from core.hands.fretboard import TUNINGS, Fretboard
from core.hands.grips import Player, grips_of
from core.hands.marks import tones_of
from core.hands.path import cheapest
from core.key import Key
from core.row import Row
from core.voicing_sets import kinds_of
from tests.bench.bench_arrange import _best, thirty_two_bars
from tests.caches import empty_caches

Result = tuple[str, float, str, str, float]
BUDGET, DRAWN = "limit of 32 bars", "limit of a picture"


def run() -> list[Result]:
    """Name, value, unit, name and value of what it is measured against."""
    chart = thirty_two_bars()
    row, melody = chart.takes[0].row, chart.melody
    seven = Player(Fretboard(TUNINGS["seven strings"]))
    first = guitar.plan_row(row).choices[0]
    assert first is not None
    lock = {8: first.others[0].frets}
    calls: list[tuple[str, Callable[[], object]]] = [
        ("guitar, 32 bars, cold", lambda: guitar.plan_row(row, Player(), melody)),
        ("guitar, seven strings, cold", lambda: guitar.plan_row(row, seven, melody)),
        ("guitar, the tune on top, cold", lambda: guitar.plan_row(row, Player(bass=False), melody, on_top=True)),
        ("guitar, drop 2, cold", lambda: guitar.plan_row(row, Player(style="drop 2"), melody)),
        ("piano, 32 bars, cold", lambda: piano.plan_row(row, piano.PianoPlayer(), melody)),
        ("piano, upper structures, cold", lambda: piano.plan_row(row, piano.PianoPlayer("upper structure"), melody)),
        ("piano, the tune on top, cold", lambda: piano.plan_row(row, piano.PianoPlayer("drop 2"), melody, on_top=True)),
    ]
    found = [(name, _best(call, 3, empty_caches), "ms", BUDGET, 300.0) for name, call in calls]
    guitar.plan_row(row, Player(), melody)
    found.append(("guitar, warm, one grip locked",
                  _best(lambda: guitar.plan_row(row, Player(), melody, locked=lock), 3), "ms", BUDGET, 300.0))  # fmt: skip
    return [*found, _kept(row), *_pictures()]


def _kept(row: Row) -> Result:
    """What the plan costs beside the best over every grip there is."""
    chords = [in_context(slot.chord) for slot in row if slot.chord is not None]
    layers = [grips_of(chord, kind, Player()) for chord, kind in zip(chords, kinds_of(chords), strict=True) if kind]
    _, best = cheapest(layers, lambda grip: grip.cost, guitar.between)
    return "guitar, cost of the plan", float(guitar.plan_row(row).cost), "", "best over all grips", float(best)


def _pictures() -> list[Result]:
    make_ready()
    choice = guitar.plan_row(thirty_two_bars().takes[0].row).choices[0]
    assert choice is not None
    grip = choice.grip
    tones = tones_of(choice.chord, grip.notes, grip.degrees, Key(0))
    board = Board(grip.frets, grip.fingers, Player().board.open_notes)
    white = white_keys(48, 83)

    def neck() -> object:
        items, end = fretboard(board, tones, 0.0, 0.0)
        return image_of(Page(board_width(6), end, tuple(items)), 96)

    def keys() -> object:
        items, end = keyboard(tones, white, 0.0, 0.0)
        return image_of(Page(140.0, end, tuple(items)), 96)

    return [("a fretboard laid out and painted", _best(neck, 20), "ms", DRAWN, 2.0),
            ("a keyboard laid out and painted", _best(keys, 20), "ms", DRAWN, 2.0)]  # fmt: skip


if __name__ == "__main__":
    for name, value, unit, reference, limit in run():
        print(f"{name:34} {value:8.2f} {unit:10} {reference}: {limit:.2f}")
