"""The theme as a style sheet for Qt's own widgets. Everything that is a picture is painted, not styled."""

from __future__ import annotations

from string import Template

from PySide6.QtGui import QColor, QPalette

from app.window.theme import Theme, colours

_SHEET = Template("""
QMainWindow, QDialog, QWidget#room, QScrollArea, QWidget#panel { background: $desk; }
QWidget#foot { background: $foot; }
QLabel { color: $ink; background: transparent; }
QLabel[quiet="true"] { color: $label; }
QLabel[second="true"] { color: $second; }
QMenuBar { background: $desk; color: $ink; padding: 2px 18px 0 18px; }
QMenuBar::item { background: transparent; padding: 3px 9px; border-radius: 4px; }
QMenuBar::item:selected { background: $second_wash; color: $ink; }
QMenu { background: $card; color: $ink; border: 1px solid $edge; padding: 5px; }
QMenu::item { padding: 5px 26px 5px 22px; border-radius: 4px; }
QMenu::item:selected { background: $second_wash; color: $ink; }
QMenu::item:disabled { color: $pale; }
QMenu::separator { height: 1px; background: $edge; margin: 5px 8px; }
QToolTip { background: $card; color: $ink; border: 1px solid $edge; padding: 4px 6px; }
QPushButton { background: $card; color: $ink; border: 1px solid $edge; border-radius: 5px; padding: 5px 14px; }
QPushButton:hover { background: $second_wash; }
QPushButton:focus { border: 1px solid $second; }
QPushButton:default { border: 1px solid $second; color: $second; }
QPushButton:disabled { color: $pale; }
QPushButton[answer="open"], QPushButton[answer="right"], QPushButton[answer="wrong"] {
  text-align: left; padding: 5px 16px; }
QPushButton[answer="right"]:disabled { color: $second; border: 2px solid $second; background: $second_wash; }
QPushButton[answer="wrong"]:disabled { color: $clash; border: 1px solid $clash; }
QPushButton[flat_words="true"] { background: transparent; border: 1px solid transparent;
  padding: 3px 7px; color: $label; }
QPushButton[flat_words="true"]:hover { border: 1px solid $edge; }
QPushButton[flat_words="true"]:focus { border: 1px solid $second; }
QPushButton[flat_words="true"]:checked { color: $second; }
QPushButton[flat_words="true"]:disabled { color: $hair; }
QPushButton[flat_words="true"]::menu-indicator { image: none; width: 0; }
QPushButton#refused, QPushButton#how, QPushButton#other_reading { padding-left: 0; }
QPushButton[chooser="true"] { color: $ink; text-align: left; }
QPushButton[chooser_second="true"] { color: $second; }
QLineEdit, QPlainTextEdit {
  background: $card_chosen; color: $ink; border: 1px solid $edge; border-radius: 4px; padding: 3px 6px;
  selection-background-color: $second; selection-color: $on_second; }
QLineEdit:focus, QPlainTextEdit:focus { border: 1px solid $second; }
QComboBox QAbstractItemView { background: $card; color: $ink; border: 1px solid $edge;
  selection-background-color: $second_wash; selection-color: $ink; }
QSpinBox QLineEdit, QComboBox QLineEdit { background: transparent; border: none; padding: 0; }
QLineEdit#tempo { background: transparent; border: 1px solid transparent; padding: 1px 2px; }
QLineEdit#tempo:hover, QLineEdit#tempo:focus { border: 1px solid $edge; background: $card_chosen; }
QFrame#bar_editor { background: $card_chosen; border: 1.5px solid $second; border-radius: 6px; }
QFrame#bar_editor[fault="true"] { border: 1.5px solid $clash; }
QFrame#bar_editor QLineEdit { border: none; background: transparent; padding: 0 2px; color: $second; }
QFrame#bar_editor QLabel { color: $label; padding: 0 3px; }
QFrame#bar_editor[fault="true"] QLabel { color: $clash; }
QFrame#message { background: $card; border: 1px solid $edge; border-left: 4px solid $caution; border-radius: 5px; }
QFrame#sheet { background: $card; border: 1px solid $edge; border-radius: 6px; }
QFrame#tune_bar { background: $second_wash; border: 1px solid $edge; border-radius: 5px; }
QListView#proposals { background: transparent; border: none; outline: none; }
QListWidget#book { background: transparent; border: none; outline: none; color: $ink; }
QListWidget#book::item { padding: 3px 8px; border-radius: 4px; }
QListWidget#book::item:disabled { color: $ink; padding: 10px 4px 3px 2px; }
QListWidget#book::item:selected { background: $second_wash; color: $second; }
QListWidget#book::indicator { width: 13px; height: 13px; border: 1px solid $label; border-radius: 3px;
  background: $card_chosen; }
QListWidget#book::indicator:checked { border: 1px solid $second; background: $second; }
QListWidget#book::item:hover:!selected:!disabled { background: $card; }
QScrollBar:vertical { background: transparent; width: 11px; margin: 2px; }
QScrollBar::handle:vertical { background: $hair; border-radius: 3px; min-height: 34px; margin: 0 1px; }
QScrollBar::handle:vertical:hover { background: $label; }
QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page { background: none;
  height: 0; }
QScrollBar:horizontal { background: transparent; height: 11px; margin: 2px; }
QScrollBar::handle:horizontal { background: $hair; border-radius: 3px; min-width: 34px; margin: 1px 0; }
QScrollBar::handle:horizontal:hover { background: $label; }
QSplitter::handle { background: transparent; }
QSlider::groove:horizontal { height: 3px; background: $hair; border-radius: 1px; }
QSlider::sub-page:horizontal { height: 3px; background: $ink; border-radius: 1px; }
QSlider::handle:horizontal { width: 11px; height: 11px; margin: -4px 0; border-radius: 5px; background: $ink; }
QSlider::handle:horizontal:hover, QSlider::handle:horizontal:focus { background: $second; }
QSlider#boldness::groove:horizontal, QSlider#boldness::sub-page:horizontal { background: $hair; }
QSlider#boldness::handle:horizontal { width: 13px; height: 13px;
  margin: -5px 0; border-radius: 6px; background: $second; }
QProgressBar { background: $foot; border: 1px solid $edge; border-radius: 4px;
  height: 14px; text-align: center; color: $ink; }
QProgressBar::chunk { background: $second; border-radius: 3px; }
QCheckBox, QRadioButton { color: $ink; }
QCheckBox:disabled, QRadioButton:disabled { color: $pale; }
QCheckBox::indicator, QRadioButton::indicator { width: 13px; height: 13px; border: 1px solid $label;
  background: $card_chosen; }
QCheckBox::indicator { border-radius: 3px; }
QRadioButton::indicator { border-radius: 7px; }
QCheckBox::indicator:checked { border: 1px solid $second; background: $second; }
QRadioButton::indicator:checked { border: 1px solid $second; background: qradialgradient(cx: 0.5, cy: 0.5, radius: 0.5,
  fx: 0.5, fy: 0.5, stop: 0 $second, stop: 0.5 $second, stop: 0.58 $card_chosen); }
QCheckBox::indicator:disabled, QRadioButton::indicator:disabled { border: 1px solid $hair; }
QCheckBox::indicator:focus, QRadioButton::indicator:focus { border: 1px solid $second; }
""")


def style_sheet(theme: Theme) -> str:
    """The sheet in a theme's colours."""
    return _SHEET.substitute(colours(theme))


def palette(theme: Theme) -> QPalette:
    """The palette for what the sheet does not reach."""
    result = QPalette()
    role = QPalette.ColorRole
    for name, value in {
        role.Window: theme.desk, role.WindowText: theme.ink, role.Base: theme.card, role.AlternateBase: theme.desk,
        role.Text: theme.ink, role.Button: theme.card, role.ButtonText: theme.ink, role.BrightText: theme.clash,
        role.Highlight: theme.second, role.HighlightedText: theme.on_second, role.ToolTipBase: theme.card,
        role.ToolTipText: theme.ink, role.PlaceholderText: theme.label, role.Link: theme.second,
    }.items():  # fmt: skip
        result.setColor(name, QColor(value))
    for name in (role.Text, role.WindowText, role.ButtonText):
        result.setColor(QPalette.ColorGroup.Disabled, name, QColor(theme.pale))
    return result
