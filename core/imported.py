"""What opening a file gives: the chart, a sentence for everything guessed or dropped, and what may be chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from core.chart import Chart

Choices = Mapping[str, str]
"""Answers to :class:`Question` by their id; an answer that is none of the options is passed over."""


@dataclass(frozen=True, slots=True)
class Option:
    """One answer: what stands in the choices, and what the user reads."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something a file leaves open: ``chosen`` is the value of the option that was read."""

    id: str
    text: str
    options: tuple[Option, ...]
    chosen: str


@dataclass(frozen=True, slots=True)
class Imported:
    """A chart as it was read; report and questions are empty for a file of ours."""

    chart: Chart
    report: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
