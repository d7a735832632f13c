"""What the window wishes of a search for whole takes, as plain values: it may not load what searches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

BASS_WORDS = {
    "": "free",
    "pedal": "pedal",
    "descending": "steps down",
    "ascending": "steps up",
    "chromatic descending": "half steps down",
    "chromatic ascending": "half steps up",
    "thirds": "thirds",
}
"""The bass plans of :data:`core.chorus.request.BASS_PLANS` in words; "" is none."""
DENSITY_WORDS = {1: "one a bar", 2: "two a bar", 4: "four a bar"}
PLAYABLE_WORDS = {"": "anything", "guitar": "guitar", "piano": "piano"}
SOURCE_WORDS = {"": "standard", "tune": "tune", "bass": "bass line"}
"""What a search begins with: the standard row, the tune as if it had no chords, or the lowest notes of a take."""
MOST_FOUND = 6


@dataclass(frozen=True, slots=True)
class Wish:
    """As :class:`core.chorus.request.Request`.

    ``plan_bars`` are stretches (first, after the last) for one plan; ``asked`` are targets as they are typed;
    ``source`` is one of :data:`SOURCE_WORDS` and ``over`` the take whose bass is meant.
    """

    count: int = 3
    boldness: float = 0.35
    chords_a_bar: int = 2
    keep: tuple[int, ...] = ()
    keep_cadences: bool = True
    alike: bool = True
    forbid: tuple[str, ...] = ()
    favour: tuple[str, ...] = ()
    plan: str = ""
    plan_bars: tuple[tuple[int, int], ...] = ()
    asked: tuple[str, ...] = ()
    playable: str = ""
    source: str = ""
    over: str = ""


def wish_to_json(wish: Wish) -> dict[str, Any]:
    """A wish for the pipe."""
    return {name: getattr(wish, name) for name in Wish.__slots__}


def wish_from_json(fields: dict[str, Any]) -> Wish:
    """The wish at the other end of the pipe."""
    spans = tuple((first, last) for first, last in fields["plan_bars"])
    lists = {name: tuple(fields[name]) for name in ("keep", "forbid", "favour", "asked")}
    return Wish(**(fields | lists | {"plan_bars": spans}))
