"""``explain --lines``: rows in, derivations out, a line each."""

from __future__ import annotations

import io
import json
import sys
from typing import Any

import jsonschema
import pytest

from app.cli import run_command
from core.places import folder

SCHEMA = json.loads((folder("resources") / "schema" / "explain_line.schema.json").read_text(encoding="utf-8"))


def answers(lines: list[object], monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    source = "\n".join(line if isinstance(line, str) else json.dumps(line) for line in lines) + "\n"
    target = io.BytesIO()
    monkeypatch.setattr(sys, "stdin", type("In", (), {"buffer": io.BytesIO(source.encode())}))
    monkeypatch.setattr(sys, "stdout", type("Out", (), {"buffer": target, "fileno": lambda self: 1}))
    assert run_command(["explain", "--lines"]) == 0
    found = [json.loads(line) for line in target.getvalue().decode().splitlines()]
    for document in found:
        jsonschema.validate(document, SCHEMA)
    return found


def test_lines_are_explained_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    # Tritone substitution and its absence: common practice, no source.
    common = {"key": "C major", "meter": "4/4", "before": "Cmaj7 | Dm7", "after": "Cmaj7"}
    found = answers([
        {"id": 1, **common, "standard": "G7", "substitute": "Db7"},
        {"id": 2, **common, "standard": "G7", "substitute": "Dbm7"},
        {"id": 3, **common, "standard": "G7", "substitute": "G7"},
        {"id": 4, "key": None, "meter": "4/4", "standard": "| Dm7 | G7 | Cmaj7 |", "substitute": "| Fm7 | Bb7 | Cmaj7 |"},
    ], monkeypatch)  # fmt: skip
    assert [one["id"] for one in found] == [1, 2, 3, 4]
    assert [one["explained"] for one in found] == [True, False, True, True]
    step = found[0]["steps"][0]
    assert (step["technique"], step["from"], step["to"], step["where"]) == (
        "tritone_substitution", ["G7"], ["Db7"], {"bar": 1, "beat": "1"})  # fmt: skip
    assert found[1]["steps"] == found[2]["steps"] == []
    assert [step["technique"] for step in found[3]["steps"]] == ["backdoor"]


def test_a_bad_line_is_answered_and_the_rest_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    found = answers([
        "not json", {"id": "a"}, {"id": "b", "standard": "G7 | C", "substitute": "G7"},
        {"id": "c", "standard": "Gq7", "substitute": "G7"}, {"id": "d", "standard": "G7", "substitute": "G7"},
    ], monkeypatch)  # fmt: skip
    assert [one["id"] for one in found] == [None, "a", "b", "c", "d"]
    assert ["error" in one for one in found] == [True, True, True, True, False]
    assert "as many bars" in found[2]["error"]
