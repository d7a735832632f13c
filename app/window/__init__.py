"""The window. Importing this package loads no Qt; :func:`run_window` does."""

from __future__ import annotations


def run_window(path: str | None) -> int:
    """Open the window, with a file where one is given; returns when it is closed. 0 is good, 1 a missing display."""
    from app.window.start import run

    return run(path)
