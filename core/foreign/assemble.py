"""A score to a chart: which part is the melody, which line the chords, key, tempo, feel, and the form as played.

Guessed, and reported each time: the part, staff and voice that are the melody, the top note of chords, where chord
symbols come from, the mode of a key without one, the title of an untitled score, tempo and feel where none is given.
What can be guessed in more than one way is a question, handed on with the answer that was read.
"""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

from core.chart import DEFAULT_TEMPO, STANDARD, TEMPO_RANGE, Chart, Melody, NamedRow, Take, check_chart
from core.feel import FEEL_NAMES
from core.foreign.events import Measure
from core.foreign.odd_bars import bars_question, fitted, to_metre
from core.foreign.played import MAX_PLAYED, Events, harmony_bars, main_line, melody_bars, played_melody, played_row
from core.foreign.report import Report
from core.foreign.score import MAX_BARS, Choices, Option, Question, Score, asked
from core.foreign.score_form import read_form
from core.foreign.unfold import in_order, order_with_repeats
from core.foreign.xml_stream import Refused
from core.form import Form
from core.imported import Imported
from core.key import Key
from core.row import Row

DEFAULT_FEEL = "medium swing"
NOTE_FIELD, REFERENCE_FIELD = "note", "reference row"
NOTES, NO_CHORDS, NO_MELODY = "notes", "none", "none"
_ACCOMPANIMENT = re.compile(r"\bbass\b|contrabass|drum|perc|chord|comp\b|left hand", re.IGNORECASE)
_MELODY_NAME = re.compile(r"melod|lead|voice|vocal|voz|voix|stimme|gesang|canto|solo|tune|theme|head", re.IGNORECASE)


def reading_of(score: Score, name: str, choices: Choices) -> Imported:
    """Put a score together; ``name`` is the title of an untitled one. Raises :class:`Refused`."""
    if not any(score.parts.values()):
        raise Refused("holds no bars", "open a score that has music in it")
    report, questions = score.report, list(score.questions)
    chosen = _melody_part(score)
    line = _melody_question(score, chosen, choices)
    questions += [line] if len(line.options) > 2 else []
    silent, chosen, voice = _line_of(line, chosen)
    parts = list(score.parts.values())
    _say_parts(score, chosen, silent)
    signature, mode_given = _signature(parts[chosen], report)
    if any(measure.signs.repeats_again for part in parts for measure in part):
        parts = _unfolded(score, chosen, signature)
    form = read_form(parts, chosen, signature, report)
    odd = bars_question(form, choices)
    if odd is not None:
        questions.append(odd)
        form = to_metre(form) if odd.chosen == "metre" else form
    lines = [] if silent else fitted(melody_bars(parts[chosen], report, voice), form, report)
    if sum(len(lines[bar.written]) for bar in form.bars if bar.written < len(lines)) > MAX_PLAYED:
        raise Refused("repeats more notes than any tune", "check its repeats")
    melody = played_melody(lines, form)
    source = _chords_question(score, chosen, choices)
    questions += [source] if len(source.options) > 2 else []
    takes, row = _rows(score, source.chosen, chosen, form, signature)
    key = signature
    if not mode_given:
        key, mode = _key_of_mode(signature, row, melody, choices, report)
        questions.append(mode)
    feel, asks = _feel(score, report, choices)
    reference = score.fields.get(REFERENCE_FIELD) or STANDARD
    chart = Chart(_title(score, name, report), key, form, (NamedRow(reference, row),), takes, melody,
                  ", ".join(dict.fromkeys(score.composers)), _tempo(score, report), feel, reference,
                  score.fields.get(NOTE_FIELD, ""))  # fmt: skip
    if any(measure.has_lyrics for measure in parts[chosen]):
        report.add("lyrics are not kept")
    numbers = [bar.number or str(at + 1) for at, bar in enumerate(form.written)]
    return Imported(check_chart(chart), report.sentences(numbers), (*questions, *asks))


def _unfolded(score: Score, chosen: int, signature: Key) -> list[list[Measure]]:
    """The parts written out where repeats are played again after a jump, which a form cannot say."""
    parts = list(score.parts.values())
    form = read_form(parts, chosen, signature, Report())
    order = order_with_repeats(form.written)
    if order is None or tuple(order) == form.order or len(order) > MAX_BARS:
        return parts
    score.report.add("the repeats are played again after the jump, so the bars are written out as they are played")
    for name, part in score.parts.items():
        score.parts[name] = in_order(part, order, signs=False)
    return list(score.parts.values())


def _title(score: Score, name: str, report: Report) -> str:
    work, movement = score.titles.get("work", ""), score.titles.get("movement", "")
    if work and movement and work != movement:
        report.add(f"the work's title {work!r} is not kept beside {movement!r}")
    found = movement or work or score.titles.get("credit", "")
    if not found:
        report.add(f"the score has no title; its file name {name!r} is taken")
    return found or name


