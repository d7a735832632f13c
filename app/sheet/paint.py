"""Pages drawn with Qt: on an image, in a PDF, on a printer, on screen; and as SVG."""

from __future__ import annotations

from functools import lru_cache
from html import escape

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

from app.sheet.drawing import PAPER, Frame, Item, Page, Rule, Shape, Sign, Words
from app.sheet.type import PIXELS, width
from app.window.fonts import font
from app.window.music_font import outline
from core.sheet.marks import Outline


def paint_page(painter: QPainter, page: Page, scale: float) -> None:
    """Draw a page from the painter's origin; ``scale`` is the painter's units in a point."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
    painter.scale(scale, scale)
    for item in page.items:
        _paint(painter, item)
    painter.restore()


def _paint(painter: QPainter, item: Item) -> None:
    if isinstance(item, Words):
        painter.save()
        painter.translate(item.x, item.y)
        painter.scale(1 / PIXELS, 1 / PIXELS)
        painter.setPen(_pen(item.ink, 1.0))
        painter.setFont(font(item.family, round(item.size * PIXELS), item.weight, item.italic))
        painter.drawText(QPointF(0.0, 0.0), item.text)
        painter.restore()
    elif isinstance(item, Rule):
        painter.setPen(_pen(item.ink, item.width, item.dashes))
        painter.drawLine(QPointF(item.x1, item.y1), QPointF(item.x2, item.y2))
    elif isinstance(item, Frame):
        if item.ground:
            painter.fillPath(path_of(item), QBrush(QColor(item.ground)))
        if item.width:
            painter.strokePath(path_of(item), _pen(item.ink, item.width))
    else:
        painter.fillPath(path_of(item), QBrush(QColor(item.ink)))


@lru_cache(maxsize=256)
def _pen(ink: str, wide: float, dashes: tuple[float, ...] = ()) -> QPen:
    pen = QPen(QColor(ink), wide)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dashes:
        pen.setDashPattern(list(dashes))
    return pen


def path_of(item: Sign | Shape | Frame) -> QPainterPath:
    """The outline of a sign, a shape or a frame, in place."""
    if isinstance(item, Shape):
        return _shape(item.outline)
    if isinstance(item, Sign):
        return outline(item.code, item.space).translated(item.x, item.y)
    path = QPainterPath()
    path.addRoundedRect(QRectF(item.x, item.y, item.wide, item.tall), item.radius, item.radius)
    return path


def _shape(shape: Outline) -> QPainterPath:
    path = QPainterPath()
    for command, points in shape.path:
        if command == "M":
            path.moveTo(*points[0])
        elif command == "L":
            path.lineTo(*points[0])
        elif command == "C":
            path.cubicTo(*(value for point in points for value in point))
        else:
            path.closeSubpath()
    return path


# --- SVG -------------------------------------------------------------------------------------------------------------


def svg_of(page: Page) -> str:
    """A page as SVG 1.1 that looks the same everywhere: type as outlines, and over it the words themselves, unseen, so
    that they can be found, selected and read aloud.
    """
    body = "\n".join(_svg(item) for item in page.items)
    return (f'<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" version="1.1" '
            f'width="{page.width:g}pt" height="{page.height:g}pt" viewBox="0 0 {page.width:g} {page.height:g}">\n'
            f'<rect width="100%" height="100%" fill="{PAPER}"/>\n{body}\n</svg>\n')  # fmt: skip


def _svg(item: Item) -> str:
    if isinstance(item, Rule):
        dashes = f' stroke-dasharray="{" ".join(f"{d * item.width:.2f}" for d in item.dashes)}"' if item.dashes else ""
        return (f'<path d="M{item.x1:.2f} {item.y1:.2f}L{item.x2:.2f} {item.y2:.2f}" stroke="{item.ink}" '
                f'stroke-width="{item.width:.3f}"{dashes}/>')  # fmt: skip
    if isinstance(item, Words):
        return _svg_words(item)
    data = path_data(path_of(item))
    if not isinstance(item, Frame):
        return f'<path d="{data}" fill="{item.ink}"/>'
    stroke = f' stroke="{item.ink}" stroke-width="{item.width:.2f}"' if item.width else ""
    return f'<path d="{data}" fill="{item.ground or "none"}"{stroke}/>'


def _svg_words(item: Words) -> str:
    path = QPainterPath()
    path.addText(QPointF(0, 0), font(item.family, round(item.size * PIXELS), item.weight, item.italic), item.text)
    wide = width(item.text, item.size, item.family, item.weight, item.italic)
    scale = 1 / PIXELS
    return (f'<path d="{path_data(path, 0)}" fill="{item.ink}" '
            f'transform="translate({item.x:.2f} {item.y:.2f}) scale({scale})"/>'
            f'<text x="{item.x:.2f}" y="{item.y:.2f}" font-size="{item.size:.2f}" textLength="{wide:.2f}" '
            f'lengthAdjust="spacingAndGlyphs" fill-opacity="0">{escape(item.text)}</text>')  # fmt: skip


def path_data(path: QPainterPath, places: int = 2) -> str:
    """A path as SVG path data."""
    parts: list[str] = []
    index, count = 0, path.elementCount()
    while index < count:
        element = path.elementAt(index)
        if element.isMoveTo() or element.isLineTo():
            parts.append(f"{'M' if element.isMoveTo() else 'L'}{element.x:.{places}f} {element.y:.{places}f}")
            index += 1
        else:
            points = [path.elementAt(index + step) for step in range(3)]
            parts.append("C" + " ".join(f"{point.x:.{places}f} {point.y:.{places}f}" for point in points))
            index += 3
    return "".join(parts)
