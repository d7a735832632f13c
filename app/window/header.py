"""Above the page: the title, key, metre, feel and tempo in words, and which row and take are looked at."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QSizePolicy, QWidget

from app.window.fonts import elided, font
from app.window.key_button import KeyButton
from core.chart import Chart
from core.pitch import pretty_name

MAX_TITLE = 460


class Header(QWidget):
    """Shows the chart's head; emits which row and take are wanted."""

    details_wanted = Signal()
    reference_chosen = Signal(str)
    take_chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = KeyButton()
        self.title.setProperty("chooser", True)
        self.title.setFont(font("serif", 28, "strong"))
        self.title.setToolTip("Tune details (Ctrl+I)")
        self.title.clicked.connect(self.details_wanted)
        self.words = _label("", 15)
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.reference, self.take = _chooser("Standard row", "chooser"), _chooser("Take", "chooser_second")
        self._menus = {button: QMenu(button) for button in (self.reference, self.take)}
        for button, menu in self._menus.items():
            button.setMenu(menu)
        self._tools: list[tuple[str, QAction]] = []
        layout = QHBoxLayout(self)
        layout.setContentsMargins(26, 4, 34, 6)
        layout.setSpacing(4)
        layout.addWidget(self.title)
        layout.addWidget(self.words, 1)
        for words, button in (("Standard", self.reference), ("Take", self.take)):
            layout.addSpacing(14)
            layout.addWidget(_label(words, 14))
            layout.addWidget(button)

    def show_chart(self, chart: Chart, take_name: str | None) -> None:
        """Show a chart's head."""
        self.title.setText(elided(chart.title, MAX_TITLE, "serif", 28, "strong").replace("&", "&&"))
        self.title.setAccessibleName(f"Title: {chart.title}")
        self.words.setText(head_words(chart))
        self.words.setToolTip(head_words(chart))
        names = tuple(row.name for row in chart.references)
        shown = "as printed" if chart.reference == "standard" else chart.reference
        self._fill(self.reference, names, chart.reference, shown, self.reference_chosen)
        takes = tuple(take.name for take in chart.takes)
        self._fill(self.take, takes, take_name or "", take_name or "none", self.take_chosen)

    def _fill(self, button: KeyButton, names: tuple[str, ...], chosen: str, shown: str, told: object) -> None:
        button.setText(f"{_short(shown)} ▾".replace("&", "&&"))
        menu = self._menus[button]
        menu.clear()
        for name in names:
            action = menu.addAction(name.replace("&", "&&"))
            action.setCheckable(True)
            action.setChecked(name == chosen)
            action.triggered.connect(lambda _checked=False, wanted=name: told.emit(wanted))  # type: ignore[attr-defined]
        menu.addSeparator()
        for text, tool in self._tools:
            if text == ("take" if button is self.take else "reference"):
                menu.addAction(tool)

    def add_tool(self, chooser: str, action: QAction) -> None:
        """Put a command at the foot of a chooser: "take" or "reference"."""
        self._tools.append((chooser, action))


def head_words(chart: Chart) -> str:
    """ "E♭ major · 4/4 · medium swing, 132"."""
    key = f"{pretty_name(chart.key.tonic)} {chart.key.mode}"
    return f"{key} · {chart.meter} · {chart.feel}, {chart.tempo}"


def _short(name: str) -> str:
    return name if len(name) <= 24 else name[:23] + "…"


def _label(text: str, pixels: float) -> QLabel:
    label = QLabel(text)
    label.setFont(font("sans", pixels))
    label.setProperty("quiet", True)
    return label


def _chooser(name: str, role: str) -> KeyButton:
    button = KeyButton(pixels=15, weight="strong")
    button.setProperty(role, True)
    button.setAccessibleName(name)
    return button
