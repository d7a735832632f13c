"""Which bars are printed: the written form where the passes agree, written out where they do not.

The form is cut into stretches that the played order goes through one after the other (a repeat with its endings is
one; everything a da capo or dal segno reaches is one). A stretch keeps its repeats if all passes of each of its bars
show the same; otherwise its bars are printed as played.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from core.form import Form, FormError, WrittenBar, played_order


@dataclass(frozen=True, slots=True)
class PrintedBar:
    """A bar on the sheet: signs of the written form that still hold, and the played bars it stands for."""

    written: WrittenBar
    number: str
    passes: tuple[int, ...]

    @property
    def first(self) -> int:
        """Index of the first played bar it stands for."""
        return self.passes[0]


def printed_bars(form: Form, shown: Sequence[Hashable]) -> tuple[PrintedBar, ...]:
    """The bars to print; ``shown`` is what each played bar shows, to be compared."""
    stretches = _stretches(form)
    if not _is_played_as_written(form):
        return tuple(_as_played(form, range(len(form.bars))))
    kept = _agreeing(form, shown, stretches)
    if all(kept):
        return tuple(_as_written(form, range(len(form.written)), numbered_as_written=True))
    jumps = any(bar.jump for bar in form.written)
    bars: list[PrintedBar] = []
    at = 0
    for stretch, keep in zip(stretches, kept, strict=True):
        end = at
        while end < len(form.order) and form.order[end] in stretch:
            end += 1
        fold = keep and not jumps
        bars += _as_written(form, stretch, numbered_as_written=False) if fold else _as_played(form, range(at, end))
        at = end
    return tuple(bars)


def _is_played_as_written(form: Form) -> bool:
    """Whether the signs say what is played (a road map may have been edited away from it)."""
    try:
        return played_order(form.written) == form.order
    except FormError:
        return False


def _stretches(form: Form) -> tuple[range, ...]:
    """Ranges of written bars that are played one range after the other."""
    count = len(form.written)
    last_visit, first_visit = [-1] * (count + 1), [len(form.order)] * (count + 1)
    for at, written in enumerate(form.order):
        last_visit[written] = at
        first_visit[written] = min(first_visit[written], at)
    before = list(accumulate(last_visit, max))
    after = list(accumulate(reversed(first_visit), min))[::-1]
    cuts = [0]
    for index in range(1, count):
        one_group = form.written[index].endings and form.written[index - 1].endings
        if not one_group and before[index - 1] < after[index]:
            cuts.append(index)
    return tuple(range(start, end) for start, end in zip(cuts, [*cuts[1:], count], strict=True))


def _agreeing(form: Form, shown: Sequence[Hashable], stretches: Sequence[range]) -> list[bool]:
    """For each stretch whether all passes of each of its bars show the same."""
    first: dict[int, Hashable] = {}
    differ = {written for at, written in enumerate(form.order) if first.setdefault(written, shown[at]) != shown[at]}
    return [not any(written in stretch for written in differ) for stretch in stretches]


def _as_written(form: Form, stretch: range, *, numbered_as_written: bool) -> list[PrintedBar]:
    """Written bars with their signs; one that is never played is left out."""
    visits: dict[int, list[int]] = {index: [] for index in stretch}
    for at, written in enumerate(form.order):
        if written in visits:
            visits[written].append(at)
    return [PrintedBar(form.written[index],
                       form.written[index].number if numbered_as_written else str(form.bars[passes[0]].number),
                       tuple(passes)) for index, passes in visits.items() if passes]  # fmt: skip


def _as_played(form: Form, played: Sequence[int]) -> list[PrintedBar]:
    """Played bars one after the other, without repeats, endings and jumps."""
    return [PrintedBar(_bare(form.written[form.order[at]]), str(form.bars[at].number), (at,)) for at in played]


def _bare(bar: WrittenBar) -> WrittenBar:
    return replace(bar, repeat_start=False, repeat_end=0, endings=(), marks=(), jump=None)
