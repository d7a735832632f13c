"""A ``<harmony>`` element to a chord: kind and degrees by the standard's rules, the printed text where it agrees.

The tones come from kind and degrees; the name comes from the text when the text can be read and names the same tones
("13sus" and its degrees are one chord). Where they differ:

* the text says more (a kind "dominant" printed as "7alt"): the text is taken, and reported;
* the degrees are printed beside the text ("7" and "♭9"): kind and degrees are taken;
* they contradict each other: kind and degrees are taken, and reported.

Sources: MusicXML 4.0 schema, types harmony, root, numeral, kind, inversion, bass, degree. A stack of several chords
in one element is a polychord, upper chord first (type kind: "the harmony-chord groups that can make up a polychord").
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element

from core.chord import Chord
from core.errors import ChangewrightError
from core.foreign.kinds import (
    FUNCTIONAL,
    KINDS,
    NO_CHORD_KIND,
    STRANGERS,
    DegreeEdit,
    edited_degrees,
    nearest_quality,
    quality_of,
    without_doubles,
)
from core.foreign.xml_stream import HINT
from core.key import Key
from core.pitch import NATURAL_FIFTHS, Degree, chromatic, degree_fifths, name_of, within_double
from core.quality import QUALITIES, Quality, compose
from core.symbol import NO_CHORD, parse_symbol

Say = Callable[[str], None]
_EDIT_TYPES = ("add", "alter", "subtract")
_MINOR_SCALE = (0, 2, -3, -1, 1, -4, -2)
_NUMERAL = re.compile(r"([b#♭♯]?)(VII|VI|IV|V|III|II|I)$", re.IGNORECASE)
_NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")
_HALF_DIMINISHED_TEXTS = frozenset({"0", "07", "0 7"})
# What use-symbols="yes" prints before the text (MusicXML 4.0, type kind).
_SYMBOL_OF = {"major": "Δ", "minor": "-", "augmented": "+", "diminished": "°", "half-diminished": "ø"}


@dataclass(frozen=True, slots=True)
class Harmony:
    """A chord symbol as read: None is N.C.; ``typed`` is what was printed, None where the house style prints it."""

    chord: Chord | None
    typed: str | None
    optional: bool = False


def read_harmony(element: Element, key: Key, shift: int, say: Say) -> Harmony | None:
    """The chord of a ``<harmony>``, moved ``shift`` fifths to concert pitch; None when it has no readable root.

    ``key`` is the written key, for numerals; ``say`` takes a sentence about every guess.
    """
    groups = _groups(element)
    if not groups:
        say("a chord symbol without a root or kind was dropped")
        return None
    if _kind(groups[0]) == NO_CHORD_KIND:
        return _no_chord(groups[0], element.get(HINT, ""))
    read = [_read_group(group, key, say) for group in groups]
    if any(harmony is None for harmony in read):
        return None
    harmonies = [harmony for harmony in read if harmony is not None]
    result = harmonies[0] if len(harmonies) == 1 else _stacked(harmonies, say)
    result = _hinted(result, element.get(HINT, ""))
    if shift and result.chord is not None:
        return Harmony(result.chord.transposed(shift), None, result.optional)
    return result


def _groups(element: Element) -> list[list[Element]]:
    """The harmony-chord groups: each begins with a root, numeral or function."""
    groups: list[list[Element]] = []
    for child in element:
        if child.tag in ("root", "numeral", "function"):
            groups.append([child])
        elif child.tag in ("kind", "inversion", "bass", "degree") and groups:
            groups[-1].append(child)
        elif child.tag == "kind":
            groups.append([Element("root"), child])
    return groups


def _child(group: list[Element], tag: str) -> Element | None:
    return next((element for element in group if element.tag == tag), None)


def _kind(group: list[Element]) -> str:
    kind = _child(group, "kind")
    return "major" if kind is None else (kind.text or "").strip() or "major"


def _no_chord(group: list[Element], hint: str) -> Harmony:
    kind = _child(group, "kind")
    text = "" if kind is None else kind.get("text", "")
    optional = text.startswith("(") and text.endswith(")")
    text = text[1:-1] if optional else text
    return Harmony(None, None if hint == "house" or text not in NO_CHORD else text, optional)


def _read_group(group: list[Element], key: Key, say: Say) -> Harmony | None:
    root = _root(group[0], key)
    if root is None:
        say("a chord symbol without a readable root was dropped")
        return None
    kind = STRANGERS.get(_kind(group), _kind(group))
    if kind in FUNCTIONAL:
        chord = _functional(kind, root)
        say(f"the {kind} chord on {name_of(root)} is read as {chord.canonical}")
        return Harmony(chord, None)
    if kind not in KINDS:
        say(f"the chord kind {kind[:30]!r} is not in the standard; its text or a major triad is read")
        symbol = _Symbol(group, root, "major", say)
        spoken = symbol.spoken()
        return Harmony(symbol.with_bass(spoken[0].quality), spoken[1]) if spoken else symbol.harmony()
    return _Symbol(group, root, kind, say).harmony()


def _functional(kind: str, tonic: int) -> Chord:
    shift, quality, modifiers, bass = FUNCTIONAL[kind]
    root = tonic + shift
    named = compose(quality, modifiers) if modifiers else QUALITIES[quality]
    return Chord(root, named, None if bass is None else tonic + bass)


# --- roots and basses -----------------------------------------------------------------------------------------------


def _root(element: Element, key: Key) -> int | None:
    if element.tag == "root":
        return _step(element, "root")
    if element.tag == "numeral":
        return _numeral_root(element, key)
    match = _NUMERAL.match((element.text or "").strip())
    if match is None:
        return None
    shift = {"b": -7, "♭": -7, "#": 7, "♯": 7}.get(match[1], 0)
    return _on_scale(_NUMERALS.index(match[2].upper()) + 1, key) + shift


def _step(element: Element, name: str) -> int | None:
    step = (element.findtext(f"{name}-step") or "").strip().upper()
    if step not in NATURAL_FIFTHS:
        return None
    return within_double(NATURAL_FIFTHS[step] + 7 * _integer(element.findtext(f"{name}-alter"), 0))


def _numeral_root(element: Element, key: Key) -> int | None:
    number = _integer(element.findtext("numeral-root"), 0)
    if not 1 <= number <= 7:
        return None
    own = element.find("numeral-key")
    if own is not None:
        mode = (own.findtext("numeral-mode") or "major").strip()
        fifths = _integer(own.findtext("numeral-fifths"), 0)
        key = Key(fifths, "major") if mode == "major" else Key(fifths + 3, "minor")
    return _on_scale(number, key) + 7 * _integer(element.findtext("numeral-alter"), 0)


def _on_scale(number: int, key: Key) -> int:
    return key.tonic + (_MINOR_SCALE[number - 1] if key.is_minor else degree_fifths(number, 0))


def _integer(text: str | None, default: int) -> int:
    """A small whole number; decimals are rounded, anything else is the default."""
    try:
        value = float(text) if text is not None and len(text) < 20 else default
        return max(-50, min(50, round(value)))
    except (ValueError, OverflowError):
        return default


# --- one chord ------------------------------------------------------------------------------------------------------


class _Symbol:
    """One chord of a harmony: what its kind and degrees say, what its text says, and which is believed."""

    def __init__(self, group: list[Element], root: int, kind: str, say: Say) -> None:
        self._group, self._root, self._kind, self._say = group, root, kind, say
        self._edits = self._mended(tuple(_read_degrees(group)))
        degrees, problems = edited_degrees(kind, self._edits)
        for problem in problems:
            say(problem)
        self._degrees = degrees
        bass = _child(group, "bass")
        self._bass = None if bass is None else _step(bass, "bass")

    def _mended(self, edits: tuple[DegreeEdit, ...]) -> tuple[DegreeEdit, ...]:
        """A minor chord with an *added* ♭5 is a known slip of exporters for the altered one: nobody voices both."""
        if not self._kind.startswith("minor") or DegreeEdit(5, -1, "add") not in edits:
            return edits
        self._say("a flat fifth added to a minor chord is read as the altered fifth")
        return tuple(replace(edit, type="alter") if edit.number == 5 else edit for edit in edits)

    def spoken(self) -> tuple[Chord, str] | None:
        """The printed text as a chord, and the text."""
        return _parsed(self._label()[0], self._root)

    def harmony(self) -> Harmony:
        """The chord that is believed, and what is typed of it."""
        label, optional = self._label()
        spoken = _parsed(label, self._root)
        if spoken is not None:
            return self._judged(*spoken, optional)
        if label and self._kind == "other" and not self._edits:
            self._say(f"the chord text {label[:30]!r} could not be read; its root alone is kept")
        return Harmony(self._named(), None, optional)

    def _judged(self, spoken: Chord, label: str, optional: bool) -> Harmony:
        tones = self._tones(self._degrees)
        if spoken.pitch_classes in (tones, self._tones(without_doubles(self._degrees))):
            return Harmony(self.with_bass(spoken.quality), label, optional)
        bare, _ = edited_degrees(self._kind, ())
        if self._edits and spoken.pitch_classes == self._tones(bare):
            return Harmony(self._named(), None, optional)
        if self._kind == "half-diminished" and label.removeprefix(name_of(self._root)) in _HALF_DIMINISHED_TEXTS:
            return Harmony(self._named(), None, optional)
        altered = spoken.quality.id == "7alt" and Degree(3) in self._degrees and Degree(7, -1) in self._degrees
        if altered or tones < spoken.pitch_classes or self._kind == "other":
            self._say(f"{label} is taken from its printed text, which says more than its kind {self._kind!r}")
            return Harmony(self.with_bass(spoken.quality), label, optional)
        chord = self._named()
        self._say(f"the printed {label} contradicts its kind and degrees; {chord.canonical} is read")
        return Harmony(chord, None, optional)

    def _tones(self, degrees: frozenset[Degree]) -> frozenset[int]:
        """Chromatic numbers of degrees over the root, and of the bass."""
        tones = {(chromatic(self._root) + degree.semitones) % 12 for degree in degrees}
        return frozenset(tones if self._bass is None else tones | {chromatic(self._bass)})

    def _named(self) -> Chord:
        """The chord of kind and degrees; a natural tension beside an altered one is an exporter's slip."""
        degrees = without_doubles(self._degrees)
        if degrees != self._degrees:
            self._say("an altered degree added beside the natural one takes its place")
        quality = quality_of(degrees)
        if quality is None:
            quality = nearest_quality(degrees)
            tones = " ".join(map(str, sorted(degrees)))
            self._say(f"no symbol names the degrees {tones} over {name_of(self._root)}; the nearest is read")
        return self.with_bass(quality)

    def with_bass(self, quality: Quality) -> Chord:
        """A quality over the root, with the bass or inversion that is written."""
        if self._bass is not None:
            return Chord(self._root, quality, self._bass)
        inversion = _integer(getattr(_child(self._group, "inversion"), "text", None), 0)
        if not 0 < inversion < len(quality.degrees):
            return Chord(self._root, quality)
        return Chord(self._root, quality, self._root + quality.degrees[inversion].fifths)

    def _label(self) -> tuple[str, bool]:
        """What is printed, and whether it stands in brackets; empty when the file leaves the wording to the reader."""
        kind = _child(self._group, "kind")
        text = None if kind is None else kind.get("text")
        symbol = ""
        if kind is not None and kind.get("use-symbols") == "yes":
            symbol = next((sign for name, sign in _SYMBOL_OF.items() if self._kind.startswith(name)), "")
        if text is None or (not text and not symbol and self._kind != "major"):
            return "", False
        root = self._group[0]
        label = _shown(root, "root", self._root) + symbol + text
        bass = _child(self._group, "bass")
        if bass is not None and self._bass is not None and f"/{_shown(bass, 'bass', self._bass)}" not in text:
            label += "/" + _shown(bass, "bass", self._bass)
        if label.startswith("(") and label.endswith(")"):
            return label[1:-1], True
        return label, False


