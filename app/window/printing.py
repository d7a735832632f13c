"""Pages to a printer. Loaded when someone prints."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QAbstractPrintDialog, QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QWidget

from app.sheet.drawing import Page
from app.sheet.paint import paint_page

POINTS_PER_INCH = 72.0


def ask_printer(parent: QWidget, title: str, pages: Sequence[Page]) -> QPrinter | None:
    """The printer the user chooses, set to the size of the pages, or None."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(title)
    _set_paper(printer, pages[0])
    dialog = QPrintDialog(printer, parent)
    dialog.setOption(QAbstractPrintDialog.PrintDialogOption.PrintPageRange, True)
    dialog.setMinMax(1, len(pages))
    return printer if dialog.exec() == QDialog.DialogCode.Accepted else None


def print_pages(pages: Sequence[Page], printer: QPrinter) -> int:
    """Print pages, or the range that was asked for; returns how many, 0 where the printer does not answer."""
    first, last = max(1, printer.fromPage()), printer.toPage() or len(pages)
    chosen = pages[first - 1 : last]
    printer.setFullPage(True)
    painter = QPainter()
    if not chosen or not painter.begin(printer):
        return 0
    for number, page in enumerate(chosen):
        if number:
            printer.newPage()
        paint_page(painter, page, printer.resolution() / POINTS_PER_INCH)
    painter.end()
    return len(chosen)


def _set_paper(printer: QPrinter, page: Page) -> None:
    size = QPageSize(QSizeF(page.width, page.height), QPageSize.Unit.Point)
    printer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)))
