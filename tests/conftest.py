"""Before Qt loads: no display is needed, and no setting of the user is read or written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(autouse=True)
def _own_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Each test has a settings folder of its own."""
    folder = tmp_path_factory.mktemp("settings")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder))
    monkeypatch.setenv("APPDATA", str(folder))
    return folder
