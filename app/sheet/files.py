"""Sheets as files: PDF with its fonts inside, SVG and PNG, a page each. All or nothing."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPageLayout, QPageSize, QPainter, QPdfWriter

from app.sheet.drawing import PAPER, Page
from app.sheet.paint import paint_page, svg_of
from app.window.fonts import load_fonts
from core.errors import FileError
from core.files import ending_of, write_atomic, write_text_atomic

SHEET_ENDINGS = (".pdf", ".svg", ".png")
PDF_DPI = 1200
PNG_DPI = 200
POINTS_PER_INCH = 72.0


def make_ready() -> None:
    """A Qt application without a display, with our fonts; does nothing where there is one."""
    if QGuiApplication.instance() is None:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        _APPLICATION.append(QGuiApplication(["changewright"]))
        load_fonts()


_APPLICATION: list[QGuiApplication] = []
"""Kept, for Qt goes when its application goes."""


def write_pages(pages: tuple[Page, ...], target: str | os.PathLike[str], title: str) -> tuple[Path, ...]:
    """Write pages by the file's ending; returns the files.

    A PDF holds all pages. SVG and PNG hold one each: where there are more, ``tune.svg`` becomes ``tune-1.svg`` and so
    on. Raises FileError.
    """
    ending, path = ending_of(target), Path(target)
    if ending == ".pdf":
        write_atomic(path, lambda name: write_pdf(pages, name, title))
        return (path,)
    written = []
    for number, page in enumerate(pages, 1):
        place = path if len(pages) == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
        if ending == ".svg":
            write_text_atomic(place, svg_of(page))
        else:
            write_atomic(place, partial(_save, image_of(page, PNG_DPI), place))
        written.append(place)
    return tuple(written)


def write_pdf(pages: tuple[Page, ...], name: str, title: str) -> None:
    """Write a PDF under a name."""
    writer = QPdfWriter(name)
    writer.setResolution(PDF_DPI)
    writer.setTitle(title)
    writer.setCreator("Changewright")
    for number, page in enumerate(pages):
        size = QPageSize(
            QSizeF(page.width, page.height), QPageSize.Unit.Point, "", QPageSize.SizeMatchPolicy.ExactMatch
        )
        layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
        if number == 0:
            writer.setPageLayout(layout)
            painter = QPainter()
            if not painter.begin(writer):
                raise OSError(f"cannot write {name}")
        else:
            writer.setPageLayout(layout)
            writer.newPage()
        paint_page(painter, page, PDF_DPI / POINTS_PER_INCH)
    painter.end()
    del painter, writer  # closes the file
    check_whole(name)


def check_whole(name: str) -> None:
    """Raise OSError unless a PDF has its end: Qt does not tell when the disk was full."""
    if not Path(name).read_bytes().rstrip().endswith(b"%%EOF"):
        raise OSError("the PDF was cut off; the disk may be full")


def image_of(page: Page, dpi: float) -> QImage:
    """A page as pixels on white paper."""
    scale = dpi / POINTS_PER_INCH
    image = QImage(round(page.width * scale), round(page.height * scale), QImage.Format.Format_RGB32)
    image.fill(QColor(PAPER))
    image.setDotsPerMeterX(round(dpi / 0.0254))
    image.setDotsPerMeterY(round(dpi / 0.0254))
    painter = QPainter(image)
    paint_page(painter, page, scale)
    painter.end()
    return image


def _save(image: QImage, target: Path, name: str) -> None:
    if not image.save(name, "PNG"):  # type: ignore[call-overload]
        raise FileError(target, "the picture could not be written", "free space or choose another folder")
