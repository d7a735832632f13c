"""Chords as each instrument reads them: written above concert pitch by the part's interval, and back again."""

from __future__ import annotations

import pytest

from core.bar_text import chart_from_bar_text
from core.edit import transposed
from core.sheet.part import PARTS, for_part

# Concert chords and what stands in the part: B♭ instruments a whole step up, E♭ a major sixth, F a fifth, bass and
# guitar an octave with the names unchanged. Common practice, no source.
WRITTEN = {
    "C": ("C", "F#7", "Eb6", "Abm7b5"), "Bb": ("D", "G#7", "F6", "Bbm7b5"), "Eb": ("A", "D#7", "C6", "Fm7b5"),
    "F": ("G", "C#7", "Bb6", "Ebm7b5"), "bass": ("C", "F#7", "Eb6", "Abm7b5"), "guitar": ("C", "F#7", "Eb6", "Abm7b5"),
}  # fmt: skip
ABOVE = {"C": 0, "Bb": 2, "Eb": 9, "F": 7, "bass": 12, "guitar": 12}


@pytest.mark.parametrize("part", sorted(PARTS))
def test_chords_and_notes_of_a_part_and_back_at_concert_pitch(part: str) -> None:
    concert = chart_from_bar_text("| C | F#7 | Eb6 | Abm7b5 |\nm: c8 | ^f8 | _e8 | _a8 |")
    written = for_part(concert, part)
    assert tuple(slot.text for slot in written.standard) == WRITTEN[part]
    assert [note.pitch.midi for note in written.melody] == [note.pitch.midi + ABOVE[part] for note in concert.melody]
    interval = PARTS[part]
    assert transposed(written, -interval.fifths, -interval.semitones) == concert
