"""Where things stand on the page. No Qt is needed for any of this."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.window.page.geometry import (
    BAR_LEFT,
    BarSpec,
    bars_per_system,
    gutter_width,
    lanes,
    lay_out,
)


def specs(count: int, sections: tuple[int, ...] = (), pickup: bool = False) -> tuple[BarSpec, ...]:
    """Bars of four quarters; sections begin at indexes; a pickup is one quarter long."""
    result, at = [], Fraction(0)
    for index in range(count):
        length = Fraction(1) if pickup and index == 0 else Fraction(4)
        result.append(BarSpec(index, at, length, 0.25 if length == 1 else 1.0, index in sections))
        at += length
    return tuple(result)


@pytest.mark.parametrize(("width", "bars"), [(500, 2), (700, 3), (850, 4), (1400, 4), (1900, 5), (3000, 6)])
def test_bars_in_a_system_follow_the_width(width: int, bars: int) -> None:
    assert bars_per_system(width, gutter_width(-3, True)) == bars


def test_a_section_begins_a_system_and_a_pickup_joins_the_first() -> None:
    page = lay_out(specs(13, (1, 7), pickup=True), 900, 0)
    assert [[bar.index for bar in system.bars] for system in page.systems] == [
        [0, 1, 2, 3, 4], [5, 6], [7, 8, 9, 10], [11, 12],
    ]  # fmt: skip
    assert page.systems[0].right <= page.systems[2].right + 0.01
    assert page.systems[1].bars[0].width == pytest.approx(page.systems[2].bars[0].width)


def test_time_and_place_are_inverse() -> None:
    box = lay_out(specs(8), 900, -3).bar_box(5)
    assert box.x_at(box.start) == pytest.approx(box.x + BAR_LEFT)
    for onset in (Fraction(20), Fraction(41, 2), Fraction(23)):
        assert box.onset_at(box.x_at(onset)) == pytest.approx(float(onset))
    assert box.onset_at(box.x - 50) == float(box.start)
    assert box.onset_at(box.right + 50) == float(box.start + box.length)


def test_bars_are_found_where_they_stand() -> None:
    page = lay_out(specs(32), 900, -3)
    for system in page.systems:
        for bar in system.bars:
            found = page.bar_at(bar.x + bar.width / 2, system.top + system.lanes.take)
            assert found is not None
            assert found.index == bar.index
    assert page.bar_at(2, page.systems[0].top + 30) is None
    assert page.bar_at(300, page.height + 500) is None
    nearest = page.nearest_bar(5000, page.height + 500)
    assert nearest is not None
    assert nearest.index == 31


def test_a_bar_that_is_not_there_is_an_error() -> None:
    page = lay_out(specs(4), 900, 0)
    for index in (-1, 4):
        with pytest.raises(IndexError):
            page.system_of(index)


@given(count=st.integers(1, 60), width=st.floats(300, 3200), signature=st.integers(-6, 6), low=st.integers(16, 34))
def test_nothing_overlaps_and_nothing_leaves_the_page(count: int, width: float, signature: int, low: int) -> None:
    bars = tuple(BarSpec(bar.index, bar.start, bar.length, 1.0, False, low, 52 - low // 4) for bar in specs(count))
    page = lay_out(bars, width, signature)
    assert [bar.index for system in page.systems for bar in system.bars] == list(range(count))
    for system in page.systems:
        lane = system.lanes
        order = (0, lane.staff_top, lane.staff_bottom, lane.standard, lane.seam, lane.take, lane.threads_top,
                 lane.threads_bottom, lane.height)  # fmt: skip
        assert list(order) == sorted(order)
        assert system.bars[0].x >= 0
        assert system.right <= width + 0.01
        for one, two in zip(system.bars, system.bars[1:], strict=False):
            assert one.right == pytest.approx(two.x)
    for one, two in zip(page.systems, page.systems[1:], strict=False):
        assert one.bottom == pytest.approx(two.top)


def test_ledger_lines_get_room() -> None:
    usual, deep, high = lanes(30, 38), lanes(20, 38), lanes(30, 50)
    assert deep.standard - deep.staff_bottom > usual.standard - usual.staff_bottom
    assert high.staff_top > usual.staff_top


def test_without_a_staff_the_chords_move_up() -> None:
    assert lanes(30, 38, with_staff=False).standard < lanes(30, 38).standard
