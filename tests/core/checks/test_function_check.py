"""The function check: kept, softened, redirected, lost."""

from __future__ import annotations

import pytest

from core.bar_text import chart_from_bar_text
from core.checks.function_check import EFFECTS, effect_of, function_check
from core.chord import Chord
from core.key import parse_key
from core.symbol import parse_symbol


def chords(*texts: str) -> list[Chord]:
    return [chord for text in texts if (chord := parse_symbol(text)) is not None]


# Old, new, what follows, key, effect. The four dominants that may precede a tonic: Granroth-Wilding & Steedman 2014,
# Journal of New Music Research 43(4); the rest common practice, no source.
CASES = [
    ("G7", "Db7", "Cmaj7", "C major", "kept"), ("G7", "Bb7", "Cmaj7", "C major", "kept"), ("G7", "F/G", "Cmaj7", "C major", "kept"),
    ("G7", "Dbmaj7", "Cmaj7", "C major", "softened"), ("G7", "Bbmaj7", "Cmaj7", "C major", "softened"),
    ("G7", "Fm6", "Cmaj7", "C major", "softened"), ("G7", "Bo7", "Cmaj7", "C major", "kept"),
    ("G7", "Eb7", "Cmaj7", "C major", "redirected"), ("G7", "A7", "Cmaj7", "C major", "redirected"),
    ("G7", "Ebmaj7", "Cmaj7", "C major", "lost"), ("G7", "Am7", "Cmaj7", "C major", "lost"),
    ("Cmaj7", "Em7", "Fmaj7", "C major", "kept"), ("Dm7", "Fmaj7", "G7", "C major", "kept"), ("A7", "Eb7", "Dm7", "C major", "kept"),
    ("Dm7b5", "Dm11", "G7", "C minor", "kept"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "following", "key", "effect"), CASES)
@pytest.mark.parametrize("moved", range(-5, 7))
def test_effects_in_all_keys(old: str, new: str, following: str, key: str, effect: str, moved: int) -> None:
    one, two, after = (chord.transposed(moved) for chord in chords(old, new, following))
    assert effect_of(one, two, after, parse_key(key).transposed(moved)).name == effect


def test_a_dominant_that_loses_its_arrival_is_said() -> None:
    def check(before: str, old: str, new: str) -> tuple[str, str]:
        standard, take = (chart_from_bar_text(f"| {before} | {text} | Cmaj7 |").standard for text in (old, new))
        last = take[-1]
        found = function_check(
            standard[0].chord, standard[1:-1], take[1:-1], last.chord, last.onset, parse_key("C major")
        )
        return found.verdict, found.summary

    assert check("A7", "Dm7 G7", "Fm7 Bb7") == ("caution", "leaves A7 unresolved")
    assert check("A7", "Dm7 G7", "Dm7 Db7") == ("good", "aims at C")
    assert check("D7", "G7", "Dm7 G7") == ("good", "aims at C")  # its target comes after that target's own ii
    assert check("D7", "G7", "Db7") == ("good", "aims at C")  # a half step down, as a substitute does


def test_the_finding_says_what_became_of_the_function() -> None:
    standard = chart_from_bar_text("| G7 | Cmaj7 |").standard
    new = chart_from_bar_text("| Ebmaj7 | Cmaj7 |").standard
    check = function_check(None, standard[:1], new[:1], standard[1].chord, standard[1].onset, parse_key("C major"))
    assert check.verdict == EFFECTS["lost"] == "clash"
    assert check.findings[0].text == "in C major, V7 (V) becomes ♭IIImaj7 (borrowed): function lost"
    assert dict(check.findings[0].numbers)["target_moves"] == 0
