"""``changewright doctor``: what is here, what is missing, what to install."""

from __future__ import annotations

import argparse
import ctypes.util
import json
import os
import platform
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from app.cli import document
from app.player.link import player_command, process_options
from core.places import folder

PACKAGES = ("PySide6-Essentials", "music21", "mido", "python-rtmidi", "miniaudio", "midirenderer", "numpy", "verovio")

# System libraries a bare Debian or Ubuntu lacks: what the loader calls them, the package, and what needs it.
LIBRARIES = (
    ("GL", "libgl1", "Qt"), ("EGL", "libegl1", "Qt"), ("xkbcommon", "libxkbcommon0", "Qt"),
    ("fontconfig", "libfontconfig1", "Qt"), ("dbus-1", "libdbus-1-3", "Qt"), ("glib-2.0", "libglib2.0-0", "Qt"),
    ("asound", "libasound2", "MIDI ports"), ("xcb-cursor", "libxcb-cursor0", "a window under X11"),
    ("xcb-icccm", "libxcb-icccm4", "a window under X11"), ("xcb-image", "libxcb-image0", "a window under X11"),
    ("xcb-keysyms", "libxcb-keysyms1", "a window under X11"),
    ("xcb-render-util", "libxcb-render-util0", "a window under X11"),
    ("xcb-shape", "libxcb-shape0", "a window under X11"), ("xcb-xkb", "libxcb-xkb1", "a window under X11"),
    ("xkbcommon-x11", "libxkbcommon-x11-0", "a window under X11"),
)  # fmt: skip


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("doctor", help="what is here, what is missing, what to install")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Look, and print."""
    report = examine()
    if arguments.json:
        document.write(report)
    else:
        _print(report)
    return 0


def examine() -> document.Document:
    """Everything the program depends on. The sound is looked at in a process of its own, as it is used."""
    return {
        "changewright": _version("changewright"),
        "python": platform.python_version(),
        "system": platform.platform(),
        "packages": {name: _version(name) for name in PACKAGES},
        "player": _player(),
        "display": _display(),
        "folders": {"charts": str(folder("demo_charts")), "writable_here": os.access(".", os.W_OK)},
        "missing": _missing(),
    }


def _version(package: str) -> str | None:
    try:
        return version(package)
    except PackageNotFoundError:
        return None


def _player() -> document.Document:
    options = process_options()
    try:
        done = subprocess.run(
            player_command("--probe"), stdout=subprocess.PIPE, text=True, timeout=30, check=False, **options
        )
        return dict(json.loads(done.stdout))
    except (OSError, subprocess.TimeoutExpired, json.JSONDecodeError) as error:
        return {"error": f"The player process does not start: {error}."}


def _display() -> str | None:
    return os.environ.get("WAYLAND_DISPLAY") or os.environ.get("DISPLAY") or os.environ.get("QT_QPA_PLATFORM")


def _missing() -> list[document.Document]:
    missing = [{"what": name, "needed_for": "the program", "install": f"pip install {name}"}
               for name in PACKAGES if _version(name) is None]  # fmt: skip
    if sys.platform.startswith("linux"):
        missing += [{"what": package, "needed_for": need, "install": f"apt-get install {package}"}
                    for library, package, need in LIBRARIES if ctypes.util.find_library(library) is None]  # fmt: skip
    return missing


def _print(report: document.Document) -> None:
    print(f"Changewright {report['changewright'] or '(not installed)'}, Python {report['python']}, {report['system']}")
    for name, found in report["packages"].items():
        print(f"  {name:22} {found or 'missing'}")
    for name in ("audio", "midi", "soundfont"):
        print(f"  {name}: {report['player'].get(name, {}).get('sentence', 'unknown')}")
    for name, kind in (("ports", "MIDI out"), ("keyboards", "MIDI in")):
        for port in report["player"].get("midi", {}).get(name, ()):
            print(f"    {kind}: {port}")
    if "error" in report["player"]:
        print(f"  {report['player']['error']}")
    print(f"  display: {report['display'] or 'none; the commands work without one'}")
    if not report["missing"]:
        print("Nothing is missing.")
    for item in report["missing"]:
        print(f"missing: {item['what']}, needed for {item['needed_for']}: {item['install']}")
