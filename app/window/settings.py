"""The window's settings: a typed table over QSettings."""

from __future__ import annotations

from typing import Any, NamedTuple

from PySide6.QtCore import QObject, QSettings, Signal

from core.symbol import STYLES

ORGANISATION, APPLICATION = "changewright", "changewright"
RECENT_COUNT = 8
VIEW_SWITCHES = ("show_staff", "show_numerals", "show_threads", "show_bonds", "show_names")
"""What may be shown on the page or not, in the order of :class:`app.window.page.system_painter.PageOptions`."""


class Setting(NamedTuple):
    """A key, what it is when never set, and (where there are few) the values it may have.

    One with ``words`` stands in the preferences, in its ``group``; its choices are named in ``choice_words.py``.
    """

    key: str
    default: Any
    choices: tuple[Any, ...] = ()
    words: str = ""
    group: str = ""


SETTINGS = {
    setting.key: setting
    for setting in (
        Setting("theme", "system", ("system", "light", "dark"), words="Theme", group="The page"),
        Setting("zoom", 1.0),
        Setting("chord_style", "plain", tuple(STYLES), words="Chord symbols", group="The page"),
        Setting("show_staff", True, words="Show the tune", group="The page"),
        Setting("show_numerals", False, words="Show numerals", group="The page"),
        Setting("show_threads", True, words="Show guide tones", group="The page"),
        Setting("show_bonds", True, words="Show resolutions: brackets under ii–V, curves to targets", group="The page"),
        Setting("show_names", False, words="Show the names of the notes", group="The page"),
        Setting("rows", "both", ("both", "standard", "take"), words="Rows", group="The page"),
        Setting("bars_per_line", 0, (0, 2, 3, 4, 5, 6, 8), words="Bars in a line", group="The page"),
        Setting("window_size", ()),
        Setting("maximized", False),
        Setting("boldness", 0.3),
        Setting("whole_boldness", 0.5),
        Setting("whole_density", 2, (1, 2, 4)),
        Setting("whole_count", 3, (1, 2, 3, 4, 5, 6)),
        Setting("count_in", True, words="Count in before playing", group="Hearing"),
        Setting("advice_seen", False),
        Setting("level_piano", 0.8),
        Setting("level_bass", 0.8),
        Setting("level_drums", 0.7),
        Setting("level_tune", 0.8),
        Setting("player", "C", ("C", "Bb", "Eb", "F")),
        Setting("voicing", "rootless"),
        Setting("click", "off", ("off", "backbeat", "beats")),
        Setting("at_bar", False),
        Setting("drop_on", 4),
        Setting("drop_off", 4),
        Setting("ramp_start", 60),
        Setting("ramp_step", 5),
        Setting("ramp_passes", 2),
        Setting("ramp_target", 100),
        Setting("sheet_kinds", ("standard",)),
        Setting("sheet_parts", ("C",)),
        Setting("paper", "A4", ("A4", "letter"), words="Paper", group="Sheets and files"),
        Setting("ear_work", "row", ("row", "technique", "dominant", "stages", "sing")),
        Setting("only_taught", False, words="Propose and drill only what was taught", group="Class"),
        Setting("hands_instrument", "piano", ("piano", "guitar")),
        Setting("hands_piano", "rootless"),
        Setting("hands_guitar", "grips"),
        Setting("hands_tune", "below", ("below", "top", "off")),
        Setting("hands_tuning", "standard"),
        Setting("hands_bass", True),
        Setting("hands_labels", "degrees", ("degrees", "notes")),
        Setting("export_kind", ".musicxml", (".musicxml", ".mxl", ".abc", ".mid", ".wav")),
        Setting("font", ""),
        Setting("midi_out", ""),
        Setting("midi_in", ""),
        Setting("midi_clock", False),
        Setting("midi_sound", True),
        Setting("midi_channels", ()),
        Setting("midi_programs", ()),
        Setting("reduced_motion", False, words="Move the playhead beat by beat, not smoothly", group="Hearing"),
        Setting("reopen", True, words="Begin with the tune that was open last", group="Sheets and files"),
        Setting("started", False),
        Setting("last_place", ()),
        Setting("keys", ()),
        Setting("recent", ()),
        Setting("panel_width", 0),
    )
}


class Settings(QObject):
    """Reads and writes the table; a stored value of the wrong kind counts as never set."""

    changed = Signal(str)

    def __init__(self, store: QSettings | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = store or QSettings(ORGANISATION, APPLICATION)

    def get(self, key: str) -> Any:
        """The value of a setting; raises KeyError for a key that is not in the table."""
        setting = SETTINGS[key]
        stored = self._store.value(key)
        if stored is None:
            return setting.default
        value = _cast(stored, setting.default)
        return setting.default if value is None or (setting.choices and value not in setting.choices) else value

    def set(self, key: str, value: Any) -> None:
        """Store a value."""
        setting = SETTINGS[key]
        self._store.setValue(key, list(value) if isinstance(setting.default, tuple) else value)
        self.changed.emit(key)

    def add_recent(self, path: str) -> None:
        """Put a file in front of the recent ones."""
        others = [other for other in self.get("recent") if other != path]
        self.set("recent", (path, *others)[:RECENT_COUNT])


def _cast(stored: Any, default: Any) -> Any:
    """A stored value (INI files hold text) as the kind of the default, or None."""
    if isinstance(default, bool):
        return {"true": True, "false": False, True: True, False: False}.get(stored)
    if isinstance(default, tuple):
        return tuple(str(item) for item in stored) if isinstance(stored, list | tuple) else (str(stored),)
    try:
        return type(default)(stored)
    except (TypeError, ValueError):
        return None
