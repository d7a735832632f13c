"""The melody check: every note gets a degree and a verdict over the chord that sounds under it.

A note is *structural* when it lasts a beat or more or begins on an accented place of the bar; a structural note that
clashes refuses the change. A clash that is not structural is a caution when it is longer than an eighth, else a
passing note. Anticipation comes first: a note that begins near the end of a chord's time, is held over the change or
is the chord's last note, and belongs to the next chord better than to this one is judged against the next chord and
only mentioned here (measured in recorded solos at a quarter to the whole of the harmonic unit; common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from core.chart import Melody, notes_between
from core.checks.fit_table import FitRow, fit_row
from core.chord import Chord, in_context
from core.finding import VERDICTS, Check, Finding, worst
from core.form import Form
from core.key import Key
from core.pitch import chromatic, pretty_name, with_signs
from core.row import Row
from core.spelling import printed
from core.symbol import format_chord

EIGHTH = Fraction(1, 2)
HELD = Fraction(2)
"""Quarter notes from which a root rubs against a major seventh: the sixth chord is played there (common practice)."""

# Semitones above the root → degree, for a note that the symbol does not name. Triads and sixths count 9 and 11 too.
_DEGREE_NAMES = ("root", "♭9", "9", "♭3", "3", "11", "♯11", "5", "♭13", "13", "♭7", "7")


class NoteFit(NamedTuple):
    """A melody note over a chord: its part that sounds there, degree, verdict, whether structural, and a remark."""

    chord: Chord

    onset: Fraction
    duration: Fraction
    fifths: int
    midi: int
    degree: str
    verdict: str
    structural: bool
    remark: str = ""


@lru_cache(maxsize=16384)
def degree_name(chord: Chord, fifths: int) -> str:
    """The degree of a spelled note over a chord: the symbol's own name if it is written, else by letter.

    ``degree_name(Db7, G) == '♯11'``; over a dominant ♭3 is called ♯9, a 13 over a sixth chord 6.
    """
    sounding = in_context(chord)
    quality = sounding.quality.sounding
    semitones = (chromatic(fifths) - sounding.root_pc) % 12
    for degree in quality.degrees:
        if degree.semitones % 12 == semitones:
            return "root" if degree.number == 1 else with_signs(str(degree))
    if semitones == 3 and any(degree.number == 3 and degree.alteration == 0 for degree in quality.degrees):
        return "♯9"
    if quality.family == "half_diminished" and semitones == 8:
        return "♭13"
    if semitones == 9 and quality.degree(7) is None:
        return "6"
    if semitones == 8 and quality.family in ("major", "augmented"):
        return "♯5"
    if semitones == 4 and quality.family == "suspended":
        return "3"
    if semitones == 7 and quality.family in ("half_diminished", "diminished"):
        return "natural 5"
    if semitones == 6 and quality.family in ("minor", "diminished"):
        return "♭5"
    return _DEGREE_NAMES[semitones]


def fits(
    melody: Melody, chords: Row, following: Chord | None, key: Key | None, form: Form, flag_altered: bool = False
) -> tuple[NoteFit, ...]:
    """Judge the notes that sound during ``chords``; ``following`` is the chord after them.
    Notes over silence are not judged.
    """
    result: list[NoteFit] = []
    for index, slot in enumerate(chords):
        sounding = () if slot.chord is None else sounding_notes(melody, slot.onset, slot.end, form)
        if not sounding or slot.chord is None:
            continue
        after = chords[index + 1].chord if index + 1 < len(chords) else following
        row = fit_row(slot.chord, target_after(chords, index, following), key, flag_altered)
        beyond = chords[index + 2].chord if index + 2 < len(chords) else following
        next_row = fit_row(after, beyond, key) if after is not None and after != slot.chord else None
        for note in sounding:
            anticipates = note.may_anticipate and next_row is not None and after is not None and (
                _rank(next_row, after, note.midi) < _rank(row, slot.chord, note.midi))  # fmt: skip
            result.append(_judge(row, next_row, slot.chord, after, note, anticipates, key))
    return tuple(result)


class SoundingNote(NamedTuple):
    """A note in a chord's time, whatever the chord: times in quarter notes, ``held`` over from before.

    ``may_anticipate``: it lies where a note that belongs to the next chord better is heard as an anticipation.
    """

    onset: Fraction
    duration: Fraction
    fifths: int
    midi: int
    held: bool
    structural: bool
    may_anticipate: bool


_Memo = dict[tuple[int, int, int, int], tuple[SoundingNote, ...]]
_last_asked: list[tuple[Melody, Form, _Memo]] = []


def sounding_notes(melody: Melody, start: Fraction, end: Fraction, form: Form) -> tuple[SoundingNote, ...]:
    """The notes that sound from start to end, as every chord tried there finds them.

    Kept for the tune that was asked for last: a bar is asked for a hundred times while its proposals are made.
    """
    memo = _last_asked[0] if _last_asked else None
    if memo is None or memo[0] is not melody or memo[1] is not form:
        memo = (melody, form, {})
        _last_asked[:] = [memo]
    place = (start.numerator, start.denominator, end.numerator, end.denominator)
    found = memo[2].get(place)
    if found is None:
        found = memo[2][place] = tuple(_sounding_notes(melody, start, end, form))
    return found


def _sounding_notes(melody: Melody, start: Fraction, end: Fraction, form: Form) -> Iterator[SoundingNote]:
    notes = notes_between(melody, start, end)
    for position, note in enumerate(notes):
        onset, stop = max(note.onset, start), min(note.end, end)
        held = note.onset < start
        # A short tail held over from the chord before is a late release, not a note of this chord.
        structural = is_structural(onset, stop - onset, form) and not (held and stop - onset <= EIGHTH)
        yield SoundingNote(onset, stop - onset, note.pitch.fifths, note.pitch.midi, held, structural,
                           _lies_early(note.onset, note.end, start, end, position == len(notes) - 1, form))  # fmt: skip


def target_after(chords: Row, index: int, following: Chord | None) -> Chord | None:
    """The next chord with another root: a dominant aims past its own colour changes."""
    chord = chords[index].chord
    assert chord is not None
    for slot in chords[index + 1 :]:
        if slot.chord is None or in_context(slot.chord).root_pc != in_context(chord).root_pc:
            return slot.chord
    return following


def _rank(row: FitRow, chord: Chord, midi: int) -> tuple[int, int]:
    """How well a note belongs to a chord: verdict first, then whether it is one of its own tones (3 and 7 most)."""
    semitones = (midi - in_context(chord).root_pc) % 12
    own = 0 if semitones in row.written else 1
    return VERDICTS.index(row.verdicts[semitones]), own


def _lies_early(
    onset: Fraction, end: Fraction, chord_start: Fraction, chord_end: Fraction, is_last: bool, form: Form
) -> bool:
    if onset <= chord_start:  # a note struck with a chord belongs to it
        return False
    meter = form.bar_at(onset).meter
    held_over = end > chord_end
    window = meter.beat if held_over else min(EIGHTH, meter.beat / 2)
    window = min(window, (chord_end - chord_start) / 2)
    return (held_over or is_last) and onset >= chord_end - window


def is_structural(onset: Fraction, duration: Fraction, form: Form) -> bool:
    """A beat or longer, or on an accented place of its bar."""
    bar = form.bar_at(onset)
    return duration >= bar.meter.beat or onset - bar.start in bar.meter.strong_places()


def _judge(
    row: FitRow, next_row: FitRow | None, chord: Chord, after: Chord | None, note: SoundingNote, anticipates: bool,
    key: Key | None,
) -> NoteFit:  # fmt: skip
    onset, duration, fifths, midi, structural = note.onset, note.duration, note.fifths, note.midi, note.structural
    if anticipates and next_row is not None and after is not None:
        verdict = next_row.verdicts[(midi - in_context(after).root_pc) % 12]
        verdict = "caution" if verdict == "clash" and not structural else verdict
        return NoteFit(chord, onset, duration, fifths, midi, degree_name(after, fifths), verdict, structural,
                       f"anticipates {_name(after, key)}")  # fmt: skip
    verdict = row.verdicts[(midi - in_context(chord).root_pc) % 12]
    remark = ""
    if row.kind == "major seventh" and (midi - in_context(chord).root_pc) % 12 == 0 and duration >= HELD:
        verdict, remark = "caution", "held against the seventh"
    if verdict == "clash" and not structural:
        verdict, remark = ("caution", "unaccented") if duration > EIGHTH else ("good", "passing")
    elif verdict == "caution" and not structural and duration <= EIGHTH:
        verdict, remark = "good", "passing"
    return NoteFit(chord, onset, duration, fifths, midi, degree_name(chord, fifths), verdict, structural, remark)


# --- the check -----------------------------------------------------------------------------------------------------


def melody_check(
    melody: Melody, chords: Row, following: Chord | None, key: Key | None, form: Form, flag_altered: bool = False
) -> Check:
    """Findings for every note over ``chords``; the summary names the first notes and their degrees."""
    return melody_verdict(fits(melody, chords, following, key, form, flag_altered), key)


def melody_verdict(judged: tuple[NoteFit, ...], key: Key | None) -> Check:
    """The check that judged notes make."""
    return Check("melody", worst(fit.verdict for fit in judged), _summary(judged), melody_findings(judged, key))


def melody_findings(judged: Iterable[NoteFit], key: Key | None) -> tuple[Finding, ...]:
    """A sentence for each judged note, and its numbers."""
    return tuple(Finding("melody", fit.verdict, fit.onset, _sentence(fit, key), _numbers(fit)) for fit in judged)


def _numbers(fit: NoteFit) -> tuple[tuple[str, object], ...]:
    return (("note", pretty_name(fit.fifths)), ("midi", fit.midi), ("degree", fit.degree),
            ("structural", fit.structural), ("duration", str(fit.duration)))  # fmt: skip


def _name(chord: Chord, key: Key | None) -> str:
    return format_chord(chord) if key is None else printed(chord, key)


def _sentence(fit: NoteFit, key: Key | None) -> str:
    note, symbol = pretty_name(fit.fifths), _name(fit.chord, key)
    if fit.remark.startswith("anticipates"):
        return f"{note} {fit.remark}, as its {fit.degree}"
    said = f"{note} is the {fit.degree} of {symbol}"
    if fit.remark == "passing":
        return said + ", in passing"
    if fit.verdict == "good":
        return said
    if fit.verdict == "clash" and (against := _against(fit)):
        return f"{note} is {against} of {symbol}"
    if fit.verdict == "caution":
        return said + (_REMARKS[fit.remark] if fit.remark else _colour_words(fit))
    return said + ", which the chord cannot carry"


# A third or seventh that contradicts the chord's own is called by what it rubs against.
_CONTRADICTIONS = {
    (4, 3): "the major third, against the minor third", (3, 4): "the minor third, against the major third",
    (11, 10): "the major seventh, against the flat seventh", (10, 11): "the flat seventh, against the major seventh",
}  # fmt: skip


def _against(fit: NoteFit) -> str:
    sounding = in_context(fit.chord)
    note = (fit.midi - sounding.root_pc) % 12
    written = sounding.quality.sounding.semitones
    return next((words for (one, other), words in _CONTRADICTIONS.items() if one == note and other in written), "")


_REMARKS = {"unaccented": ", off the beat", "held against the seventh": ", held against its seventh: play the sixth"}


def _colour_words(fit: NoteFit) -> str:
    sounding = in_context(fit.chord)
    written = (fit.midi - sounding.root_pc) % 12 in sounding.quality.semitones
    return ", an altered colour" if written else ": write that colour into the symbol"


def _summary(judged: tuple[NoteFit, ...]) -> str:
    """The structural notes and their degrees, worst first to be seen, each note once: "D is ♭7, B♭ ♯11"."""
    shown: dict[tuple[int, str], NoteFit] = {}
    for fit in judged:
        if fit.remark != "passing":
            shown.setdefault((fit.midi % 12, fit.degree), fit)
    if not judged:
        return "no melody here"
    if not shown:
        return "only passing notes"
    picked = sorted(shown.values(), key=lambda fit: (-VERDICTS.index(fit.verdict), fit.onset))[:3]
    parts = [f"{pretty_name(f.fifths)} {f.remark if f.remark.startswith('anticipates') else f.degree}" for f in picked]
    if not picked[0].remark.startswith("anticipates"):
        parts[0] = parts[0].replace(" ", " is ", 1)
    return ", ".join(parts) + (" …" if len(shown) > 3 else "")
