"""Parts: a chart as each instrument reads it, in a key a player expects and on the staff.

Intervals are common practice, no source; the tests hold them beside music21's instruments.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from core.chart import Chart, Melody, Take
from core.chord import Chord
from core.edit import transposed
from core.form import Form
from core.key import Key
from core.row import Row

MOST_ACCIDENTALS = 6
_ENHARMONIC, _RAISED_FIRST, _LAST_WITHOUT_SHARP = 12, 7, 5  # places on the line of fifths


@dataclass(frozen=True, slots=True)
class Part:
    """An instrument family: ``fifths`` and ``semitones`` are the written pitch above concert pitch.

    ``low`` and ``high`` are the written MIDI numbers between which a tune is read with ease; ``heading`` stands on the
    sheet.
    """

    id: str
    words: str
    heading: str
    fifths: int
    semitones: int
    clef: str = "G"
    low: int = 55
    high: int = 84


PARTS: dict[str, Part] = {
    part.id: part
    for part in (
        Part("C", "C, at concert pitch", "", 0, 0, low=0, high=127),
        Part("Bb", "B♭: trumpet, clarinet, tenor", "B♭ instruments", 2, 2, low=54, high=84),
        Part("Eb", "E♭: alto, baritone", "E♭ instruments", 3, 9, low=58, high=84),
        Part("F", "F: horn", "F instruments", 1, 7, low=54, high=81),
        Part("bass", "Bass clef", "Bass clef", 0, 12, clef="F", low=38, high=64),
        Part("guitar", "Guitar", "Guitar", 0, 12, low=55, high=83),
    )
}


def for_part(chart: Chart, part: str) -> Chart:
    """The chart as an instrument reads it, moved by its interval exactly.

    A key of more than six accidentals is respelled (concert E on an alto is D♭), each key of the form for itself.
    Raises KeyError for an unknown part.
    """
    asked = PARTS[part]
    if not asked.semitones:
        return chart
    fifths = asked.fifths
    while chart.key.signature + fifths > MOST_ACCIDENTALS:
        fifths -= _ENHARMONIC
    moved = _readable(transposed(chart, fifths, asked.semitones))
    return _without_strange_sharps(moved) if fifths else moved


def on_staff(chart: Chart, part: str) -> Chart:
    """The tune of a chart made by :func:`for_part`, moved by whole octaves to where the part is read with ease."""
    asked = PARTS[part]
    tunes = [chart.melody, *(take.melody for take in chart.takes if take.melody)]
    heights = [note.pitch.midi for tune in tunes for note in tune]
    if not heights:
        return chart
    octaves = _best_octaves(min(heights), max(heights), asked)
    return transposed(chart, 0, 12 * octaves) if octaves and asked.id != "C" else chart


def _best_octaves(lowest: int, highest: int, part: Part) -> int:
    """The shift that leaves least outside the part's range; the smallest such shift."""

    def outside(octaves: int) -> tuple[int, int]:
        low, high = lowest + 12 * octaves, highest + 12 * octaves
        return max(0, part.low - low) + max(0, high - part.high), abs(octaves)

    return min(range(-4, 5), key=outside)


# --- roots that a player would call by their flat ------------------------------------------------------------------


def _without_strange_sharps(chart: Chart) -> Chart:
    """Chords on a raised first, fifth or second degree get flats (A♭7 rather than G♯7 in G), but diminished ones, which
    lead upwards, and those that fall a fifth to a root with a sharp.
    """

    def spelled(row: Row, form: Form, key: Key) -> Row:
        following = [*(slot.chord for slot in row[1:]), None]
        return tuple(replace(slot, chord=_flat(slot.chord, after, form.key_at(form.bar_at(slot.onset).index, key)))
                     for slot, after in zip(row, following, strict=True))  # fmt: skip

    references = tuple(replace(named, row=spelled(named.row, chart.form, chart.key)) for named in chart.references)
    takes = tuple(replace(take, row=spelled(take.row, chart.form_of(take), chart.key_of(take))) for take in chart.takes)
    return replace(chart, references=references, takes=takes)


def _flat(chord: Chord | None, following: Chord | None, key: Key) -> Chord | None:
    if chord is None or chord.root - key.signature < _RAISED_FIRST or chord.root <= _LAST_WITHOUT_SHARP:
        return chord
    if chord.quality.family in ("diminished", "half_diminished"):
        return chord
    leads = following is not None and following.root == chord.root - 1 and following.root > _LAST_WITHOUT_SHARP
    return chord if leads else chord.transposed(-_ENHARMONIC)


# --- keys inside the form that a part would spell with seven accidentals and more -----------------------------------


def _readable(chart: Chart) -> Chart:
    """Stretches in a key beyond six accidentals get the enharmonic key, chords and notes with it."""
    shifts = _shifts(chart.form, chart.key)
    references = tuple(replace(named, row=_row(named.row, chart.form, shifts)) for named in chart.references)
    return replace(chart, references=references, takes=tuple(_take(chart, take) for take in chart.takes),
                   melody=_melody(chart.melody, chart.form, shifts), form=_form(chart.form))  # fmt: skip


def _take(chart: Chart, take: Take) -> Take:
    form = chart.form_of(take)
    shifts = _shifts(form, chart.key_of(take))
    return replace(take, row=_row(take.row, form, shifts), form=take.form and _form(take.form),
                   key=take.key and take.key.transposed(_excess(take.key)),
                   melody=None if take.melody is None else _melody(take.melody, form, shifts))  # fmt: skip


def _excess(key: Key) -> int:
    """Places on the line of fifths by which a key is to be respelled."""
    if key.signature > MOST_ACCIDENTALS:
        return -_ENHARMONIC
    return _ENHARMONIC if key.signature < -MOST_ACCIDENTALS - 1 else 0


def _shifts(form: Form, home: Key) -> tuple[int, ...]:
    return tuple(_excess(form.key_at(bar.index, home)) for bar in form.bars)


def _form(form: Form) -> Form:
    bars = tuple(replace(bar, key=bar.key and bar.key.transposed(_excess(bar.key))) for bar in form.written)
    return replace(form, written=bars)


def _row(row: Row, form: Form, shifts: tuple[int, ...]) -> Row:
    return tuple(replace(slot, chord=slot.chord and slot.chord.transposed(_at(slot.onset, form, shifts)))
                 for slot in row)  # fmt: skip


def _melody(melody: Melody, form: Form, shifts: tuple[int, ...]) -> Melody:
    return tuple(replace(note, pitch=note.pitch.transposed(_at(note.onset, form, shifts), 0)) for note in melody)


def _at(onset: Fraction, form: Form, shifts: tuple[int, ...]) -> int:
    return shifts[form.bar_at(onset).index]
