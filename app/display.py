"""Whether a window can be opened here. Where it cannot, Qt ends the process with a core dump; a sentence is kinder."""

from __future__ import annotations

import ctypes
import os
import re
import socket
import sys

X_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0", "libxcb-icccm.so.4": "libxcb-icccm4", "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1", "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0", "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}  # fmt: skip
"""What Qt loads to open a window under X11, and the Debian package that brings it."""


def display_problem() -> str | None:
    """One sentence when no window can be opened, else None. Looked at under Linux only."""
    platform = os.environ.get("QT_QPA_PLATFORM", "")
    if not sys.platform.startswith("linux") or (platform and not platform.startswith("xcb")):
        return None
    if os.environ.get("WAYLAND_DISPLAY") and not platform:
        return None
    display = os.environ.get("DISPLAY")
    if not display:
        return "There is no display to open a window on; the commands work without one: changewright --help."
    local = re.fullmatch(r"(?:unix)?:(\d+)(?:\.\d+)?", display)
    if local and not _answers(f"/tmp/.X11-unix/X{local[1]}"):
        return f"The display {display} does not answer; start it, or use the commands: changewright --help."
    missing = [package for library, package in X_LIBRARIES.items() if not _loads(library)]
    if missing:
        return f"System packages for a window are missing; install them: apt-get install {' '.join(missing)}."
    return None


def _answers(path: str) -> bool:
    for address in (path, "\0" + path):  # a file, or Linux's abstract name of it
        with socket.socket(socket.AF_UNIX) as connection:
            try:
                connection.connect(address)
            except OSError:
                continue
            return True
    return False


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
