"""A timeline as a Standard MIDI File, type 1 (Standard MIDI Files 1.0): a conductor track, then one per part.

The conductor track holds tempo, metres, the key, a marker at each section and the name of each chord; a part's track
its name, program, volume, place from left to right, and notes. Volume and pan are controllers 7 and 10 (MIDI 1.0); a
volume of v is a gain of (v / 127) squared (General MIDI Level 2, recommended response, from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from math import sqrt
from pathlib import Path
from typing import Literal, get_args

import mido  # type: ignore[import-untyped]

from core.files import write_atomic
from core.key import Key
from core.pitch import name_of
from core.timeline import PARTS, Marker, NoteEvent, Side, Timeline, TimelineError

ChordTexts = Literal["text", "lyrics", "marker"]
CHORD_TEXTS: tuple[ChordTexts, ...] = get_args(ChordTexts)
"""As which meta event chord names are written: text FF 01, lyric FF 05, which most players show, or marker FF 06."""

TICKS_PER_QUARTER = 960
CLOCKS_PER_QUARTER = 24
VOLUME, PAN = 7, 10
_TITLES = {"piano": "Piano", "bass": "Bass", "drums": "Drums", "tune": "Tune", "click": "Click"}
_MOST_SIGNS = 7
# The order at one tick.
_META, _OFF, _ON = 0, 1, 2
Timed = tuple[int, int, mido.Message | mido.MetaMessage]


def write_midi(timeline: Timeline, side: Side, path: Path, *, ticks: int = TICKS_PER_QUARTER, key: Key | None = None,
               chords: ChordTexts = "text", levels: Mapping[str, float] | None = None) -> None:  # fmt: skip
    """Write one side of a timeline, whole or not at all. The count-in is left out. Raises FileError."""
    file = midi_file(timeline, side, ticks=ticks, key=key, chords=chords, levels=levels)
    write_atomic(path, lambda name: file.save(name))


def midi_file(timeline: Timeline, side: Side, *, ticks: int = TICKS_PER_QUARTER, key: Key | None = None,
              chords: ChordTexts = "text", levels: Mapping[str, float] | None = None) -> mido.MidiFile:  # fmt: skip
    """The file as a value; ``side`` is ``standard`` or ``take``, ``levels`` are gains 0..1 instead of the band's.

    Note-offs precede note-ons at one tick, and a note that overlaps a later one of the same pitch ends where that
    begins, so that no reader can mistake one for the other.
    """
    if side == "both":
        raise TimelineError("side", "a MIDI file holds one row", "choose standard or take")
    heard = timeline.for_side(side)
    file = mido.MidiFile(type=1, ticks_per_beat=ticks, charset="utf-8")
    file.tracks.append(_conductor(heard, ticks, key, chords))
    for name in PARTS:
        notes = [event for event in heard.events if event.part == name]
        if notes:
            file.tracks.append(_part(heard, name, notes, ticks, (levels or {}).get(name)))
    return file


def _conductor(timeline: Timeline, ticks: int, key: Key | None, chords: ChordTexts) -> mido.MidiTrack:
    timed: list[Timed] = [(0, _META, mido.MetaMessage("set_tempo", tempo=round(60_000_000 / timeline.bpm)))]
    if timeline.title:
        timed.insert(0, (0, _META, mido.MetaMessage("track_name", name=timeline.title)))
    for onset, numerator, denominator in _metres(timeline):
        message = mido.MetaMessage("time_signature", numerator=numerator, denominator=denominator,
                                   clocks_per_click=_click(numerator, denominator))  # fmt: skip
        timed.append((_tick(onset, ticks), _META, message))
    if key is not None and abs(key.signature) <= _MOST_SIGNS:
        name = name_of(key.tonic) + ("m" if key.is_minor else "")
        timed.append((0, _META, mido.MetaMessage("key_signature", key=name)))
    timed += [_text(marker, ticks, chords) for marker in timeline.markers]
    return _track(timed, _tick(timeline.length, ticks))


def _metres(timeline: Timeline) -> Iterator[tuple[float, int, int]]:
    """Where the metre changes. A bar shorter or longer than its metre (a pickup) is a metre of its own, or every bar
    line after it would be drawn in the wrong place."""
    written = (0, 0)
    lines = {*timeline.bars, timeline.length}
    places = sorted({*timeline.bars, *(meter[0] for meter in timeline.meters)})
    for start, end in pairwise((*places, timeline.length)):
        metre = next((m[1:] for m in reversed(timeline.meters) if m[0] <= start), (4, 4))
        length, full = Fraction(end - start).limit_denominator(960), Fraction(4 * metre[0], metre[1])
        if {start, end} <= lines and 0 < length < 2 * full and length != full:
            metre = _metre_of(length, metre[1]) or metre
        if metre != written:
            written = metre
            yield start, *metre


def _metre_of(length: Fraction, at_least: int) -> tuple[int, int] | None:
    """The metre with the largest unit that a bar of so many quarter notes fills, in 32nds at the smallest."""
    for denominator in (one for one in (4, 8, 16, 32) if one >= at_least):
        units = length * denominator / 4
        if units.denominator == 1 and units < 256:
            return int(units), denominator
    return None


def _click(numerator: int, denominator: int) -> int:
    """MIDI clocks between two clicks of a metronome: a beat, three units of it in compound metre."""
    units = 3 if denominator >= 8 and numerator % 3 == 0 and numerator > 3 else 1
    return max(1, CLOCKS_PER_QUARTER * 4 * units // denominator)


def _text(marker: Marker, ticks: int, chords: ChordTexts) -> Timed:
    kind = "marker" if marker.kind == "section" else chords
    return max(0, _tick(marker.onset, ticks)), _META, mido.MetaMessage(kind, text=marker.text)


def _part(timeline: Timeline, name: str, notes: Sequence[NoteEvent], ticks: int, level: float | None) -> mido.MidiTrack:
    part, program = PARTS[name], timeline.program_of(name)
    timed: list[Timed] = [(0, _META, mido.MetaMessage("track_name", name=_TITLES[name]))]
    if program or not part.is_drums:  # a kit of its own is no part of General MIDI Level 1
        timed.append((0, _META, mido.Message("program_change", channel=part.channel, program=program)))
    gain = part.level if level is None else min(1.0, max(0.0, level))
    for number, value in ((VOLUME, round(127 * sqrt(gain))), (PAN, min(127, round(64 + 63 * part.pan)))):
        timed.append((0, _META, mido.Message("control_change", channel=part.channel, control=number, value=value)))
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
