"""From one day to the next: the last tune, the take that was looked at and the bar; on the first day a tune of ours."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject

from app.window.desk import Desk
from app.window.settings import Settings
from core.places import folder

DEMO = "harbour_lamps.changes.json"


def last_path(settings: Settings) -> str | None:
    """The file to begin with where none is named: the last one, if it is still there and wanted."""
    recent = settings.get("recent")
    return recent[0] if settings.get("reopen") and recent and Path(recent[0]).is_file() else None


def demo_path(settings: Settings) -> str | None:
    """The tune of the first day, None on later ones."""
    place = folder("demo_charts") / DEMO
    return None if settings.get("started") or not place.is_file() else str(place)


class Session(QObject):
    """Keeps the place in the open file, and goes back to it when that file is opened again."""

    def __init__(self, desk: Desk, settings: Settings, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._settings = desk, settings
        desk.document.path_changed.connect(self._on_path)
        self._shown: Path | None = None

    def keep(self) -> None:
        """Remember where one is."""
        path = self._desk.document.path
        if path is not None:
            self._settings.set("last_place", (str(path.resolve()), self._desk.take_name or "",
                                              str(self._desk.selection.first)))  # fmt: skip

    def _on_path(self) -> None:
        path = self._desk.document.path
        if path == self._shown:
            return
        self._shown = path
        kept = self._settings.get("last_place")
        if path is None or len(kept) != 3 or kept[0] != str(path.resolve()):
            return
        if any(take.name == kept[1] for take in self._desk.chart.takes):
            self._desk.look_at(kept[1])
        if kept[2].isdecimal():
            self._desk.select(self._desk.selection.moved_to(int(kept[2]), len(self._desk.form.bars)))
