"""A page as a list of things to draw: plain values in points, y downwards, that can be sent from process to process."""

from __future__ import annotations

from typing import NamedTuple

from core.sheet.marks import Outline

INK, LABEL, PALE, SECOND, HAIR, PAPER = "#1D2330", "#5C584F", "#74706A", "#0B6460", "#B9B3A6", "#FFFFFF"
"""The window's inks on white paper; the second ink is as dark as the first in black and white."""


class Words(NamedTuple):
    """Text from a place to the right. ``size`` in points; ``role`` says what it is, for those who read the page."""

    x: float
    y: float
    text: str
    size: float
    ink: str = INK
    family: str = "serif"
    weight: str = "regular"
    italic: bool = False
    role: str = ""


class Sign(NamedTuple):
    """A sign of the music font by code point; ``space`` is the staff space in points."""

    code: str
    x: float
    y: float
    space: float
    ink: str = INK


class Rule(NamedTuple):
    """A straight line; ``dashes`` are lengths of ink and gap in widths of the line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float
    ink: str = INK
    dashes: tuple[float, ...] = ()


class Shape(NamedTuple):
    """A filled outline, its points in points of the page."""

    outline: Outline
    ink: str = INK


class Frame(NamedTuple):
    """A rounded frame, filled where ``ground`` is given, drawn where ``width`` is not 0."""

    x: float
    y: float
    wide: float
    tall: float
    radius: float
    width: float
    ink: str = INK
    ground: str = ""


Item = Words | Sign | Rule | Shape | Frame


class Page(NamedTuple):
    """A page of paper, its size in points."""

    width: float
    height: float
    items: tuple[Item, ...]


def shifted(item: Item, across: float, down: float) -> Item:
    """A thing somewhere else."""
    if isinstance(item, Rule):
        return item._replace(x1=item.x1 + across, x2=item.x2 + across, y1=item.y1 + down, y2=item.y2 + down)
    if isinstance(item, Shape):
        path = tuple((c, tuple((x + across, y + down) for x, y in points)) for c, points in item.outline.path)
        return item._replace(outline=Outline(path))
    return item._replace(x=item.x + across, y=item.y + down)
