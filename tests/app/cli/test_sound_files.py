"""convert writes sound: rows, parts, chord names, another SoundFont; what does not fit together is a usage fault."""

from __future__ import annotations

import json
from pathlib import Path

import mido
import pytest

from app.cli import convert
from app.main import main
from core.sound.midi_file import CHORD_TEXTS
from tests.core.sound.fonts import Sound, font_bytes

TUNE = """title: Low Tide
key: F major
tempo: 320

[A]
| Gm7 | C7 |
m: d4 c4 | e8 |

take: Second evening
| Gm7 | Gb7 |
"""


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    path = tmp_path / "tide.txt"
    path.write_text(TUNE, encoding="utf-8")
    return path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = main(["convert", *map(str, words)])
    said = capsys.readouterr()
    return code, said.out, said.err


def texts(path: Path, kind: str) -> list[str]:
    return [message.text for message in mido.MidiFile(path, charset="utf-8").tracks[0] if message.type == kind]


def test_both_rows_are_a_file_each_and_named(tune, tmp_path, capsys):
    code, out, err = run(capsys, tune, tmp_path / "tide.mid", "--row", "both")
    assert (code, err) == (0, "")
    files = [tmp_path / "tide-standard.mid", tmp_path / "tide-second-evening.mid"]
    assert out.splitlines() == [str(path) for path in files]
    assert [texts(path, "text") for path in files] == [["Gm7", "C7"], ["Gm7", "Gb7"]]
    assert not (tmp_path / "tide.mid").exists()


@pytest.mark.parametrize("kind", CHORD_TEXTS)
def test_chord_names_are_written_as_asked(tune, tmp_path, capsys, kind):
    assert run(capsys, tune, tmp_path / "t.mid", "--set", f"chords={kind}")[0] == 0
    assert [text for text in texts(tmp_path / "t.mid", kind) if text != "A"] == ["Gm7", "C7"]


def test_the_command_knows_the_same_kinds_as_the_file():
    assert convert.CHORD_TEXTS == CHORD_TEXTS


def test_parts_are_a_file_each_played_by_the_font_given(tune, tmp_path, capsys):
    font = tmp_path / "small.sf2"
    font.write_bytes(font_bytes(Sound("Upright", 0), Sound("Bass", 32, pitch=45)))
    code, out, err = run(capsys, tune, tmp_path / "t.wav", "--stems", "--font", font, "--row", "Second evening")
    assert (code, err) == (0, "")
    assert [Path(line).name for line in out.splitlines()] == ["t-piano.wav", "t-bass.wav", "t-drums.wav", "t-tune.wav"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("t.mid", "--stems"), 2, "--stems is for sound"),
        (("t.mid", "--font", "x.sf2"), 2, "--font is for sound"),
        (("t.wav", "--set", "chords=text"), 2, "chords= is for MIDI files"),
        (("t.mid", "--set", "chords=balloons"), 2, "takes text, lyrics, marker"),
        (("t.wav", "--font", "nowhere.sf2"), 1, "nowhere.sf2"),
        (("t.txt", "--row", "both"), 1, "both"),
        (("t.mid", "--row", "Third evening"), 1, "Third evening"),
    ],
)
def test_what_does_not_fit_is_one_sentence_and_leaves_no_file(tune, tmp_path, capsys, monkeypatch, words, code, said):
    monkeypatch.chdir(tmp_path)
    found, out, err = run(capsys, tune, *words)
    assert (found, out) == (code, "")
    assert said in err
    assert len(err.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["tide.txt"]


def test_without_a_take_there_is_no_second_row(tmp_path, capsys):
    path = tmp_path / "plain.txt"
    path.write_text(TUNE.partition("take:")[0], encoding="utf-8")
    code, _, err = run(capsys, path, tmp_path / "t.mid", "--row", "both")
    assert code == 1
    assert "has no take" in err


def test_doctor_lists_keyboards_and_what_the_font_lacks(capsys):
    assert main(["doctor", "--json"]) == 0
    player = json.loads(capsys.readouterr().out)["player"]
    assert set(player["midi"]) == {"ports", "keyboards", "sentence"}
    assert player["soundfont"]["lacks"] == []
    assert player["soundfont"]["layers"] == 1
