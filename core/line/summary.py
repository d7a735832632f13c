"""What a line does, in sentences; every number in them is counted from the reading."""

from __future__ import annotations

from collections import Counter

from core.chord import in_context
from core.function import root_motion
from core.line.analysis import LineReading
from core.line.limits import EARLY_MOST
from core.line.reading import APPROACH, CHORD_TONE, OUTSIDE, TENSION
from core.pitch import with_signs

_FEW = 3


def sentences(reading: LineReading) -> tuple[str, ...]:
    """The line in sentences: size, kinds of notes, phrases, changes, shapes, motifs."""
    lines = (_size(reading), _kinds(reading), _phrases(reading), _early(reading), _dominants(reading),
             _approaches(reading), _shapes(reading), _cells(reading), _leaps(reading), _motifs(reading),
             _outside(reading))  # fmt: skip
    return tuple(line for line in lines if line)


def counted(number: int, one: str, many: str | None = None) -> str:
    """``counted(2, "bar") == "2 bars"``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def _bars(reading: LineReading) -> int:
    return len({(place.chorus, place.bar.index) for place in map(reading.place, range(len(reading.heard)))})


def _size(reading: LineReading) -> str:
    phrases = len(reading.of("phrase"))
    pitches = [one.midi for one in reading.heard]
    low, high = (reading.heard[pitches.index(end(pitches))].note.pitch for end in (min, max))
    return (f"{counted(len(pitches), 'note')} in {counted(_bars(reading), 'bar')} and {counted(phrases, 'phrase')}, "
            f"from {with_signs(str(low))} to {with_signs(str(high))}.")  # fmt: skip


def _kinds(reading: LineReading) -> str:
    counts = Counter(reading.kinds)
    total = sum(counts[kind] for kind in (CHORD_TONE, TENSION, APPROACH, OUTSIDE))
    if not total:
        return "No chord stands under the line."
    parts = [f"{round(100 * counts[kind] / total)} % {word}"
             for kind, word in ((CHORD_TONE, "chord tones"), (TENSION, "tensions"), (APPROACH, "approach notes"),
                                (OUTSIDE, "notes outside")) if counts[kind]]  # fmt: skip
    return f"Against {reading.row_name} {', '.join(parts)}."


def _phrases(reading: LineReading) -> str:
    ends = Counter(str(reading.heard[phrase.last].degree) for phrase in reading.of("phrase")
                   if reading.heard[phrase.last].degree is not None)  # fmt: skip
    if not ends:
        return ""
    listed = ", ".join(f"{with_signs(degree)} ({times})" for degree, times in ends.most_common(4))
    return f"Phrases end on {listed}."


def _early(reading: LineReading) -> str:
    """How often phrases begin just before a chord, and the notes that come before their chord."""
    phrases = reading.of("phrase")
    before = 0
    for phrase in phrases:
        heard = reading.heard[phrase.first]
        span = reading.scene.spans[heard.here]
        before += heard.anticipates or span.end - heard.note.onset <= EARLY_MOST
    ahead, late = len(reading.of("anticipation")), len(reading.of("delay"))
    parts = [f"starts {before} of {counted(len(phrases), 'phrase')} within a beat before a chord"] if before else []
    if ahead:
        parts.append(f"anticipates {counted(ahead, 'chord')}")
    if late:
        parts.append(f"delays {counted(late, 'resolution')}")
    return f"It {_joined(parts)}." if parts else ""


def _dominants(reading: LineReading) -> str:
    """How many dominants under the line resolve their 7 to the next 3."""
    heard = reading.heard
    played = {one.own for one in heard}
    falling = []
    for at in sorted(played):
        following = reading.scene.spans[at + 1].chord if at + 1 < len(reading.scene.spans) else None
        chord = reading.scene.spans[at].chord
        if chord is None or following is None or at + 1 not in played:
            continue
        if in_context(chord).quality.family == "dominant" and root_motion(chord, following) in (5, 11):
            falling.append(at)
    guides = reading.of("guide_tone")
    resolved = {heard[one.first].own for one in guides if one.detail.startswith(("b7", "bb7", "7"))}
    parts = []
    if falling:
        verb = "resolves" if len(falling) == 1 else "resolve"
        parts.append(f"{len(resolved & set(falling))} of {counted(len(falling), 'dominant')} {verb} 7 to 3")
    if guides:
        parts.append(f"{counted(len(guides), 'guide-tone resolution')} in all")
    text = ", ".join(parts)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def _approaches(reading: LineReading) -> str:
    shapes = reading.of("enclosure")
    chromatic = len(reading.of("double_chromatic"))
    parts = []
    if shapes:
        targets = Counter(str(reading.heard[one.last].degree) for one in shapes).most_common(_FEW)
        where = ", ".join(f"{with_signs(degree)} ({times})" for degree, times in targets)
        parts.append(f"encloses {counted(len(shapes), 'chord tone')}, most often {where}")
    if chromatic:
        parts.append(f"comes to {counted(chromatic, 'chord tone')} by two half steps or more")
    return f"It {_joined(parts)}." if parts else ""


def _shapes(reading: LineReading) -> str:
    own, over, runs = (len(reading.of(name)) for name in ("arpeggio", "superimposed", "scale_run"))
    parts = [text for count, text in (
        (own, f"{counted(own, 'arpeggio')} of the chord"),
        (over, f"{counted(over, 'shape')} laid over it"),
        (runs, counted(runs, "scale run")),
    ) if count]  # fmt: skip
    return f"There {'is' if own + over + runs == 1 else 'are'} {_joined(parts)}." if parts else ""


def _cells(reading: LineReading) -> str:
    found = reading.of("cell")
    if not found:
        return ""
    listed = ", ".join(f"{degrees.replace(' ', '-')} ({times})"
                       for degrees, times in Counter(one.detail for one in found).most_common(_FEW))  # fmt: skip
    return f"{counted(len(found), 'four-note cell')}: {listed}."


def _leaps(reading: LineReading) -> str:
    found = reading.of("octave_leap")
    back = sum("step back" in one.detail for one in found)
    return f"{counted(len(found), 'wide leap')}, {back or 'none'} followed by a step back." if found else ""


def _motifs(reading: LineReading) -> str:
    groups: dict[int, list[str]] = {}
    for one in reading.of("motif"):
        place = reading.place(one.first)
        words = "" if one.detail == "first" else f" ({one.detail})"
        groups.setdefault(one.of, []).append(f"bar {place.bar.number} beat {float(1 + place.beat):g}{words}")
    if not groups:
        return ""
    listed = "; ".join(", ".join(places) for places in list(groups.values())[:_FEW])
    return f"{counted(len(groups), 'motif')} come{'s' if len(groups) == 1 else ''} back: {listed}."


def _outside(reading: LineReading) -> str:
    found = reading.of("outside")
    if not found:
        return ""
    bars = ", ".join(dict.fromkeys(str(reading.place(one.first).bar.number) for one in found))
    return f"It leaves the chord in {'bar' if ',' not in bars else 'bars'} {bars}."


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
