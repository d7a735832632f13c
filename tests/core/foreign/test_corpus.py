"""The two lead sheets of music21's corpus against what music21's own expandRepeats says is played.

Source of the expectation: music21 10.5, ``Stream.expandRepeats`` and ``Stream.stripTies``.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import music21
import pytest
from music21 import converter, harmony, note, stream

from core.chart import Chart
from core.foreign import read_foreign, write_musicxml
from core.foreign.musicxml_read import read_musicxml
from core.pitch import chromatic

FOLDER = Path(music21.__file__).parent / "corpus" / "leadSheet"
NAMES = ("fosterBrownHair", "berlinAlexandersRagtime")

# music21 reads the direction "N.C." as words only; we read a bar without a chord, as a player does.
# How many such slots are played:
NO_CHORD_WORDS = {"fosterBrownHair": 6, "berlinAlexandersRagtime": 1}


@pytest.fixture(scope="module", params=NAMES)
def sheet(request: pytest.FixtureRequest) -> tuple[str, Chart, stream.Part]:
    path = FOLDER / f"{request.param}.mxl"
    played = converter.parse(path).expandRepeats().parts[0]
    return request.param, read_foreign(path).chart, played


def test_every_chord_is_played_where_music21_plays_it(sheet: tuple[str, Chart, stream.Part]) -> None:
    name, chart, played = sheet
    expected = [(Fraction(symbol.getOffsetInHierarchy(played)), symbol.root().pitchClass,
                 frozenset(pitch.pitchClass for pitch in symbol.pitches))
                for symbol in played.recurse().getElementsByClass(harmony.ChordSymbol)]  # fmt: skip
    ours = [(slot.onset, chromatic(slot.chord.root), slot.chord.pitch_classes)
            for slot in chart.standard if slot.chord is not None]  # fmt: skip
    assert len(expected) > 30
    assert ours == expected
    assert sum(slot.chord is None for slot in chart.standard) == NO_CHORD_WORDS[name]


def test_every_melody_note_is_played_as_music21_plays_it(sheet: tuple[str, Chart, stream.Part]) -> None:
    _, chart, played = sheet
    merged = played.stripTies()
    expected = [(Fraction(element.getOffsetInHierarchy(merged)), element.pitch.midi, Fraction(element.quarterLength))
                for element in merged.recurse().getElementsByClass(note.Note)]  # fmt: skip
    ours = [(played_note.onset, played_note.pitch.midi, played_note.duration) for played_note in chart.melody]
    assert len(expected) > 170
    assert ours == expected
    spelled = [
        element.pitch.nameWithOctave.replace("-", "b") for element in merged.recurse().getElementsByClass("Note")
    ]
    assert [str(played_note.pitch) for played_note in chart.melody] == [name.replace("-", "b") for name in spelled]


def test_printed_bars_and_order_are_kept(sheet: tuple[str, Chart, stream.Part]) -> None:
    _, chart, played = sheet
    assert [bar.printed for bar in chart.form.bars] == [str(bar.number) for bar in played.getElementsByClass("Measure")]
    assert any(bar.repeat_start for bar in chart.form.written)
    assert [bar.endings for bar in chart.form.written if bar.endings][-1] == (2,)


def test_it_is_written_back_equal(sheet: tuple[str, Chart, stream.Part]) -> None:
    _, chart, _ = sheet
    back, report = read_musicxml([write_musicxml(chart).encode()], "untitled")
    assert back == chart
    assert report == ()
