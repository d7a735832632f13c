"""The folder of this program on this machine, beside its settings: what is learned is kept here, and nowhere else."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QStandardPaths

from app.window.settings import APPLICATION


def own_folder() -> Path:
    """The folder; it may not exist yet."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericConfigLocation)
    return Path(place) / APPLICATION
