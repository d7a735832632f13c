"""The mixing desk: levels, mutes, pans, the crossing between two sides, the master. Every gain moves smoothly."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from core.sound.placement import BUS_SIDES, NAMES
from core.sound.voices import Floats, Ramp
from core.timeline import DEFAULT_MASTER_LEVEL, HEARD_SIDES, PARTS, NoteEvent, Side, TimelineError

SWITCH_FRAMES = 480
"""Standard and take cross over in 10 ms along straight lines: what is on both sides stays as loud as it was."""
LEVEL_FRAMES = 960


class Desk:
    """Gains of five parts and two sides. A bus is a part on a side (``placement.bus_of``)."""

    def __init__(self) -> None:
        self.side: Side = "standard"
        self._levels = {name: part.level for name, part in PARTS.items()}
        self._muted: frozenset[str] = frozenset()
        self._parts = {name: Ramp(part.level) for name, part in PARTS.items()}
        self._sides = {"standard": Ramp(1.0), "take": Ramp(0.0)}
        self._master = Ramp(DEFAULT_MASTER_LEVEL)
        self._pans = {name: _pan(part.pan) for name, part in PARTS.items()}

    def set_side(self, side: Side) -> None:
        """Cross over to a side. Raises TimelineError for one that cannot be heard by itself."""
        if side not in HEARD_SIDES:
            raise TimelineError("side", f"“{side}” cannot be heard by itself", "choose standard or take")
        self.side = side
        for name, ramp in self._sides.items():
            ramp.to(1.0 if name == side else 0.0, SWITCH_FRAMES)

    def set_level(self, part: str, level: float) -> None:
        """Gain of a part, clamped to 0..1."""
        self._levels[_known(part)] = min(1.0, max(0.0, level))
        self._move(part)

    def set_muted(self, part: str, muted: bool) -> None:
        """Silence a part without losing its level."""
        self._muted = self._muted | {_known(part)} if muted else self._muted - {_known(part)}
        self._move(part)

    def set_master(self, level: float) -> None:
        """Gain of all, clamped to 0..1."""
        self._master.to(min(1.0, max(0.0, level)), LEVEL_FRAMES)

    def hears(self, event: NoteEvent) -> bool:
        """True for a note of the heard side whose part is not silent, or about to be."""
        return event.side in ("both", self.side) and self._parts[event.part].target > 0.0

    def settle(self) -> None:
        """Every gain arrives: for use in silence."""
        for ramp in (*self._parts.values(), *self._sides.values(), self._master):
            ramp.jump()

    def add(self, buses: Mapping[int, Floats], out: Floats) -> None:
        """Add buses (2, n) to ``out``, in one order always; the buses are used up."""
        size = out.shape[1]
        parts = {name: ramp.next(size) for name, ramp in self._parts.items()}
        sides = {name: ramp.next(size) for name, ramp in self._sides.items()}
        master = self._master.next(size)
        for index in sorted(buses):
            name, side = NAMES[index // len(BUS_SIDES)], BUS_SIDES[index % len(BUS_SIDES)]
            bus = buses[index]
            bus *= parts[name] if side == "both" else parts[name] * sides[side]
            bus *= self._pans[name]
            out += bus
        out *= master

    def _move(self, part: str) -> None:
        self._parts[part].to(0.0 if part in self._muted else self._levels[part], LEVEL_FRAMES)


def _pan(place: float) -> npt.NDArray[np.float32]:
    """Left and right gain (2, 1) of equal power, one each in the middle."""
    angle = (place + 1.0) * np.pi / 4.0
    return np.array([[np.cos(angle)], [np.sin(angle)]], dtype=np.float32) * np.float32(np.sqrt(2.0))


def _known(part: str) -> str:
    if part not in PARTS:
        raise TimelineError(f"part {part}", "there is no such part", f"use one of {', '.join(PARTS)}")
    return part
