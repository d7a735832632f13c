"""What the window of voicings shows of one chord, worked out in the background. No Qt.

The whole row is planned each time, so that the voicing in hand is the one that leads best; what somebody locked stays
and the rest is planned around it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from app.window.page.chord_text import ChordParts, printed_slot
from core.chart import STANDARD, Chart, Melody, Take
from core.chord import Chord
from core.form import Form, plain_form
from core.key import Key
from core.meter import Meter
from core.pitch import with_signs
from core.row import Row, Slot
from core.spelling import printed, tone_name

if TYPE_CHECKING:
    from core.hands.colours import Colours
    from core.hands.guitar import Choice, Plan
    from core.hands.marks import Labels, Tone
    from core.hands.piano import PianoChoice, PianoPlan
    from core.timeline import Timeline

OTHERS = 5
"""Voicings beside the one in hand."""
MOST_SCALES, MOST_TRIADS = 4, 8
GUITAR_PROGRAM = 26
"""Jazz guitar, General MIDI counted from 0."""
STRUM = 0.04
"""Quarter notes between two strings."""


@dataclass(frozen=True, slots=True)
class HandsWish:
    """How voicings are wanted: "piano" or "guitar", the style of each, "below", "top" or "off" for the tune, the name
    of a tuning, whether somebody else plays the bass, and what stands in the pictures."""

    instrument: str = "piano"
    piano_style: str = "rootless"
    guitar_style: str = "grips"
    tune: str = "below"
    tuning: str = "standard"
    bass: bool = True
    labels: Labels = "degrees"

    @property
    def on_guitar(self) -> bool:
        """Whether grips are wanted."""
        return self.instrument == "guitar"


@dataclass(frozen=True, slots=True)
class HandsLock:
    """A voicing that stays: frets by string, or MIDI numbers; for the chord that stood there when it was locked."""

    row: str
    onset: Fraction
    instrument: str
    chord: str
    voicing: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class HandCard:
    """One voicing: its tones; on the guitar frets and fingers by string; the triad on top or ""; ``text`` in words."""

    tones: tuple[Tone, ...]
    text: str
    upper: str = ""
    frets: tuple[int | None, ...] = ()
    fingers: tuple[int | None, ...] = ()

    @property
    def notes(self) -> tuple[int, ...]:
        """What sounds, lowest first."""
        return tuple(tone.note for tone in self.tones)

    @property
    def voicing(self) -> tuple[int | None, ...]:
        """What a lock keeps."""
        return self.frets or self.notes


@dataclass(frozen=True, slots=True)
class ColourLine:
    """A scale or a triad over the chord in words, and what is heard of it: groups of notes, one after the other."""

    words: str
    groups: tuple[tuple[int, ...], ...]
    first_choice: bool = False


@dataclass(frozen=True, slots=True)
class HandsReading:
    """Everything the window shows. The first card is the one in the plan; none where the chord is silent."""

    row: str
    slot: int
    onset: Fraction
    chord: str
    place: str
    parts: ChordParts
    cards: tuple[HandCard, ...] = ()
    locked: bool = False
    said: tuple[str, ...] = ()
    colours: tuple[ColourLine, ...] = ()
    open_notes: tuple[int, ...] = ()


def read_hands(chart: Chart, row_name: str, slot: int, wish: HandsWish, locks: tuple[HandsLock, ...] = (),
               style: str = "plain") -> HandsReading:  # fmt: skip
    """The voicings of one chord of a row, in the plan of the whole row."""
    take = next((take for take in chart.takes if take.name == row_name), None)
    row, form, key = chart.row_named(row_name), chart.form_of(take), chart.key_of(take)
    here = row[slot]
    kept = {index: lock.voicing for index, one in enumerate(row) for lock in locks
            if (lock.row, lock.instrument, lock.onset) == (row_name, wish.instrument, one.onset)
            and one.chord is not None and one.chord.canonical == lock.chord}  # fmt: skip
    name = "" if here.chord is None else here.chord.canonical
    parts = printed_slot(here, key.signature, style)
    found = HandsReading(row_name, slot, here.onset, name, _place(form, here, row_name), parts, locked=slot in kept)
    if here.chord is None:
        return replace(found, said=("Nothing is played here.",))
    melody = chart.melody_of(take) if wish.tune != "off" else ()
    read = _guitar if wish.on_guitar else _piano
    cards, said, open_notes = read(row, slot, wish, melody, kept, key)
    return replace(found, cards=cards, said=said, open_notes=open_notes, colours=_colours(row, form, key, slot))


def _place(form: Form, slot: Slot, row_name: str) -> str:
    bar = form.bar_at(slot.onset)
    beat = 1 + slot.onset - bar.start
    where = f"Bar {bar.number}" if beat == 1 else f"Bar {bar.number}, beat {beat}"
    return where if row_name != STANDARD else f"{where} of the standard"


_Found = tuple[tuple[HandCard, ...], tuple[str, ...], tuple[int, ...]]
_Kept = dict[int, tuple[int | None, ...]]


def _guitar(row: Row, slot: int, wish: HandsWish, melody: Melody, kept: _Kept, key: Key) -> _Found:
    from core.hands.fretboard import TUNINGS, Fretboard
    from core.hands.grips import Grip, Player
    from core.hands.guitar import plan_row
    from core.hands.marks import tones_of
    from core.hands.tones import GUITAR_STYLES

    style = next((name for name in GUITAR_STYLES if name == wish.guitar_style), GUITAR_STYLES[0])
    player = Player(Fretboard(TUNINGS.get(wish.tuning, TUNINGS["standard"])), style, wish.bass)
    plan: Plan = plan_row(row, player, melody, on_top=wish.tune == "top", locked=kept, others=OTHERS)
    choice: Choice | None = plan.choices[slot]
    if choice is None:
        return (), plan.remarks, ()

    def card(grip: Grip) -> HandCard:
        upper = choice.chord.upper
        return HandCard(tones_of(choice.chord, grip.notes, grip.degrees, key, wish.labels, upper), grip.text,
                        "" if upper is None else printed(upper, key), grip.frets, grip.fingers)  # fmt: skip

    return tuple(map(card, (choice.grip, *choice.others))), (*plan.remarks, *choice.remarks), player.board.open_notes


def _piano(row: Row, slot: int, wish: HandsWish, melody: Melody, kept: _Kept, key: Key) -> _Found:
    from core.hands.marks import tones_of
    from core.hands.piano import PianoPlayer, plan_row, why_left_out
    from core.hands.voiced_row import note_name
    from core.voicing_shapes import PIANO_STYLES, Shape

    style = next((name for name in PIANO_STYLES if name == wish.piano_style), PIANO_STYLES[0])
    locked = {index: tuple(note for note in voicing if note is not None) for index, voicing in kept.items()}
    plan: PianoPlan = plan_row(row, PianoPlayer(style), melody, on_top=wish.tune == "top", locked=locked, others=OTHERS)
    choice: PianoChoice | None = plan.choices[slot]
    if choice is None:
        return (), (), ()

    def card(shape: Shape) -> HandCard:
        upper = choice.upper if shape is choice.shape else _upper_of(choice.chord, shape.notes, style)
        names = (note_name(note, choice.chord, degree, key)
                 for note, degree in zip(shape.notes, shape.degrees, strict=True))  # fmt: skip
        return HandCard(tones_of(choice.chord, shape.notes, shape.degrees, key, wish.labels, upper), " ".join(names),
                        "" if upper is None else printed(upper, key))  # fmt: skip

    why = why_left_out(choice.chord, choice.missing)
    form = (f"{choice.form} form.",) if choice.form and wish.piano_style == "rootless" else ()
    said = (*form, *choice.remarks, *((why,) if why else ()))
    return tuple(map(card, (choice.shape, *choice.others))), said, ()


def _upper_of(chord: Chord, notes: tuple[int, ...], style: str) -> Chord | None:
    """The triad of an upper structure: what the three highest notes are."""
    from core.upper_triads import triads_over

    if chord.upper is not None or style != "upper structure":
        return chord.upper
    above = {note % 12 for note in notes[-3:]}
    found = (upper.triad for upper in triads_over(chord)
             if upper.use == "upper structure" and upper.triad.pitch_classes == above)  # fmt: skip
    return next(found, None)


# --- scales and triads -------------------------------------------------------------------------------------------


def _colours(row: Row, form: Form, key: Key, slot: int) -> tuple[ColourLine, ...]:
    from core.hands.colours import colours_of

    found = colours_of(row, form, key)[slot]
    return () if found is None else (*_scales(found, key), *_triads(found, key))


def _scales(found: Colours, key: Key) -> list[ColourLine]:
    lines = []
    for number, fit in enumerate(found.scales[:MOST_SCALES]):
        notes = " ".join(tone_name(found.chord.tone(degree), key) for degree in fit.scale.degrees)
        words = f"{fit.scale.name}:  {notes}"
        if number == 0 and fit.tensions:
            words += f"  ·  tensions {_named(fit.tensions)}"
        if fit.restrained:
            words += f"  ·  sparingly {_named(fit.restrained)}"
        if fit.avoid:
            words += f"  ·  avoid {_named(fit.avoid)}"
        root = 60 + found.chord.root_pc - (12 if found.chord.root_pc > 6 else 0)
        groups = tuple((root + step,) for step in (*fit.scale.semitones, 12))
        lines.append(ColourLine(words, groups, number == 0))
    return lines


def _triads(found: Colours, key: Key) -> list[ColourLine]:
    lines = []
    root = 48 + found.chord.root_pc % 12 - (12 if found.chord.root_pc > 7 else 0)
    guides = [root + degree.semitones % 12 for degree in found.chord.quality.guide_degrees or () if degree.number != 1]
    for upper, _ in found.structures[:MOST_TRIADS]:
        base = 60 + (upper.triad.root_pc - 60) % 12
        above = tuple(base + step for step in (0, 3 if upper.triad.quality.id == "m" else 4, 7))
        words = f"{printed(upper.triad, key)} over it:  {_named(upper.degrees)}"
        lines.append(ColourLine(words, (above, tuple(sorted({root, *guides, *above})))))
    return lines


def _named(degrees: object) -> str:
    return " ".join(with_signs(str(degree)) for degree in degrees)  # type: ignore[attr-defined]


# --- what is heard ---------------------------------------------------------------------------------------------------


def heard_chart(chart: Chart, beats: int) -> Chart:
    """A silent chart as long as what is heard, for the player to find its end."""
    form = plain_form(max(1, -(-beats // 4)), Meter())
    silence = (Slot(Fraction(0), form.length, None),)
    return replace(chart, form=form, references=(replace(chart.references[0], name=STANDARD, row=silence),), takes=(),
                   melody=(), reference=STANDARD)  # fmt: skip


def heard_timeline(chart: Chart, groups: tuple[tuple[int, ...], ...], on_guitar: bool) -> Timeline:
    """Groups of notes one after the other; a single group rings on, and a guitarist strums."""
    from core.timeline import NoteEvent, Timeline, sort_events

    length = float(chart.form.length)
    step = 0.5 if len(groups) > 2 else 2.0
    events = []
    for number, group in enumerate(groups):
        for place, note in enumerate(sorted(group)):
            onset = number * step + (place * STRUM if on_guitar else 0.0)
            last = number == len(groups) - 1
            end = min(length, number * step + (2.5 if last else step))
            events.append(NoteEvent("piano", "both", onset, end - onset, note, 66))
    programs = (("piano", GUITAR_PROGRAM),) if on_guitar else ()
    return Timeline(96.0, length, events=sort_events(events), programs=programs)


def slot_in_hand(row: Row, form: Form, bar: int, slot: int | None) -> int:
    """The chord that is selected, or the first that begins in the selected bar, or the one that sounds there."""
    if slot is not None and 0 <= slot < len(row):
        return slot
    start, end = form.bars[bar].start, form.bars[bar].end
    inside = [index for index, one in enumerate(row) if start <= one.onset < end]
    if inside:
        return inside[0]
    return max((index for index, one in enumerate(row) if one.onset <= start), default=0)


def row_in_hand(chart: Chart, take: Take | None, wanted: str) -> str:
    """The row whose chord is shown: the take looked at, or the standard where that is selected or there is no take."""
    return STANDARD if take is None or wanted == "standard" else take.name
