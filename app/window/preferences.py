"""Preferences: one sheet made from the table of settings; what is changed holds at once."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.window.choice_words import plain_words
from app.window.dialogs import without_icons
from app.window.fonts import font
from app.window.settings import SETTINGS, Setting, Settings


def groups() -> dict[str, list[Setting]]:
    """The settings that stand in the sheet, by their group, in the order of the table."""
    found: dict[str, list[Setting]] = {}
    for setting in SETTINGS.values():
        if setting.words:
            found.setdefault(setting.group, []).append(setting)
    return found


class PreferencesDialog(QDialog):
    """A row for each setting with words: a tick for yes and no, a list for choices."""

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Preferences")
        self._settings = settings
        self.fields: dict[str, QCheckBox | QComboBox] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(24, 18, 24, 16)
        layout.setSpacing(6)
        for name, rows in groups().items():
            heading = QLabel(name)
            heading.setFont(font("serif", 17, "strong"))
            layout.addWidget(heading)
            form = QFormLayout()
            form.setContentsMargins(0, 0, 0, 8)
            form.setSpacing(8)
            for setting in rows:
                self._add(form, setting)
            layout.addLayout(form)
        box = without_icons(QDialogButtonBox(QDialogButtonBox.StandardButton.Close))
        box.rejected.connect(self.reject)
        self.as_new = QPushButton("As they were at first")
        self.as_new.setAutoDefault(False)
        self.as_new.clicked.connect(self._reset)
        box.addButton(self.as_new, QDialogButtonBox.ButtonRole.ResetRole)
        layout.addWidget(box)
        settings.changed.connect(self._on_changed)

    def _add(self, form: QFormLayout, setting: Setting) -> None:
        field: QCheckBox | QComboBox
        if isinstance(setting.default, bool):
            field = QCheckBox(setting.words)
            field.toggled.connect(partial(self._settings.set, setting.key))
            form.addRow(field)
        else:
            field = QComboBox()
            field.setMinimumWidth(250)
            for value in setting.choices:
                field.addItem(plain_words(setting.key, value), value)
            field.activated.connect(
                lambda _index, key=setting.key, box=field: self._settings.set(key, box.currentData())
            )
            form.addRow(setting.words, field)
        field.setFont(font("sans", 14))
        field.setAccessibleName(setting.words)
        self.fields[setting.key] = field
        self._show(setting.key)

    def _show(self, key: str) -> None:
        field, value = self.fields[key], self._settings.get(key)
        if isinstance(field, QCheckBox):
            field.setChecked(value)
        else:
            field.setCurrentIndex(field.findData(value))

    def _on_changed(self, key: str) -> None:
        if key in self.fields:
            self._show(key)

    def _reset(self) -> None:
        for key in self.fields:
            self._settings.set(key, SETTINGS[key].default)
