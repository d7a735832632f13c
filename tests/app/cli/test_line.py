"""``changewright line``: its documents conform, files of every kind are read, its errors are sentences."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from app.cli import run_command
from core.files import load_chart, save_chart
from core.foreign import write_musicxml
from core.places import folder
from tests.core.line.hand import marked_lines

DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))
SCHEMAS = folder("resources") / "schema"
SCHEMA = json.loads((SCHEMAS / "line.schema.json").read_text(encoding="utf-8"))
SUGGEST = json.loads((SCHEMAS / "line_suggest.schema.json").read_text(encoding="utf-8"))
ABC = "X:1\nT:Over the rail\nM:4/4\nL:1/8\nQ:1/4=120\nK:C\nD F A c B A G F | B,2 D F _A F D2 | E2 G B d2 z2 |]\n"


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = run_command(["line", *(str(word) for word in words)])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture
def slack(tmp_path: Path) -> Path:
    path = tmp_path / "slack.changes.json"
    save_chart(marked_lines()[0].chart, path)
    return path


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_documents_conform_for_every_demo_against_its_take(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chart, _ = load_chart(path)
    code, out, _ = run(capsys, path, "--against", chart.takes[0].name, "--json")
    assert code == 0
    found = json.loads(out)
    jsonschema.validate(found, SCHEMA)
    assert len(found["notes"]) == len(found["against"]["notes"]) == len(chart.melody)
    assert [note["midi"] for note in found["notes"]] == [note.pitch.midi for note in chart.melody]
    code, out, _ = run(capsys, path, "--suggest", 1, "--json")
    assert code == 0
    jsonschema.validate(json.loads(out), SUGGEST)


def test_the_same_line_is_read_alike_from_musicxml_abc_and_bar_text(
    slack: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chart, _ = load_chart(slack)
    score, text, abc = tmp_path / "solo.musicxml", tmp_path / "solo.txt", tmp_path / "solo.abc"
    score.write_text(write_musicxml(chart), encoding="utf-8")
    save_chart(chart, text)
    abc.write_text(ABC, encoding="utf-8")
    read = {}
    for path in (score, text, abc):
        code, out, _ = run(capsys, slack, "--solo", path, "--json")
        assert code == 0
        found = json.loads(out)
        jsonschema.validate(found, SCHEMA)
        read[path.suffix] = [(note["bar"], note["beat"], note["midi"], note["degree"]) for note in found["notes"]]
    assert read[".musicxml"] == read[".txt"]
    assert read[".abc"] == read[".txt"][: len(read[".abc"])]
    assert read[".abc"][:4] == [(1, "1", 62, "1"), (1, "3/2", 65, "b3"), (1, "2", 69, "5"), (1, "5/2", 72, "b7")]


def test_the_text_names_notes_degrees_and_shapes(slack: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, slack, "--only", "enclosure,cell", "--definitions")
    assert code == 0
    assert "bar 2    [G7]  B 3  D 5  F ♭7  A♭ ♭9  F ♭7  D 5" in out
    assert "enclosure, beat 3.5 to bar 3 beat 1: above, below" in out
    assert "four-note cell, beat 1 to 2.5: 1 2 3 5" in out
    assert "scale run, beat" not in out


def test_a_line_is_fingered_and_a_note_can_be_put_elsewhere(slack: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, slack, "--guitar", "--at-fret", "2=3:10", "--json")
    assert code == 0
    found = json.loads(out)
    jsonschema.validate(found, SCHEMA)
    assert len(found["fingering"]) == len(found["notes"])
    assert (found["fingering"][1]["string"], found["fingering"][1]["fret"]) == (3, 10)
    code, out, _ = run(capsys, slack, "--guitar", "all fourths")
    assert code == 0
    assert "On the fretboard, " in out
    for words, piece in ((("--at-fret", "2=3:10"), "give --guitar too"), (("--guitar", "--at-fret", "x"), "like 5=2:7"),
                         (("--guitar", "--at-fret", "999=1:1"), "the line has 47")):  # fmt: skip
        code, _, err = run(capsys, slack, *words)
        assert code == 2
        assert piece in err


def test_bad_words_and_files_are_sentences(slack: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    silent = tmp_path / "silent.txt"
    silent.write_text("title: Fog\nkey: C major\nmeter: 4/4\n\n| Dm7 | G7 |\n", encoding="utf-8")
    for words, code, piece in (
        ((slack, "--only", "loops"), 2, "there is no shape 'loops'"),
        ((slack, "--row", "Nowhere"), 1, "no row named 'Nowhere'"),
        ((slack, "--at", "99"), 1, "There is no bar 99"),
        ((slack, "--suggest", "99"), 1, "There is no bar 99"),
        ((slack, "--solo", silent), 1, "holds no line of single notes"),
        ((slack, "--solo", tmp_path / "lost.mid"), 1, "lost.mid"),
        ((silent,), 1, "The line holds no notes"),
    ):
        found, out, err = run(capsys, *words)
        assert (found, out) == (code, "")
        assert piece in err
        assert err.count("\n") == 1
