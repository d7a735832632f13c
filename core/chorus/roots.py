"""The roots of rows on a grid of ticks: how far two rows stand on the same roots is one comparison of arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

import numpy as np
from numpy.typing import NDArray

from core.chorus.lattice import Costs, Layer
from core.form import Form
from core.row import Row

Roots = NDArray[np.int8]
SILENCE = -1


@dataclass(frozen=True, slots=True, eq=False)
class RootGrid:
    """The pieces of every layer as roots: ``values`` of all pieces in one line, ``places`` the ticks they stand at, a
    piece from ``starts`` on. ``grid`` ticks to the quarter note; ``bars`` are the ticks at which bars begin.
    """

    grid: int
    bars: NDArray[np.intp]
    values: tuple[Roots, ...]
    places: tuple[NDArray[np.intp], ...]
    starts: tuple[NDArray[np.intp], ...]

    def roots(self, row: Row) -> Roots:
        """The root at every tick of a row."""
        return _roots(row, self.grid)

    def likeness(self, layer: int, roots: Roots) -> Costs:
        """For each piece of a layer, how many whole eighth notes it stands on the roots of a row."""
        same = (self.values[layer] == roots[self.places[layer]]).astype(np.int64)
        return 2 * np.add.reduceat(same, self.starts[layer]) // self.grid

    def bars_apart(self, one: Roots, other: Roots) -> int:
        """In how many bars two rows stand on different roots."""
        return int(np.count_nonzero(np.add.reduceat(one != other, self.bars, dtype=np.int64)))


def root_grid(row: Row, form: Form, layers: tuple[Layer, ...]) -> RootGrid:
    """Lay the pieces of all layers on the coarsest grid that holds them, the row and the form."""
    grid = lcm(*{time.denominator for time in _times(row, form, layers)})
    bars = np.array([int(bar.start * grid) for bar in form.bars], dtype=np.intp)
    standard = _roots(row, grid)
    values, places, starts = zip(*(_laid(layer, standard, grid) for layer in layers), strict=True)
    return RootGrid(grid, bars, values, places, starts)


def _times(row: Row, form: Form, layers: tuple[Layer, ...]) -> Iterator[Fraction]:
    yield from (slot.onset for slot in row)
    yield from (bar.start for bar in form.bars)
    yield form.length
    for layer in layers:
        yield from layer.times
        yield from (slot.onset + moved for piece in layer.pieces if piece.alternative
                    for slot in piece.alternative.chords for moved in layer.segment.moved)  # fmt: skip


def _laid(layer: Layer, standard: Roots, grid: int) -> tuple[Roots, NDArray[np.intp], NDArray[np.intp]]:
    values, places, starts, size = [], [], [], 0
    for piece in layer.pieces:
        ticks = np.arange(int(layer.times[piece.start] * grid), int(layer.times[piece.stop] * grid))
        values.append(standard[ticks] if piece.alternative is None else _roots(piece.alternative.chords, grid))
        places.append(ticks)
        starts.append(size)
        size += len(ticks)
    return np.concatenate(values), np.concatenate(places), np.array(starts, dtype=np.intp)


def _roots(row: Row, grid: int) -> Roots:
    roots = [SILENCE if slot.chord is None else slot.chord.root_pc for slot in row]
    return np.repeat(np.array(roots, dtype=np.int8), [int(slot.duration * grid) for slot in row])
