"""The command line: its documents conform to their schemas, its errors are one sentence, its exit codes are kept."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import mido
import pytest

from app.cli import run_command
from app.main import COMMANDS, main
from core.chart import changed_bars
from core.files import load_chart
from core.places import folder
from core.techniques.catalogue import TECHNIQUES

DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))
SCHEMAS = folder("resources") / "schema"
HARBOUR = next(path for path in DEMOS if path.name.startswith("harbour"))


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = run_command([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def document(capsys: pytest.CaptureFixture[str], schema: str, *words: object) -> Any:
    code, out, err = run(capsys, *words)
    assert (code, err) == (0, "")
    found = json.loads(out)
    jsonschema.validate(found, json.loads((SCHEMAS / f"{schema}.schema.json").read_text(encoding="utf-8")))
    return found


def test_schemas_are_schemas_and_each_is_used() -> None:
    names = {path.name.removesuffix(".schema.json") for path in SCHEMAS.glob("*.json")}
    assert names == {"propose", "propose_map", "chorus", "harmonize", "check", "explain", "explain_line", "analyse", "analyse_line", "fit", "fit_line",
                     "techniques", "voice", "line", "line_suggest", "doctor"}  # fmt: skip
    for path in SCHEMAS.glob("*.json"):
        jsonschema.Draft202012Validator.check_schema(json.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_propose_conforms_for_every_bar(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chart, _ = load_chart(path)
    for bar in chart.form.bars:
        found = document(capsys, "propose", "propose", path, "--bar", bar.number, "--json")
        for proposal in found["proposals"]:
            assert proposal["span"]["start"]["bar"] == bar.number
            assert proposal["span"]["start"]["printed"] == bar.printed
            assert sum(_quarters(slot) for slot in proposal["before"]) == sum(
                _quarters(slot) for slot in proposal["after"]
            )


def _quarters(slot: dict[str, str]) -> float:
    numerator, _, denominator = slot["duration"].partition("/")
    return int(numerator) / int(denominator or 1)


def test_propose_finds_the_substitute_and_stores_its_function_spelling(capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "propose", "propose", HARBOUR, "--bar", 4, "--json")
    substitute = next(p for p in found["proposals"] if p["technique"] == "tritone_substitution")
    assert substitute["after"][0]["chord"] == "Fb7#11"
    assert substitute["checks"]["melody"]["verdict"] == "good"
    assert "E7" in substitute["why"]
    assert any(
        refusal["technique"] == "slash_chord_eleventh" and "third" in refusal["why"] for refusal in found["refused"]
    )


def test_depth_count_window_and_beat(capsys: pytest.CaptureFixture[str]) -> None:
    shallow = document(capsys, "propose", "propose", HARBOUR, "--bar", 3, "--bars", 2, "--json")
    deep = document(capsys, "propose", "propose", HARBOUR, "--bar", 3, "--bars", 2, "--depth", 2, "--json")
    assert max(len(p["steps"]) for p in shallow["proposals"]) == 1
    assert max(len(p["steps"]) for p in deep["proposals"]) == 2
    two = document(capsys, "propose", "propose", HARBOUR, "--bar", 4, "--count", 2, "--json")
    assert len(two["proposals"]) == 2
    later = document(capsys, "propose", "propose", HARBOUR, "--bar", 2, "--beat", 3, "--json")
    assert all(p["span"]["start"]["beat"] == "3" for p in later["proposals"])


def test_the_map_has_a_cell_for_each_technique_and_bar(capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "propose_map", "propose", HARBOUR, "--map", "--json")
    assert len(found["cells"]) == 32 * len(TECHNIQUES)
    cell = next(c for c in found["cells"] if c["bar"] == 4 and c["technique"] == "tritone_substitution")
    assert cell["applies"]
    code, out, _ = run(capsys, "propose", HARBOUR, "--map")
    assert code == 0
    ruler, *lines, legend = out.splitlines()
    assert {len(line.split()[-1]) for line in lines} == {32}
    assert ruler.split() == ["1", "5", "9", "13", "17", "21", "25", "29"]
    assert "refused" in legend


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_check_conforms_and_demo_takes_pass(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chart, _ = load_chart(path)
    found = document(capsys, "check", "check", path, "--json")
    assert found["bars_changed"] == len(changed_bars(chart, chart.takes[0])) >= 6
    assert "clash" not in found["verdicts"].values()
    code, out, _ = run(capsys, "check", path, "--take", chart.takes[0].name)
    assert code == 0
    assert out.startswith(
        f"{chart.title}, {chart.takes[0].name}: {found['bars_changed']} of {found['bars']} bars changed"
    )


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_explain_conforms_and_names_every_difference(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "explain", "explain", path, "--json")
    assert found["differences"]
    assert all(item["explained"] and item["steps"] for item in found["differences"])
    code, out, _ = run(capsys, "explain", path)
    assert code == 0
    assert "no derivation known" not in out


def test_doctor_conforms(capsys: pytest.CaptureFixture[str]) -> None:
    found = document(capsys, "doctor", "doctor", "--json")
    assert found["packages"]["music21"]
    assert "error" not in found["player"]
    code, out, _ = run(capsys, "doctor")
    assert code == 0
    assert "Changewright" in out


@pytest.mark.parametrize("ending", [".changes.json", ".txt", ".musicxml", ".mxl", ".abc"])
@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_convert_there_and_back(path: Path, ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chart, _ = load_chart(path)
    target = tmp_path / f"tune{ending}"
    code, out, err = run(capsys, "convert", path, target)
    assert (code, out, err) == (0, "", "")
    back, _ = load_chart(target)
    assert (back.title, back.key, back.melody, back.tempo) == (chart.title, chart.key, chart.melody, chart.tempo)
    # A take that differs between two passes makes MusicXML write the bars out as played; our own formats keep the repeat.
    assert [(bar.start, bar.length) for bar in back.form.bars] == [(bar.start, bar.length) for bar in chart.form.bars]
    if ending in (".changes.json", ".txt"):
        assert back == chart
    assert back.standard == chart.standard
    if ending != ".abc":  # which has room for one row
        assert [take.row for take in back.takes] == [take.row for take in chart.takes]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_convert_to_midi_holds_the_row_that_was_asked_for(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chart, _ = load_chart(path)
    notes = {}
    for row in ("standard", chart.takes[0].name):
        target = tmp_path / f"{row}.mid"
        assert run(capsys, "convert", path, target, "--row", row)[0] == 0
        file = mido.MidiFile(target)
        assert file.type == 1
        notes[row] = [
            message.note
            for track in file.tracks
            for message in track
            if message.type == "note_on" and message.channel != 9
        ]
    assert notes["standard"] != notes[chart.takes[0].name]


def test_convert_to_wav_lasts_as_long_as_the_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import wave

    target = tmp_path / "blues.wav"
    path = next(p for p in DEMOS if p.name.startswith("low_water"))
    assert run(capsys, "convert", path, target, "--set", "tempo=240")[0] == 0
    with wave.open(str(target)) as file:
        seconds = file.getnframes() / file.getframerate()
        assert (file.getnchannels(), file.getframerate(), file.getsampwidth()) == (2, 48000, 2)
    assert 12 <= seconds < 20  # 48 quarter notes at 240, and the tails


@pytest.mark.parametrize(
    ("part", "key", "first"),
    [("Bb", "F major", "Fmaj7"), ("Eb", "C major", "Cmaj7"), ("F", "Bb major", "Bbmaj7"), ("C", "Eb major", "Ebmaj7")],
)
def test_parts_are_transposed(
    part: str, key: str, first: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Written pitch of B♭, E♭ and F instruments: common practice, no source.
    target = tmp_path / "part.txt"
    assert run(capsys, "convert", HARBOUR, target, "--part", part)[0] == 0
    chart, _ = load_chart(target)
    assert (str(chart.key), chart.standard[0].text) == (key, first)


def test_a_sharp_key_is_respelled_for_the_alto(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = tmp_path / "e.txt"
    source.write_text("key: E major\n\n| Emaj7 | B7 |\n", encoding="utf-8")
    assert run(capsys, "convert", source, tmp_path / "alto.txt", "--part", "Eb")[0] == 0
    assert str(load_chart(tmp_path / "alto.txt")[0].key) == "Db major"  # rather than C# major: common practice


def test_stdin_and_stdout(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", type("In", (), {"buffer": io.BytesIO(HARBOUR.read_bytes())}))
    code, out, _ = run(capsys, "convert", "-", "-")
    assert code == 0
    assert out.startswith("title: Harbour Lamps\n")
    monkeypatch.setattr(sys, "stdin", type("In", (), {"buffer": io.BytesIO(out.encode())}))
    found = document(capsys, "propose", "propose", "-", "--bar", 4, "--json")
    assert found["title"] == "Harbour Lamps"


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (("check", "nowhere.txt"), 1, "cannot be read"),
        (("check", HARBOUR, "--take", "Third"), 1, "There is no take named 'Third'"),
        (("propose", HARBOUR, "--bar", "33"), 1, "There is no bar 33; the tune's bars go from 1 to 32"),
        (("propose", HARBOUR, "--bar", "1", "--beat", "6"), 1, "has beats from 1"),
        (("propose", HARBOUR), 2, "--bar N or --map"),
        (("propose", HARBOUR, "--bar", "x"), 2, "invalid int"),
        (("propose", HARBOUR, "--bar", "1", "--beat", "x"), 2, "quarter note"),
        (("convert", HARBOUR, "out.doc"), 1, "write one of"),
        (("convert", HARBOUR, "out.pdf", "--set", "sheet=poster"), 1, "There is no sheet 'poster'"),
        (("convert", HARBOUR, "out.pdf", "--set", "melody=perhaps"), 2, "yes or no"),
        (("convert", HARBOUR, "out.mid", "--set", "sheet=blank"), 2, "is for sheets"),
        (("convert", HARBOUR, "out.txt", "--set", "tmepo=3"), 2, "did you mean 'tempo'"),
        (("convert", HARBOUR, "out.txt", "--set", "tempo=3"), 1, "from 30 to 360"),
        (("convert", HARBOUR, "/nowhere/out.txt"), 1, "cannot write here"),
        (("convert", HARBOUR, "/nowhere/out.mid"), 1, "cannot write here"),
        (("convert", HARBOUR, "out.txt", "--row", "Third"), 1, "There is no row named 'Third'"),
        (("frobnicate",), 2, "invalid choice"),
        (("check", "."), 1, "is a folder"),
    ],
)  # fmt: skip
def test_faults_are_one_sentence_with_the_right_exit_code(
    words: tuple[object, ...],
    code: int,
    message: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    found, out, err = run(capsys, *words)
    assert (found, out) == (code, "")
    assert message in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_our_own_fault_is_exit_three(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr("app.cli.check.read_chart", broken)
    code, _, err = run(capsys, "check", HARBOUR)
    assert code == 3
    assert "fault of the program" in err


def test_help_and_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert all(command in shown for command in COMMANDS)
    assert main(["chek"]) == 1
    assert "did you mean 'check'?" in capsys.readouterr().err
    assert main(["one.txt", "two.txt"]) == 2
    assert "give one file" in capsys.readouterr().err


def test_commands_import_nothing_they_do_not_need() -> None:
    code = ("import sys, io, contextlib\nfrom app.main import main\n"
            f"with contextlib.redirect_stdout(io.StringIO()): code = main(['propose', {str(HARBOUR)!r}, '--bar', '4'])\n"
            "heavy = {'PySide6', 'numpy', 'music21', 'mido', 'miniaudio', 'rtmidi'} & set(sys.modules)\n"
            "sys.exit(code or (f'imported {heavy}' if heavy else 0))")  # fmt: skip
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_harmonize_fills_an_empty_row_and_keeps_the_rest_as_takes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tune, saved = tmp_path / "tune.txt", tmp_path / "out.changes.json"
    tune.write_text("key: C major\n\n| N.C. | N.C. | N.C. | N.C. |\nm: E4 G4 | A8 | F4 D4 | C8 |\n", encoding="utf-8")
    found = document(capsys, "harmonize", "harmonize", tune, "--count", 2, "--save", saved, "--json")
    chart = load_chart(saved)[0]
    assert [slot.chord and slot.chord.canonical for slot in chart.standard] == [
        slot["chord"] for slot in found["rows"][0]["row"]
    ]
    assert len(chart.takes) == len(found["rows"]) - 1
    bass = tmp_path / "bass.txt"
    bass.write_text("key: C major\n\n| C | B |\n", encoding="utf-8")
    assert run_command(["harmonize", str(tune), "--bass", str(bass)]) == 1
    assert "2 bars and the tune 4" in capsys.readouterr().err


def test_fit_says_how_a_chord_fits_and_what_the_tune_would_have_to_change(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tune, saved = tmp_path / "tune.txt", tmp_path / "out.changes.json"
    tune.write_text("key: C major\n\n| G7 | Cmaj7 |\nm: c8 | e8 |\n", encoding="utf-8")
    found = document(capsys, "fit", "fit", tune, "--bar", 1, "--chord", "Db7", "--save", saved, "--json")
    assert found["verdict"] == "clash"
    assert [(note["bar"], note["before"], note["after"]) for note in found["moved"]] == [(1, 72, 71)]
    assert load_chart(saved)[0].melody[0].pitch.midi == 71
    assert run_command(["fit", str(tune), "--bar", "9", "--chord", "C"]) == 1
    for words, said in (
        (["--chord", "N.C."], "Silence bears any tune"),
        (["--chord", "C", "--beat", "5"], "beats 1 to 4, not 5"),
    ):
        capsys.readouterr()
        assert run_command(["fit", str(tune), "--bar", "1", *words]) == 1
        assert said in capsys.readouterr().err
    assert run_command(["fit", str(tune)]) == 2
