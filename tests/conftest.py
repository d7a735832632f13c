"""Before Qt loads: no display is needed, no setting of the user is touched, and an unexpected log warning fails."""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
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


@pytest.fixture(autouse=True)
def _no_log_warnings(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """A test that expects a warning in the log takes it out with ``caplog.clear()``."""
    yield
    loud = [record.getMessage() for record in caplog.get_records("call") if record.levelno >= logging.WARNING]
    assert not loud, f"unexpected log warnings: {loud}"
