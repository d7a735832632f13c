"""``changewright chorus``: its document, its saved chart, its refusals."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from app.cli import run_command
from core.files import load_chart
from core.places import folder
from core.row import same_chords

BLUES = folder("demo_charts") / "low_water_blues.changes.json"
SCHEMA = json.loads((folder("resources") / "schema" / "chorus.schema.json").read_text(encoding="utf-8"))


def test_the_document_conforms_and_the_saved_chart_holds_the_takes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    saved = tmp_path / "out.changes.json"
    words = [
        "chorus",
        str(BLUES),
        "--count",
        "2",
        "--boldness",
        "0.7",
        "--keep",
        "1,9-10",
        "--save",
        str(saved),
        "--json",
    ]
    assert run_command(words) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, SCHEMA)
    before, after = load_chart(BLUES)[0], load_chart(saved)[0]
    assert len(after.takes) == len(before.takes) + len(found["takes"])
    for told, take in zip(found["takes"], after.takes[len(before.takes) :], strict=True):
        assert told["cost"] == sum(sum(bar["terms"].values()) for bar in told["bars"]) == sum(told["terms"].values())
        assert [slot["chord"] for slot in told["row"]] == [slot.chord and slot.chord.canonical for slot in take.row]
        assert same_chords(take.row[:1], before.standard[:1])


def test_in_words_every_take_has_its_cost_and_bars(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["chorus", str(BLUES), "--count", "1"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("1. cost ")
    assert out.count(" | ") >= 9


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--keep", "one"], 2, "1-4,9"),
        (["--keep", "9-1"], 2, "backwards"),
        (["--keep", "99"], 1, "no bar 99"),
        (["--boldness", "7"], 1, "from 0 to 1"),
        (["--bass", "descending"], 2, "descending:1-4"),
        (["--bass", "sideways:1-4"], 1, "sideways"),
        (["--bass", "pedal:1-12", "--keep", "1-12"], 1, "bars 1–12"),
        (["--forbid", "magic"], 1, "magic"),
    ],
)
def test_bad_words_are_one_sentence(words: list[str], code: int, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["chorus", str(BLUES), *words]) == code
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert err.count("\n") == 1
