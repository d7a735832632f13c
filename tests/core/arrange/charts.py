"""Small charts for the tests of the band."""

from __future__ import annotations

from fractions import Fraction

from core.chart import Chart, Melody, NamedRow, Note, Take
from core.form import plain_form
from core.key import Key
from core.meter import parse_meter
from core.pitch import pitch_from_midi
from core.row import Row, Slot
from core.symbol import parse_symbol

ONE_A_BAR = "Cmaj7 | A7 | Dm7 | G7 | Em7 | A7 | Dm7 | G7 | Gm7 | C7 | Fmaj7 | Bb7 | Cmaj7 | A7 | Dm7 | G7"
ONE_SUBSTITUTED = (
    "Cmaj7 | Eb7 | Dm7 | Db7 | Em7 | Eb7 | Abm7 | Db7 | Gm7 | Gb7 | Fmaj7 | Bb7 | Em7 | Eb7 | Abmaj7 | Db7"
)
TWO_A_BAR = "Cmaj7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm6 | Em7 Eb7 | Abmaj7 Db7"
TWO_SUBSTITUTED = "Cmaj7 Eb7 | Dm7 Db7 | Em7 Eb7 | Abm7 Db7 | Gm7 Gb7 | Fmaj7 Bb7 | Bm7b5 E7 | F/G G7"


def row(text: str, bar: Fraction = Fraction(4)) -> Row:
    """``"Dm7 G7 | Cmaj7"``: bars between strokes, chords share their bar evenly."""
    slots, at = [], Fraction(0)
    for cell in text.split("|"):
        share = bar / len(cell.split())
        for symbol in cell.split():
            slots.append(Slot(at, share, parse_symbol(symbol)))
            at += share
    return tuple(slots)


def tune(*notes: tuple[str, str, int]) -> Melody:
    """Melody notes as (onset, duration, MIDI number)."""
    return tuple(Note(Fraction(onset), Fraction(length), pitch_from_midi(midi)) for onset, length, midi in notes)


def chart(
    text: str,
    take: str | None = None,
    *,
    meter: str = "4/4",
    feel: str = "medium swing",
    tempo: int = 132,
    melody: Melody = (),
    seed: int = 1,
    sections: tuple[tuple[int, str], ...] = (),
) -> Chart:
    """A chart of one standard row and, if given, one take named "sub"."""
    measure = parse_meter(meter)
    standard = row(text, measure.length)
    takes = () if take is None else (Take("sub", row(take, measure.length), seed=seed),)
    form = plain_form(len(text.split("|")), measure, sections)
    return Chart(
        "Harbour Steps", Key(0), form, (NamedRow("standard", standard),), takes, melody, tempo=tempo, feel=feel
    )
