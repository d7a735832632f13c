"""Simple spelling for print: function spelling is stored (F♭7 in E♭), the player reads E7."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from core.chord import Chord, in_context
from core.key import Key
from core.pitch import alteration_of, pretty_name, simple_spelling
from core.row import Slot
from core.symbol import format_chord


def simple(chord: Chord, key: Key) -> Chord:
    """The chord as it is printed in a key: root and bass without double accidentals or foreign C♭, F♭, E♯, B♯."""
    if chord.bass is not None and in_context(chord) is not chord:
        # An eleventh chord is read from its bass: D/E on the substitute F♭, C♭/D♭ beside D♭7.
        lowest = simple_spelling(chord.bass, key.signature)
        root = chord.root + lowest - chord.bass
        if abs(alteration_of(root)) > 1:  # A/B rather than B♭♭/C♭, even where C♭ is in the key
            turn = 12 if root < 0 else -12
            root, lowest = root + turn, lowest + turn
        return replace(chord, root=root, bass=lowest)
    root = simple_spelling(chord.root, key.signature)
    bass = chord.bass
    if bass is not None:
        # A bass that is a tone of the chord is spelled with it (B/D♯ for C♭/E♭); a foreign one, a pedal, for itself.
        own = chord.degree_of(chord.bass_pc) in chord.quality.semitones
        bass = simple_spelling(bass + (root - chord.root if own else 0), key.signature)
    # The upper chord of a polychord is spelled with the lower one: F♯ over E7 for G♭ over F♭7.
    upper = chord.upper and simple(replace(chord.upper, root=chord.upper.root + root - chord.root), key)
    return replace(chord, root=root, bass=bass, upper=upper)


@lru_cache(maxsize=16384)
def printed(chord: Chord | None, key: Key, style: str = "plain") -> str:
    """A chord in simple spelling and a house style; "N.C." for silence."""
    return "N.C." if chord is None else format_chord(simple(chord, key), style)


def slot_text(slot: Slot, key: Key, style: str | None = None) -> str:
    """What stands on the page: the typed text when there is one and no style is forced, else the printed chord."""
    text = slot.typed if slot.typed and style is None else printed(slot.chord, key, style or "plain")
    return f"({text})" if slot.optional else text


def tone_name(tone: int, key: Key) -> str:
    """A chord tone by its degree's letter, C♭ and F♭ included; only double accidentals are simplified."""
    return pretty_name(tone if abs(alteration_of(tone)) <= 1 else simple_spelling(tone, key.signature))


@lru_cache(maxsize=4096)
def bass_name(chord: Chord, key: Key) -> str:
    """The lowest note as the printed chord names it: B for the bass of C♭m7 printed Bm7."""
    shown = simple(chord, key)
    return pretty_name(shown.root if shown.bass is None else shown.bass)
