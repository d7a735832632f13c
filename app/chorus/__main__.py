"""``python -m app.chorus``: the window's search for whole takes, and its pricing of takes that are there.

Reads one JSON document from stdin: ``job`` ("search" or "price"), ``chart`` (text of our own format), ``wish``
(:mod:`app.chorus.wish`) and, for pricing, ``rows`` (names). Answers line by line: ``progress 0.42``, ``take PICKLE``
(a :class:`app.chorus.view.TakeView` in base64) as soon as one is there, at last ``end`` or ``fault SENTENCE``.
It may be killed at any moment.
"""

from __future__ import annotations

import base64
import json
import os
import pickle
import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from app.asked_chords import read_asked
from app.chorus.view import TakeView, view_of
from app.chorus.wish import Wish, wish_from_json
from core.chart import STANDARD, Chart, Take
from core.chart_json import chart_from_json
from core.chorus import ChorusTake, as_take, chorus
from core.chorus.cost import TERMS
from core.chorus.given import terms_of_row
from core.chorus.progress import Progress
from core.chorus.request import BassPlan, Request, Target
from core.edit import free_name
from core.errors import ChangewrightError
from core.harmonize import Asked, harmonize

NAME = "Whole take"


def main() -> int:
    """Do one job; the exit code is 0, or 1 where a sentence says what is wrong."""
    asked: dict[str, Any] = json.load(sys.stdin)
    chart, wish = chart_from_json(asked["chart"]), wish_from_json(asked["wish"])
    try:
        for view in _searched(chart, wish) if asked["job"] == "search" else priced(chart, wish, tuple(asked["rows"])):
            print("take", base64.b64encode(pickle.dumps(view)).decode("ascii"), flush=True)
    except ChangewrightError as error:
        print("fault", " ".join(str(error).split()), flush=True)
        return 1
    except MemoryError:
        print("fault", "There is not enough memory for this tune; ask for fewer takes.", flush=True)
        return 1
    except BrokenPipeError:  # the window is gone
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    print("end", flush=True)
    return 0


def request_of(chart: Chart, wish: Wish) -> Request:
    """A wish as the search takes it."""
    plans = tuple(BassPlan(wish.plan, first, last) for first, last in wish.plan_bars if wish.plan)
    targets = tuple(Target(*read_asked(chart.form, text)) for text in wish.asked)
    return Request(count=wish.count, boldness=wish.boldness, chords_a_bar=wish.chords_a_bar, keep=frozenset(wish.keep),
                   keep_cadences=wish.keep_cadences, alike=wish.alike, forbid=frozenset(wish.forbid),
                   favour=frozenset(wish.favour), plans=plans, targets=targets, playable=wish.playable)  # fmt: skip


def _searched(chart: Chart, wish: Wish) -> Iterator[TakeView]:
    """Every take as soon as it is found, named as it would be in the chart."""
    said = -1

    def progress(share: float) -> None:
        nonlocal said
        if int(share * 100) > said:
            said = int(share * 100)
            print(f"progress {share:.2f}", flush=True)

    named = chart
    for made in _made(chart, wish, progress):
        take = as_take(chart, free_name(named, NAME), made)
        named = replace(named, takes=(*named.takes, take))
        yield view_of(chart, take, TERMS, made.terms)


def _made(chart: Chart, wish: Wish, progress: Progress) -> Iterator[ChorusTake]:
    """The search that is wished: from the standard, or from less."""
    if not wish.source:
        return chorus(chart, request_of(chart, wish), progress)
    bass = chart.take_named(wish.over).row if wish.source == "bass" else None
    return harmonize(chart, Asked(wish.count, bass, wish.alike), progress)


def priced(chart: Chart, wish: Wish, rows: tuple[str, ...]) -> Iterator[TakeView]:
    """Takes that are in the chart, with what they cost as the search would see them; the standard among them."""
    for name in rows:
        take = Take(STANDARD, chart.standard) if name == STANDARD else chart.take_named(name)
        shares = take.form is None and take.key is None and take.melody is None
        terms = terms_of_row(chart, take.row, request_of(chart, wish)) if shares else ()
        yield view_of(chart, take, TERMS, terms)


if __name__ == "__main__":
    sys.exit(main())
