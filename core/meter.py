"""Metre: bar length and the weight of a place in the bar. All times are quarter notes, as exact fractions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from core.errors import ChangewrightError

_METER = re.compile(r"\s*(\d{1,2})\s*/\s*(\d{1,2})\s*$")
_COMPOUND = frozenset({6, 9, 12})


class MeterError(ChangewrightError):
    """Text that is not a metre."""

    def __init__(self, text: str) -> None:
        super().__init__(f"Cannot read {text!r} as a metre; write it like '4/4', '3/4' or '6/8'.")


@dataclass(frozen=True, slots=True)
class Meter:
    """Numerator 1 to 32 over a power of two up to 32."""

    numerator: int = 4
    denominator: int = 4

    @property
    def length(self) -> Fraction:
        """Quarter notes in a full bar."""
        return Fraction(4 * self.numerator, self.denominator)

    @property
    def beat(self) -> Fraction:
        """Quarter notes in one felt beat: a dotted quarter in 6/8, 9/8 and 12/8, else the denominator's note."""
        return self.pulse * 3 if self.is_compound else self.pulse

    @property
    def pulse(self) -> Fraction:
        """Quarter notes of the denominator's note."""
        return Fraction(4, self.denominator)

    @property
    def is_compound(self) -> bool:
        """Whether three pulses make a beat."""
        return self.numerator in _COMPOUND and self.denominator >= 8

    @property
    def beats(self) -> int:
        """Felt beats in a bar."""
        return self.numerator // 3 if self.is_compound else self.numerator

    def strong_places(self) -> tuple[Fraction, ...]:
        """Where the bar is accented: 1 and 3 of four, 1 of three, 1 and 4 of five (3+2), every beat of compound."""
        groups: tuple[int, ...] = {4: (0, 2), 5: (0, 3), 7: (0, 4)}.get(self.beats, (0,))
        if self.is_compound:
            groups = tuple(range(self.beats))
        return tuple(self.beat * group for group in groups)

    def __str__(self) -> str:
        return f"{self.numerator}/{self.denominator}"


def parse_meter(text: str) -> Meter:
    """``parse_meter('6/8') == Meter(6, 8)``; raises :class:`MeterError`."""
    match = _METER.match({"C": "4/4", "C|": "2/2"}.get(text.strip(), text))
    if match is None:
        raise MeterError(text)
    numerator, denominator = int(match[1]), int(match[2])
    if not 1 <= numerator <= 32 or denominator not in (1, 2, 4, 8, 16, 32):
        raise MeterError(text)
    return Meter(numerator, denominator)
