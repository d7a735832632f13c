"""PDF, SVG and PNG files, batches of them, a printer, and the command line without a display."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtCore import QByteArray
from PySide6.QtGui import QImage, QPainter
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtSvg import QSvgRenderer

from app.cli import run_command
from app.sheet.batch import Stopped, Wanted, wanted_sheets, write_sheets
from app.sheet.files import check_whole, image_of, write_pages
from app.sheet.pages import pages_of
from app.sheet.paint import svg_of
from app.window.printing import print_pages
from core.chart import Chart
from core.errors import FileError
from core.files import load_chart
from core.places import folder
from core.sheet.content import sheet_of
from core.sheet.kinds import KINDS, SheetError, SheetOptions
from core.sheet.part import PARTS

HARBOUR = folder("demo_charts") / "harbour_lamps.changes.json"
ROOT = Path(__file__).parents[3]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def chart() -> Chart:
    return load_chart(HARBOUR)[0]


def objects(pdf: bytes, kind: str) -> list[bytes]:
    """Dictionaries of a type in a PDF that is not packed into streams (ISO 32000-1, 7.3)."""
    return re.findall(rb"<<[^<>]*/Type /%b\b.*?>>" % kind.encode(), pdf, re.DOTALL)


def test_a_pdf_is_vector_with_every_font_inside(chart: Chart, tmp_path: Path) -> None:
    pages = pages_of(sheet_of(chart, SheetOptions("answers")))
    (file,) = write_pages(pages, tmp_path / "key.pdf", chart.title)
    pdf = file.read_bytes()
    assert pdf.startswith(b"%PDF-1.")
    assert len(objects(pdf, "Page")) == len(pages) == 2
    fonts = objects(pdf, "FontDescriptor")
    names = {re.search(rb"/FontName /(?:[A-Z]{6}\+)?([\w-]+)", font)[1].decode() for font in fonts}  # type: ignore[index]
    assert {"SourceSerifPro-Regular", "SourceSerifPro-Semibold", "SourceSansPro-Regular"} <= names
    assert "ChangewrightSigns-Regular" in names, "flats and sharps too"
    assert all(re.search(rb"/FontFile[23]? \d+ 0 R", font) for font in fonts), "ISO 32000-1, 9.9: embedded"
    assert b"/Subtype /Image" not in pdf
    assert re.findall(rb"/MediaBox \[0 0 (\d+)[.\d]* (\d+)", pdf)[0] == (b"595", b"842")


def test_a_pdf_that_was_cut_off_is_not_taken_for_whole(tmp_path: Path) -> None:
    (tmp_path / "cut.pdf").write_bytes(b"%PDF-1.4\n1 0 obj")
    with pytest.raises(OSError, match="disk may be full"):
        check_whole(str(tmp_path / "cut.pdf"))


def test_an_svg_looks_like_the_page_everywhere_and_says_what_it_says(chart: Chart, tmp_path: Path) -> None:
    (page,) = pages_of(sheet_of(chart, SheetOptions("both")))
    root = ElementTree.fromstring(svg_of(page))
    assert [element for element in root.iter(f"{SVG}svg") if element is not root] == []
    text = "".join(element.text or "" for element in root.iter(f"{SVG}text"))
    for said in ("Harbour Lamps", "E♭", "maj7", "Thursday evening class"):
        assert said in text
    image = QImage(round(page.width), round(page.height), QImage.Format.Format_RGB32)
    image.fill(0xFFFFFF)
    painter = QPainter(image)
    QSvgRenderer(QByteArray(svg_of(page).encode())).render(painter)
    painter.end()
    assert difference(image, image_of(page, 72)) < 0.02


def difference(one: QImage, other: QImage) -> float:
    """Mean difference of two grey pictures, 0 to 1."""
    a, b = (image.convertToFormat(QImage.Format.Format_Grayscale8).scaled(200, 280) for image in (one, other))
    rows = range(280)
    total = sum(abs(x - y) for row in rows for x, y in zip(bytes(a.constScanLine(row))[:200],
                                                           bytes(b.constScanLine(row))[:200], strict=True))  # fmt: skip
    return total / (200 * 280 * 255)


def test_pages_beyond_the_first_have_files_of_their_own(chart: Chart, tmp_path: Path) -> None:
    pages = pages_of(sheet_of(chart, SheetOptions("answers")))
    for ending in (".png", ".svg"):
        files = write_pages(pages, tmp_path / f"key{ending}", chart.title)
        assert [file.name for file in files] == [f"key-1{ending}", f"key-2{ending}"]
        assert all(file.stat().st_size > 10_000 for file in files)
    assert QImage(str(tmp_path / "key-1.png")).width() == round(595.28 * 200 / 72)


def test_a_folder_that_cannot_be_written_is_named(chart: Chart, tmp_path: Path) -> None:
    pages = pages_of(sheet_of(chart, SheetOptions("standard")))
    with pytest.raises(FileError, match="nowhere"):
        write_pages(pages, tmp_path / "nowhere" / "a.pdf", chart.title)


# --- batches ---------------------------------------------------------------------------------------------------------


def sheets(chart: Chart, ending: str = ".svg") -> tuple[Wanted, ...]:
    return wanted_sheets(chart.title, ("standard", "blank"), ("C", "Bb"), SheetOptions(), ending)


def test_a_batch_writes_all_and_tells_how_far_it_is(chart: Chart, tmp_path: Path) -> None:
    told: list[int] = []
    files = write_sheets(chart, sheets(chart), tmp_path, told.append)
    assert told == [1, 2, 3, 4]
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(file.name for file in files) == [
        "Harbour Lamps - blank Bb.svg", "Harbour Lamps - blank.svg", "Harbour Lamps - standard Bb.svg",
        "Harbour Lamps - standard.svg",
    ]  # fmt: skip


def test_a_batch_that_is_stopped_leaves_nothing(chart: Chart, tmp_path: Path) -> None:
    (tmp_path / "Harbour Lamps - standard.svg").write_text("mine")
    told: list[int] = []
    with pytest.raises(Stopped):
        write_sheets(chart, sheets(chart), tmp_path, told.append, lambda: len(told) == 3)
    assert told == [1, 2, 3]
    assert [path.name for path in tmp_path.iterdir()] == ["Harbour Lamps - standard.svg"]
    assert (tmp_path / "Harbour Lamps - standard.svg").read_text() == "mine"


def test_a_batch_with_a_sheet_that_cannot_be_made_leaves_nothing(chart: Chart, tmp_path: Path) -> None:
    wrong = Wanted(SheetOptions("take", take="No such take"), "wrong.svg")
    with pytest.raises(Exception, match="No such take"):
        write_sheets(chart, (*sheets(chart)[:1], wrong), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_names_of_files_are_names_on_every_system() -> None:
    wanted = wanted_sheets('What? "A/B": <tide>', tuple(KINDS), tuple(PARTS), SheetOptions(), ".pdf")
    assert len({sheet.name for sheet in wanted}) == len(KINDS) * len(PARTS)
    assert not any(set(sheet.name) & set('\\/:*?"<>|') for sheet in wanted)


def test_pages_go_to_a_printer(chart: Chart, tmp_path: Path) -> None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    pages = pages_of(sheet_of(chart, SheetOptions("answers")))
    assert print_pages(pages, printer) == 2
    assert len(objects((tmp_path / "printed.pdf").read_bytes(), "Page")) == 2
    printer.setFromTo(2, 2)
    assert print_pages(pages, printer) == 1


# --- the command line ------------------------------------------------------------------------------------------------


def test_convert_needs_no_display(tmp_path: Path) -> None:
    bare = {name: value for name, value in os.environ.items()
            if name not in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")}  # fmt: skip
    done = subprocess.run([sys.executable, "-m", "app.main", "convert", str(HARBOUR), str(tmp_path / "a.pdf"), "--part",
                           "Bb", "--row", "Second evening"], cwd=ROOT, env=bare, capture_output=True, text=True,
                          timeout=60, check=False)  # fmt: skip
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(("words", "expected"), [
    ((), "Lower row: the take “Second evening”"),
    (("--row", "standard"), "E♭"),
    (("--row", "Second evening"), "Take: Second evening"),
    (("--set", "sheet=answers"), "Answer key"),
    (("--set", "sheet=blank", "--set", "melody=no"), "Write the chords on the lines."),
    (("--part", "F", "--set", "title=Quay"), "F instruments"),
    (("--set", "symbols=capitals", "--set", "paper=letter", "--set", "bars=8"), "MA"),
])  # fmt: skip
def test_convert_makes_each_sheet(words: tuple[str, ...], expected: str, tmp_path: Path) -> None:
    assert run_command(["convert", str(HARBOUR), str(tmp_path / "a.svg"), *words]) == 0
    text = "".join(path.read_text(encoding="utf-8") for path in sorted(tmp_path.glob("a*.svg")))
    assert f">{expected}" in text


def test_convert_says_what_a_sheet_lacks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plain.txt").write_text("key: C major\n\n| C | G7 |\n")
    words = ["convert", str(tmp_path / "plain.txt"), str(tmp_path / "a.pdf"), "--set", "sheet=answers"]
    assert run_command(words) == 1
    assert "needs a take" in capsys.readouterr().err
    assert not (tmp_path / "a.pdf").exists()
    with pytest.raises(SheetError):
        SheetOptions(paper="napkin")
