"""Which row is this, and which technique was used here: drills on the open take."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import partial
from random import Random

from core.chart import Take, changed_bars
from core.ear.ask import Ask, Ground
from core.ear.cutting import around, excerpt
from core.ear.question import DRILLS, Answer, Excerpt, Question
from core.explain import COLOUR, Explanation, explain_take
from core.form import Form
from core.propose import ground_for
from core.row import Row, same_chords, span
from core.spelling import printed
from core.techniques.apply import applications
from core.techniques.catalogue import BY_ID, TECHNIQUES
from core.techniques.technique import Technique

LONGEST = 4
"""Bars of one question: longer changed stretches are cut."""
CHOICES = 4
"""Techniques to choose from; fewer where fewer have been taught."""


def row_asks(ground: Ground) -> Iterator[Ask]:
    """Each stretch of changed bars, on either side."""
    take = ground.take
    if take is None or take.form is not None:
        return
    for first, last in _groups(changed_bars(ground.chart, take)):
        for right in ("standard", "take"):
            yield Ask(
                "row",
                right,
                ground.chart.form.bars[first].start,
                partial(_row_question, ground, take, first, last, right),
            )


def _groups(bars: tuple[int, ...]) -> list[tuple[int, int]]:
    groups: list[tuple[int, int]] = []
    for bar in bars:
        if groups and bar == groups[-1][1] + 1 and bar - groups[-1][0] < LONGEST:
            groups[-1] = (groups[-1][0], bar)
        else:
            groups.append((bar, bar))
    return groups


def _row_question(ground: Ground, take: Take, first: int, last: int, right: str, _random: Random) -> Question:
    form = ground.chart.form
    asked = form.bars[first].start, form.bars[last].end
    low, high = around(form, *asked)
    rows = {"standard": ground.chart.standard, "take": take.row}
    heard = {name: excerpt(ground.chart, take, row, low, high, asked) for name, row in rows.items()}
    answers = tuple(
        Answer(name, words, _chords(rows[name], asked, ground), excerpt=heard[name])
        for name, words in (("standard", "the standard"), ("take", f"the take, “{take.name}”"))
    )
    said = f"That was {answers[0].words if right == 'standard' else answers[1].words}"
    return Question("row", DRILLS["row"].asks, asked[0], low, high, heard[right], answers, right,
                    f"{said}: {_chords(rows[right], asked, ground)}.")  # fmt: skip


def _chords(row: Row, asked: tuple[Fraction, Fraction], ground: Ground) -> str:
    key = ground.chart.key
    return "  ".join(printed(slot.chord, key) for slot in span(row, *asked))


# --- techniques ------------------------------------------------------------------------------------------------------


def technique_asks(ground: Ground) -> Iterator[Ask]:
    """Each stretch of the take that one technique of the catalogue explains (colour added to it may stand beside)."""
    take = ground.take
    if take is None:
        return
    for explanation in explain_take(ground.chart, take):
        names = [step.technique for step in explanation.steps if step.technique != COLOUR]
        if len(names) == 1 and names[0] in BY_ID and ground.knows(names[0]):
            make = partial(_technique_question, ground, take, explanation, names[0])
            yield Ask("technique", names[0], explanation.start, make)


def _technique_question(
    ground: Ground, take: Take, explanation: Explanation, right: str, random: Random
) -> Question:  # fmt: skip
    form: Form = ground.chart.form
    asked = explanation.start, explanation.end
    low, high = around(form, *asked)
    chosen = [BY_ID[right], *_others(ground, explanation, right, random)]
    chosen.sort(key=TECHNIQUES.index)
    heard: Excerpt = excerpt(ground.chart, take, take.row, low, high, asked)
    was = excerpt(ground.chart, take, ground.chart.standard, low, high, asked)
    answers = tuple(Answer(technique.id, technique.title[0].lower() + technique.title[1:]) for technique in chosen)
    before, after = _chords(explanation.before, asked, ground), _chords(explanation.after, asked, ground)
    why = next(step.why for step in explanation.steps if step.technique == right)
    return Question("technique", DRILLS["technique"].asks, asked[0], low, high, heard, answers, right,
                    f"{BY_ID[right].title}: {before} became {after}. {why}".strip(), told=was)  # fmt: skip


def _others(ground: Ground, explanation: Explanation, right: str, random: Random) -> list[Technique]:
    """Wrong answers that are wrong: none of them makes the very chords that stand there. Everyday ones come first."""
    place = ground_for(ground.chart, None, ground.chart.standard)
    heard = span(explanation.after, explanation.start, explanation.end)

    def makes_it(technique: Technique) -> bool:
        found = applications(place, (technique,), explanation.start, explanation.end)
        return any(same_chords(span(one.after, explanation.start, explanation.end), heard) for one in found)

    known = [one for one in TECHNIQUES if one.id != right and ground.knows(one.id)]
    everyday = sorted(known, key=lambda one: one.cost)[: 4 * CHOICES]
    random.shuffle(everyday)
    return [one for one in everyday if not makes_it(one)][: CHOICES - 1]
