"""An application without a display, with the type of sheets."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from app.window.fonts import load_fonts


@pytest.fixture(scope="session", autouse=True)
def _fonts(qapp: QApplication) -> None:
    load_fonts()
