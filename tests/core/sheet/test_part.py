"""Parts: symbols, keys and notes as each instrument reads them, beside music21's instruments."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import music21
import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart, NamedRow
from core.chord import Chord
from core.edit import transposed
from core.files import load_chart
from core.form import Form, plain_form
from core.key import Key
from core.meter import Meter
from core.pitch import chromatic, name_of, parse_pitch_class
from core.places import folder
from core.quality import QUALITIES
from core.row import Slot
from core.sheet.part import PARTS, for_part, on_staff
from core.spelling import printed

# The instrument of music21 (its package, module `instrument`) whose transposition each part has.
INSTRUMENTS = {
    "Bb": music21.instrument.Trumpet, "Eb": music21.instrument.AltoSaxophone, "F": music21.instrument.Horn,
    "bass": music21.instrument.Contrabass,
}  # fmt: skip
TRANSPOSING = (*INSTRUMENTS, "guitar")
ROOTS = ("C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "Fb", "G", "D", "A", "E", "B", "F#", "C#", "G#")
SEVEN_SHARPS_AWAY = 7
C_MAJOR = Key(0)
DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))


def written_above(part: str) -> music21.interval.Interval:
    """The interval from concert to written pitch: the other way round than music21 gives it."""
    if part == "guitar":  # music21 knows it by the clef in which guitarists read
        assert music21.clef.Treble8vbClef().octaveChange == -1
        return music21.interval.Interval("P8")
    return INSTRUMENTS[part]().transposition.reverse()


def chart_of(chords: list[Chord], key: Key = C_MAJOR) -> Chart:
    form = plain_form(len(chords), Meter())
    row = tuple(Slot(Fraction(4 * at), Fraction(4), chord) for at, chord in enumerate(chords))
    return Chart("Every quality", key, form, (NamedRow("standard", row),))


def m21(fifths: int) -> music21.pitch.Pitch:
    return music21.pitch.Pitch(name_of(fifths).replace("b", "-"))


@pytest.mark.parametrize("part", TRANSPOSING)
def test_intervals_are_those_of_the_instruments(part: str) -> None:
    assert written_above(part).semitones == PARTS[part].semitones


@pytest.mark.parametrize("part", TRANSPOSING)
def test_every_quality_on_every_root_moves_as_music21_moves_it(part: str) -> None:
    above = written_above(part)
    for root in ROOTS:
        concert = chart_of([Chord(parse_pitch_class(root), quality) for quality in QUALITIES.values()])
        written = for_part(concert, part)
        moved = m21(parse_pitch_class(root)).transpose(above)
        for before, after in zip(concert.standard, written.standard, strict=True):
            assert before.chord is not None
            assert after.chord is not None
            assert after.chord.quality is before.chord.quality
            assert after.chord.root_pc == moved.pitchClass
            tones = {(chromatic(tone) + above.semitones) % 12 for tone in before.chord.tones}
            assert {chromatic(tone) for tone in after.chord.tones} == tones
            if name_of(after.chord.root).replace("b", "-") != moved.name:
                # Only what a player would not want to read is called by its other name.
                fifths = parse_pitch_class(moved.name.replace("-", "b"))
                assert fifths - written.key.signature >= SEVEN_SHARPS_AWAY
                assert after.chord.root == fifths - 12


@pytest.mark.parametrize("part", TRANSPOSING)
def test_every_note_moves_as_music21_moves_it(part: str) -> None:
    above = written_above(part)
    concert = chart_from_bar_text("key: Ab major\n\n| Ab | Db7 |\nm: A,2 =B,2 _d2 ^f2 | e2 =e2 _c'2 b2 |")
    written = for_part(concert, part)
    for before, after in zip(concert.melody, written.melody, strict=True):
        name = f"{name_of(before.pitch.fifths).replace('b', '-')}{before.pitch.octave}"
        assert str(after.pitch).replace("b", "-") == music21.pitch.Pitch(name).transpose(above).nameWithOctave


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_no_part_has_more_than_six_accidentals(part: str, mode: str) -> None:
    for tonic in range(-6, 7) if mode == "major" else range(-3, 10):
        concert = chart_of([Chord(0, QUALITIES["maj"])], Key(tonic, mode))
        written = for_part(concert, part)
        assert abs(written.key.signature) <= 6
        assert (written.key.tonic_pc - concert.key.tonic_pc) % 12 == PARTS[part].semitones % 12


def test_the_keys_that_players_expect() -> None:
    # Common practice, no source: concert E on an alto is D♭, not C♯; concert B on a trumpet D♭; concert A on a tenor B.
    expected = {("E", "Eb"): "Db", ("B", "Bb"): "Db", ("A", "Bb"): "B", ("Eb", "Eb"): "C", ("F", "F"): "C",
                ("Db", "Eb"): "Bb", ("Gb", "Bb"): "Ab"}  # fmt: skip
    for (concert, part), written in expected.items():
        found = for_part(chart_of([Chord(0, QUALITIES["maj"])], Key(parse_pitch_class(concert))), part)
        assert name_of(found.key.tonic) == written


def test_substitutes_are_spelled_for_the_part() -> None:
    # E♭ major: the substitute of B♭7 is F♭7 with its ii C♭m7; the page says E7 and Bm7, the B♭ part G♭7, the alto D♭7
    # and A♭m7 rather than C♯7 and G♯m7. Common practice, no source.
    concert = chart_of([Chord(-7, QUALITIES["m7"]), Chord(-8, QUALITIES["7"]), Chord(-3, QUALITIES["maj7"])], Key(-3))
    shown = {part: tuple(printed(slot.chord, written.key) for slot in written.standard)
             for part in ("C", "Bb", "Eb") for written in (for_part(concert, part),)}  # fmt: skip
    assert shown["C"] == ("Bm7", "E7", "E♭maj7")
    assert shown["Bb"] == ("D♭m7", "G♭7", "Fmaj7")
    assert shown["Eb"] == ("A♭m7", "D♭7", "Cmaj7")


def test_sharp_roots_go_where_nobody_expects_them_and_stay_where_they_lead() -> None:
    # Typed B7 before B♭ (concert E♭ major) is a half step above its target: A♭7 in the alto's part, not G♯7.
    concert = chart_from_bar_text("key: Bb major\n\n| B7 | Bbmaj7 | A#dim7 | Bm7 |")
    alto = for_part(concert, "Eb")
    assert [printed(slot.chord, alto.key) for slot in alto.standard][:2] == ["A♭7", "Gmaj7"]
    chain = for_part(chart_from_bar_text("key: C major\n\n| F#7 | Bm7 | E7 | A7 |"), "Bb")
    assert [printed(slot.chord, chain.key) for slot in chain.standard] == ["G♯7", "C♯m7", "F♯7", "B7"]


def test_a_key_inside_the_form_is_respelled_with_its_chords_and_notes() -> None:
    concert = chart_from_bar_text("key: A major\n\n| A | E7 |\nm: a8 | ^g8 |")
    form = concert.form.written
    changed = replace(concert, form=Form((form[0], replace(form[1], key=Key(4))), concert.form.order))
    alto = for_part(changed, "Eb")
    assert alto.form.key_at(0, alto.key) == Key(6)
    assert alto.form.key_at(1, alto.key) == Key(-5)
    assert [name_of(slot.chord.root) for slot in alto.standard if slot.chord] == ["F#", "Db"]
    assert [str(note.pitch) for note in alto.melody] == ["F#6", "F6"]


def test_a_take_in_a_key_of_its_own_is_respelled_too() -> None:
    concert = chart_from_bar_text("key: A major\n\n| A | E7 |\n\ntake: up\n| E | B7 |")
    own = replace(concert, takes=(replace(concert.takes[0], key=Key(4)),))
    alto = for_part(own, "Eb").takes[0]
    assert alto.key == Key(-5)
    assert [name_of(slot.chord.root) for slot in alto.row if slot.chord] == ["Db", "Ab"]


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("part", PARTS)
def test_tunes_lie_where_the_part_is_read_with_ease(path: object, part: str) -> None:
    chart, _ = load_chart(str(path))
    written = on_staff(for_part(chart, part), part)
    heights = [note.pitch.midi for note in written.melody]
    assert PARTS[part].low <= min(heights)
    assert max(heights) <= PARTS[part].high
    moved = {after.pitch.midi - before.pitch.midi for before, after in zip(chart.melody, written.melody, strict=True)}
    assert len(moved) == 1, "the tune keeps its shape"
    assert (moved.pop() - PARTS[part].semitones) % 12 == 0


def test_there_and_back_is_the_same_at_concert_pitch() -> None:
    chart, _ = load_chart(DEMOS[0])
    for part in PARTS.values():
        back = transposed(for_part(chart, part.id), -part.fifths, -part.semitones)
        assert [note.pitch.midi for note in back.melody] == [note.pitch.midi for note in chart.melody]
        assert [slot.chord and slot.chord.sound for slot in back.standard] == [
            slot.chord and slot.chord.sound for slot in chart.standard
        ]