def _shown(element: Element, name: str, fifths: int) -> str:
    """The letter and accidental as printed: the step's own text if it has one, the accidental unless it is hidden."""
    step, alter = element.find(f"{name}-step"), element.find(f"{name}-alter")
    text = step.get("text") if step is not None else None
    if text is None:
        return name_of(fifths)
    hidden = not text or alter is None or alter.get("print-object") == "no"
    return text if hidden else text + name_of(fifths)[1:]


def _read_degrees(group: list[Element]) -> list[DegreeEdit]:
    edits = []
    for element in group:
        if element.tag == "degree":
            number = _integer(element.findtext("degree-value"), 0)
            kind = (element.findtext("degree-type") or "add").strip()
            if number >= 1 and kind in _EDIT_TYPES:
                edits.append(DegreeEdit(number, _integer(element.findtext("degree-alter"), 0), kind))
    return edits


def _parsed(label: str, root: int) -> tuple[Chord, str] | None:
    """The text as a chord of this root, and the text itself; a repeated root ("C7" after a root C) is dropped."""
    name = name_of(root)
    for text in (label, label.removeprefix(name)):
        try:
            chord = parse_symbol(text) if text else None
        except (ChangewrightError, RecursionError):
            continue
        if chord is not None and chord.upper is None and chromatic(chord.root) == chromatic(root):
            return chord, text
    return None


