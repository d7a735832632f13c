"""Assignments: written in a teacher's words, told back, and marked by what the take really does.

"two tritone substitutions, keep bars 7-8, change at least 4 bars, no clashes"
"""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from core.chart import Chart, Take, changed_bars, step_states
from core.class_notes import Assignment
from core.errors import ChangewrightError
from core.explain import COLOUR, explain_take
from core.form import Form, FormError
from core.take_check import check_take
from core.techniques.catalogue import BY_ID, TECHNIQUES

NUMBERS: Mapping[str, int] = MappingProxyType({"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5,
                                               "six": 6, "seven": 7, "eight": 8})  # fmt: skip
NUMBER_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
ADVICE = "write it like 'two tritone substitutions, keep bars 7-8, change at least 4 bars, no clashes'"
_BEGINS = "|".join((*NUMBERS, r"\d+", "keep", "change", "at", "no", "without"))
_BETWEEN = re.compile(rf"[,;.]\s+|\s+and\s+(?=(?:{_BEGINS})\b)|[;.,]$", re.IGNORECASE)
_KEEP = re.compile(r"keep (?:the )?bars? (.+)")
_CHANGE = re.compile(r"(?:change )?at (least|most) (\w+) bars?(?: changed)?")
_CLEAN = re.compile(r"(?:no|without) clash(?:es)?")


class AssignmentError(ChangewrightError):
    """Words that ask for nothing the check can mark."""

    def __init__(self, text: str, problem: str) -> None:
        super().__init__(f"Cannot read {text!r} in the assignment: {problem}; {ADVICE}.")


def parse_assignment(text: str, form: Form) -> Assignment:
    """Read an assignment; raises :class:`AssignmentError` with the nearest technique where one is meant."""
    found = Assignment()
    clauses = _BETWEEN.split(text.strip())
    for clause in _whole_lists(clauses):
        found = _with_clause(found, clause, form)
    if found == Assignment():
        raise AssignmentError(text, "it asks for nothing")
    return found


def _whole_lists(clauses: list[str]) -> Iterator[str]:
    """Clauses without the empty ones; a list of bars that was cut at its commas is one again."""
    held = ""
    for clause in (clause.strip() for clause in clauses if clause and clause.strip()):
        if held and re.fullmatch(r"[\d–-]+", clause):
            held += f", {clause}"
            continue
        if held:
            yield held
        held = clause if _KEEP.fullmatch(clause.lower()) else ""
        if not held:
            yield clause
    if held:
        yield held


def _with_clause(found: Assignment, clause: str, form: Form) -> Assignment:
    words = " ".join(clause.lower().split())
    if kept := _KEEP.fullmatch(words):
        return found._replace(keep=tuple(sorted({*found.keep, *_bars(kept[1], clause, form)})))
    if changed := _CHANGE.fullmatch(words):
        count = _number(changed[2])
        if count is None or not 1 <= count <= len(form.bars):
            raise AssignmentError(clause, f"the form has {len(form.bars)} bars")
        return found._replace(least=count) if changed[1] == "least" else found._replace(most=count)
    if _CLEAN.fullmatch(words):
        return found._replace(clean=True)
    return found._replace(wants=(*found.wants, _want(words, clause)))


def _bars(text: str, clause: str, form: Form) -> Iterator[int]:
    for part in re.split(r",\s*|\s+", text):
        match = re.fullmatch(r"(\d{1,4})(?:[-–](\d{1,4}))?", part)
        if match is None:
            raise AssignmentError(clause, f"{part!r} is no bar")
        first, last = int(match[1]), int(match[2] or match[1])
        try:
            low, high = form.bar_numbered(first).index, form.bar_numbered(last).index
        except FormError as error:
            raise AssignmentError(clause, str(error).rstrip(".")) from error
        if low > high:
            raise AssignmentError(clause, f"{part!r} runs backwards")
        yield from range(low, high + 1)


def _number(word: str) -> int | None:
    return NUMBERS.get(word) or (int(word) if word.isdecimal() and len(word) < 5 else None)


def _want(words: str, clause: str) -> tuple[str, int]:
    first, _, rest = words.partition(" ")
    number = _number(first)
    name = words if number is None or not rest else rest
    names = _technique_names()
    known = next((names[form] for form in _singulars(name) if form in names), None)
    if known is None:
        close = difflib.get_close_matches(_singulars(name)[-1], names, n=1, cutoff=0.5)
        near = f" (the nearest is {close[0]!r})" if close else ""
        raise AssignmentError(clause, f"no technique has that name{near}")
    return known, number or 1


def _technique_names() -> dict[str, str]:
    """Everything a technique is called, in small letters."""
    names = {}
    for technique in reversed(TECHNIQUES):
        for name in (technique.seam, technique.title, technique.id.replace("_", " ")):
            names[name.lower().replace("–", "-")] = technique.id
    return names


