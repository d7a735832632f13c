"""Whole-form takes on the demo charts: what is kept, what is alike, what the tune allows, and the cost bar by bar."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import pytest

from core.bar_text import chart_from_bar_text
from core.chart import Chart, check_chart, step_states
from core.checks.melody import melody_check
from core.chorus import ChorusTake, Plan, as_take, chorus, next_take, plan
from core.chorus.playable import octave_for
from core.chorus.request import BassPlan, Request, RequestError
from core.files import load_chart
from core.hands.grips import Player, grips_of
from core.hands.tune import tops_of
from core.places import folder
from core.propose import ground_for
from core.row import Row, Slot, merged, same_chords, slot_index, span
from core.techniques.catalogue import TECHNIQUES
from core.voicing_sets import kind_of

DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))
HARBOUR = next(path for path in DEMOS if path.name.startswith("harbour"))


@lru_cache(maxsize=4)
def chart_at(path: Path) -> Chart:
    return load_chart(path)[0]


@lru_cache(maxsize=16)
def made(path: Path, request: Request) -> tuple[ChorusTake, ...]:
    return tuple(chorus(chart_at(path), request))


def _root_changed(chart: Chart, row: Row, other: Row | None = None) -> int:
    """Bars whose roots are not all those of another row, the standard's as a rule."""

    def roots(part: Row) -> list[tuple[object, int | None]]:
        return [(slot.onset, None if slot.chord is None else slot.chord.root_pc) for slot in merged(part)]

    there = other or chart.standard
    return sum(roots(span(row, bar.start, bar.end)) != roots(span(there, bar.start, bar.end))
               for bar in chart.form.bars)  # fmt: skip


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_takes_stand_by_their_steps_and_costs(path: Path) -> None:
    """The steps make the row, the bars' terms add up to the cost, and every two takes are unlike."""
    chart, takes = chart_at(path), made(path, Request(count=2, boldness=0.6))
    assert takes
    for take in takes:
        kept = check_chart(Chart(chart.title, chart.key, chart.form, chart.references, (as_take(chart, "new", take),),
                                 chart.melody))  # fmt: skip
        assert not any(state.edited or state.stale for state in step_states(kept, kept.takes[0]))
        assert sum(map(sum, take.terms)) == take.cost
        assert len(take.terms) == len(chart.form.bars)
    assert all(8 * _root_changed(chart, one.row, other.row) >= len(chart.form.bars) and one.families != other.families
               for one in takes for other in takes if one is not other)  # fmt: skip


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_tune_never_clashes_with_a_new_chord(path: Path) -> None:
    chart = chart_at(path)
    ground = ground_for(chart, None, chart.standard)
    for take in made(path, Request(count=2, boldness=0.6)):
        for index, slot in enumerate(take.row):
            if slot.chord is None or same_chords((slot,), span(chart.standard, slot.onset, slot.end)):
                continue
            following = take.row[(index + 1) % len(take.row)].chord
            at = slot.end if slot.end < chart.form.length else chart.form.bars[0].start
            key = ground.analysis[slot_index(ground.row, at)].key
            assert melody_check(chart.melody, (slot,), following, key, chart.form, True).verdict != "clash"


def test_sections_alike_stay_alike_unless_asked() -> None:
    """The A sections of the demo chart have the same chords, so a take gives them the same."""
    chart = chart_at(HARBOUR)
    sections = [section for section in chart.form.sections if section.name == "A"]

    def contents(take: ChorusTake) -> set[tuple[tuple[object, object], ...]]:
        found = set()
        for section in sections:
            start, end = chart.form.bars[section.first].start, chart.form.bars[section.first + 3].end
            found.add(tuple((slot.onset - start, slot.chord) for slot in merged(span(take.row, start, end))))
        return found

    assert len(sections) > 1
    assert all(len(contents(take)) == 1 for take in made(HARBOUR, Request(count=2, boldness=0.6)))


def test_more_boldness_changes_no_fewer_roots() -> None:
    """A take earns by the time on other roots, and more with more boldness, so that time can only grow."""
    chart = chart_at(HARBOUR)
    shares = [_root_changed(chart, made(HARBOUR, Request(count=1, boldness=boldness, keep_cadences=False))[0].row)
              for boldness in (0.0, 0.3, 0.6, 1.0)]  # fmt: skip
    assert shares == sorted(shares)
    assert shares[0] <= len(chart.form.bars) // 8
    assert shares[-1] >= len(chart.form.bars) // 2


def test_what_is_asked_is_kept() -> None:
    chart = chart_at(HARBOUR)
    kept, forbidden = frozenset({0, 1, 8, 20}), frozenset({"tritone_substitution", "backdoor"})
    request = Request(count=1, boldness=0.8, keep=kept, keep_cadences=True, forbid=forbidden, chords_a_bar=2)
    take = made(HARBOUR, request)[0]
    bars = [chart.form.bars[index] for index in kept]
    bars += [bar for section in chart.form.sections for bar in chart.form.bars[section.last - 2 : section.last]]
    for bar in bars:
        assert same_chords(span(take.row, bar.start, bar.end), span(chart.standard, bar.start, bar.end))
    assert not forbidden & {step.technique for step in take.steps}
    for slot in take.row:
        standing = same_chords((slot,), span(chart.standard, slot.onset, slot.end))
        assert standing or 2 * slot.duration >= chart.form.bar_at(slot.onset).length


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_asked_for_nothing_half_of_the_chords_and_every_cadence_stay(path: Path) -> None:
    """Over-reharmonized is what players complain of: half of the chords at least stay; common practice, no source."""
    chart, take = chart_at(path), made(path, Request(count=1))[0]
    standard = merged(chart.standard)
    stay = sum(same_chords(span(take.row, slot.onset, slot.end), (slot,)) for slot in standard)
    assert 2 * stay >= len(standard)
    for section in chart.form.sections:
        start, end = chart.form.bars[section.last - 2].start, chart.form.bars[section.last - 1].end
        assert same_chords(span(take.row, start, end), span(chart.standard, start, end))


