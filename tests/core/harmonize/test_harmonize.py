"""Chords for a tune without any, and over a bass line."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.checks.melody import melody_check
from core.files import load_chart
from core.function import read
from core.harmonize import Asked, HarmonizeError, harmonize
from core.harmonize.vocabulary import vocabulary
from core.key import parse_key
from core.places import folder
from core.row import Row, check_row, merged, span

DEMOS = sorted(folder("demo_charts").glob("*.json"))
FERRY = """key: G major

[A]
| N.C. | N.C. | N.C. | N.C. |
m: B4 A4 | G6 z2 | c4 B4 | A8 |
| N.C. | N.C. | N.C. | N.C. |
m: B4 d4 | e6 d2 | c4 A4 | G8 |
"""
STAIRS = "key: G major\n\n| G | F# | E | D |\n| C | B | A D | G |\n"


def _clashes(chart: Chart, row: Row) -> list[str]:
    found = []
    for index, slot in enumerate(row):
        following = row[(index + 1) % len(row)].chord
        bar = chart.form.bar_at(slot.end if slot.end < chart.form.length else chart.form.bars[0].start)
        key = chart.form.key_at(bar.index, chart.key)
        checked = melody_check(chart.melody, (slot,), following, key, chart.form, True)
        found += [finding.text for finding in checked.findings if finding.verdict == "clash"]
    return found


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_rows_bear_the_tune_and_go_home(path: Path) -> None:
    """No structural note clashes, the end is the tonic, and nearly every dominant goes where it leads."""
    chart = load_chart(path)[0]
    made = list(harmonize(chart, Asked(2)))
    assert len(made) == 2
    for take in made:
        check_row(take.row, chart.form.length)
        assert not _clashes(chart, take.row)
        last = take.row[-1].chord
        assert last is not None
        assert last.root_pc == chart.key.tonic_pc
        assert sum(map(sum, take.terms)) == take.cost
        row = merged(take.row)
        readings = [read(slot.chord, after.chord, chart.key) for slot, after in pairwise(row) if slot.chord]  # fmt: skip
        dominants = [reading for reading in readings if reading.function == "D"]
        assert sum(reading.resolves for reading in dominants) >= 0.8 * len(dominants)
    one, other = ([slot.chord for slot in merged(take.row)] for take in made)
    assert one != other


def test_a_plain_tune_gets_plain_chords_and_a_cadence() -> None:
    """Tonic, subdominant and dominant chords of the key, two to five of the cadence; common practice, no source."""
    chart = chart_from_bar_text(FERRY)
    row = next(harmonize(chart, Asked(1))).row
    key = parse_key("G major")
    assert {slot.chord for slot in row} <= {offer.chord for offer in vocabulary(key)}
    cadence = [slot.chord for slot in merged(span(row, chart.form.bars[5].start, chart.form.length)) if slot.chord]
    assert cadence[-1].root_pc == 7
    assert cadence[-2].root_pc == 2
    assert cadence[-2].quality.family in ("dominant", "suspended")


def test_a_bass_line_is_kept_note_for_note() -> None:
    chart, bass = chart_from_bar_text(FERRY), chart_from_bar_text(STAIRS).standard
    for take in harmonize(chart, Asked(3, bass)):
        assert not _clashes(chart, take.row)
        for slot in bass:
            assert slot.chord is not None
            assert {one.chord.bass_pc for one in span(take.row, slot.onset, slot.end) if one.chord} == {
                slot.chord.root_pc
            }


def test_sections_alike_have_the_same_chords_unless_their_tunes_cannot() -> None:
    chart = chart_from_bar_text(FERRY.replace("| A8 |\n", "| A8 |\n[A]\n"))
    first, second = (span(next(harmonize(chart, Asked(1))).row, chart.form.bars[low].start, chart.form.bars[high].end)
                     for low, high in ((0, 2), (4, 6)))  # fmt: skip
    length = chart.form.bars[4].start
    assert [(slot.onset, slot.chord) for slot in merged(first)] == [
        (slot.onset - length, slot.chord) for slot in merged(second)
    ]


def test_a_pickup_stays_silent() -> None:
    chart = chart_from_bar_text(
        "key: C major\n\n| {pickup} {length 1} N.C. | N.C. | N.C. | N.C. |\nm: G2 | c4 e4 | d4 B4 | c8 |\n"
    )
    row = next(harmonize(chart, Asked(1))).row
    assert row[0].chord is None
    assert row[0].end == chart.form.bars[0].end
    assert all(slot.chord for slot in row[1:])


@pytest.mark.parametrize(
    ("text", "asked", "said"),
    [
        ("key: C major\n\n| N.C. | N.C. |\n", Asked(1), "neither a melody nor a bass line"),
        (FERRY, Asked(0), "from 1 to 50"),
    ],
)
def test_nothing_to_go_by_is_said_in_one_sentence(text: str, asked: Asked, said: str) -> None:
    with pytest.raises(Exception, match=said) as caught:
        list(harmonize(chart_from_bar_text(text), asked))
    assert str(caught.value).endswith(".")


def test_a_bass_that_nothing_carries_is_refused_with_its_bar() -> None:
    """A third, both fourths and a fifth, each a beat long over one bass: no chord has room for them."""
    chart = chart_from_bar_text("key: C major\n\n| N.C. | N.C. |\nm: E2 F2 ^F2 G2 | C8 |\n")
    bass = chart_from_bar_text("key: C major\n\n| C | C |\n").standard
    with pytest.raises(HarmonizeError, match=r"over C .* bar 1"):
        list(harmonize(chart, Asked(1, bass)))
