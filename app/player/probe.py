"""What sound and MIDI there is on this machine, for the command line's doctor."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from app.player.device import list_devices, open_output
from app.player.midi_ports import list_ports
from core.errors import ChangewrightError
from core.sound.soundfont import check_soundfont, default_soundfont

PACKAGES = ("miniaudio", "midirenderer", "numpy", "python-rtmidi", "pretty_midi")


def probe(font: Path | None = None) -> dict[str, Any]:
    """One document: packages, audio, MIDI, SoundFont, each with a sentence. Never raises."""
    backend, devices, found = list_devices()
    output = open_output("default")
    info = output.info
    output.close()
    outs, ins, midi = list_ports()
    return {
        "packages": {name: _version(name) for name in PACKAGES},
        "audio": {
            "backend": info.backend if info.audible else backend,
            "devices": devices,
            "audible": info.audible,
            "buffer_ms": info.buffer_ms,
            "sentence": info.sentence if info.audible else found if not devices else info.sentence,
        },
        "midi": {"ports": outs, "keyboards": ins, "sentence": midi},
        "soundfont": _font(font or default_soundfont()),
    }


def _font(path: Path | None) -> dict[str, Any]:
    if path is None:
        return {"path": None, "sentence": "No SoundFont was found; install the package pretty_midi or choose one."}
    try:
        report = check_soundfont(path)
    except ChangewrightError as error:
        return {"path": str(path), "sentence": str(error)}
    return {"path": str(path), "name": report.name, "bytes": report.size, "layers": report.layers,
            "lacks": list(report.lacks), "sentence": report.sentence}  # fmt: skip


def _version(package: str) -> str | None:
    try:
        return version(package)
    except PackageNotFoundError:
        return None