def test_the_only_bar_of_a_section_is_its_cadence() -> None:
    """A section of one bar, the first too, is kept with the cadences."""
    chart = chart_from_bar_text("key: C major\n\n[A]\n| G7 |\n[B]\n| Cmaj7 | A7 | Dm7 | G7 | Cmaj7 |\n")
    take = next(chorus(chart, Request(count=1, boldness=1.0)))
    first = chart.form.bars[0]
    assert not same_chords(take.row, chart.standard)
    assert same_chords(span(take.row, first.start, first.end), span(chart.standard, first.start, first.end))


def test_a_favoured_technique_is_used() -> None:
    plain, asked = (made(HARBOUR, Request(count=1, boldness=0.3, favour=frozenset(favour)))[0]
                    for favour in ((), ("tritone_substitution",)))  # fmt: skip

    def uses(take: ChorusTake) -> int:
        return [step.technique for step in take.steps].count("tritone_substitution")

    assert uses(asked) > uses(plain)


def test_a_bass_plan_holds_or_is_refused_with_its_bars() -> None:
    chart = chart_at(HARBOUR)
    take = made(
        HARBOUR, Request(count=1, boldness=0.6, alike=False, plans=(BassPlan("thirds", 0, 2),), keep_cadences=False)
    )[0]
    inside = span(take.row, chart.form.bars[0].start, chart.form.bars[1].end)
    basses = [slot.chord.bass_pc for slot in inside if slot.chord]
    assert all((two - one) % 12 in (0, 3, 4, 8, 9) for one, two in pairwise(basses))
    with pytest.raises(RequestError, match="1–8"):
        made(HARBOUR, Request(count=1, depth=1, keep=frozenset(range(8)), plans=(BassPlan("pedal", 0, 8),)))


@pytest.mark.parametrize(
    ("request_", "said"),
    [
        (Request(count=0), "from 1 to 50"),
        (Request(boldness=1.5), "from 0 to 1"),
        (Request(depth=9), "from 1 to 3"),
        (Request(chords_a_bar=0), "at least one"),
        (Request(keep=frozenset({99})), "There is no bar 100"),
        (Request(forbid=frozenset({"magic"})), "magic"),
        (Request(forbid=frozenset({"backdoor"}), favour=frozenset({"backdoor"})), "both"),
        (Request(plans=(BassPlan("sideways", 0, 4),)), "sideways"),
        (Request(plans=(BassPlan("pedal", 4, 4),)), "before it begins"),
    ],
)
def test_a_request_out_of_range_is_refused_in_one_sentence(request_: Request, said: str) -> None:
    with pytest.raises(RequestError, match=said) as caught:
        plan(chart_at(HARBOUR), request_)
    assert str(caught.value).endswith(".")


def test_the_best_take_is_no_dearer_than_the_standard() -> None:
    """The standard is a chain of the lattice too, and so is every other take made from it under the same cost."""
    chart = chart_at(HARBOUR)
    planned: Plan = plan(chart, Request(count=1, depth=1))
    alone = plan(chart, Request(count=1, depth=1, forbid=frozenset(technique.id for technique in TECHNIQUES)))
    best, standard = next_take(planned, []), next_take(alone, [])
    assert best is not None
    assert standard is not None
    assert same_chords(standard.row, chart.standard)
    assert best.cost <= standard.cost


def test_the_same_request_gives_the_same_takes() -> None:
    chart = chart_at(HARBOUR)
    request = Request(count=2, boldness=0.6)
    assert [take.row for take in chorus(chart, request)] == [take.row for take in made(HARBOUR, request)]


def test_progress_goes_from_nothing_to_all_and_whoever_listens_stops_the_work() -> None:
    heard: list[float] = []
    request = Request(count=2, boldness=0.6)
    list(chorus(chart_at(HARBOUR), request, heard.append))
    assert heard == sorted(heard)
    assert heard[0] < 0.05
    assert 0.8 < heard[-1] <= 1
    assert len(heard) > 100

    class StoppedError(Exception):
        pass

    told: list[float] = []

    def stop(share: float) -> None:
        told.append(share)
        if len(told) == 50:
            raise StoppedError

    with pytest.raises(StoppedError):
        list(chorus(chart_at(HARBOUR), request, stop))
    assert len(told) == 50


def test_what_one_guitarist_plays_lies_under_the_tune() -> None:
    """A grip that gives nothing up, the tune's note on top, for every new chord; not asked for, some have none."""

    def out_of_hand(take: ChorusTake) -> list[Slot]:
        row = tuple(slot for slot in take.row if not same_chords((slot,), span(chart.standard, slot.onset, slot.end)))
        tops = tops_of(chart.melody, row)
        return [slot for slot, top in zip(row, tops, strict=True)
                if slot.chord and all(grip.given_up for grip in grips_of(slot.chord, kind_of(slot.chord, None, None),
                                                                         Player(bass=False), top and top + octave))]  # fmt: skip

    chart = chart_at(HARBOUR)
    octave = octave_for(chart.melody)
    free, held = (made(HARBOUR, Request(count=1, boldness=0.8, depth=1, playable=who))[0] for who in ("", "guitar"))
    assert out_of_hand(free)
    assert not out_of_hand(held)
    assert not same_chords(held.row, chart.standard)
