"""Checking a whole take: every stretch where it differs from the reference, and every melody note over it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from core.analysis import ChordAnalysis
from core.chart import Chart, Take
from core.checks.function_check import function_check
from core.checks.leading import leading_check
from core.checks.melody import melody_check
from core.finding import Check, Finding, worst
from core.propose import ground_for
from core.row import Row, merged, span


@dataclass(frozen=True, slots=True)
class Change:
    """A stretch of a take that differs from the reference, with its three checks."""

    start: Fraction
    end: Fraction
    before: Row
    after: Row
    melody: Check
    leading: Check
    function: Check

    @property
    def checks(self) -> tuple[Check, Check, Check]:
        """Melody, voice leading, function."""
        return self.melody, self.leading, self.function


@dataclass(frozen=True, slots=True)
class TakeReport:
    """The changes, the melody check of every bar that is not changed, and the reading of the take's row."""

    changes: tuple[Change, ...]
    unchanged: tuple[Finding, ...]
    analysis: tuple[ChordAnalysis, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, in order of time."""
        inside = [finding for change in self.changes for check in change.checks for finding in check.findings]
        return tuple(sorted((*inside, *self.unchanged), key=lambda finding: finding.where))

    def verdict(self, check: str) -> str:
        """The worst verdict of one check over all changes."""
        return worst(finding.verdict for change in self.changes for c in change.checks if c.name == check
                     for finding in c.findings)  # fmt: skip


def check_take(chart: Chart, take: Take) -> TakeReport:
    """Check a take against the reference row, stretch by stretch, and its unchanged bars against the melody.

    A take with a form of its own is judged by melody alone over all its bars: there is no one-to-one reference.
    """
    ground = ground_for(chart, take, take.row)
    key, melody, form = chart.key_of(take), chart.melody_of(take), chart.form_of(take)
    changes = []
    spans = list(different_spans(chart.standard, take.row)) if take.form is None else []
    for start, end in spans:
        before, after = merged(span(chart.standard, start, end)), merged(span(take.row, start, end))
        previous = next((slot.chord for slot in reversed(ground.row) if slot.onset < start), None)
        following = next((slot.chord for slot in ground.row if slot.end > end), ground.row[0].chord)
        local = next((a.key for s, a in zip(ground.row, ground.analysis, strict=True) if s.end > end), key)
        changes.append(Change(start, end, before, after,
                              melody_check(melody, after, following, local, form, flag_altered=False),
                              leading_check(previous, after, following, end, melody, before, local),
                              function_check(previous, before, after, following, end, local)))  # fmt: skip
    rest = melody_check(melody, ground.row, ground.row[0].chord, key, form)
    unchanged = tuple(f for f in rest.findings if not any(start <= f.where < end for start, end in spans))
    return TakeReport(tuple(changes), unchanged, ground.analysis)


def different_spans(standard: Row, other: Row) -> Iterator[tuple[Fraction, Fraction]]:
    """Stretches where two rows over one form differ, cut where both change chord so that each is judged alone."""
    one_row, other_row = merged(standard), merged(other)
    places = sorted({slot.onset for slot in (*one_row, *other_row)} | {standard[-1].end})
    both = {slot.onset for slot in one_row} & {slot.onset for slot in other_row}
    start: Fraction | None = None
    for at, stop in pairwise(places):
        one, two = span(standard, at, stop), span(other, at, stop)
        if one[0].chord == two[0].chord:
            if start is not None:
                yield start, at
            start = None
        elif start is None:
            start = at
        elif at in both:
            yield start, at
            start = at
    if start is not None:
        yield start, places[-1]


def summary(chart: Chart, take: Take, report: TakeReport, changed: int) -> str:
    """One line: ``'7 of 32 bars changed · melody good, 1 caution'``."""
    total = len(chart.form_of(take).bars)
    melody = [finding.verdict for finding in report.findings if finding.check == "melody"]
    parts = [f"{melody.count(word)} {word if melody.count(word) == 1 else plural}"
             for word, plural in (("caution", "cautions"), ("clash", "clashes")) if word in melody]  # fmt: skip
    return f"{changed} of {total} bars changed · melody {', '.join(parts) or 'good'}"
