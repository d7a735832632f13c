"""A Standard MIDI File to a score: bars from the metre metas, parts from tracks and channels, a melody, chords.

Chords are taken from texts that read as chord symbols, where the file has them, else named from the notes. Guessed,
and reported: the grid, swung eighths, the key where none is given, the spelling of notes, which part is the melody.
Not kept: drums, dynamics, controllers, changes of tempo.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from fractions import Fraction
from itertools import pairwise

from core.errors import ChangewrightError
from core.foreign.assemble import reading_of
from core.foreign.barring import bar_starts, empty_bars, fill_bars
from core.foreign.events import ZERO, Measure, RawHarmony, RawNote
from core.foreign.harmony_read import Harmony
from core.foreign.midi_file import MidiFile, parse_midi
from core.foreign.midi_grid import EIGHTHS_ONLY, GRIDS, Played, Swing, quantised, swing_of
from core.foreign.report import Report
from core.foreign.score import MAX_BARS, Choices, Option, Score, asked
from core.foreign.signs import SWUNG
from core.foreign.xml_stream import Refused
from core.imported import Imported
from core.key import Key
from core.meter import Meter
from core.pitch import pitch_from_midi
from core.symbol import NO_CHORD, parse_symbol

DRUM_CHANNEL = 9
BASSES = range(32, 40)
_MELODY = re.compile(r"melod|lead|vocal|voice|voz|voix|stimme|gesang|canto|solo|tune|theme|head", re.IGNORECASE)
_ACCOMPANIMENT = re.compile(r"bass|drum|perc|chord|comp|pad|string|guitar|rhythm|left", re.IGNORECASE)
_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_GRID_OPTIONS = (
    Option("even", "nearest sixteenths and triplets, swung eighths written even"),
    Option("played", "nearest sixteenths and triplets, swung eighths as triplets"),
    Option("eighths", "nothing shorter than eighths"),
    Option("exact", "as it was played, to the forty-eighth"),
)


def midi_reading(data: bytes, name: str, choices: Choices) -> Imported:
    """Read a MIDI file; ``name`` is the title of an untitled one. Raises :class:`Refused`."""
    file = parse_midi(data)
    if not any(track.notes for track in file.tracks):
        raise Refused("holds no notes", "export it again with its notes")
    score = Score(Report())
    _MidiScore(file, score, choices).build()
    return reading_of(score, name, choices)


class _MidiScore:
    """Fills a score from a file."""

    def __init__(self, file: MidiFile, score: Score, choices: Choices) -> None:
        self._file, self._score, self._report, self._choices = file, score, score.report, choices
        self._symbol_kind = ""

    def build(self) -> None:
        """Title, bars, parts, symbols, signs."""
        file, score = self._file, self._score
        if file.lost_tracks > 0:
            self._report.add(f"{file.lost_tracks} of the tracks that the file names are not there")
        if file.open_notes:
            self._report.add("notes that never end are ended with their track")
        head = file.tracks[0]
        if head.name and (not head.notes or len(file.tracks) == 1):
            score.titles["movement"] = head.name[:200]
        played = self._played()
        length = max(end for notes in played.values() for _, end, _ in notes)
        meters = self._meters(length)
        key = self._key(played)
        self._signs_bars = empty_bars(meters)
        for at, (name, notes) in enumerate(played.items()):
            bars = empty_bars(meters)
            spelled = {pitch: pitch_from_midi(pitch, None, key.signature) for _, _, pitch in notes}
            fill_bars(bars, [RawNote(onset, end - onset, spelled[pitch], "1", 1, False, False)
                             for onset, end, pitch in notes])  # fmt: skip
            score.parts[str(at)], score.names[str(at)] = bars, name
        score.melody_part = self._melody(played)
        first = score.parts[score.melody_part or "0"]
        symbols = self._symbols()
        fill_bars(first, [], symbols)
        score.harmony_from_notes = not symbols
        self._mark(first, key)

    # --- notes ------------------------------------------------------------------------------------------------------

    def _played(self) -> dict[str, list[Played]]:
        """Quantised notes by the name of their part: a track, or a channel of it; drums are left out."""
        raw: dict[str, list[Played]] = {}
        self._programs: dict[str, int] = {}
        drums = 0
        for number, track in enumerate(self._file.tracks, 1):
            channels = {note.channel for note in track.notes}
            for channel in sorted(channels):
                if channel == DRUM_CHANNEL:
                    drums += 1
                    continue
                name = track.name if track.name and len(self._file.tracks) > 1 else f"track {number}"
                name += f", channel {channel + 1}" if len(channels - {DRUM_CHANNEL}) > 1 else ""
                name = name if name not in raw else f"{name} ({number})"
                ticks = self._file.division
                raw[name] = [(Fraction(note.start, ticks), Fraction(note.end, ticks), note.pitch)
                             for note in track.notes if note.channel == channel]  # fmt: skip
                self._programs[name] = track.programs.get(channel, 0)
        if not raw:
            raise Refused("holds drums only", "open a file with a melody or chords")
        if drums:
            self._report.add("drums are not kept")
        return self._on_grid(raw)

    def _on_grid(self, raw: dict[str, list[Played]]) -> dict[str, list[Played]]:
        swing = swing_of([note for notes in raw.values() for note in notes])
        question = asked(self._choices, "rhythm", _GRID_OPTIONS, "even")
        self._score.questions.append(question)
        self._swing = swing if question.chosen in ("even", "eighths") else None
        grids = {"eighths": EIGHTHS_ONLY, "exact": None}.get(question.chosen, GRIDS)
        placed = {name: quantised(_evened(notes, self._swing), grids) for name, notes in raw.items()}
        moved = sum(abs(new[0] - old[0]) > Fraction(1, 100) for name, notes in placed.items()
                    for new, old in zip(notes, sorted(_evened(raw[name], self._swing)), strict=False))  # fmt: skip
        if self._swing is not None:
            self._report.add("swung eighths are written as even ones")
        if moved:
            count = "a note is" if moved == 1 else f"{moved} notes are"
            self._report.add(f"{count} moved to the nearest place in the beat")
        return placed

    def _melody(self, played: dict[str, list[Played]]) -> str:
        """The part named a melody, else the highest one that plays one note at a time and often enough."""
        names = list(played)
        most = max(len(notes) for notes in played.values())

        def rank(at: int) -> tuple[bool, bool, float]:
            name, notes = names[at], played[names[at]]
            crossing = sum(one[1] - two[0] > (one[1] - one[0]) / 2 for one, two in pairwise(notes))
            single = 5 * crossing <= len(notes) and 8 * len(notes) >= most
            low = self._programs[name] in BASSES or _ACCOMPANIMENT.search(name) is not None
            return bool(_MELODY.search(name)), single and not low, sum(note[2] for note in notes) / len(notes)

        return str(max(range(len(names)), key=rank))

    # --- bars, key --------------------------------------------------------------------------------------------------

    def _meters(self, length: Fraction) -> list[Meter]:
        """The metre of every bar up to the last note."""
        changes = self._meter_changes()
        meters: list[Meter] = []
        at, meter = ZERO, Meter()
        while at < length or not meters:
            while changes and changes[0][0] <= at:
                if changes[0][0] < at:
                    self._report.add("a change of metre inside a bar is read at the next bar line", len(meters) - 1)
                meter = changes.pop(0)[1]
            meters.append(meter)
            at += meter.length
            if len(meters) > MAX_BARS:
                raise Refused(f"has more than {MAX_BARS} bars", "open a shorter file")
        return meters

    def _meter_changes(self) -> list[tuple[Fraction, Meter]]:
        changes = []
        for tick, numerator, power in self._file.meters:
            if 1 <= numerator <= 32 and power <= 5:
                changes.append((Fraction(tick, self._file.division), Meter(numerator, 2**power)))
            else:
                self._report.add("a metre that no music has is passed over")
        if not changes or changes[0][0] > 0:
            self._report.add("no metre is given at the beginning; 4/4 is assumed")
        return changes

    def _key(self, played: dict[str, list[Played]]) -> Key:
        if self._file.keys:
            _, sharps, minor = self._file.keys[0]
            self._given = True
            return Key(sharps + 3, "minor") if minor else Key(sharps)
        weights = [0.0] * 12
        for notes in played.values():
            for onset, end, pitch in notes:
                weights[pitch % 12] += float(end - onset)
        fits = {sharps: sum(weights[(7 * sharps + step) % 12] for step in _MAJOR) for sharps in range(-6, 6)}
        sharps = max(fits, key=lambda sharps: (round(fits[sharps], 6), -abs(sharps)))
        self._given = False
        signs = (
            "no sharps or flats"
            if not sharps
            else f"{abs(sharps)} {'sharp' if sharps > 0 else 'flat'}{'' if abs(sharps) == 1 else 's'}"
        )
        self._report.add(f"no key is given; {signs} fit the notes best")
        return Key(sharps)

    # --- words ------------------------------------------------------------------------------------------------------

    def _symbols(self) -> list[RawHarmony]:
        """Texts that read as chord symbols, unless they are the letters of sections."""
        found: dict[str, dict[tuple[Fraction, str], RawHarmony]] = {}
        for track in self._file.tracks:
            for tick, kind, text in track.texts:
                harmony = _symbol(text)
                if harmony is not None:
                    onset = Fraction(round(self._even(Fraction(tick, self._file.division)) * 12), 12)
                    found.setdefault(kind, {})[onset, text] = RawHarmony(onset, harmony)
        telling = {kind: len({text for _, text in cells if len(text) > 1}) for kind, cells in found.items()}
        kind = max(telling, key=lambda kind: telling[kind], default="")
        if not kind or (telling[kind] < 2 and (kind == "marker" or len(found[kind]) < 8)):
            return []
        self._symbol_kind = kind
        cells = found[kind]
        self._score.symbol_source = "chord symbols are taken from the texts of the file"
        return [cells[place] for place in sorted(cells)]

    def _even(self, at: Fraction) -> Fraction:
        return at if self._swing is None else self._swing.even(at)

    def _mark(self, bars: list[Measure], key: Key) -> None:
        """Key, tempo, feel and rehearsal marks at their bars."""
        starts = bar_starts(bars)

        def bar_at(tick: int) -> Measure:
            return bars[max(0, min(len(bars), bisect_right(starts, tick / self._file.division + 0.125)) - 1)]

        bars[0].key, bars[0].mode_given = key, self._given
        for tick, sharps, minor in self._file.keys[1:]:
            bar = bar_at(tick)
            bar.key = Key(sharps + 3, "minor") if minor else Key(sharps)
        for tick, micros in self._file.tempos:
            signs = bar_at(tick).signs
            tempo = Fraction(round(Fraction(60_000_000, micros) * 100), 100)
            signs.tempo = signs.tempo or Fraction(
                round(tempo) if abs(tempo - round(tempo)) < Fraction(1, 50) else tempo
            )
        if self._swing is not None:
            bars[0].signs.feel = SWUNG
        for tick, kind, text in sorted(text for track in self._file.tracks for text in track.texts):
            if kind == "marker" and text and (self._symbol_kind != kind or _symbol(text) is None):
                signs = bar_at(tick).signs
                signs.section = signs.section or text[:40]


def _evened(notes: list[Played], swing: Swing | None) -> list[Played]:
    return notes if swing is None else [(swing.even(onset), swing.even(end), pitch) for onset, end, pitch in notes]


def _symbol(text: str) -> Harmony | None:
    """A text as a chord symbol with a capital root; N.C. too."""
    plain = text.strip()
    if plain in NO_CHORD:
        return Harmony(None, None)
    if not plain or len(plain) > 16 or plain[0] not in "ABCDEFG" or " " in plain:
        return None
    try:
        chord = parse_symbol(plain)
    except (ChangewrightError, RecursionError):
        return None
    return None if chord is None else Harmony(chord, None if plain == chord.canonical else plain)
