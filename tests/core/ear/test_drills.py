"""Drills cut from a chart: what is asked is what sounds, and wrong answers are wrong."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.ear.ask import Ground
from core.ear.dominant_drill import chord_of
from core.ear.lesson import MAKERS, all_asks, next_question
from core.ear.progress import Progress, answered
from core.ear.question import Question, played_answer
from core.ear.sounding import excerpt_timeline
from core.explain import explain_take
from core.row import span
from core.symbol import parse_symbol
from tests.app.window.sample import sample_chart

DAY = 740_000


def ground(taught: frozenset[str] | None = None) -> Ground:
    chart = sample_chart()
    return Ground(chart, chart.takes[0], taught)


def every(work: str, taught: frozenset[str] | None = None) -> list[Question]:
    return [ask.make(Random(index)) for index, ask in enumerate(all_asks(ground(taught), work))]


@pytest.mark.parametrize("work", MAKERS)
def test_every_question_has_its_answer_among_others_and_sounds(work: str) -> None:
    questions = every(work)
    assert questions
    for question in questions:
        names = [answer.id for answer in question.answers]
        assert question.right in names
        assert len(names) == len(set(names)) >= 2
        assert len({answer.words for answer in question.answers}) == len(names)
        assert 0 <= question.excerpt.start < question.excerpt.end <= question.excerpt.chart.form.length
        assert question.last - question.first < 6
        parts = {event.part for event in excerpt_timeline(question.excerpt).events}
        assert parts
        assert parts <= question.excerpt.parts


@pytest.mark.parametrize("work", MAKERS)
def test_the_same_seed_asks_the_same(work: str) -> None:
    for seed in (1, 2):
        one = next_question(all_asks(ground(), work), Progress(), DAY, seed)
        assert one == next_question(all_asks(ground(), work), Progress(), DAY, seed)
        assert one is not None


def test_the_row_drill_plays_the_row_it_asks_for() -> None:
    for question in every("row"):
        heard = [slot.chord for slot in question.excerpt.chart.standard]
        other = next(answer for answer in question.answers if answer.id != question.right)
        assert other.excerpt is not None
        assert heard != [slot.chord for slot in other.excerpt.chart.standard]
        start = ground().chart.form.bars[question.first].start
        row = sample_chart().standard if question.right == "standard" else sample_chart().takes[0].row
        cut = span(row, start, start + question.excerpt.chart.form.length)
        assert heard == [slot.chord for slot in cut]


def test_no_wrong_technique_explains_what_is_heard() -> None:
    take = sample_chart().takes[0]
    explained = {e.start: {s.technique for s in e.steps} for e in explain_take(sample_chart(), take)}
    for question in every("technique"):
        assert question.right in explained[question.at]
        wrong = {answer.id for answer in question.answers} - {question.right}
        assert not wrong & explained[question.at]


def test_only_what_was_taught_is_asked_and_offered() -> None:
    taught = frozenset(("tritone_substitution", "related_two", "backdoor"))
    for question in every("technique", taught):
        assert {answer.id for answer in question.answers} <= taught
    kinds = {answer.id for question in every("dominant", taught) for answer in question.answers}
    assert "diminished" not in kinds
    assert {"fifth", "tritone", "altered"} <= kinds


@pytest.mark.parametrize(
    ("kind", "symbol"),
    [("tritone", "Fb7#11"), ("backdoor", "Db9"), ("diminished", "Ddim7"), ("altered", "Bb7alt"), ("fifth", "Bb9")],
)
def test_dominants_of_e_flat(kind: str, symbol: str) -> None:
    """The five chords that lead to E♭: common practice, as in the catalogue's references."""
    assert chord_of(kind, parse_symbol("Bb7")) == parse_symbol(symbol)  # type: ignore[arg-type]


