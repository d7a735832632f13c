"""Actions, menus and shortcuts, made from the table; each is told here what it does."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu

from app.window.actions import ACTIONS, MENUS, ActionSpec, shown_keys
from app.window.choice_words import CHOICE_WORDS
from app.window.practice_control import part_handlers
from app.window.practice_model import PracticeState
from app.window.settings import SETTINGS, VIEW_SWITCHES
from app.window.tune_hint import TuneHint
from core.sound.practice import PARTS_OF_BAND

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

ZOOM_STEP = 1.12


class Menus:
    """The window's actions by id."""

    def __init__(self, window: MainWindow) -> None:
        self._window = window
        self.actions: dict[str, QAction] = {}
        self.hint = TuneHint(window.page)
        self._build()
        self._connect()
        for key in ("chord_style", "theme", "rows", "bars_per_line"):
            self._choice(key)
        self._show_recent()
        for identifier in ("new_take", "copy_take", "rename_take", "remove_take"):
            window.header.add_tool("take", self.actions[identifier])
        for identifier in ("add_reference", "rename_reference", "remove_reference"):
            window.header.add_tool("reference", self.actions[identifier])
        window.header.show_chart(window.desk.chart, window.desk.take_name)

    def _build(self) -> None:
        bar = self._window.menuBar()
        menus = {name: bar.addMenu(name) for name in MENUS}
        for item in ACTIONS:
            if item.menu and item.text == "-":
                menus[item.menu].addSeparator()
            elif item.menu:
                action = self._make(item)
                menus[item.menu].addAction(action)
                self.actions[item.id] = action

    def _make(self, item: ActionSpec) -> QAction:
        action = QAction(item.text + (f"\t{item.shown}" if item.shown else ""), self._window)
        action.setShortcuts([QKeySequence(key) for key in item.keys])
        action.setCheckable(item.checkable)
        action.setToolTip(item.help or item.text.replace("&", ""))
        action.setStatusTip(shown_keys(item))
        action.setMenuRole(QAction.MenuRole.QuitRole if item.id == "quit" else QAction.MenuRole.NoRole)
        return action

    # --- what each does --------------------------------------------------------------------------------------------

    def _handlers(self) -> dict[str, Callable[..., object]]:
        w = self._window
        return {
            "new": w.files.new, "open": w.files.ask_open, "save": w.files.save, "save_as": w.files.save_as,
            "export": w.exports.open, "sheets": w.sheets.open, "quit": w.close, "details": w.files.details,
            "import_report": w.files.show_report, "paste": w.files.paste,
            "undo": w.document.stack.undo, "redo": w.document.stack.redo,
            "edit_bar": lambda: w.bars.type_chords(w.desk.selection.row, ""),
            "edit_standard": lambda: w.bars.type_chords("standard", ""), "edit_tune_text": w.bars.type_tune,
            "select_all": w.bars.select_all, "lock": w.bars.lock, "restore": w.bars.restore,
            "take_proposal": w.proposals.take, "hear": w.proposals.hear, "refused": w.panel.toggle_refused,
            "why": w.panel.toggle_why,
            "new_take": w.bars.new_take, "copy_take": w.bars.copy_take, "rename_take": w.bars.rename_take,
            "remove_take": w.bars.remove_take, "next_take": w.bars.next_take,
            "put_played": w.played.put, "next_name": w.played.next_name,
            "words": w.words.begin, "how": w.explanation.toggle,
            "whole_takes": w.whole.open, "compare": w.compare.open,
            "add_reference": w.references.add, "rename_reference": w.references.rename,
            "remove_reference": w.references.remove,
            "own_tempo": lambda: w.practice.set_tempo(None), "keep_tempo": w.practice.keep_tempo,
            "both_ways": w.play.both_ways, "practice": w.practice.toggle_sheet, "ear": w.ear.open,
            "accompany": w.practice.accompany,
            "preferences": self._show_preferences, "tour": w.tour.begin,
            "history": w.commands.show_history, "find_command": w.commands.find,
            "copy_bars": w.commands.copy_bars, "paste_bars": w.commands.paste_bars,
            "present": w.lesson.open, "prepare": w.prepare.open, "add_step": w.prepare.add_step,
            "bar_note": w.prepare.note, "another_key": w.bars.another_key,
            "play": w.play.toggle, "play_here": w.play.play_here, "side": w.play.flip_side,
            "faster": lambda: w.play.step_tempo(1), "slower": lambda: w.play.step_tempo(-1),
            "output": w.sound.open, "panic": w.sound.panic, "zoom_in": lambda: w.zoom(ZOOM_STEP),
            "zoom_out": lambda: w.zoom(1 / ZOOM_STEP), "zoom_reset": lambda: w.zoom(None),
            "focus_page": lambda: w.page.setFocus(Qt.FocusReason.ShortcutFocusReason),
            "next_finding": w.findings.next, "map": w.map.open, "book": w.book.open,
            "hands": w.hands.open, "open_line": w.line.ask_open, "tune_line": w.line.open_tune,
            "practise_lines": w.line.suggest,
            "about": lambda: w.book.open(w.panel.technique_in_hand()),
            "focus_proposals": w.panel.focus_list, "keyboard": self._show_keyboard,
        }  # fmt: skip

    def _show_keyboard(self) -> None:
        from app.window.dialogs import KeyboardDialog

        KeyboardDialog(self._window, self._window.commands.changes).open()

    def _connect(self) -> None:
        for identifier, handler in self._handlers().items():
            self.actions[identifier].triggered.connect(lambda _checked=False, do=handler: do())
        w = self._window
        self.actions["tune_mode"].toggled.connect(w.tune.start)
        self.actions["record"].toggled.connect(w.played.record)
        w.played.recording_changed.connect(partial(self.set_checked, "record"))
        self.actions["loop"].toggled.connect(w.play.set_loop)
        self.actions["count_in"].toggled.connect(w.play.toggle_count_in)
        self.set_checked("count_in", w.settings.get("count_in"))
        w.play.loop_changed.connect(partial(self.set_checked, "loop"))
        w.transport.count_in_pressed.connect(partial(self.set_checked, "count_in"))
        self._connect_practice()
        for key in (*VIEW_SWITCHES, "only_taught"):
            self.set_checked(key, w.settings.get(key))
            self.actions[key].toggled.connect(partial(w.settings.set, key))
        self._connect_undo()
        w.files.recent_changed.connect(self._show_recent)
        w.page.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        for identifier in (
            "edit_bar",
            "edit_standard",
            "take_proposal",
            "hear",
            "how",
            "words",
            "about",
            "lock",
            "restore",
            "play_here",
            "loop",
        ):
            w.page.addAction(self.actions[identifier])

    def _connect_practice(self) -> None:
        practice = self._window.practice
        for name in ("ramp", "drop", "at_bar"):
            self.actions[name].toggled.connect(partial(practice.toggle, name))
        self.actions["click"].toggled.connect(practice.set_click)
        for name, handler in part_handlers(practice).items():
            self.actions[name].toggled.connect(handler)
        practice.changed.connect(self._show_practice)
        self._show_practice(practice.state)

    def _show_practice(self, state: PracticeState) -> None:
        on = {"ramp": state.ramp, "drop": state.drop, "at_bar": state.at_bar, "click": state.click != "off"}
        for part in PARTS_OF_BAND:
            on |= {f"mute_{part}": part in state.muted, f"solo_{part}": part in state.soloed}
        for name, checked in on.items():
            self.set_checked(name, checked)

    def _connect_undo(self) -> None:
        stack = self._window.document.stack
        for name, words in (("undo", "&Undo"), ("redo", "&Redo")):
            action = self.actions[name]
            action.setEnabled(False)
            getattr(stack, f"can{name.capitalize()}Changed").connect(action.setEnabled)
            text_changed = getattr(stack, f"{name}TextChanged")
            text_changed.connect(lambda text, one=action, start=words: one.setText(f"{start} {text}".rstrip()))

    def set_checked(self, identifier: str, on: bool) -> None:
        """Show a switch; what it does follows."""
        self.actions[identifier].setChecked(on)

    def show_setting(self, key: str) -> None:
        """A setting was changed somewhere: its switch or its choice follows."""
        action, value = self.actions.get(key), self._window.settings.get(key)
        if action is None:
            return
        if action.isCheckable() and isinstance(value, bool):
            action.setChecked(value)
        for choice in action.menu().actions() if action.menu() is not None else ():  # type: ignore[attr-defined]
            choice.setChecked(choice.data() == value)

    def _show_preferences(self) -> None:
        from app.window.preferences import PreferencesDialog

        PreferencesDialog(self._window.settings, self._window).open()

    def show_hint(self, words: str) -> None:
        """A line over the page while the tune is written; "" takes it away."""
        self.hint.say(words)

    # --- sub-menus -------------------------------------------------------------------------------------------------

    def _choice(self, key: str) -> None:
        menu, group = QMenu(self._window), QActionGroup(self._window)
        for value in SETTINGS[key].choices:
            action = menu.addAction(CHOICE_WORDS[key][value])
            action.setData(value)
            action.setCheckable(True)
            action.setChecked(self._window.settings.get(key) == value)
            action.triggered.connect(lambda _checked=False, chosen=value: self._window.settings.set(key, chosen))
            group.addAction(action)
        self.actions[key].setMenu(menu)

    def _show_recent(self) -> None:
        menu = QMenu(self._window)
        recent = self._window.settings.get("recent")
        for place, name in enumerate(recent, 1):
            action = menu.addAction(f"&{place}  {Path(name).name}")
            action.setToolTip(name)
            action.triggered.connect(lambda _checked=False, path=name: self._window.files.open(path))
        self.actions["recent"].setMenu(menu)
        self.actions["recent"].setEnabled(bool(recent))
