"""What is asked of a whole-form reharmonization: how bold, how dense, what stays, what the bass does."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from core.chart import ChartError
from core.chord import Chord
from core.form import Form
from core.techniques.catalogue import TECHNIQUES

# Semitones that the bass may move up inside a plan, by the plan's name; a bass that stays is always allowed.
BASS_PLANS: dict[str, frozenset[int]] = {
    "pedal": frozenset(),
    "descending": frozenset({10, 11}),
    "ascending": frozenset({1, 2}),
    "chromatic descending": frozenset({11}),
    "chromatic ascending": frozenset({1}),
    "thirds": frozenset({3, 4, 8, 9}),
}
MOST_TAKES, MOST_DEPTH = 50, 3
INSTRUMENTS = ("guitar", "piano")
FIFTH = 7


@dataclass(frozen=True, slots=True)
class BassPlan:
    """What the bass does from bar ``first`` to before ``last`` (indexes): a name of :data:`BASS_PLANS`."""

    kind: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Target:
    """A chord that must sound where bar ``bar`` (an index) begins; with ``any_root`` only its colour must."""

    bar: int
    chord: Chord
    any_root: bool = False

    def met_by(self, chord: Chord | None) -> bool:
        """Whether a chord has the family and all the tones asked for, its fifth left free, and the root if asked."""
        if chord is None or chord.quality.family != self.chord.quality.family:
            return False
        wanted = set(self.chord.quality.semitones) - {FIFTH}
        return wanted <= set(chord.quality.semitones) and (self.any_root or chord.root_pc == self.chord.root_pc)


@dataclass(frozen=True, slots=True)
class Request:
    """How to reharmonize a form.

    ``boldness`` 0 to 1: how much of the form may get other roots; ``depth`` 1 to 3: techniques on top of each other;
    ``chords_a_bar``: no new chord is shorter than this part of its bar; ``keep`` bars (indexes) and, with
    ``keep_cadences``, the last two bars of every section stay, but for bars with a plan or a target; ``alike``:
    sections with the same name and the same chords are changed in the same way; ``forbid`` and ``favour`` are
    technique ids;
    ``playable`` names an instrument ("guitar", "piano") that can play every new chord with the tune on top, or none.
    """

    count: int = 3
    boldness: float = 0.35
    depth: int = 2
    chords_a_bar: int = 4
    keep: frozenset[int] = frozenset()
    keep_cadences: bool = True
    alike: bool = True
    forbid: frozenset[str] = frozenset()
    favour: frozenset[str] = frozenset()
    plans: tuple[BassPlan, ...] = ()
    targets: tuple[Target, ...] = ()
    playable: str = ""


class RequestError(ChartError):
    """A request that cannot be met: what, in which bars, and what to change."""


def check_request(request: Request, form: Form) -> None:
    """Raise :class:`RequestError` where a value is out of its range or a bar is not there."""
    if not 1 <= request.count <= MOST_TAKES:
        raise RequestError(f"The number of takes goes from 1 to {MOST_TAKES}, not {request.count}.")
    if not 0 <= request.boldness <= 1:
        raise RequestError(f"Boldness goes from 0 to 1, not {request.boldness:g}.")
    if not 1 <= request.depth <= MOST_DEPTH:
        raise RequestError(f"The depth goes from 1 to {MOST_DEPTH}, not {request.depth}.")
    if request.chords_a_bar < 1:
        raise RequestError("A bar holds at least one chord; ask for 1 or more chords a bar.")
    known = {technique.id for technique in TECHNIQUES}
    for name in sorted((request.forbid | request.favour) - known):
        raise RequestError(f"There is no technique {name!r}; `changewright techniques` lists them.")
    for name in sorted(request.forbid & request.favour):
        raise RequestError(f"{name!r} is both forbidden and favoured; choose one.")
    for index in request.keep:
        _check_bar(index, form)
    for plan in request.plans:
        if plan.kind not in BASS_PLANS:
            raise RequestError(f"There is no bass plan {plan.kind!r}; there are {', '.join(BASS_PLANS)}.")
        _check_bar(plan.first, form)
        _check_bar(plan.last - 1, form)
        if plan.last <= plan.first:
            raise RequestError(f"The bass plan {plan.kind!r} ends before it begins.")
    for target in request.targets:
        _check_bar(target.bar, form)
    if request.playable and request.playable not in INSTRUMENTS:
        raise RequestError(f"A take can be made playable on {' or '.join(INSTRUMENTS)}, not {request.playable!r}.")


def _check_bar(index: int, form: Form) -> None:
    if not 0 <= index < len(form.bars):
        first, last = form.bars[0].number, form.bars[-1].number
        number = index + first
        raise RequestError(f"There is no bar {number}; the tune's bars go from {first} to {last}.")


def planned(request: Request, form: Form, at: Fraction) -> str | None:
    """The bass plan that rules a change of chord at a time: both chords must sound inside its bars."""
    for plan in request.plans:
        if form.bars[plan.first].start < at < form.bars[plan.last - 1].end:
            return plan.kind
    return None


def bass_may(one: Chord | None, two: Chord | None, plan: str) -> bool:
    """Whether a bass plan allows a change of chord; silence binds nothing."""
    if one is None or two is None:
        return True
    up = (two.bass_pc - one.bass_pc) % 12
    return up == 0 or up in BASS_PLANS[plan]
