"""What some techniques ask of the melody beyond the fit table: a tone left out, a triad to sit in, a line to avoid."""

from __future__ import annotations

from collections.abc import Callable

from core.chart import Melody
from core.checks.melody import NoteFit, fits
from core.chord import in_context
from core.finding import Finding
from core.form import Form
from core.function import is_dominant
from core.pitch import chromatic, pretty_name
from core.row import Slot
from core.spelling import printed
from core.techniques.apply import Application
from core.techniques.line import moving_line

LINE_REGISTER = 55
"""MIDI number from which the octave of an inner line is counted: G3 to F♯4, under most tunes."""
_DEGREES = {0: "root", 4: "third", 10: "seventh", 7: "fifth"}


def law_findings(application: Application, melody: Melody, form: Form) -> tuple[Finding, ...]:
    """Clashes with the laws of the applied technique, in order of time; empty where it has none."""
    technique = application.technique
    if technique.leaves_out is None and not technique.melody_law:
        return ()
    found: list[Finding] = []
    for slot in application.after:
        if slot.chord is None or any(old.chord == slot.chord for old in application.before):
            continue
        for fit in fits(melody, (slot,), application.following, application.key, form):
            said = _against(application, slot, fit) if fit.structural else ""
            if said:
                text = f"the tune’s {pretty_name(fit.fifths)} is {said}"
                found.append(Finding("melody", "clash", fit.onset, text, (("note", pretty_name(fit.fifths)),)))
    return tuple(found)


def _against(application: Application, slot: Slot, fit: NoteFit) -> str:
    if application.technique.leaves_out is not None:
        return _left_out(application, slot, fit)
    return MELODY_LAWS[application.technique.melody_law](application, slot, fit)


def _left_out(application: Application, slot: Slot, fit: NoteFit) -> str:
    """The melody holds the very tone that the technique leaves out: refused, whatever the colour table says."""
    old, tone = application.before[-1].chord, application.technique.leaves_out
    assert old is not None
    assert tone is not None
    if not is_dominant(old) or (fit.midi - in_context(old).root_pc) % 12 != tone:
        return ""
    return f"the {_DEGREES[tone]} that {printed(slot.chord, application.key)} leaves out"


def _outside_the_triad(application: Application, slot: Slot, fit: NoteFit) -> str:
    triad = slot.chord.upper if slot.chord else None
    if triad is None or fit.midi % 12 in triad.pitch_classes:
        return ""
    return f"no tone of the {printed(triad, application.key)} triad"


def _beside_the_line(application: Application, slot: Slot, fit: NoteFit) -> str:
    """A half step from the moving voice in its octave."""
    chords = tuple(other.chord for other in application.after if other.chord is not None)
    line = moving_line(chords)
    if not line:
        return ""
    voice = line[application.after.index(slot)]
    midi = LINE_REGISTER + (chromatic(voice) - LINE_REGISTER) % 12
    return f"a half step from the line’s {pretty_name(voice)}" if abs(fit.midi - midi) == 1 else ""


MELODY_LAWS: dict[str, Callable[[Application, Slot, NoteFit], str]] = {
    "in_the_triad": _outside_the_triad,
    "beside_the_line": _beside_the_line,
}
"""Names that :attr:`core.techniques.technique.Technique.melody_law` may have."""
