"""What a check says: findings with numbers or pitches, gathered into a verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

VERDICTS = ("good", "caution", "clash")
CHECKS = ("melody", "voice_leading", "function")


@dataclass(frozen=True, slots=True)
class Finding:
    """One fact: ``check`` is one of :data:`CHECKS`, ``verdict`` one of :data:`VERDICTS`, ``where`` the onset in
    quarter notes of played time, ``text`` a plain clause, ``numbers`` whatever it was computed from.
    """

    check: str
    verdict: str
    where: Fraction
    text: str
    numbers: tuple[tuple[str, object], ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Check:
    """All findings of one check; ``summary`` is what fits in a few words beside its mark."""

    name: str
    verdict: str
    summary: str
    findings: tuple[Finding, ...]


def worst(verdicts: Iterable[str]) -> str:
    """The most severe of some verdicts; "good" when there are none."""
    return max(verdicts, key=VERDICTS.index, default="good")
