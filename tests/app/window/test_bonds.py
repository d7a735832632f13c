"""Brackets under a ii and its V, curves from a dominant to its target."""

from __future__ import annotations

from app.window.main_window import MainWindow
from app.window.page.page_model import Bond, page_model
from app.window.page.system_painter import PageOptions, system_content
from app.window.reading import bonds_of, read_chart
from core.analysis import analyse
from core.bar_text import chart_from_bar_text
from tests.app.window.sample import sample_chart
from tests.app.window.test_walk import TAKE


def bonds(bars: str, key: str = "C major") -> list[tuple[str, str, str]]:
    """Kind and both chords of every bond of a row."""
    chart = chart_from_bar_text(f"key: {key}\n\n| {bars} |\n")
    row = chart.standard
    names = {slot.onset: slot.chord.canonical for slot in row if slot.chord}
    return [(b.kind, names[b.start], names[b.end]) for b in bonds_of(row, analyse(row, chart.form, chart.key))]


def test_a_cadence_has_a_bracket_and_a_curve() -> None:
    # Common practice, no source: ii and V are bracketed, the arrow goes from V to I.
    assert bonds("Dm7 | G7 | Cmaj7") == [("pair", "Dm7", "G7"), ("resolves", "G7", "Cmaj7")]


def test_a_substitute_dominant_is_marked_as_one() -> None:
    # Common practice, no source: a dashed arrow for the substitute dominant, a dashed bracket with its ii.
    assert ("substitute pair", "Dm7", "Db7") in bonds("Dm7 | Db7 | Cmaj7")
    assert ("substitute", "Db7", "Cmaj7") in bonds("Dm7 | Db7 | Cmaj7")


def test_no_curve_from_a_dominant_that_does_not_resolve() -> None:
    assert not [bond for bond in bonds("Cmaj7 | G7 | Abmaj7 | Cmaj7") if bond[1] == "G7"]


def test_the_take_draws_only_what_is_its_own() -> None:
    chart = sample_chart()
    reading = read_chart(chart, TAKE)
    model = page_model(chart, TAKE, reading)
    assert set(model.take_bonds) < set(reading.take_bonds)
    bars = {bar.index: bar.start for bar in model.bars}
    assert Bond(bars[13] + 2, bars[14], "substitute") in model.take_bonds, "E7 to E♭maj7 in bar 14"
    assert not [bond for bond in model.take_bonds if bars[28] <= bond.start], "the last line agrees with the standard"
    assert model.standard_bonds == reading.standard_bonds


def test_the_switch_takes_them_off_the_page(window: MainWindow) -> None:
    page = window.page
    assert page.model is not None
    shown = system_content(page.model, page.geometry_now, 0, page._options)
    assert shown.standard_bonds
    window.action("show_bonds").trigger()
    hidden = system_content(page.model, page.geometry_now, 0, page._options)
    assert page._options == PageOptions(True, False, True, False)
    assert hidden.standard_bonds == hidden.take_bonds == ()
    page.grab()
    assert page._cache[0][0] == hidden
