"""The melody check: degrees, structural notes, anticipation; and that it refuses melodies that do not belong."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from core.bar_text import chart_from_bar_text
from core.checks.melody import NoteFit, degree_name, fits, melody_check
from core.edit import set_melody
from core.files import load_chart
from core.key import parse_key
from core.pitch import parse_pitch_class
from core.propose import propose
from core.row import merged
from core.symbol import parse_symbol

DEMOS = sorted((Path(__file__).parents[3] / "demo_charts").glob("*.changes.json"))


def judged(text: str) -> tuple[NoteFit, ...]:
    chart = chart_from_bar_text(text)
    return fits(chart.melody, chart.standard, None, chart.key, chart.form)


@pytest.mark.parametrize(
    ("chord", "note", "degree"),
    [("Db7", "G", "♯11"), ("Db7", "B", "♭7"), ("Db7", "E", "♯9"), ("Db7", "D", "♭9"), ("C6", "D", "9"), ("Cmaj7", "A", "13"),
     ("C6", "A", "6"), ("Dm7", "G", "11"), ("Bm7b5", "G", "♭13"), ("F/G", "C", "4"), ("F/G", "B", "3"), ("C7#9", "D#", "♯9"),
     ("Fm7", "Ab", "♭3"), ("C", "C", "root")],
)  # fmt: skip
def test_degrees_are_named_over_the_chord(chord: str, note: str, degree: str) -> None:
    # Common practice, no source.
    written = parse_symbol(chord)
    assert written is not None
    assert degree_name(written, parse_pitch_class(note)) == degree


def test_every_note_longer_than_an_eighth_gets_a_verdict_not_only_the_first() -> None:
    (*good, clash) = judged("| Cmaj7 |\nm: E2 D2 C2 ^C2 |")
    assert [fit.verdict for fit in good] == ["good", "good", "good"]
    assert (clash.degree, clash.verdict) == ("♭9", "clash")


def test_a_structural_fourth_on_a_major_seventh_clashes_and_a_passing_one_does_not() -> None:
    # Common practice, no source: the F held over Cmaj7 is a minor ninth over its third.
    assert judged("| Cmaj7 |\nm: F4 E4 |")[0].verdict == "clash"
    assert [fit.verdict for fit in judged("| Cmaj7 |\nm: G3 F E4 |")] == ["good", "good", "good"]


def test_an_anticipation_is_judged_against_the_chord_it_belongs_to() -> None:
    # Anticipations of the next chord's tones, from the last eighth on: common practice, no source.
    over = judged("| G7 | Cmaj7 |\nm: d6 B c- | c8 |")
    anticipation = over[2]
    assert anticipation.remark == "anticipates Cmaj7"
    assert (anticipation.degree, anticipation.verdict) == ("root", "good")
    on_the_beat = judged("| G7 | Cmaj7 |\nm: c8 | c8 |")
    assert (on_the_beat[0].remark, on_the_beat[0].verdict) == ("", "clash")


def test_a_root_held_over_a_major_seventh_asks_for_the_sixth() -> None:
    # Common practice, no source.
    assert [fit.verdict for fit in judged("| Cmaj7 |\nm: C2 E2 C4 |")] == ["good", "good", "caution"]
    assert judged("| C6 |\nm: C8 |")[0].verdict == "good"


def test_a_short_tail_over_the_change_is_a_late_release() -> None:
    fits_ = judged("| F | Cmaj7 |\nm: z4 F4- | F E3 z4 |")
    assert (fits_[1].verdict, fits_[1].structural) == ("good", False)


def test_notes_over_silence_are_not_judged() -> None:
    assert [fit.midi for fit in judged("| N.C. | C6 |\nm: ^C8 | E8 |")] == [64]


def test_the_summary_names_the_worst_note_first() -> None:
    chart = chart_from_bar_text("| Db7 |\nm: G4 c4 |")
    check = melody_check(chart.melody, chart.standard, parse_symbol("Cmaj7"), parse_key("C major"), chart.form)
    assert check.verdict == "clash"
    assert check.summary.startswith("C is 7")
    assert check.findings[1].text == "C is the major seventh, against the flat seventh of D♭7"


# --- the check refuses ---------------------------------------------------------------------------------------------


def clash_share(path: Path, semitones: int) -> float:
    """Share of melody notes that clash with the standard row when the tune alone is moved."""
    chart, _ = load_chart(path)
    # Moved by the nearest spelling of the interval; the chords stay.
    moved = tuple(
        type(n)(n.onset, n.duration, n.pitch.transposed((semitones * 7 + 5) % 12 - 5, semitones)) for n in chart.melody
    )
    moved_chart = set_melody(chart, moved)
    found = fits(moved_chart.melody, merged(chart.standard), chart.standard[0].chord, chart.key, chart.form)
    return sum(fit.verdict == "clash" for fit in found) / len(found)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_melodies_moved_off_their_chords_are_refused(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    as_written = clash_share(path, 0)
    moved = {semitones: clash_share(path, semitones) for semitones in range(1, 12)}
    with capsys.disabled():
        shares = " ".join(f"{semitones}:{share:.0%}" for semitones, share in moved.items())
        print(f"\n{path.stem}: clashes as written {as_written:.0%}, moved up by semitones {shares}")
    assert as_written == 0
    assert min(moved.values()) > 0.03
    assert sum(moved.values()) / len(moved) > 0.2


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_no_proposal_puts_a_structural_note_on_a_clash(path: Path) -> None:
    chart, _ = load_chart(path)
    found = propose(chart, None, Fraction(0), chart.form.length)
    assert found.proposals
    for proposal in found.proposals:
        assert all(finding.verdict != "clash" for finding in proposal.melody.findings)
    for refusal in found.refused:
        assert refusal.findings
        assert refusal.why
