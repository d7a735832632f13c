"""``changewright voice``: its document conforms, its text is what a player reads, its errors are sentences."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from app.cli import run_command
from app.cli.voice import STYLES
from core.files import load_chart
from core.hands.fretboard import TUNINGS
from core.places import folder
from tests.core.hands.hand import can_be_held

DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))
SCHEMA = json.loads((folder("resources") / "schema" / "voice.schema.json").read_text(encoding="utf-8"))
PIER = "title: Pier Nine\nkey: C major\nmeter: 4/4\n\n| Dm7 | G7 | Cmaj7 | N.C. |\nm: F4 A4 | G4 B4 | E8 | z8 |\n"


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = run_command(["voice", *(str(word) for word in words)])
    out, err = capsys.readouterr()
    return code, out, err


def document(capsys: pytest.CaptureFixture[str], *words: object, validated: bool = True) -> dict[str, object]:
    code, out, err = run(capsys, *words, "--json")
    assert (code, err) == (0, "")
    found: dict[str, object] = json.loads(out)
    if validated:
        jsonschema.validate(found, SCHEMA)
    return found


@pytest.fixture
def pier(tmp_path: Path) -> Path:
    path = tmp_path / "pier_nine.txt"
    path.write_text(PIER, encoding="utf-8")
    return path


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("instrument", ["piano", "guitar"])
def test_the_document_conforms_for_every_demo_row(
    path: Path, instrument: str, capsys: pytest.CaptureFixture[str]
) -> None:
    chart, _ = load_chart(path)
    for row in ("standard", chart.takes[0].name):
        # Validating a long document takes seconds; the short tune's take has all that can be in one.
        validated = row != "standard" and len(chart.form.bars) <= 12
        found = document(capsys, path, "--instrument", instrument, "--row", row, validated=validated)
        assert isinstance(found["chords"], list)
        assert len(found["chords"]) == len(chart.row_named(row))
        for item in found["chords"]:
            assert len(item["triads"]) == 24
            assert item["scales"]
            voiced = item["grip" if instrument == "guitar" else "voicing"]
            assert len(voiced["notes"]) == len(voiced["degrees"])
            if instrument == "guitar":
                assert can_be_held(tuple(voiced["frets"]))
                opened = [string + fret for string, fret in zip(TUNINGS["standard"], voiced["frets"], strict=True)
                          if fret is not None]  # fmt: skip
                assert sorted(opened) == voiced["notes"]
            else:
                assert voiced["left"] + voiced["right"] == voiced["notes"]


@pytest.mark.parametrize(
    ("instrument", "style"), [(name, style) for name, styles in STYLES.items() for style in styles]
)
def test_every_style_is_played_and_silence_is_empty(
    instrument: str, style: str, pier: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = document(capsys, pier, "--instrument", instrument, "--style", style, "--tune", "top")
    chords = found["chords"]
    assert isinstance(chords, list)
    silent = chords[-1]
    assert (silent["chord"], silent["scales"], silent["others"]) == (None, [], [])
    code, out, err = run(capsys, pier, "--instrument", instrument, "--style", style, "--colours")
    assert (code, err) == (0, "")
    assert out.startswith("Pier Nine, standard: ")
    assert "scale Dorian: D E F G A B C" in out


def test_a_player_reads_frets_fingers_degrees_and_what_is_left_out(
    pier: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = run(capsys, pier, "--instrument", "guitar", "--lock", "1=x 5 x 5 6 5", "--others", 0)
    assert out.splitlines()[1] == "Strings E2 A2 D3 G3 B3 E4, 20 frets, no capo; x is silent."
    assert out.splitlines()[2].startswith("bar   1, beat 1     Dm7          x 5 x 5 6 5")
    assert "1 ♭7 ♭3 5" in out.splitlines()[2]
    assert "Left out: 1, which the bass has" in out


def test_tuning_capo_and_seven_strings(pier: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, pier, "--instrument", "guitar", "--tuning", "seven strings", "--capo", 2, "--frets", 24)
    assert found["tuning"] == {"strings": [35, 40, 45, 50, 55, 59, 64], "frets": 24, "capo": 2,
                               "names": ["B1", "E2", "A2", "D3", "G3", "B3", "E4"]}  # fmt: skip
    assert isinstance(found["chords"], list)
    assert all(len(item["grip"]["frets"]) == 7 for item in found["chords"] if item["grip"])


def test_the_tune_on_top_and_its_octave_are_said(pier: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, pier, "--instrument", "guitar", "--tune", "top", "--root")
    assert isinstance(found["chords"], list)
    assert isinstance(found["octave"], int)
    tops = [item["grip"]["notes"][-1] - found["octave"] for item in found["chords"] if item["grip"]]
    assert tops == [65, 67, 64]


@pytest.mark.parametrize(("words", "code", "said"), [
    (("--instrument", "guitar", "--tuning", "E2 H2 D3"), 1, "Cannot read 'H2' as a string"),
    (("--instrument", "guitar", "--tuning", "E2 A2"), 1, "A fretboard of 2 strings"),
    (("--instrument", "guitar", "--capo", "19"), 1, "A capo at fret 19"),
    (("--instrument", "guitar", "--frets", "3"), 1, "A neck of 3 frets"),
    (("--instrument", "guitar", "--fingers", "7"), 1, "two to four fingers"),
    (("--instrument", "guitar", "--style", "bluegrass"), 2, "there is no guitar style 'bluegrass'"),
    (("--instrument", "guitar", "--lock", "1=1 9 1 9 1 9"), 1, "cannot be held by one hand"),
    (("--instrument", "guitar", "--lock", "1=one two"), 1, "Cannot read 'one two' as a grip"),
    (("--lock", "9=60 64"), 2, "cannot read '9=60 64' as a lock"),
    (("--lock", "1:3=60 64"), 2, "no chord begins at beat 3 of bar 1"),
    (("--lock", "1"), 2, "names no voicing"),
    (("--lock", "1=36 55 74 93"), 1, "out of reach for two hands"),
    (("--row", "nowhere"), 1, "There is no row named 'nowhere'"),
])  # fmt: skip
def test_what_cannot_be_done_is_one_sentence(
    words: tuple[str, ...], code: int, said: str, pier: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found, out, err = run(capsys, pier, *words)
    assert (found, out) == (code, "")
    assert said in err
    assert len(err.strip().splitlines()) == 1


def test_a_chord_of_eight_notes_gets_the_best_that_can_be_done(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "fog.txt"
    path.write_text("title: Fog\nkey: C major\nmeter: 4/4\n\n| Gb\\C13 | Cmaj7 |\n", encoding="utf-8")
    for instrument in ("guitar", "piano"):
        found = document(capsys, path, "--instrument", instrument)
        assert isinstance(found["chords"], list)
        first = found["chords"][0]
        assert first["remarks"][-1].startswith("Left out: ")
        assert len((first.get("grip") or first["voicing"])["notes"]) >= 4