def test_no_dominant_is_asked_for_that_clashes_with_the_tune() -> None:
    """A held C is the major seventh of D♭: the backdoor has no room for it."""
    text = "title: Held\nkey: Eb major\nmeter: 4/4\n\n| Fm7 | Bb7 | Ebmaj7 | Ebmaj7 |\nm: z8 | c8 | z8 | z8 |\n"
    chart = chart_from_bar_text(text)
    offered = {ask.right for ask in all_asks(Ground(chart), "dominant")}
    assert "backdoor" not in offered
    bare = replace(chart, melody=())
    assert {"fifth", "tritone", "altered", "backdoor", "diminished"} == {
        ask.right for ask in all_asks(Ground(bare), "dominant")
    }


def test_bass_then_guide_tones_then_all_of_one_chord() -> None:
    asks = all_asks(ground(), "stages")
    last, drills, places = None, [], set()
    for seed in range(3):
        last = next_question(asks, Progress(), DAY, seed, last)
        assert last is not None
        drills.append(last.drill)
        places.add(last.at)
        sounding = {event.part for event in excerpt_timeline(last.excerpt).events}
        assert ("piano" in sounding) == (last.drill != "bass")
    assert drills == ["bass", "guides", "chord"]
    assert len(places) == 1


def test_the_bass_that_is_asked_for_is_in_the_chord() -> None:
    for question in every("stages"):
        if question.drill == "bass":
            (slot,) = span(question.excerpt.chart.standard, question.excerpt.start, question.excerpt.end)[-1:]
            assert slot.chord is not None
            assert question.answer(question.right).tones == {slot.chord.bass_pc}


# --- answers on a keyboard -------------------------------------------------------------------------------------------


def first(work: str, drill: str, right: str = "") -> Question:
    return next(q for q in every(work) if q.drill == drill and (not right or q.right == right))


def test_a_played_chord_answers() -> None:
    question = first("dominant", "dominant", "tritone")
    for answer in question.answers:
        assert answer.bass is not None
        notes = {36 + answer.bass, *(60 + tone for tone in answer.tones)}
        assert played_answer(question, frozenset(notes)) == answer.id
    assert played_answer(question, frozenset((60, 64))) is None, "two notes are no chord yet"


def test_a_played_note_answers_bass_and_song() -> None:
    bass = first("stages", "bass")
    for answer in bass.answers:
        assert played_answer(bass, frozenset((48 + next(iter(answer.tones)),))) == answer.id
    song = first("sing", "sing", "third")
    right = next(iter(song.answer("third").tones))
    assert played_answer(song, frozenset((60 + right,))) == "third"
    assert played_answer(song, frozenset((61 + right,))) == "another"


def test_white_keys_count_where_words_are_answered() -> None:
    question = first("row", "row")
    assert played_answer(question, frozenset((60,))) == question.answers[0].id
    assert played_answer(question, frozenset((62,))) == question.answers[1].id
    assert played_answer(question, frozenset((61,))) is None
    assert played_answer(question, frozenset((71,))) is None


# --- what comes next -------------------------------------------------------------------------------------------------


def test_what_is_due_is_asked_twice_in_three_times_and_never_only() -> None:
    asks = all_asks(ground(), "dominant")
    progress = answered(Progress(), "dominant", "backdoor", "fifth", 1, DAY)
    drawn = [next_question(asks, progress, DAY, seed) for seed in range(60)]
    share = sum(question.right == "backdoor" for question in drawn if question)
    assert 30 <= share < 60
    later = answered(progress, "dominant", "backdoor", "backdoor", 1, DAY)
    assert sum(q.right == "backdoor" for q in (next_question(asks, later, DAY, s) for s in range(60)) if q) < 30


def test_nothing_to_ask() -> None:
    chart: Chart = chart_from_bar_text("title: Bare\nkey: C major\nmeter: 4/4\n\n| N.C. | N.C. |\n")
    for work in MAKERS:
        assert next_question(all_asks(Ground(chart), work), Progress(), DAY, 1) is None


def test_a_cut_keeps_the_tune_in_its_place() -> None:
    question = first("row", "row")
    start = sample_chart().form.bars[question.first].start
    for note in question.excerpt.chart.melody:
        assert any(
            original.pitch == note.pitch and original.onset <= note.onset + start < original.end
            for original in sample_chart().melody
        )
    assert all(note.onset >= Fraction(0) for note in question.excerpt.chart.melody)
