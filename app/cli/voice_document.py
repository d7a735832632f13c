"""The JSON documents of ``changewright voice``."""

from __future__ import annotations

from collections.abc import Iterable

from app.cli import document
from core.chord_scales import ScaleFit
from core.hands.colours import Colours, colours_of
from core.hands.grips import Grip, Player
from core.hands.guitar import Choice, Plan
from core.hands.piano import PianoChoice, PianoPlan, PianoPlayer, why_left_out
from core.hands.terms import TERMS
from core.hands.voiced_row import VoicedRow
from core.pitch import Degree, name_of
from core.row import Slot
from core.voicing_shapes import Shape


def guitar_document(voiced: VoicedRow, player: Player, plan: Plan) -> document.Document:
    """A row on the guitar."""
    board = player.board
    found = _head(voiced, "guitar", player.style, plan.cost)
    found["tuning"] = {"strings": list(board.strings), "names": list(board.names), "frets": board.frets,
                       "capo": board.capo}  # fmt: skip
    found["octave"], found["remarks"] = plan.octave, list(plan.remarks)
    found["chords"] = [
        {**_slot(voiced, slot, colours), **_guitar_chord(choice)}
        for slot, choice, colours in zip(voiced.row, plan.choices, _colours(voiced), strict=True)
    ]
    return found


def piano_document(voiced: VoicedRow, player: PianoPlayer, plan: PianoPlan) -> document.Document:
    """A row on the piano."""
    found = _head(voiced, "piano", player.style, plan.cost)
    found["span"], found["remarks"] = player.span, []
    found["chords"] = [
        {**_slot(voiced, slot, colours), **_piano_chord(choice)}
        for slot, choice, colours in zip(voiced.row, plan.choices, _colours(voiced), strict=True)
    ]
    return found


def _colours(voiced: VoicedRow) -> tuple[Colours | None, ...]:
    return colours_of(voiced.row, voiced.form, voiced.key)


def _head(voiced: VoicedRow, instrument: str, style: str, cost: int) -> document.Document:
    terms = {term.id: {"weight": term.weight, "per": term.words} for term in TERMS.values()}
    return {"title": voiced.title, "row": voiced.name, "key": str(voiced.key), "instrument": instrument, "style": style,
            "cost": cost, "terms": terms}  # fmt: skip


def _slot(voiced: VoicedRow, slot: Slot, colours: Colours | None) -> document.Document:
    found = document.slot(voiced.form, slot)
    if colours is None:
        return {**found, "local_key": None, "scales": [], "tensions": [], "upper_structures": [], "triads": []}
    return {
        **found,
        "local_key": str(colours.key),
        "scales": [_scale(colours, fit) for fit in colours.scales],
        "tensions": _texts(colours.tensions),
        "upper_structures": [
            {"triad": upper.triad.canonical, "degrees": _texts(upper.degrees), "tensions": _texts(upper.tensions),
             "scale": fit.scale.name}
            for upper, fit in colours.structures
        ],
        "triads": [{"triad": upper.triad.canonical, "degrees": _texts(upper.degrees), "use": upper.use}
                   for upper in colours.triads],
    }  # fmt: skip


def _scale(colours: Colours, fit: ScaleFit) -> document.Document:
    notes = [name_of(colours.chord.tone(degree)) for degree in fit.scale.degrees]
    return {"name": fit.scale.name, "degrees": _texts(fit.scale.degrees), "notes": notes, "avoid": _texts(fit.avoid),
            "tensions": _texts(fit.tensions), "restrained": _texts(fit.restrained), "foreign": fit.foreign}  # fmt: skip


def _texts(degrees: Iterable[Degree]) -> list[str]:
    return [str(degree) for degree in degrees]


# --- one chord -------------------------------------------------------------------------------------------------------


def _guitar_chord(choice: Choice | None) -> document.Document:
    if choice is None:
        return {"grip": None, "others": [], "remarks": []}
    return {"grip": _grip(choice.grip), "others": [_grip(other) for other in choice.others],
            "remarks": list(choice.remarks)}  # fmt: skip


def _grip(grip: Grip) -> document.Document:
    return {"text": grip.text, "frets": list(grip.frets), "fingers": list(grip.fingers), "position": grip.position,
            "notes": list(grip.notes), "degrees": _texts(grip.degrees), "left_out": _texts(grip.missing),
            "given_up": _texts(grip.given_up), "cost": grip.cost}  # fmt: skip


def _piano_chord(choice: PianoChoice | None) -> document.Document:
    if choice is None:
        return {"voicing": None, "others": [], "remarks": []}
    why = why_left_out(choice.chord, choice.missing)
    voicing = _shape(choice.shape) | {
        "left": list(choice.hands.left),
        "right": list(choice.hands.right),
        "form": choice.form,
        "upper": None if choice.upper is None else choice.upper.canonical,
        "left_out": _texts(choice.missing),
    }
    return {"voicing": voicing, "others": [_shape(other) for other in choice.others],
            "remarks": [*choice.remarks, *([why] if why else [])]}  # fmt: skip


def _shape(shape: Shape) -> document.Document:
    return {"notes": list(shape.notes), "degrees": _texts(shape.degrees), "cost": shape.cost}
