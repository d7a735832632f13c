"""The mixer: a timeline and a bank in, frames out. ``read(n)`` depends on nothing but the mixer's own state.

Commands and ``read`` belong to one thread (the audio callback applies queued commands before it reads). Both sides
always run; a switch only moves two gains. Nothing that sounds is ever cut: it is let go, or fades over milliseconds.
"""

from __future__ import annotations

import numpy as np

from core.sound.bank import NoteSource
from core.sound.desk import Desk
from core.sound.limiter import Limiter
from core.sound.placement import CHOKED, CHOKERS, Identity, Placed, Placement, place
from core.sound.playhead import Edge, Playhead
from core.sound.rehearsal import ALWAYS_HEARD, Rehearsal, When
from core.sound.voices import FADE_FRAMES, NOTHING, Floats, NoteChange, Voice, release_curve
from core.timeline import Side, Timeline

STOP_FRAMES = 480
SWAP_FRAMES = 960
"""Notes that an edit has taken away fade over 20 ms."""
MAX_VOICES = 192
MIX_GAIN = 4.0
"""Brings a band with all levels up to peaks around -5 dB full scale; the limiter takes what is above."""
_CHUNK = 48_000


class Mixer:
    """48 kHz stereo. ``clock`` counts the frames read; sound leaves ``limiter.LOOK_AHEAD`` frames after its place.

    ``changes`` collects NoteChange values for a MIDI port when it is a list; whoever sets it empties it.
    """

    def __init__(self, notes: NoteSource, timeline: Timeline | None = None, limiter: Limiter | None = None) -> None:
        self._notes = notes
        self._head = Playhead(place(timeline or Timeline(120.0, 0.0), notes.layers))
        self._limiter = limiter or Limiter()
        self._voices: list[Voice] = []
        self._desk = Desk()
        self._wishes = Rehearsal()
        self._scratch: Floats = np.zeros((2, 1), dtype=np.float32)
        self.playing = False
        self.clock = 0
        self.missed = 0
        self.changes: list[NoteChange] | None = None

    # What it is doing

    @property
    def side(self) -> Side:
        """The side that is heard."""
        return self._desk.side

    @property
    def timeline(self) -> Timeline:
        """What is loaded."""
        return self._head.placement.timeline

    @property
    def position(self) -> float:
        """The quarter note of the next frame to be read; before the start during a count-in."""
        return self._head.quarter

    @property
    def frame(self) -> int:
        """The same in frames of the timeline."""
        return self._head.frame

    @property
    def counting_in(self) -> bool:
        """True during a count-in."""
        return self._head.gate is not None

    @property
    def loop(self) -> tuple[float, float] | None:
        """Start and end in quarter notes, or None."""
        return self._head.loop

    @property
    def resting(self) -> bool:
        """True in bars in which the band drops out."""
        return self.playing and self._wishes.resting

    @property
    def passes(self) -> int:
        """Passes of the loop played since playing began, or since the last timeline that waited for one."""
        return self._wishes.passes

    @property
    def silent(self) -> bool:
        """True when nothing plays and the last tail has left."""
        return not self.playing and not self._voices and self._limiter.empty

    @property
    def voice_count(self) -> int:
        """How many notes sound or ring."""
        return len(self._voices)

    # Commands

    def set_timeline(self, timeline: Timeline | Placement) -> None:
        """Swap what is played, at the same musical place, whether or not it is playing.

        A note that is in both goes on; one that is gone fades; a pitched one that is new here is taken up inside.
        """
        new = timeline if isinstance(timeline, Placement) else place(timeline, self._notes.layers)
        self._head.swap(new)
        kept = self._adopt(new)
        if self.playing and self._head.gate is None:
            self._take_up(kept)

    def set_next(self, timeline: Timeline | Placement | None, passes: int = 1) -> None:
        """Swap what is played at a loop's end, once ``passes`` passes have been played; None forgets it.

        Passes are counted from the start of playing, and anew from each such swap: the steps of a tempo ramp.
        """
        placed = place(timeline, self._notes.layers) if isinstance(timeline, Timeline) else timeline
        self._wishes.wish_timeline(placed, passes)

    def set_drop_outs(self, bars: tuple[int, int] | None) -> None:
        """Bars with the band and bars without it, in turn, from this bar on; the click plays on. None: always play.

        Raises TimelineError for counts that are not 1 to 64.
        """
        rested = self.resting
        self._wishes.set_drop_outs(bars)
        if rested:
            self._take_up()

    def play(self, start: float = 0.0, *, count_in: bool = False) -> None:
        """Play from a quarter note, after the timeline's count-in if asked. Clamped to the timeline."""
        self._fade_all(FADE_FRAMES)
        if self.silent:
            self._rest()
        start = min(max(0.0, start), self.timeline.length)
        self.playing = True
        self._wishes.begin(pickup=self._head.placement.in_pickup(self._head.placement.frame(start)))
        if count_in and self.timeline.lead_in > 0:
            self._head.count_in(start, self.timeline.lead_in)
        else:
            self._head.go(self._head.placement.frame(start))
            self._take_up()

    def stop(self) -> None:
        """Stop and fade what sounds over 10 ms; the playhead stays, or returns to the start of a count-in."""
        self._halt()
        self._fade_all(STOP_FRAMES)

    def finish(self) -> None:
        """Stop as a band does: held notes are let go, all ring out."""
        self._halt()
        self._release_all(0)

    def seek(self, quarter: float) -> None:
        """Move the playhead; a count-in under way is dropped, sounding notes fade over 5 ms."""
        self._fade_all(FADE_FRAMES)
        self._head.go(self._head.placement.frame(min(max(0.0, quarter), self.timeline.length)))
        self._wishes.begin(pickup=self._head.placement.in_pickup(self._head.frame))
        if self.playing:
            self._take_up()

    def set_loop(self, loop: tuple[float, float] | None, passes: int | None = None) -> None:
        """Loop ``[start, end)`` in quarter notes, or None. A playhead past its end goes to its start.

        With ``passes`` it is played so often from here and then stops, its place at the start of the loop. Raises
        TimelineError for a loop that holds less than a tenth of a second of the timeline.
        """
        self._head.set_loop(loop)
        self._wishes.end_after(passes if loop else None)
        if self._head.loop and self.playing and not self.counting_in and not self._head.in_loop:
            self.seek(self._head.loop[0])

    def set_side(self, side: Side, when: When = "now") -> None:
        """Hear the standard or the take, over a 10 ms crossing: from the next frame, bar or pass of the loop on.

        Where nothing plays there is nothing to wait for.
        """
        if when == "now" or not self.playing or (when == "bar" and self.counting_in):
            self._wishes.forget_side()
            self._desk.set_side(side)
            self._retell()
        else:
            self._wishes.wish_side(side, when)

    def set_level(self, part: str, level: float) -> None:
        """Gain of a part, clamped to 0..1, smoothed over 20 ms."""
        self._desk.set_level(part, level)
        self._retell()

    def set_muted(self, part: str, muted: bool) -> None:
        """Silence a part without losing its level; it runs on."""
        self._desk.set_muted(part, muted)
        self._retell()

    def set_master(self, level: float) -> None:
        """Gain of all, clamped to 0..1, smoothed over 20 ms."""
        self._desk.set_master(level)

    # Frames

    def read(self, frames: int) -> Floats:
        """The next ``frames`` frames as float32 (frames, 2), within the limiter's ceiling."""
        if frames > _CHUNK:
            return np.concatenate([self.read(min(_CHUNK, frames - at)) for at in range(0, frames, _CHUNK)])
        out = np.zeros((2, frames), dtype=np.float32)
        if self.silent:
            self._rest()
        else:
            self._fetch_late()
            self._fill(out)
            out = self._limiter.process(out)
        self.clock += frames
        return np.ascontiguousarray(out.T)

    def _fill(self, out: Floats) -> None:
        """Mix stretch by stretch, from edge to edge of the playhead."""
        frames, done = out.shape[1], 0
        if self._scratch.shape[1] < frames:
            self._scratch = np.zeros((2, frames), dtype=np.float32)
        while done < frames:
            size = frames - done
            if self.playing:
                self._head.stops_at_bars = self._wishes.watches_bars
                size = min(size, self._head.until_edge())
                for placed, offset in self._head.advance(size):
                    self._begin(placed, offset, done)
            self._mix(out[:, done : done + size], done)
            done += size
            if self.playing:
                self._cross(done)

    def _cross(self, done: int) -> None:
        edge = self._head.cross()
        if edge is Edge.END:
            self._end()
        elif edge is Edge.WRAP:
            self._release_all(done)
            if self._wishes.end_pass():
                self._end()
                return
            new = self._wishes.next_timeline()
            if new:
                self._head.swap(new)
        if self.playing and edge is not Edge.NONE:
            self._pass_bar(edge, done)

    def _pass_bar(self, edge: Edge, done: int) -> None:
        """What a bar line may change: which side is heard, and whether the band plays."""
        side = self._wishes.side_at(edge)
        if side:
            self._desk.set_side(side)
            self._retell(done)
        rested = self._wishes.resting
        self._wishes.count_bar(edge)
        if self._wishes.resting and not rested:
            self._release_all(done, ALWAYS_HEARD)
        elif edge is not Edge.BAR or (rested and not self._wishes.resting):
            self._take_up(done=done)

    # Notes. ``done`` and ``offset`` are frames into the block being read, and into the stretch being mixed.

    def _begin(self, placed: Placed, offset: int, done: int) -> Voice | None:
        if self._wishes.resting and placed.event.part not in ALWAYS_HEARD:
            return None
        if len(self._voices) >= MAX_VOICES and not self._make_room():
            return None
        note = self._notes.get(placed.key)
        self.missed += note is None
        samples = note.samples if note else NOTHING
        gain = note.gain(placed.event.velocity) * MIX_GAIN if note else 0.0
        curve = None if placed.rings else release_curve(note.release if note else 0.02)
        if placed.rings and placed.event.pitch in CHOKERS:
            self._choke(placed, offset)
        voice = Voice(placed, samples, gain, curve, wait=offset, off=offset + placed.end - placed.frame)
        self._voices.append(voice)
        if self._desk.hears(voice.placed.event):
            self._tell(voice, True, done + offset)
        return voice

    def _fetch_late(self) -> None:
        """A held note that had not been rendered when it began is taken up as soon as it is."""
        for voice in self._voices:
            if voice.samples is NOTHING and voice.held and not voice.placed.rings:
                note = self._notes.get(voice.placed.key)
                if note:
                    voice.supply(note.samples, note.gain(voice.placed.event.velocity) * MIX_GAIN, note.release)

    def _choke(self, by: Placed, offset: int) -> None:
        """A closed or pedal stroke ends the open hi-hat of its own side, one on both sides ends all."""
        for voice in self._voices:
            event = voice.placed.event
            if event.pitch == CHOKED and voice.placed.rings and by.event.side in ("both", event.side):
                voice.choke(offset)

    def _make_room(self) -> bool:
        """Fade the voice that has sounded longest; False where even fading voices are too many."""
        if len(self._voices) >= 2 * MAX_VOICES:
            return False
        oldest = max(self._voices, key=lambda voice: (voice.faded < 0, voice.at))
        self._tell(oldest, False, 0)
        oldest.fade()
        return True

    def _take_up(self, kept: frozenset[Identity] = frozenset(), done: int = 0) -> None:
        """Start, inside, the pitched notes that are held at the playhead and not sounding yet."""
        frame = self._head.frame
        for placed in self._head.placement.held(frame, self._head.next):
            if placed.identity not in kept:
                voice = self._begin(placed, 0, done)
                if voice:
                    voice.start_inside(frame - placed.frame)

    def _adopt(self, new: Placement) -> frozenset[Identity]:
        """Match held voices with a new placement; fade those that are gone. Returns what goes on."""
        frame = self._head.frame
        wanted = {placed.identity: placed for placed in new.held(frame, self._head.next)}
        kept = set()
        for voice in self._voices:
            if not voice.held or voice.placed.rings:
                continue
            found = wanted.get(voice.placed.identity)
            if found and found.key == voice.placed.key and found.identity not in kept:
                voice.off = found.end - frame
                kept.add(found.identity)
            else:
                self._tell(voice, False, 0)
                voice.fade(SWAP_FRAMES)
        return frozenset(kept)

    def _halt(self) -> None:
        if self._head.gate is not None:
            self._head.go(self._head.gate)
        self._end()

    def _end(self) -> None:
        """Nothing plays any more, so nothing is waited for: the side that was wished is the side."""
        self.playing = False
        side = self._wishes.forget_side()
        if side:
            self._desk.set_side(side)

    def _fade_all(self, frames: int) -> None:
        for voice in self._voices:
            self._tell(voice, False, 0)
            voice.fade(frames)

    def _release_all(self, done: int, but: frozenset[str] = frozenset()) -> None:
        for voice in self._voices:
            if voice.placed.event.part in but:
                continue
            self._tell(voice, False, done)
            voice.let_go()

    # Mixing

    def _mix(self, out: Floats, done: int) -> None:
        size = out.shape[1]
        buses: dict[int, Floats] = {}
        living = []
        for voice in self._voices:
            bus = buses.get(voice.placed.bus)
            if bus is None:
                bus = buses[voice.placed.bus] = np.zeros((2, size), dtype=np.float32)
            off = voice.off
            alive = voice.add(bus, self._scratch)
            if voice.told and (off <= size or not alive):
                self._tell(voice, False, done + min(max(off, 0), size))
            if alive:
                living.append(voice)
        self._voices = living
        self._desk.add(buses, out)

    def _rest(self) -> None:
        """In silence every gain is where it is going."""
        self._desk.settle()
        self._limiter.reset()

    # Note changes for a MIDI port

    def _tell(self, voice: Voice, on: bool, offset: int) -> None:
        if self.changes is None or (voice.told is not None) == on:
            return
        event = voice.placed.event
        change = NoteChange(self.clock + offset, on, event.part, event.pitch, event.velocity)
        begun, voice.told = voice.told, change if on else None
        if begun and begun.frame == change.frame and begun in self.changes:
            self.changes.remove(begun)  # a note that never lasted is not told at all
        else:
            self.changes.append(change)

    def _retell(self, done: int = 0) -> None:
        """After a switch or a mute: end the notes no longer heard, begin the held ones now heard."""
        for voice in self._voices:
            if not self._desk.hears(voice.placed.event):
                self._tell(voice, False, done)
            elif voice.held and voice.faded < 0 and not voice.placed.rings:
                self._tell(voice, True, done)
