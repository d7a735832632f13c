"""The lesson sheet of a line: degrees under every note, brackets that do not touch, written from the command line."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from app.cli import run_command
from app.sheet.drawing import SECOND, Rule, Words
from app.sheet.pages import pages_of
from core.files import load_chart, save_chart
from core.sheet.lesson import BRACKETED, lesson_sheet
from tests.core.line.hand import marked_lines


@pytest.mark.parametrize("number", [1, 4, 7])
def test_degrees_and_brackets_stand_on_the_page_and_no_two_brackets_touch(number: int) -> None:
    line = marked_lines()[number]
    reading = line.reading()
    sheet = lesson_sheet(reading, line.chart, frozenset(BRACKETED))
    assert len(sheet.brackets) == sum(one.id != "phrase" for one in reading.features)
    items = [item for page in pages_of(sheet) for item in page.items]
    degrees = [item for item in items if isinstance(item, Words) and item.role == "degree"]
    assert len(degrees) == sum(one.degree is not None for one in reading.heard)
    shapes = [item for item in items if isinstance(item, Words) and item.role == "shape"]
    assert len(shapes) >= len(sheet.brackets)
    levels: dict[float, list[tuple[float, float]]] = {}
    for rule in items:
        if isinstance(rule, Rule) and rule.ink == SECOND and rule.y1 == rule.y2:
            levels.setdefault(round(rule.y1, 1), []).append((rule.x1, rule.x2))
    assert levels
    for rules in levels.values():
        rules.sort()
        assert all(one[1] <= other[0] for one, other in pairwise(rules))


def test_sheets_and_charts_are_written_from_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chart = tmp_path / "slack.changes.json"
    save_chart(marked_lines()[0].chart, chart)
    for words in (
        ("--sheet", tmp_path / "line.pdf", "--chart", tmp_path / "line.changes.json"),
        ("--suggest", "1", "--sheet", tmp_path / "lines.svg", "--chart", tmp_path / "lines.changes.json"),
    ):
        assert run_command(["line", str(chart), *map(str, words)]) == 0
    assert (tmp_path / "line.pdf").read_bytes().startswith(b"%PDF")
    assert "Eighths to the third" in (tmp_path / "lines.svg").read_text(encoding="utf-8")
    assert len(load_chart(tmp_path / "line.changes.json")[0].melody) == 47
    assert len(load_chart(tmp_path / "lines.changes.json")[0].form.bars) == 10
    capsys.readouterr()
    assert run_command(["line", str(chart), "--sheet", str(tmp_path / "line.doc")]) == 1
    assert "write one of .pdf, .svg, .png" in capsys.readouterr().err
