"""What is remembered of SoundFont and MIDI ports, and the words for it. No Qt."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from core.timeline import PARTS

BAND = ("piano", "bass", "drums", "tune")
"""The parts that have a channel of their own to choose; the click goes with the drums."""
OWN_FONT = "The SoundFont that comes with the program"
NO_OUT, NO_IN = "None", "None"
AWAY = "{} (not connected)"


@dataclass(frozen=True, slots=True)
class MidiChoice:
    """Ports by name ("" for none), channels 0..15 and programs 0..127 of parts that are not the band's own."""

    out: str = ""
    keyboard: str = ""
    channels: Mapping[str, int] = field(default_factory=dict)
    programs: Mapping[str, int] = field(default_factory=dict)
    clock: bool = False

    def channel_of(self, part: str) -> int:
        """Where a part plays, from 0."""
        return self.channels.get(part, PARTS[part].channel)

    def sent(self) -> tuple[dict[str, int], dict[str, int], bool]:
        """As the player wants it: the click goes where the drums go."""
        channels = dict(self.channels)
        if "drums" in channels:
            channels["click"] = channels["drums"]
        return channels, dict(self.programs), self.clock


def read_numbers(stored: Iterable[str], limit: int) -> Mapping[str, int]:
    """``("piano=4", "bass=2")`` as numbers by part; what is not one is left out."""
    found = {}
    for text in stored:
        part, _, number = text.partition("=")
        if part in BAND and number.isdigit() and int(number) <= limit:
            found[part] = int(number)
    return MappingProxyType(found)


def written_numbers(numbers: Mapping[str, int]) -> tuple[str, ...]:
    """The inverse of ``read_numbers``."""
    return tuple(f"{part}={number}" for part, number in sorted(numbers.items()))


def port_items(ports: Iterable[str], wanted: str, none: str) -> list[tuple[str, str]]:
    """Words and names of a list of ports: none first, and one that is wanted but not connected last."""
    names = list(ports)
    items = [(none, ""), *((name, name) for name in names)]
    return items if not wanted or wanted in names else [*items, (AWAY.format(wanted), wanted)]


def font_words(font: str) -> str:
    """What is played on."""
    return Path(font).name if font else OWN_FONT
