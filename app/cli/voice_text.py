"""What ``changewright voice`` prints for a player to read."""

from __future__ import annotations

from app.cli import document
from core.hands.colours import Colours, colours_of
from core.hands.grips import Grip, Player
from core.hands.guitar import Choice, Plan
from core.hands.piano import PianoChoice, PianoPlan, PianoPlayer, why_left_out
from core.hands.voiced_row import VoicedRow, note_name
from core.pitch import Degree, with_signs
from core.row import Slot
from core.spelling import printed, tone_name


def print_guitar(voiced: VoicedRow, player: Player, plan: Plan, colours: bool) -> None:
    """A row as grips, one chord a line."""
    board = player.board
    capo = f"capo at fret {board.capo}, frets counted from it" if board.capo else "no capo"
    print(f"{voiced.title}, {voiced.name}: {player.style} on the guitar")
    print(f"Strings {' '.join(map(with_signs, board.names))}, {board.frets} frets, {capo}; x is silent.")
    for remark in plan.remarks:
        print(remark)
    wide = max((len(choice.grip.text) for choice in plan.choices if choice), default=1)
    for slot, choice, found in zip(
        voiced.row, plan.choices, colours_of(voiced.row, voiced.form, voiced.key), strict=True
    ):
        line = "" if choice is None else _guitar_line(choice, wide)
        _print(voiced, slot, line, () if choice is None else choice.remarks)
        if choice is not None and choice.others:
            print(f"{_INDENT}or {'; '.join(other.text for other in choice.others)}")
        _print_colours(voiced, found if colours else None)


def print_piano(voiced: VoicedRow, player: PianoPlayer, plan: PianoPlan, colours: bool) -> None:
    """A row as notes for two hands, one chord a line."""
    print(f"{voiced.title}, {voiced.name}: {player.style} on the piano, lowest note first, | between the hands")
    for slot, choice, found in zip(
        voiced.row, plan.choices, colours_of(voiced.row, voiced.form, voiced.key), strict=True
    ):
        if choice is None:
            _print(voiced, slot, "", ())
            continue
        why = why_left_out(choice.chord, choice.missing)
        _print(voiced, slot, _piano_line(voiced, choice), (*choice.remarks, *([why] if why else [])))
        for other in choice.others:
            names = (note_name(note, choice.chord, degree, voiced.key)
                     for note, degree in zip(other.notes, other.degrees, strict=True))  # fmt: skip
            print(f"{_INDENT}or {' '.join(names)}")
        _print_colours(voiced, found if colours else None)


_INDENT = " " * 32


def _print(voiced: VoicedRow, slot: Slot, line: str, remarks: tuple[str, ...]) -> None:
    where = document.place(voiced.form, slot.onset)
    text = printed(slot.chord, voiced.key)
    print(f"bar {where['bar']:>3}, beat {where['beat']:<5} {text:12} {line}".rstrip())
    for remark in remarks:
        print(f"{_INDENT}{remark}")


def _guitar_line(choice: Choice, wide: int) -> str:
    grip = choice.grip
    return f"{grip.text:{wide}}   fingers {_fingers(grip)}   {_degrees(grip.degrees)}"


def _fingers(grip: Grip) -> str:
    return " ".join("x" if finger is None else str(finger) for finger in grip.fingers)


def _piano_line(voiced: VoicedRow, choice: PianoChoice) -> str:
    names = [note_name(note, choice.chord, degree, voiced.key)
             for note, degree in zip(choice.shape.notes, choice.shape.degrees, strict=True)]  # fmt: skip
    cut = len(choice.hands.left)
    left, right = " ".join(names[:cut]), " ".join(names[cut:])
    both = f"{left} | {right}" if left and right else left or right
    form = f"   {choice.form} form" if choice.form and len(names) > 2 else ""
    upper = f"   {printed(choice.upper, voiced.key)} on top" if choice.upper is not None else ""
    return f"{both:22}   {_degrees(choice.shape.degrees)}{upper or form}"


def _degrees(degrees: tuple[Degree, ...]) -> str:
    return " ".join(with_signs(str(degree)) for degree in degrees)


def _print_colours(voiced: VoicedRow, colours: Colours | None) -> None:
    """The scales that fit, the first with its notes, and the upper structures with what they give."""
    if colours is None:
        return
    for number, fit in enumerate(colours.scales[:3]):
        notes = " ".join(tone_name(colours.chord.tone(degree), voiced.key) for degree in fit.scale.degrees)
        avoid = f"; avoid {_degrees(fit.avoid)}" if fit.avoid else ""
        free = f"; tensions {_degrees(fit.tensions)}" if number == 0 and fit.tensions else ""
        print(f"{_INDENT}{'scale' if number == 0 else '   or'} {fit.scale.name}: {notes}{free}{avoid}")
    for upper, _ in colours.structures[:6]:
        print(f"{_INDENT}{printed(upper.triad, voiced.key)} over it: {_degrees(upper.degrees)}")
