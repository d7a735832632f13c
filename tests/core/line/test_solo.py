"""A line over its form: choruses, pickups, what does not fit; the summary's numbers counted anew."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import mido
import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Take
from core.line.analysis import read_line
from core.line.compare import disagreements, follows
from core.line.files import better_place, read_solo
from core.line.lesson import lesson_chart
from core.line.reading import APPROACH, CHORD_TONE, OUTSIDE, TENSION
from core.line.solo import LineError, LineNote, Solo, over_form, solo_of_melody
from core.line.summary import sentences
from core.meter import Meter
from core.pitch import pitch_from_midi
from tests.core.line.hand import marked_lines

CHART = chart_from_bar_text(
    "title: Four Bollards\nkey: C major\nmeter: 4/4\n\n| Dm7 | G7 | Cmaj7 | Cmaj7 |\nm: D4 F4 | B4 G4 | c8 | E8 |\n"
    "\ntake: Moored\n| Dm7 | Db7 | Cmaj7 | Cmaj7 |\n"
)


def solo(*notes: tuple[float, float, int], meter: Meter | None = None) -> Solo:
    line = tuple(LineNote(Fraction(at), Fraction(length), pitch_from_midi(midi), Fraction(at))
                 for at, length, midi in notes)  # fmt: skip
    return Solo("Line", line, meter or Meter())


def test_choruses_wrap_and_every_note_meets_its_own_chord() -> None:
    line = solo(*((at, 1, 62) for at in range(48)))
    reading = read_line(line, CHART)
    assert [str(one.chord) for one in reading.heard[16:24]] == ["Dm7"] * 4 + ["G7"] * 4
    assert [reading.place(index).chorus for index in (0, 15, 16, 47)] == [1, 1, 2, 3]
    assert [reading.place(index).bar.number for index in (0, 15, 16, 47)] == [1, 4, 1, 4]
    assert "The line goes round the form 3 times." in reading.notes


def test_a_pickup_is_read_over_the_end_of_the_form() -> None:
    reading = read_line(solo((-1, 1, 64), (0, 1, 65)), CHART)
    assert str(reading.heard[0].chord) == "Cmaj7"
    assert (reading.place(0).chorus, reading.place(0).bar.number) == (0, 4)
    assert any("pickup" in note for note in reading.notes)


def test_a_line_may_begin_on_another_bar_and_end_in_mid_form() -> None:
    reading = read_line(solo((0, 1, 71), (1, 1, 67)), CHART, at_bar=2)
    assert [str(one.chord) for one in reading.heard] == ["G7", "G7"]
    assert any("before the form is over" in note for note in reading.notes)


def test_another_metre_is_said_and_an_empty_line_refused() -> None:
    assert any("3/4" in note for note in read_line(solo((0, 1, 62), meter=Meter(3, 4)), CHART).notes)
    with pytest.raises(LineError, match="no notes"):
        over_form(solo(), CHART.form)
    with pytest.raises(LineError, match="choruses"):
        over_form(solo((16_000, 1, 60)), CHART.form)


def test_a_line_that_fits_another_bar_better_is_told_so() -> None:
    line = solo((0, 1, 71), (1, 1, 67), (2, 1, 65), (3, 1, 71), (4, 2, 72), (6, 2, 71))
    assert (better_place(line, CHART, "standard", None) or "").startswith("Laid from bar 2 ")
    assert better_place(line, CHART, "standard", 2) is None


def test_standard_and_take_disagree_in_the_changed_bar_only() -> None:
    line = solo((0, 1, 62), (4, 1, 71), (5, 1, 67), (8, 1, 64))
    one, other = read_line(line, CHART), read_line(line, CHART, "Moored")
    found = disagreements(one, other)
    assert [(bar.place.bar.number, bar.notes) for bar in found] == [(2, (1, 2))]
    assert [str(reading.heard[1].degree) for reading in (one, other)] == ["3", "b7"]
    assert follows(one, one).startswith("The line fits standard and standard alike")


def test_a_take_of_its_own_form_is_read_on_its_own_bars() -> None:
    longer = chart_from_bar_text("title: Long\nkey: C major\nmeter: 4/4\n\n| Dm7 | Dm7 | G7 | G7 | Cmaj7 |\n")
    chart = replace(CHART, takes=(Take("Long", longer.standard, form=longer.form, melody=(),
                                       alignment=(0, None, 1, None, 2)),))  # fmt: skip
    reading = read_line(solo((8, 1, 71)), chart, "Long")
    assert str(reading.heard[0].chord) == "G7"
    with pytest.raises(LineError, match="Long has other bars than standard"):
        lesson_chart(read_line(solo((8, 1, 71)), chart), chart, reading)


def test_the_summary_says_what_is_counted() -> None:
    for line in marked_lines():
        reading = line.reading()
        text = " ".join(sentences(reading))
        assert f"{len(reading.heard)} notes in" in text
        total = sum(reading.kinds.count(kind) for kind in (CHORD_TONE, TENSION, APPROACH, OUTSIDE))
        assert f"{round(100 * reading.kinds.count(CHORD_TONE) / total)} % chord tones" in text
        if guides := len(reading.of("guide_tone")):
            assert f"{guides} guide-tone resolution" in text


def test_dominants_that_resolve_are_counted_by_the_seventh_alone() -> None:
    chart = chart_from_bar_text(
        "title: Two\nkey: C major\nmeter: 4/4\n\n| G7 | Cmaj7 | G7 | Cmaj7 |\nm: G4 F4 | E8 | G4 B4 | B8 |\n"
    )
    text = " ".join(sentences(read_line(solo_of_melody("Two", chart.melody, chart.form), chart)))
    assert "1 of 2 dominants resolve 7 to 3, 2 guide-tone resolutions in all." in text


def test_a_played_line_keeps_its_onsets_beside_the_written_ones(tmp_path: Path) -> None:
    file = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    late = [20, 500, 950, 1465, 1930, 2420, 2900, 3370]
    at = 0
    for onset, midi in zip(late, (62, 65, 69, 72, 71, 69, 67, 65), strict=True):
        track.append(mido.Message("note_on", note=midi, velocity=80, time=onset - at))
        track.append(mido.Message("note_off", note=midi, velocity=0, time=400))
        at = onset + 400
    path = tmp_path / "late line.mid"
    file.save(path)
    line = read_solo(path)
    assert [note.onset for note in line.notes] == list(range(8))
    assert [round(float(note.played) * 480 / 10) for note in line.notes] == [round(onset / 10) for onset in late]


def test_a_played_line_is_spelled_by_its_chords_and_a_polyphonic_one_keeps_its_top(tmp_path: Path) -> None:
    file = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    for notes in ((62, 69), (65,), (68, 71), (73,)):  # D F, then G♯ or A♭ and C♯ or D♭
        for kind, time in (("note_on", 0), ("note_off", 960)):
            for place, note in enumerate(notes):
                track.append(mido.Message(kind, note=note, velocity=70, time=0 if place else time))
    path = tmp_path / "two at once.mid"
    file.save(path)
    line = read_solo(path)
    assert [note.pitch.midi for note in line.notes] == [69, 65, 71, 73]
    assert any("top note is kept" in told for told in line.report)
    reading = read_line(line, CHART, "Moored")
    assert [str(one.note.pitch) for one in reading.heard] == ["A4", "F4", "B4", "Db5"]  # C♭ is read as B
    assert [str(one.degree) for one in reading.heard] == ["5", "b3", "b7", "1"]
