"""Scores of transposing parts: written as the instrument reads them, sounding at concert pitch, and back again.

Source of the intervals: music21 10.5, instruments; of the element: MusicXML 4.0 schema, type transpose.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree
from music21 import converter, instrument
from music21 import note as music21_note

from app.main import main
from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.files import load_chart, save_chart
from tests.core.foreign.charts import load_schema

TUNE = """title: Slack Water
key: {key}
meter: 4/4

[A]
|: Ebmaj7 Cm7/Bb | Fm7 Bb7b9 :| F#dim7 B7 | N.C. |
m: e3 d c2 B2 | A8 :| ^f4 ^d4 | z8 |

take: Evening
| Gm7 | E7#11 | Am7b5 D7 | Eb6 |
"""
INSTRUMENTS = {"Bb": instrument.Trumpet(), "Eb": instrument.AltoSaxophone(), "F": instrument.Horn(),
               "guitar": instrument.Contrabass(), "bass": instrument.Contrabass()}  # fmt: skip


def chart(key: str) -> Chart:
    return chart_from_bar_text(TUNE.format(key=key).replace("A8 :|", "A8 |"))


def converted(tmp_path: Path, ending: str, *words: str, key: str = "Eb major") -> Path:
    source, target = tmp_path / "tune.changes.json", tmp_path / f"part{ending}"
    save_chart(chart(key), source)
    assert main(["convert", str(source), str(target), *words]) == 0
    return target


@pytest.mark.parametrize("part", sorted(INSTRUMENTS))
def test_a_part_sounds_at_concert_pitch_and_is_read_by_others(part: str, tmp_path: Path) -> None:
    target = converted(tmp_path, ".musicxml", "--part", part)
    load_schema(tmp_path).assertValid(etree.parse(str(target)))
    back = load_chart(target)[0]
    assert back.melody == chart("Eb major").melody
    assert back.key == chart("Eb major").key
    assert [slot.chord and slot.chord.sound for slot in back.takes[0].row] == \
        [slot.chord and slot.chord.sound for slot in chart("Eb major").takes[0].row]  # fmt: skip
    score = converter.parse(target)
    written = [note.pitch.midi for note in score.recurse().getElementsByClass(music21_note.Note)]
    sounding = [note.pitch.midi for note in score.toSoundingPitch().recurse().getElementsByClass(music21_note.Note)]
    interval = INSTRUMENTS[part].transposition
    assert interval is not None
    assert {one - other for one, other in zip(sounding, written, strict=True)} == {interval.semitones}


@pytest.mark.parametrize("part", sorted(INSTRUMENTS))
def test_a_part_in_abc_sounds_at_concert_pitch(part: str, tmp_path: Path) -> None:
    """ABC 2.1, section 4.6: transpose= says by how many semitones."""
    back = load_chart(converted(tmp_path, ".abc", "--part", part))[0]
    assert [note.pitch.midi for note in back.melody] == [note.pitch.midi for note in chart("Eb major").melody]
    assert [slot.chord and slot.chord.sound for slot in back.standard] == \
        [slot.chord and slot.chord.sound for slot in chart("Eb major").standard]  # fmt: skip


@pytest.mark.parametrize(("key", "fifths"), [("E major", "-5"), ("Db major", "-2"), ("C minor", "0")])
def test_the_part_of_an_alto_has_a_key_that_is_read(key: str, fifths: str, tmp_path: Path) -> None:
    """Concert E is D flat, not C sharp. Common practice, no source."""
    target = converted(tmp_path, ".musicxml", "--part", "Eb", key=key)
    assert etree.parse(str(target)).findtext(".//fifths") == fifths
    assert load_chart(target)[0].key == chart(key).key


def test_both_rows_can_be_named(tmp_path: Path) -> None:
    assert [take.name for take in load_chart(converted(tmp_path, ".musicxml", "--row", "both"))[0].takes] == ["Evening"]
    assert load_chart(converted(tmp_path, ".musicxml", "--row", "standard"))[0].takes == ()
