"""Pointer and keys on the page: events in, the page's intents out. Put on the page after the first paint."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QHelpEvent, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QToolTip

from app.window.page.page_model import BarView
from app.window.page.page_view import PageView
from app.window.page.staff_painter import step_at

TYPING_STARTS = "ABCDEFGN%~("
ARROWS = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}
SYSTEM_STEPS = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1, Qt.Key.Key_PageDown: 2, Qt.Key.Key_PageUp: -2}
OPENING_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2)
FUNCTION_WORDS = {"T": "tonic", "S": "subdominant", "D": "dominant", "N": "no function of its own"}
WHEEL_ZOOM = 1.1


class PageHands(QObject):
    """Filters the events of a page and of its viewport."""

    def __init__(self, page: PageView) -> None:
        super().__init__(page)
        self._page = page
        page.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        page.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        page.installEventFilter(self)
        page.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if self._page.model is None:
            return False
        if watched is self._page:
            return isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and self._on_key(event)
        if isinstance(event, QWheelEvent):
            return self._on_wheel(event)
        if isinstance(event, QMouseEvent):
            return self._on_mouse(event)
        if isinstance(event, QHelpEvent):
            return self._on_help(event)
        return False

    # --- pointer ---------------------------------------------------------------------------------------------------

    def _on_mouse(self, event: QMouseEvent) -> bool:
        kind = event.type()
        if kind == QEvent.Type.MouseButtonPress and event.button() == Qt.MouseButton.LeftButton:
            return self._on_press(event)
        if kind == QEvent.Type.MouseMove and event.buttons() & Qt.MouseButton.LeftButton and not self._page.tune_mode:
            return self._on_drag(event)
        if kind == QEvent.Type.MouseButtonDblClick and not self._page.tune_mode:
            self._page.typing_started.emit(self._page.selection.row, "")
            return True
        return False

    def _on_press(self, event: QMouseEvent) -> bool:
        page, place = self._page, self._page.to_page(event.position())
        bar = page.geometry_now.bar_at(place.x(), place.y())
        if bar is None or page.model is None:
            return False
        page.setFocus(Qt.FocusReason.MouseFocusReason)
        system = page.geometry_now.system_of(bar.index)
        lanes, y = system.lanes, place.y() - system.top
        if page.tune_mode and y < (lanes.staff_bottom + lanes.standard) / 2 - 4:
            page.staff_clicked.emit(bar.index, bar.onset_at(place.x()), step_at(y, lanes.staff_top))
            return True
        extend = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        row = "standard" if y < lanes.seam - 6 or not page.model.has_take else "take"
        row = page.only_row or row
        moved = page.selection.moved_to(bar.index, len(page.model.bars), extend)
        page.selection_moved.emit(moved._replace(row=row))
        return True

    def _on_drag(self, event: QMouseEvent) -> bool:
        page, place = self._page, self._page.to_page(event.position())
        bar = page.geometry_now.nearest_bar(place.x(), place.y())
        if bar is not None and page.model is not None and bar.index != page.selection.head:
            page.selection_moved.emit(page.selection.moved_to(bar.index, len(page.model.bars), True))
        return True

    def _on_wheel(self, event: QWheelEvent) -> bool:
        if not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return False
        self._page.zoom_wished.emit(WHEEL_ZOOM if event.angleDelta().y() > 0 else 1 / WHEEL_ZOOM)
        return True

    def _on_help(self, event: QHelpEvent) -> bool:
        page, place = self._page, self._page.to_page(QPointF(event.pos()))
        bar = page.geometry_now.bar_at(place.x(), place.y())
        words = tip_of(page.model.bars[bar.index]) if bar and page.model else ""
        QToolTip.showText(event.globalPos(), words, page.viewport())
        return True

    # --- keys ------------------------------------------------------------------------------------------------------

    def _on_key(self, event: QKeyEvent) -> bool:
        page = self._page
        if page.tune_mode:
            event.accept()
            page.tune_key.emit(event)
            return event.isAccepted()
        modifiers, key = event.modifiers(), Qt.Key(event.key())
        extend = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        plain = not modifiers & ~Qt.KeyboardModifier.ShiftModifier
        if key in ARROWS and modifiers & Qt.KeyboardModifier.ControlModifier:
            page.chord_stepped.emit(ARROWS[key])
        elif plain and (target := self._target(key)) is not None:
            assert page.model is not None
            page.selection_moved.emit(page.selection.moved_to(target, len(page.model.bars), extend))
        elif plain and key in OPENING_KEYS:
            page.typing_started.emit("standard" if extend else page.selection.row, "")
        elif plain and event.text() and event.text().upper() in TYPING_STARTS:
            page.typing_started.emit(page.selection.row, event.text().upper())
        else:
            return False
        return True

    def _target(self, key: Qt.Key) -> int | None:
        page, head = self._page, self._page.selection.head
        assert page.model is not None
        if key in ARROWS:
            return head + ARROWS[key]
        if key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            return 0 if key == Qt.Key.Key_Home else len(page.model.bars) - 1
        if key not in SYSTEM_STEPS:
            return None
        systems = page.geometry_now.systems
        system = page.geometry_now.system_of(head)
        other = systems[max(0, min(len(systems) - 1, system.index + SYSTEM_STEPS[key]))]
        left = page.geometry_now.bar_box(head).x
        return min(other.bars, key=lambda bar: abs(bar.x - left)).index


def tip_of(bar: BarView) -> str:
    """What a bar says in full when the pointer rests on it."""
    lines = [f"Bar {bar.number}" + (", locked" if bar.locked else "")]
    for name, slots in (("Standard", bar.standard), ("Take", bar.take if bar.changed else ())):
        said = [
            f"{slot.parts.text} {slot.numeral} ({FUNCTION_WORDS[slot.function]})" for slot in slots if slot.function
        ]
        lines += [f"{name}: {', '.join(said)}"] if said else []
    return "\n".join(
        [*lines, *(words for _, words in bar.seams), *(f"“{note}”" for note in (*bar.notes, bar.remark) if note)]
    )
