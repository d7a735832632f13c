"""Without a display that answers the program says so instead of dying inside Qt."""

from __future__ import annotations

import sys

import pytest

from app.display import X_LIBRARIES, display_problem
from app.main import main

LINUX = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="SKIPPED LOUDLY: displays are looked at on Linux only"
)


@LINUX
@pytest.mark.parametrize(
    ("display", "message"), [(None, "no display"), (":4077", "does not answer"), ("unix:4077.0", "does not answer")]
)
def test_a_display_that_is_not_there_is_said(
    display: str | None, message: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    if display is None:
        monkeypatch.delenv("DISPLAY", raising=False)
    else:
        monkeypatch.setenv("DISPLAY", display)
    assert main([]) == 1
    assert message in capsys.readouterr().err


@LINUX
def test_missing_libraries_are_named_with_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("QT_QPA_PLATFORM", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setenv("DISPLAY", "elsewhere:0")
    monkeypatch.setattr("app.display._loads", lambda library: library != "libxcb-cursor.so.0")
    assert "apt-get install libxcb-cursor0." in (display_problem() or "")
    assert "libxcb-shape0" in X_LIBRARIES.values()


def test_other_platforms_of_qt_are_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    monkeypatch.delenv("DISPLAY", raising=False)
    assert display_problem() is None
