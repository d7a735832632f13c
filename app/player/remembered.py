"""What a player process must be told to be where the last one was."""

from __future__ import annotations

import time

from app.player.protocol import Header, Message, pack_timeline
from core.timeline import DEFAULT_MASTER_LEVEL, PARTS, Side, Timeline


class Remembered:
    """All that a new player must be told."""

    def __init__(self, device: str, buffer_ms: int) -> None:
        self.device, self.buffer_ms = device, buffer_ms
        self.timeline: Timeline | None = None
        self.version = 0
        self.playing = False
        self.place = (0.0, 0.0, 0.0)  # quarter, time it was heard, bpm it moves by
        self.side: Side = "standard"
        self.loop: tuple[float, float] | None = None
        self.loop_passes: int | None = None
        self.next: tuple[Timeline, int, int] | None = None  # for a later pass: how many passes, version
        self.drop_outs: tuple[int, int] | None = None
        self.levels = {name: part.level for name, part in PARTS.items()}
        self.muted: dict[str, bool] = {}
        self.master = DEFAULT_MASTER_LEVEL
        self.midi: str | None = None
        self.midi_in: str | None = None
        self.midi_setup: Header | None = None

    def position(self, now: float) -> float:
        """Where it is at ``now``, inside the loop and the timeline."""
        quarter, heard, bpm = self.place
        if not self.playing or not heard:
            return quarter
        moved = quarter + (now - heard) * bpm / 60.0
        if self.loop and quarter < self.loop[1] <= moved:
            moved = self.loop[0] + (moved - self.loop[1]) % (self.loop[1] - self.loop[0])
        return min(moved, self.timeline.length) if self.timeline else moved

    def load_message(self) -> Message:
        """The command that loads the timeline."""
        assert self.timeline is not None
        header, block = pack_timeline(self.timeline)
        load = {"do": "load", "at": time.perf_counter(), "version": self.version, "timeline": header}
        return load, block

    def next_message(self) -> Message:
        """The command that loads the timeline for a later pass."""
        assert self.next is not None
        timeline, passes, version = self.next
        header, block = pack_timeline(timeline)
        at = time.perf_counter()
        return {"do": "load", "at": at, "version": version, "passes": passes, "timeline": header}, block

    def restore_messages(self) -> list[Message]:
        """Everything, in the order a player wants it."""
        headers: list[Header] = [
            {"do": "levels", "levels": self.levels},
            {"do": "mute", "muted": self.muted},
            {"do": "master", "level": self.master},
            {"do": "side", "side": self.side},
            {"do": "drop_outs", "bars": self.drop_outs},
        ]
        if self.midi_setup is not None:
            headers.append({"do": "midi_setup", **self.midi_setup})
        if self.midi is not None:
            headers.append({"do": "midi", "port": self.midi})
        if self.midi_in is not None:
            headers.append({"do": "midi_in", "port": self.midi_in})
        messages = [(header, b"") for header in headers]
        if self.timeline is None:
            return messages
        messages.append(self.load_message())
        if self.loop and self.loop[0] < self.timeline.length:
            # How many of a counted number of passes were played is not known: the one under way is the last.
            passes = None if self.loop_passes is None else 1
            messages.append(({"do": "loop", "loop": self.loop, "passes": passes}, b""))
        if self.next:
            messages.append(self.next_message())
        do: Header = {"do": "play", "from": self.place[0]} if self.playing else {"do": "seek", "quarter": self.place[0]}
        return [*messages, (do, b"")]