# --- which part is the melody ---------------------------------------------------------------------------------------


def _melody_part(score: Score) -> int:
    """The part that is the melody: named so, or sung, or under the chord symbols, or the first with notes."""
    ids = list(score.parts)
    if score.melody_part in ids:
        return ids.index(score.melody_part)

    def rank(at: int) -> tuple[bool, bool, bool, bool, bool, int]:
        measures = score.parts[ids[at]]
        deep = bool(_ACCOMPANIMENT.search(score.names.get(ids[at], "")))
        notes = any(measure.notes for measure in measures)
        named = bool(_MELODY_NAME.search(score.names.get(ids[at], "")))
        sung = any(measure.has_lyrics for measure in measures)
        return notes, notes and sung, notes and named, not deep, any(measure.harmonies for measure in measures), -at

    return max(range(len(ids)), key=rank)


def _melody_question(score: Score, default: int, choices: Choices) -> Question:
    """Every voice of every staff of every part that has notes, and silence; the default is a part's main voice."""
    options = [Option(NO_MELODY, "no melody")]
    for at, measures in enumerate(score.parts.values()):
        lines = sorted({(note.staff, note.voice) for measure in measures for note in measure.notes})
        staves = {staff for staff, _ in lines}
        for staff, voice in lines:
            words = [score.label(at)] + ([f"staff {staff}"] if len(staves) > 1 else [])
            words += [f"voice {voice[:12]}"] if len([one for one in lines if one[0] == staff]) > 1 else []
            options.append(Option(f"{at + 1}/{staff}/{voice}", ", ".join(words)))
    voice, staff = main_line(list(score.parts.values())[default])
    usual = f"{default + 1}/{staff}/{voice}"
    options.sort(key=lambda option: (option.value != usual, option.value == NO_MELODY))
    if not any(option.value == usual for option in options):
        usual = NO_MELODY
    return asked(choices, "melody", tuple(options), usual)


def _line_of(line: Question, default: int) -> tuple[bool, int, tuple[str, int] | None]:
    """Whether there is no melody, the part, and (where the user chose one) its voice and staff."""
    if line.chosen == NO_MELODY:
        return True, default, None
    part, staff, voice = line.chosen.split("/", 2)
    return False, int(part) - 1, None if line.chosen == line.options[0].value else (voice, int(staff))


def _say_parts(score: Score, chosen: int, silent: bool) -> None:
    if silent and any(measure.notes for part in score.parts.values() for measure in part):
        score.report.add("no part is read as the melody")
    elif len(score.parts) > 1 and not silent:
        score.report.add(f"of {len(score.parts)} parts {score.label(chosen)!r} is read as the melody")


# --- which line is the chords ---------------------------------------------------------------------------------------


def _chords_question(score: Score, melody: int, choices: Choices) -> Question:
    """Each part with chord symbols, chords named from notes, or none."""
    parts = list(score.parts.values())
    counts = [sum(len(measure.harmonies) for measure in part) for part in parts]
    options = [
        Option(f"symbols {at + 1}", f"the symbols of {score.label(at)}") for at, count in enumerate(counts) if count
    ]
    options.sort(key=lambda option: (-counts[(at := int(option.value.split()[1]) - 1)], at != melody, at))
    symbols = bool(options)
    sounding = [at for at, part in enumerate(parts) if any(measure.notes for measure in part)]
    full = [at for at in sounding if has_chords(parts[at])]
    if full or len(sounding) > 2:
        options.append(Option(NOTES, "named from the notes of all parts"))
        if melody not in full and len(sounding) > 1:
            options.insert(-1, Option(f"{NOTES} but {melody + 1}", "named from the notes beside the melody"))
        options += [Option(f"{NOTES} {at + 1}", f"named from the notes of {score.label(at)}") for at in full
                    if len(sounding) > 1]  # fmt: skip
    options.append(Option(NO_CHORDS, "no chords"))
    usual = options[0].value if symbols or score.harmony_from_notes else NO_CHORDS
    return asked(choices, "chords", tuple(options), usual)


def has_chords(part: list[Measure]) -> bool:
    """Whether a part strikes three notes or more at once, in a fifth of its bars or more."""
    bars = [measure for measure in part if measure.notes]
    struck = [Counter(note.onset for note in measure.notes) for measure in bars]
    return 5 * sum(max(onsets.values()) > 2 for onsets in struck) >= len(bars) > 0


