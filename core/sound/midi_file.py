"""A timeline as a Standard MIDI File, type 1 (Standard MIDI Files 1.0): a conductor track, then one per part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import mido  # type: ignore[import-untyped]

from core.files import write_atomic
from core.timeline import PARTS, Marker, NoteEvent, Side, Timeline, TimelineError

TICKS_PER_QUARTER = 960
_TITLES = {"piano": "Piano", "bass": "Bass", "drums": "Drums", "tune": "Tune", "click": "Click"}
# The order at one tick.
_META, _OFF, _ON = 0, 1, 2
Timed = tuple[int, int, mido.Message | mido.MetaMessage]


def write_midi(timeline: Timeline, side: Side, path: Path, *, ticks: int = TICKS_PER_QUARTER) -> None:
    """Write one side of a timeline, whole or not at all. The count-in is left out. Raises FileError."""
    file = midi_file(timeline, side, ticks=ticks)
    write_atomic(path, lambda name: file.save(name))


def midi_file(timeline: Timeline, side: Side, *, ticks: int = TICKS_PER_QUARTER) -> mido.MidiFile:
    """The file as a value; ``side`` is ``standard`` or ``take``.

    Note-offs precede note-ons at one tick, and a note that overlaps a later one of the same pitch ends where that
    begins, so that no reader can mistake one for the other.
    """
    if side == "both":
        raise TimelineError("side", "a MIDI file holds one row", "choose standard or take")
    heard = timeline.for_side(side)
    file = mido.MidiFile(type=1, ticks_per_beat=ticks, charset="utf-8")
    file.tracks.append(_conductor(heard, ticks))
    for name in PARTS:
        notes = [event for event in heard.events if event.part == name]
        if notes:
            file.tracks.append(_part(heard, name, notes, ticks))
    return file


def _conductor(timeline: Timeline, ticks: int) -> mido.MidiTrack:
    timed: list[Timed] = [(0, _META, mido.MetaMessage("set_tempo", tempo=round(60_000_000 / timeline.bpm)))]
    if timeline.title:
        timed.insert(0, (0, _META, mido.MetaMessage("track_name", name=timeline.title)))
    for onset, numerator, denominator in timeline.meters:
        message = mido.MetaMessage("time_signature", numerator=numerator, denominator=denominator)
        timed.append((_tick(onset, ticks), _META, message))
    timed += [_text(marker, ticks) for marker in timeline.markers]
    return _track(timed, _tick(timeline.length, ticks))


def _text(marker: Marker, ticks: int) -> Timed:
    kind = "marker" if marker.kind == "section" else "text"
    return max(0, _tick(marker.onset, ticks)), _META, mido.MetaMessage(kind, text=marker.text)


def _part(timeline: Timeline, name: str, notes: Sequence[NoteEvent], ticks: int) -> mido.MidiTrack:
    part = PARTS[name]
    timed: list[Timed] = [(0, _META, mido.MetaMessage("track_name", name=_TITLES[name]))]
    if not part.is_drums:
        program = mido.Message("program_change", channel=part.channel, program=timeline.program_of(name))
        timed.append((0, _META, program))
    for start, end, pitch, velocity in _separated(notes, ticks):
        timed.append((start, _ON, _note("note_on", part.channel, pitch, velocity)))
        timed.append((end, _OFF, _note("note_off", part.channel, pitch, 64)))
    return _track(timed, _tick(timeline.length, ticks))


def _separated(notes: Iterable[NoteEvent], ticks: int) -> list[tuple[int, int, int, int]]:
    """(start, end, pitch, velocity) in ticks: notes of one pitch made disjoint; of two at one tick the louder."""
    by_place: dict[tuple[int, int], tuple[int, int]] = {}
    for event in notes:
        start = _tick(event.onset, ticks)
        end = max(start + 1, _tick(event.end, ticks))
        old_end, old_velocity = by_place.get((event.pitch, start), (0, 0))
        by_place[event.pitch, start] = max(end, old_end), max(event.velocity, old_velocity)
    places = sorted(by_place)
    found = []
    for index, (pitch, start) in enumerate(places):
        end, velocity = by_place[pitch, start]
        if index + 1 < len(places) and places[index + 1][0] == pitch:
            end = min(end, places[index + 1][1])
        found.append((start, end, pitch, velocity))
    return sorted(found)


def _track(timed: list[Timed], length: int) -> mido.MidiTrack:
    """Absolute ticks to delta times, ended where the form or the last note ends."""
    track, now = mido.MidiTrack(), 0
    for tick, _, message in sorted(timed, key=lambda item: item[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, length - now)))
    return track


def _note(kind: str, channel: int, pitch: int, velocity: int) -> mido.Message:
    return mido.Message(kind, channel=channel, note=pitch, velocity=velocity)


def _tick(quarter: float, ticks: int) -> int:
    return round(quarter * ticks)
