"""The lesson's chart: every note keeps its degree, its chord and its time. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

from core.line.analysis import read_line
from core.line.lesson import lesson_chart
from core.line.solo import LineNote, Solo, solo_of_melody
from core.pitch import pitch_from_midi
from tests.core.line.hand import marked_lines
from tests.core.line.test_solo import CHART


def test_the_lesson_reads_back_as_the_line_it_was_made_of() -> None:
    for line in marked_lines():
        reading = line.reading()
        lesson = lesson_chart(reading, line.chart)
        again = read_line(solo_of_melody(lesson.title, lesson.melody, lesson.form), lesson)
        assert [str(one.degree) for one in again.heard] == [str(one.degree) for one in reading.heard]
        assert again.features == reading.features


def test_choruses_are_written_out_with_their_chords_and_numbers() -> None:
    line = tuple(
        LineNote(Fraction(at), Fraction(1), pitch_from_midi(62 + at % 5), Fraction(at)) for at in range(-1, 36)
    )
    lesson = lesson_chart(read_line(Solo("Round", line, CHART.meter), CHART), CHART)
    assert [bar.number for bar in lesson.form.written][:6] == ["4", "1", "2", "3", "4", "2/1"]
    assert [str(slot.chord) for slot in lesson.standard][:4] == ["Cmaj7", "Dm7", "G7", "Cmaj7"]
    assert len(lesson.melody) == len(line)
    assert lesson.melody[0].onset == 3
