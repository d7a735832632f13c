"""How a line leads into its chords: guide tones, enclosures, chromatic approaches, anticipations, delays."""

from __future__ import annotations

from collections.abc import Iterator

from core.checks.fit_table import fit_row
from core.chord import in_context
from core.line.degrees import is_chord_tone
from core.line.limits import CHROMATIC_NOTES, DELAY_RESOLVES, LATE, ORNAMENTS, SHORT, STEP
from core.line.scene import Feature, Scene

_THIRDS = {3, 4}


def guide_tones(scene: Scene) -> Iterator[Feature]:
    """7 to 3 or 3 to 7 over every change of chord, the nearest pair of each kind."""
    by_change: dict[tuple[int, str], Feature] = {}
    for last in range(1, len(scene.heard)):
        if scene.heard[last].degree is None or not scene.heard[last].chord_tone:
            continue
        for first in range(last - 1, max(-1, last - 2 - ORNAMENTS), -1):
            detail = _guide(scene, first, last)
            if detail is None:
                continue
            change = scene.heard[last].own
            best = by_change.get((change, detail))
            if best is None or last - first < best.last - best.first:
                by_change[change, detail] = Feature("guide_tone", first, last, detail)
            break
    yield from by_change.values()


def _guide(scene: Scene, first: int, last: int) -> str | None:
    one, other = scene.heard[first], scene.heard[last]
    if scene.phrases[first] != scene.phrases[last] or other.own != one.own + 1:
        return None
    change = scene.spans[other.own].start
    if one.note.onset >= change or other.note.onset > change + LATE or one.degree is None or other.degree is None:
        return None
    if not one.chord_tone or not other.chord_tone or (one.degree.number, other.degree.number) not in ((7, 3), (3, 7)):
        return None
    return f"{one.degree} to {other.degree}" if (one.midi - other.midi) % 12 <= STEP else None


def enclosures(scene: Scene) -> Iterator[Feature]:
    """Notes above and below, then the tone between them."""
    for target in range(2, len(scene.heard)):
        heard = scene.heard[target]
        if not heard.chord_tone or not (scene.on_beat(target) or heard.note.duration >= scene.meter.beat):
            continue
        first = _enclosing(scene, target)
        if first is not None and not _broken_thirds(scene, target):
            above = scene.heard[target - 2].midi > heard.midi
            yield Feature("enclosure", first, target, "above, below" if above else "below, above")


def _enclosing(scene: Scene, target: int) -> int | None:
    """The first note of an enclosure of a note, or None."""
    sides: list[int] = []
    for index in range(target - 1, max(-1, target - 4), -1):
        side = scene.heard[index].midi - scene.heard[target].midi
        if not 1 <= abs(side) <= STEP or scene.heard[index].note.duration > SHORT or not scene.joined(index + 1):
            return None
        sides.append(side)
        if len(sides) > 1 and sides[-1] * sides[0] < 0:
            turns = len(sides) == 2 or (sides[0] - sides[1]) * (sides[1] - sides[2]) < 0
            return index if turns else None
    return None


def _broken_thirds(scene: Scene, target: int) -> bool:
    """Whether the notes around a target are thirds that climb or fall by step in even notes."""
    for low in (target - 4, target - 2):
        if low < 0 or low + 3 >= len(scene.heard):
            continue
        third, back, again = (scene.semitones(low + at) for at in (1, 2, 3))
        even = scene.waits(low + 1) == scene.waits(low + 2) == scene.waits(low + 3)
        thirds = third * again > 0 and {abs(third), abs(again)} <= _THIRDS
        if even and thirds and third * back < 0 and abs(back) < max(abs(third), abs(again)):
            return True
    return False


def double_chromatics(scene: Scene) -> Iterator[Feature]:
    """The longest rows of half steps that end on a chord tone."""
    first = 0
    for index in range(1, len(scene.heard) + 1):
        goes_on = index < len(scene.heard) and abs(scene.semitones(index)) == 1 and scene.joined(index)
        if goes_on and (index - 1 == first or scene.semitones(index) == scene.semitones(index - 1)):
            continue
        last = index - 1
        if last - first + 1 >= CHROMATIC_NOTES and scene.heard[last].chord_tone:
            yield Feature("double_chromatic", first, last, "from below" if scene.semitones(last) > 0 else "from above")
        first = last if goes_on else index


def anticipations(scene: Scene) -> Iterator[Feature]:
    """Notes that belong to the next chord."""
    for index, heard in enumerate(scene.heard):
        if heard.anticipates:
            yield Feature("anticipation", index, index, f"{heard.degree} of the next chord")


def delays(scene: Scene) -> Iterator[Feature]:
    """Tones of the chord before that resolve after the change."""
    for index in range(len(scene.heard) - 1):
        one, other = scene.heard[index], scene.heard[index + 1]
        at = other.own
        if at == 0 or not other.chord_tone or not 1 <= abs(other.midi - one.midi) <= STEP:
            continue
        change, before, now = scene.spans[at].start, scene.spans[at - 1].chord, scene.spans[at].chord
        if before is None or now is None or one.anticipates or not scene.joined(index + 1):
            continue
        held = one.note.onset < change < one.note.end
        struck = change <= one.note.onset <= change + LATE and scene.on_beat(index) and not _passes(scene, index)
        if not (held or struck) or not change <= other.note.onset <= change + DELAY_RESOLVES:
            continue
        pitch_class = one.midi % 12
        if is_chord_tone(before, pitch_class) and _foreign(scene, at, pitch_class):
            yield Feature("delay", index, index + 1, "held over" if held else "struck late")


def _passes(scene: Scene, index: int) -> bool:
    """Whether a note is reached by step in the direction in which it is left."""
    return index > 0 and scene.joined(index) and scene.is_step(index) and (
        scene.semitones(index) * scene.semitones(index + 1) > 0)  # fmt: skip


def _foreign(scene: Scene, at: int, pitch_class: int) -> bool:
    chord = scene.spans[at].chord
    assert chord is not None
    after = scene.spans[at + 1].chord if at + 1 < len(scene.spans) else None
    verdict = fit_row(chord, after).verdicts[in_context(chord).degree_of(pitch_class)]
    return verdict != "good" and not is_chord_tone(chord, pitch_class)
