"""Chord text, proposal text, selection, actions, settings: the pure parts."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QKeySequence

from app.window.actions import ACTIONS, MENUS, shown_keys
from app.window.page.chord_text import ChordParts, chord_parts, printed, signed_typing, spoken
from app.window.proposal_view import numeral_text, place_words
from app.window.ranking import ranked
from app.window.selection import Selection
from app.window.settings import SETTINGS, Settings
from app.window.typing_echo import echo_chords, echo_tune
from core.form import plain_form
from core.key import Key
from core.meter import Meter
from core.symbol import parse_symbol
from tests.app.window.sample import sample_chart


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("Bb7b9/Ab", ("B♭", "7♭9", "/A♭")),
        ("C6/9", ("C", "6/9", "")),
        ("C6/9/E", ("C", "6/9", "/E")),
        ("F#m7b5", ("F♯", "m7♭5", "")),
        ("bbmaj7", ("B♭", "maj7", "")),
        ("C-7", ("C", "-7", "")),
        ("N.C.", ("", "N.C.", "")),
    ],
)
def test_typed_text_is_printed_back_with_real_signs(typed: str, parts: tuple[str, str, str]) -> None:
    assert chord_parts(signed_typing(typed)) == parts


@pytest.mark.parametrize(
    ("symbol", "key", "shown"),
    [("Fb7", -3, "E7"), ("Cb", -6, "C♭"), ("E7", 0, "E7"), ("Cm7b5", 0, "Cm7♭5")],
)
def test_function_spelling_is_printed_simply(symbol: str, key: int, shown: str) -> None:
    chord = parse_symbol(symbol)
    assert chord is not None
    assert printed(chord, key).text == shown


def test_chords_are_spoken() -> None:
    assert spoken("E♭7♯11/B♭") == "E flat 7 sharp 11 over B flat"


@pytest.mark.parametrize(
    ("plain", "shown"),
    [("V7/ii", "V7/ii"), ("subV7/bIII", "subV7/♭III"), ("bVII7", "♭VII7"), ("#ivm7b5", "♯ivm7♭5")],
)
def test_numerals_get_signs_and_keep_their_words(plain: str, shown: str) -> None:
    assert numeral_text(plain) == shown


@dataclass(frozen=True)
class _Bold:
    boldness: float


def test_the_wish_orders_proposals() -> None:
    items = tuple(_Bold(value) for value in (0.1, 0.9, 0.5))
    assert [item.boldness for item in ranked(items, 0.0)] == [0.1, 0.5, 0.9]  # type: ignore[arg-type]
    assert ranked(items, 1.0)[0].boldness == 0.9  # type: ignore[arg-type]
    equal = tuple(_Bold(0.5) for _ in range(3))
    assert all(one is two for one, two in zip(ranked(equal, 0.2), equal, strict=True))  # type: ignore[arg-type]


def test_places_are_named_as_far_as_the_heading_leaves_them_open() -> None:
    form = sample_chart().form
    assert place_words(form, Fraction(12), 3, 3) == ""
    assert place_words(form, Fraction(14), 3, 3) == "beat 3"
    assert place_words(form, Fraction(14), 1, 4) == "bar 4, beat 3"
    assert place_words(form, Fraction(25, 2), 1, 4) == "bar 4, beat 1 1/2"
    assert place_words(form, Fraction(16), 3, 3) == "bar 5"


def test_selection_moves_inside_the_form() -> None:
    chosen = Selection().moved_to(5, 32).moved_to(99, 32, extend=True)
    assert (chosen.first, chosen.last) == (5, 31)
    assert chosen.held_in(8).bars == (5, 6, 7)
    assert chosen.moved_to(-4, 32).bars == (0,)


def test_selection_walks_chord_by_chord() -> None:
    chart = sample_chart()
    row = chart.takes[0].row
    chosen = Selection(3, 3).to_slot(row, chart.form, 1)
    assert chosen.time(chart.form, row) == (Fraction(12), Fraction(14))
    following = chosen.to_slot(row, chart.form, 1)
    assert following.time(chart.form, row) == (Fraction(14), Fraction(16))
    assert following.to_slot(row, chart.form, 1).bars == (4,)
    assert following.to_slot(row, chart.form, -1) == chosen


def test_the_table_of_actions_is_sound() -> None:
    named = [item.id for item in ACTIONS if item.text != "-"]
    assert len(named) == len(set(named))
    keys = [QKeySequence(key).toString() for item in ACTIONS for key in item.keys]
    assert "" not in keys
    assert len(keys) == len(set(keys)), "no key does two things"
    assert {item.menu for item in ACTIONS} <= {*MENUS, ""}
    assert all(shown_keys(item) for item in ACTIONS if item.menu == "")
    letters = {key for item in ACTIONS for key in item.keys if len(key) == 1}
    assert not letters & set("ABCDEFGN"), "these letters begin a chord"


def test_settings_are_kept_and_nonsense_is_not(tmp_path) -> None:  # type: ignore[no-untyped-def]
    store = QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)
    settings = Settings(store)
    assert settings.get("theme") == "system"
    for key, value in (("theme", "dark"), ("zoom", 1.5), ("show_staff", False), ("recent", ("one", "two"))):
        settings.set(key, value)
        store.sync()
        assert Settings(QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat)).get(key) == value
    store.setValue("theme", "purple")
    store.setValue("zoom", "wide")
    assert settings.get("theme") == SETTINGS["theme"].default
    assert settings.get("zoom") == SETTINGS["zoom"].default
    for number in range(12):
        settings.add_recent(f"file{number}")
    assert settings.get("recent")[0] == "file11"
    assert len(settings.get("recent")) == 8


def test_typing_is_echoed_with_notes_places_and_remarks() -> None:
    bar = plain_form(2, Meter()).bars[0]
    assert echo_chords("C7", bar, ()).words == "C E G B♭"
    fault = echo_chords("Dm7 Gq", bar, ())
    assert fault.position == 5
    assert "did you mean" in fault.words
    assert "ninth sus" in echo_chords("C11", bar, ()).words
    assert echo_chords("", bar, ()).position is not None
    assert echo_tune("c2 d2 e2 f2", bar, Key(-3)).words == "C5 D5 E♭5 F5"
    assert echo_tune("c2 q", bar, Key(0)).position == 3


def test_text_without_a_root_is_all_quality() -> None:
    assert chord_parts("tacet") == ChordParts("", "tacet", "")