def _stacked(harmonies: list[Harmony], say: Say) -> Harmony:
    """Two chords in one symbol: a polychord, upper first. More than two, or chords that will not stack: the last."""
    chords = [harmony.chord.canonical for harmony in harmonies if harmony.chord is not None]
    text = "\\".join(chords[:2])
    try:
        chord = parse_symbol(text) if len(chords) == 2 else None
    except ChangewrightError:
        chord = None
    if chord is None:
        say(f"of the stacked chords {' over '.join(chords)} the lowest is kept")
        return Harmony(harmonies[-1].chord, None)
    return Harmony(chord, text, harmonies[0].optional)


def _hinted(harmony: Harmony, hint: str) -> Harmony:
    """Our own note inside the element: the chord as it was spelled, and what was typed if the text is not that.

    It is believed only while it names the tones that the element has.
    """
    words = hint.split(" ", 2)
    if words[0] not in ("house", "typed") or len(words) < 2 or harmony.chord is None:
        return harmony
    try:
        chord = parse_symbol(words[1])
    except ChangewrightError:
        return harmony
    if chord is None or chord.pitch_classes != harmony.chord.pitch_classes or chord.root_pc != harmony.chord.root_pc:
        return harmony
    return Harmony(chord, words[2] if words[0] == "typed" and len(words) == 3 else None, harmony.optional)
