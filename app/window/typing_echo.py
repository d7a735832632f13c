"""What is said under a bar while it is typed: the notes of every chord, or what is wrong and where. No Qt."""

from __future__ import annotations

from app.window.page.bar_editor import TypingEcho
from core.abc_notes import MelodyTextError, parse_abc_bar
from core.bar_slots import BarError
from core.bar_text import parse_bar
from core.form import Bar
from core.key import Key
from core.pitch import with_signs
from core.row import Row
from core.symbol import echo, reading_note


def echo_chords(text: str, bar: Bar, previous: Row) -> TypingEcho:
    """The notes of the typed chords: ``'B D F♯ A  ·  E G♯ B D A♯'``; a fault names its place."""
    if not text.strip():
        return TypingEcho(
            "Chords of this bar, as in Dm7 G7. A slash holds a beat, % repeats the bar before, N.C. is silence.", 0
        )
    try:
        row = parse_bar(text, bar.start, bar.length, bar.meter, previous)
    except BarError as error:
        return TypingEcho(str(error), error.position)
    notes = "   ·   ".join(echo(slot.chord) for slot in row)
    remarks = dict.fromkeys(note for slot in row if slot.typed and (note := reading_note(slot.typed)))
    return TypingEcho("\n".join([notes, *(f"{remark[0].upper()}{remark[1:]}." for remark in remarks)]))


def echo_tune(text: str, bar: Bar, key: Key) -> TypingEcho:
    """The typed notes by name; a fault names its place."""
    if not text.strip():
        return TypingEcho("A bar of rest. Notes as in B2 d2 ^f2 z2: capitals below c′, 2 doubles an eighth, z rests.")
    try:
        melody, tied = parse_abc_bar(text, bar, key)
    except MelodyTextError as error:
        return TypingEcho(f"{error.problem[0].upper()}{error.problem[1:]}.", error.position)
    names = " ".join(with_signs(str(note.pitch)) for note in melody) or "rest"
    return TypingEcho(names + (" tied on" if tied else ""))
