"""Pictures of voicings: every label, finger and mark is where the notes are; guitar pictures on the answer key."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtCore import QByteArray
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from app.cli import run_command
from app.sheet.drawing import INK, PAPER, SECOND, Frame, Item, Page, Words
from app.sheet.hand_pictures import BLACK, KEY_WIDE, STRING_GAP, Board, board_width, fretboard, keyboard, white_keys
from app.sheet.pages import pages_of
from app.sheet.paint import svg_of
from core.files import load_chart
from core.hands.grips import Grip, Player
from core.hands.guitar import grip_from
from core.hands.marks import Tone, mark_of, tones_of
from core.key import Key
from core.pitch import Degree, parse_degree
from core.places import folder
from core.sheet.content import sheet_of
from core.sheet.kinds import SheetError, SheetOptions
from core.symbol import parse_symbol

HARBOUR = folder("demo_charts") / "harbour_lamps.changes.json"
OPEN = Player().board.open_notes


def held(symbol: str, *frets: int | None) -> tuple[Grip, tuple[Tone, ...]]:
    item = parse_symbol(symbol)
    assert item is not None
    grip = grip_from(item, frets, Player())
    return grip, tones_of(item, grip.notes, grip.degrees, Key(0))


def drawn(symbol: str, *frets: int | None) -> list[Item]:
    grip, tones = held(symbol, *frets)
    return fretboard(Board(grip.frets, grip.fingers, OPEN), tones, 0.0, 0.0)[0]


def words(items: list[Item], role: str) -> list[Words]:
    return sorted((item for item in items if isinstance(item, Words) and item.role == role), key=lambda item: item.x)


def test_a_grip_shows_degrees_fingers_and_silent_strings_in_their_places() -> None:
    items = drawn("C13", 8, None, 8, 9, 10, None)
    assert [item.text for item in words(items, "voicing degree")] == ["1", "♭7", "3", "13"]
    assert [item.text for item in words(items, "finger")] == ["1", "2", "3", "4"]
    assert [item.text for item in words(items, "silent string")] == ["×", "×"]
    assert [item.text for item in words(items, "fret")] == ["8"]
    heights = [item.y for item in words(items, "voicing degree")]
    assert heights[0] == heights[1] < heights[2] < heights[3]
    middles = [item.x for item in words(items, "finger")]
    steps = [round((b - a) / STRING_GAP) for a, b in pairwise(middles)]
    assert steps == [2, 1, 1]  # the fifth string is silent


def test_an_open_string_stands_over_the_nut() -> None:
    items = drawn("Em", 0, 2, 2, 0, 0, 0)
    assert not words(items, "fret")
    heights = sorted({round(item.y, 3) for item in words(items, "voicing degree")})
    assert len(heights) == 2
    assert len(words(items, "finger")) == 2


def test_shapes_tell_guide_tones_chord_tones_and_tensions_apart_without_colour() -> None:
    items = drawn("C9", None, 3, 2, 3, 3, None)
    marks = [item for item in items if isinstance(item, Frame) and item.width]
    by_place = sorted(marks, key=lambda item: item.x)
    root, third, seventh, ninth = by_place
    assert third.radius == seventh.radius < root.radius
    assert (third.ground, root.ground, ninth.ground) == (SECOND, INK, PAPER)


@pytest.mark.parametrize(("symbol", "degree", "mark"), [
    ("C7", "3", "guide"), ("C7", "b7", "guide"), ("C7", "1", "tone"), ("C7", "5", "tone"), ("C7", "13", "tension"),
    ("C6", "6", "guide"), ("C9sus", "4", "guide"), ("C9sus", "9", "tension"), ("Cdim7", "bb7", "guide"), ("C", "1", "tone"),
    ("Cm7b5", "b5", "tone"), ("D\\C7", "#11", "tension"), ("D\\C7", "3", "guide"),
])  # fmt: skip
def test_marks(symbol: str, degree: str, mark: str) -> None:
    item = parse_symbol(symbol)
    assert item is not None
    assert mark_of(item, parse_degree(degree)) == mark


def test_keys_have_their_marks_and_the_triad_its_bracket() -> None:
    item, upper = parse_symbol("C7"), parse_symbol("D")
    assert item is not None
    assert upper is not None
    notes = (52, 58, 62, 66, 69)
    degrees = (Degree(3), Degree(7, -1), Degree(9), Degree(11, 1), Degree(13))
    tones = tones_of(item, notes, degrees, Key(0), "notes", upper)
    assert [tone.label for tone in tones] == ["E", "B♭", "D", "F♯", "A"]
    assert [tone.upper for tone in tones] == [False, False, True, True, True]
    white = white_keys(48, 71)
    items, _ = keyboard(tones, white, 0.0, 0.0, "D")
    assert [word.text for word in words(items, "upper structure")] == ["D"]
    marks = [mark for mark in items if isinstance(mark, Frame) and mark.wide < KEY_WIDE * 0.66]
    assert len(marks) == len(notes)
    for note, mark in zip(notes, marks, strict=True):
        place = (mark.x + mark.wide / 2) / KEY_WIDE
        keys_below = sum(key < note for key in white)
        assert place == pytest.approx(keys_below + (0.0 if note % 12 in BLACK else 0.5))


def test_a_picture_is_svg_that_qt_shows() -> None:
    grip, tones = held("Cmaj7", None, 3, 2, 4, 1, None)
    items, end = fretboard(Board(grip.frets, grip.fingers, OPEN, upper=""), tones, 4.0, 4.0)
    page = Page(board_width(6) + 8.0, end + 8.0, tuple(items))
    svg = svg_of(page)
    ElementTree.fromstring(svg)
    renderer = QSvgRenderer(QByteArray(svg.encode()))
    assert renderer.isValid()
    image = QImage(240, 240, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    renderer.render(painter)
    painter.end()
    dark = sum(image.pixelColor(x, y).lightness() < 128 for x in range(0, 240, 3) for y in range(0, 240, 3))
    assert 40 < dark < 4000


@pytest.mark.parametrize(("options", "guitar"), [
    (SheetOptions("answers"), False), (SheetOptions("answers", "guitar"), True),
    (SheetOptions("answers", pictures="guitar"), True), (SheetOptions("answers", "guitar", pictures="piano"), False),
])  # fmt: skip
def test_a_guitarist_gets_grips_unless_keys_are_asked_for(options: SheetOptions, guitar: bool) -> None:
    assert options.on_guitar == guitar


@pytest.mark.parametrize(
    ("options", "guitar"), [(SheetOptions("answers"), False), (SheetOptions("answers", "guitar"), True)]
)
def test_an_answer_key_has_grips_for_a_guitarist_or_where_asked(options: SheetOptions, guitar: bool) -> None:
    sheet = sheet_of(load_chart(HARBOUR)[0], options)
    voiced = [one for change in sheet.changes for one in change.voiced]
    assert voiced
    assert all((one.grip is not None) == guitar for one in voiced)
    items = [item for page in pages_of(sheet) for item in page.items if isinstance(item, Words)]
    fingers = [item for item in items if item.role == "finger"]
    assert len(fingers) == sum(len([f for f in one.grip.fingers if f]) for one in voiced if one.grip)
    degrees = [item.text for item in items if item.role == "voicing degree"]
    assert sorted(degrees) == sorted(degree for one in voiced for degree in one.degrees)
    heading = " ".join(item.text for item in items if item.role == "heading")
    assert ("A guitarist’s grips" in heading) == guitar


def test_pictures_of_nothing_known_are_refused() -> None:
    with pytest.raises(SheetError, match="pictures 'harp'"):
        SheetOptions(pictures="harp")


@pytest.mark.parametrize("instrument", ["piano", "guitar"])
def test_the_command_draws_every_voicing(instrument: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "hands.svg"
    words_given = ["voice", str(HARBOUR), "--instrument", instrument, "--pictures", str(target), "--labels", "notes"]
    assert run_command(words_given) == 0
    files = [Path(line) for line in capsys.readouterr().out.splitlines()]
    assert files
    texts = "".join(file.read_text(encoding="utf-8") for file in files)
    assert "Harbour Lamps" in texts
    assert run_command(["voice", str(HARBOUR), "--pictures", str(tmp_path / "hands.gif")]) == 2
    assert "ends otherwise" in capsys.readouterr().err
