"""A page of the technique book on screen: rule, what the tune forbids, examples to be seen and heard, sources."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.window.book_model import BookPage, ExamplePage
from app.window.example_view import ExampleView
from app.window.fonts import font
from app.window.key_button import KeyButton
from app.window.theme import Theme

HEAR = {"before": "▸ Hear before", "after": "▸ Hear after", "only": "▸ Hear it"}
STOP = "Stop"


class ExampleBlock(QWidget):
    """One example: its key, the picture, the reason, and what can be heard."""

    pressed = Signal(str)  # "before", "after" or "only"

    def __init__(self, theme: Theme, example: ExamplePage, mark: str) -> None:
        super().__init__()
        self.example = example
        self.view = ExampleView(theme, example.model)
        self.buttons: dict[str, KeyButton] = {}
        head = QHBoxLayout()
        head.addWidget(words_label(mark + example.heading, 14, "strong"), 1)
        for name in ("before", "after") if example.take else ("only",):
            self.buttons[name] = button = KeyButton(HEAR[name], pixels=13.5)
            button.setCheckable(True)
            button.clicked.connect(partial(self._press, name))
            head.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(5)
        layout.addLayout(head)
        layout.addWidget(self.view)
        layout.addWidget(words_label(example.why, 14))

    def _press(self, name: str, _checked: bool = False) -> None:
        self.pressed.emit(name)

    def sound(self, name: str) -> None:
        """Show which of the two is heard."""
        self.buttons[name].setChecked(True)
        self.buttons[name].setText(STOP)

    @property
    def sounds(self) -> bool:
        """Whether it was this one that was asked to be heard."""
        return any(button.isChecked() for button in self.buttons.values())

    def silence(self) -> None:
        """Nothing of it sounds any more."""
        self.view.set_playhead(None)
        for name, button in self.buttons.items():
            button.setChecked(False)
            button.setText(HEAR[name])


class BookPageView(QScrollArea):
    """Shows a :class:`app.window.book_model.BookPage`; emits what is to be heard."""

    heard = Signal(object, object)  # chart, and the take's name or None
    hushed = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.page: BookPage | None = None
        self.blocks: list[ExampleBlock] = []
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Technique")
        self.verticalScrollBar().setSingleStep(28)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        for block in self.blocks:
            block.view.set_theme(theme)

    def show_page(self, page: BookPage) -> None:
        """Show a technique; the same one in another key keeps its place."""
        kept = self.verticalScrollBar().value() if self.page and self.page.id == page.id else 0
        self.page, self.blocks = page, []
        body = QWidget()
        body.setObjectName("panel")
        layout = QVBoxLayout(body)
        layout.setContentsMargins(4, 0, 14, 12)
        layout.setSpacing(8)
        layout.addWidget(words_label(page.title, 25, "strong", "serif"))
        layout.addWidget(words_label(f"{page.family} · boldness {page.boldness} of 100", 13.5, quiet=True))
        layout.addWidget(words_label(page.rule, 16))
        self._add_part(layout, "What the tune forbids", (page.melody,))
        self._add_examples(layout, "Examples", page.examples, "")
        self._add_examples(layout, "Not here", page.refused, "✕  ")
        self._add_part(layout, "Sources", page.sources)
        layout.addStretch(1)
        self.setWidget(body)
        self.setAccessibleDescription(f"{page.title}. {page.rule} {page.melody}")
        self.verticalScrollBar().setValue(kept)

    def _add_part(self, layout: QVBoxLayout, heading: str, texts: tuple[str, ...]) -> None:
        said = [text for text in texts if text]
        if said:
            layout.addSpacing(8)
            layout.addWidget(words_label(heading, 17, "strong", "serif"))
        for text in said:
            layout.addWidget(words_label(text, 14))

    def _add_examples(self, layout: QVBoxLayout, heading: str, examples: tuple[ExamplePage, ...], mark: str) -> None:
        if not examples:
            return
        layout.addSpacing(8)
        layout.addWidget(words_label(heading, 17, "strong", "serif"))
        for example in examples:
            block = ExampleBlock(self._theme, example, mark)
            block.pressed.connect(partial(self._on_pressed, block))
            self.blocks.append(block)
            layout.addWidget(block)
            layout.addSpacing(8)

    def _on_pressed(self, block: ExampleBlock, name: str) -> None:
        sounded = block.buttons[name].text() == STOP
        self.silence()
        if sounded:
            self.hushed.emit()
            return
        block.sound(name)
        self.heard.emit(block.example.chart, block.example.take if name == "after" else None)

    def silence(self) -> None:
        """Nothing sounds any more."""
        for block in self.blocks:
            block.silence()

    def set_playhead(self, onset: float) -> None:
        """Show what sounds."""
        for block in self.blocks:
            if block.sounds:
                block.view.set_playhead(onset)


def words_label(text: str, pixels: float, weight: str = "regular", family: str = "sans", quiet: bool = False) -> QLabel:
    """Words that wrap and can be copied."""
    label = QLabel(text)
    label.setFont(font(family, pixels, weight))
    label.setProperty("quiet", quiet)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