def _singulars(name: str) -> list[str]:
    plain = name.replace("–", "-").replace("_", " ")
    return [plain, *([plain[:-1]] if plain.endswith("s") else []), *([plain[:-2]] if plain.endswith("es") else [])]


# --- telling it back -------------------------------------------------------------------------------------------------


def assignment_words(assignment: Assignment, form: Form) -> str:
    """The assignment in words that read back as it."""
    parts = []
    for technique, count in assignment.wants:
        title = BY_ID[technique].title.lower().replace("–", "-") if technique in BY_ID else technique
        parts.append(f"{_counted(count)} {title}{'s' if count > 1 else ''}")
    if assignment.keep:
        parts.append(f"keep bar{'s' if len(assignment.keep) > 1 else ''} {bar_list(assignment.keep, form)}")
    for name in ("least", "most"):
        if count := getattr(assignment, name):
            parts.append(f"change at {name} {count} bar{'s' if count > 1 else ''}")
    return ", ".join([*parts, *(["no clashes"] if assignment.clean else [])])


def _counted(count: int) -> str:
    return NUMBER_WORDS[count] if count < len(NUMBER_WORDS) else str(count)


def bar_list(bars: tuple[int, ...], form: Form) -> str:
    """``'7-8, 12'`` for bar indexes."""
    runs: list[list[int]] = []
    for bar in sorted(bars):
        if runs and bar == runs[-1][-1] + 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])
    numbers = [(form.bars[run[0]].number, form.bars[run[-1]].number) for run in runs]
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in numbers)


# --- marking -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Mark:
    """One demand: whether it is met, a sentence why, and the bars (indexes) it is about."""

    met: bool
    words: str
    bars: tuple[int, ...] = ()


def mark_assignment(chart: Chart, take: Take, assignment: Assignment) -> tuple[Mark, ...]:
    """Mark a take, demand by demand. What was typed by hand counts as what it is: the rows are explained."""
    form = chart.form_of(take)
    changed = changed_bars(chart, take)
    used = techniques_used(chart, take)
    marks = [_wanted(technique, count, used.get(technique, ()), form) for technique, count in assignment.wants]
    if assignment.keep:
        marks.append(_kept(assignment.keep, changed, form))
    count = len(changed)
    said = f"{count} {'bar is' if count == 1 else 'bars are'} changed"
    if assignment.least:
        marks.append(Mark(count >= assignment.least, f"{said}; at least {assignment.least} were asked for.", changed))
    if assignment.most:
        marks.append(Mark(count <= assignment.most, f"{said}; at most {assignment.most} were allowed.", changed))
    if assignment.clean:
        marks.append(_clean(chart, take, form))
    return tuple(marks)


def techniques_used(chart: Chart, take: Take) -> dict[str, tuple[int, ...]]:
    """Technique → the bars (indexes) where it was used: steps that still stand, and what explains everything else."""
    form = chart.form_of(take)
    places: list[tuple[str, int]] = []
    standing = [state.step for state in step_states(chart, take) if not state.edited and not state.stale]
    for step in standing:
        places.append((step.technique, form.bar_at(step.start).index))
    for explanation in explain_take(chart, take):
        if any(step.start < explanation.end and explanation.start < step.end for step in standing):
            continue
        names = {step.technique for step in explanation.steps if step.technique != COLOUR}
        places += [(name, form.bar_at(explanation.start).index) for name in sorted(names)]
    used: dict[str, tuple[int, ...]] = {}
    for technique, bar in places:
        used[technique] = (*used.get(technique, ()), bar)
    return used


def _wanted(technique: str, count: int, bars: tuple[int, ...], form: Form) -> Mark:
    title = BY_ID[technique].title if technique in BY_ID else technique
    times = Counter(bars)
    where = f"; bar{'s' if len(times) > 1 else ''} {bar_list(tuple(times), form)}" if bars else ""
    words = f"{title}: {_counted(len(bars))}, {_counted(count)} asked for{where}."
    return Mark(len(bars) >= count, words, tuple(times))


def _kept(keep: tuple[int, ...], changed: tuple[int, ...], form: Form) -> Mark:
    touched = tuple(bar for bar in keep if bar in changed)
    one = f"Bar{'s' if len(keep) > 1 else ''} {bar_list(keep, form)} {'are' if len(keep) > 1 else 'is'} as printed."
    return Mark(not touched, f"Changed, though to be kept: bar {bar_list(touched, form)}." if touched else one, touched)


def _clean(chart: Chart, take: Take, form: Form) -> Mark:
    clashes = [finding for finding in check_take(chart, take).findings if finding.verdict == "clash"]
    bars = tuple(dict.fromkeys(form.bar_at(finding.where).index for finding in clashes))
    if not clashes:
        return Mark(True, "Nothing clashes.")
    return Mark(False, f"Bar {form.bars[bars[0]].number}: {clashes[0].text}.", bars)