def _rows(score: Score, source: str, melody: int, form: Form, key: Key) -> tuple[tuple[Take, ...], Row]:
    """The row, and a take where a second line of symbols is printed below under the label of :mod:`signs`."""
    report = score.report
    if source == NO_CHORDS:
        written = any(measure.harmonies for part in score.parts.values() for measure in part)
        report.add("the chord symbols are not read" if written else
                   "the score has no chord symbols, so the row is without chords")  # fmt: skip
        return (), played_row([[] for _ in form.written], form)
    if source.startswith(NOTES):
        return (), played_row(_named(score, source, form, key), form)
    at = int(source.split()[1]) - 1
    if score.symbol_source:
        report.add(score.symbol_source)
    elif at != melody:
        report.add(f"the chord symbols are taken from {score.label(at)!r}")
    symbols = list(score.parts.values())[at]
    label = next((measure.signs.take for measure in symbols if measure.signs.take), None)
    row = played_row(harmony_bars(symbols, None if label is None else False, form, report), form)
    if label is None:
        return (), row
    return (Take(label, played_row(harmony_bars(symbols, True, form, report), form)),), row


def _named(score: Score, source: str, form: Form, key: Key) -> Events:
    from core.foreign.block_chords import chords_from_notes  # only where a file has no symbols

    words = source.split()
    parts = list(score.parts.values())
    chosen, label = list(range(len(parts))), "all parts"
    if len(words) == 3:
        chosen, label = [at for at in chosen if at != int(words[2]) - 1], "the parts beside the melody"
    elif len(words) == 2:
        chosen, label = [int(words[1]) - 1], repr(score.label(int(words[1]) - 1))
    score.report.add(f"the chords are named from the notes of {label}")
    return chords_from_notes([parts[at] for at in chosen], form, key, score.report)


# --- key, tempo, feel -----------------------------------------------------------------------------------------------


def _signature(part: list[Measure], report: Report) -> tuple[Key, bool]:
    """The key at the start and whether its mode is stated."""
    first = part[0]
    if first.key is None:
        report.add("the score states no key; no sharps or flats are assumed")
        return Key(0), False
    return first.key, first.mode_given


def _mode_question(signature: Key, row: Row, melody: Melody, choices: Choices) -> Question:
    """Major or its relative minor, by the last and the first chord, or the last melody note."""
    major, minor = Key(signature.signature), Key(signature.signature + 3, "minor")
    chords = [slot.chord for slot in row if slot.chord is not None]
    for chord in chords[-1:] + chords[:1]:
        third = chord.quality.degree(3)
        if chord.root_pc in (major.tonic_pc, minor.tonic_pc) and third is not None:
            is_minor = chord.root_pc == minor.tonic_pc and third.alteration < 0
            break
    else:
        is_minor = bool(melody) and not chords and melody[-1].pitch.midi % 12 == minor.tonic_pc
    options = (Option("major", str(major)), Option("minor", str(minor)))
    return asked(choices, "mode", options, "minor" if is_minor else "major")


def _key_of_mode(signature: Key, row: Row, melody: Melody, choices: Choices, report: Report) -> tuple[Key, Question]:
    """The key whose signature is written and whose mode is guessed or chosen."""
    mode = _mode_question(signature, row, melody, choices)
    key = Key(signature.signature) if mode.chosen == "major" else Key(signature.signature + 3, "minor")
    report.add(f"the key's mode is not stated; {key} is {'guessed' if 'mode' not in choices else 'chosen'}")
    return key, mode


def _tempo(score: Score, report: Report) -> int:
    tempos = [(at, measure.signs.tempo) for part in score.parts.values() for at, measure in enumerate(part)
              if measure.signs.tempo]  # fmt: skip
    if not tempos:
        report.add(f"no tempo is given; {DEFAULT_TEMPO} is assumed")
        return DEFAULT_TEMPO
    first_at, first = min(tempos, key=lambda pair: pair[0])
    for at, other in tempos:
        if other != first and at > first_at:
            report.add("a change of tempo is not kept", at)
    tempo = max(TEMPO_RANGE[0], min(TEMPO_RANGE[1], round(first)))
    if Fraction(tempo) != first:
        report.add(f"the tempo {float(first):g} is read as {tempo}")
    return tempo


def _feel(score: Score, report: Report, choices: Choices) -> tuple[str, tuple[Question, ...]]:
    feels = [(at, signs.feel_is_guess, signs.feel) for part in score.parts.values() for at, measure in enumerate(part)
             for signs in [measure.signs] if signs.feel]  # fmt: skip
    opening = [feel for feel in feels if feel[0] <= 1]
    if not opening:
        options = tuple(Option(name, name) for name in dict.fromkeys((DEFAULT_FEEL, *FEEL_NAMES)))
        question = asked(choices, "feel", options, DEFAULT_FEEL)
        report.add(f"no feel is given; {question.chosen} is {'chosen' if 'feel' in choices else 'assumed'}")
        return question.chosen, (question,)
    _, is_guess, feel = min(opening, key=lambda found: found[:2])
    if is_guess:
        report.add(f"the words {feel!r} are read as the feel")
    return str(feel), ()
