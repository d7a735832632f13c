"""The voice-leading check: guide tones, parallels, and what its findings say."""

from __future__ import annotations

from core.bar_text import chart_from_bar_text
from core.checks.leading import guide_motion, leading_check
from core.key import parse_key
from core.symbol import parse_symbol


def test_guide_tones_of_a_substitute_resolve_like_those_of_the_dominant() -> None:
    # Dm7–Db7–Cmaj7 has the same guide-tone lines as Dm7–G7–Cmaj7: texts derived from Open Music Theory.
    names = [parse_symbol(text) for text in ("Dm7", "G7", "Db7", "Cmaj7")]
    ii, dominant, substitute, tonic = (name for name in names if name)
    assert guide_motion(ii, dominant) == guide_motion(ii, substitute) == 1
    assert guide_motion(dominant, tonic) == guide_motion(substitute, tonic) == 1


def test_new_parallel_octaves_are_said_and_old_ones_are_not() -> None:
    standard = chart_from_bar_text("| G7 | Cmaj7 |\nm: d8 | c8 |")
    key = parse_key("C major")
    new = chart_from_bar_text("| Dm7 G7 | Cmaj7 |").standard[:2]
    tune = chart_from_bar_text("| G7 | Cmaj7 |\nm: d4 g4 | c8 |").melody
    before, after = parse_symbol("Cmaj7"), standard.standard[1].chord
    check = leading_check(before, new, after, standard.form.bars[1].start, tune, standard.standard[:1], key)
    assert [f.text for f in check.findings if f.verdict == "caution"] == [
        "melody and bass move in parallel octaves"
    ] * 2
    same = leading_check(before, new, after, standard.form.bars[1].start, tune, new, key)
    assert all(f.verdict == "good" for f in same.findings)


def test_numbers_in_the_summary_are_guide_tone_steps() -> None:
    standard = chart_from_bar_text("| Dm7 | G7 | Cmaj7 |").standard
    new = chart_from_bar_text("| Dm7 | Db7 | Cmaj7 |").standard[1:2]
    check = leading_check(
        standard[0].chord, new, standard[2].chord, standard[2].onset, (), standard[1:2], parse_key("C major")
    )
    assert check.summary == "in 1, out 1"
    assert check.verdict == "good"
    assert any(f.text == "the bass goes D, D♭, C" for f in check.findings)
