"""The technique book in the window: found, read in any key, heard, and opened at what is in hand."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.book_model import TONICS, book_titles, matching, read_book
from app.window.book_window import ID, BookWindow
from app.window.main_window import MainWindow
from core.pitch import chromatic
from core.technique_book import entry_named
from core.techniques.catalogue import TECHNIQUES
from tests.app.window.conftest import FakePlayer
from tests.app.window.test_walk import select

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


def opened(window: MainWindow, action: str = "book") -> BookWindow:
    window.action(action).trigger()
    QApplication.processEvents()
    assert window.book.window is not None
    return window.book.window


def titles_of(book: BookWindow) -> list[str]:
    return [item.data(ID) for item in map(book.list.item, range(book.list.count())) if item.data(ID)]


def test_the_filter_wants_every_word() -> None:
    titles = book_titles()
    assert {title.id for title in titles} == {technique.id for technique in TECHNIQUES}
    assert "tritone_substitution" in {title.id for title in matching(titles, "TRITONE sub")}
    assert matching(titles, "tritone xylophone") == ()
    assert matching(titles, "") == titles


def test_all_twelve_keys_are_there_once() -> None:
    assert len({chromatic(tonic) for tonic in TONICS}) == len(TONICS) == 12


@pytest.mark.parametrize("tonic", [None, *TONICS])
@pytest.mark.parametrize("name", ["tritone_substitution", "minor_eleventh_for_half_diminished"])
def test_a_page_is_the_entry_in_its_key(name: str, tonic: int | None) -> None:
    page, entry = read_book(name, tonic), entry_named(name, tonic)
    assert (page.title, page.rule, page.melody, page.sources) == (
        entry.title,
        entry.rule,
        entry.melody,
        entry.references,
    )
    assert len(page.examples) == len(entry.examples)
    for shown, example in zip((*page.examples, *page.refused), (*entry.examples, *entry.refused), strict=True):
        assert shown.chart.key.tonic_pc == example.key.tonic_pc
        assert -6 <= shown.chart.key.signature <= 7
        assert not example.why or tonic in (-5, -6, -4) or shown.why == example.why
        assert (shown.take is None) == (example.after is None)
        if shown.take and example.after and shown.chart.key == example.key:
            assert shown.chart.take_named(shown.take).row == example.after
            assert any(words for bar in shown.model.bars for _, words in bar.seams), "the seam names it"


def test_the_book_opens_at_the_card_in_hand_and_at_the_change_made(window: MainWindow) -> None:
    select(window, 12)
    window.panel.choose(1)
    current = window.panel.current_proposal()
    assert current is not None
    book = opened(window, "about")
    assert book.technique() == current.technique
    assert book.page.page is not None
    assert book.page.page.id == current.technique
    window.proposals.take()
    QApplication.processEvents()
    window.panel.choose(next(row for row in range(9) if window.panel._ordered[row].technique != current.technique))
    window.page.setFocus()
    opened(window, "about")
    assert book.technique() == current.technique, "what was done here comes before what could be"


def test_the_filter_leaves_what_fits_and_arrows_walk_in_it(window: MainWindow, qtbot: QtBot) -> None:
    book = opened(window)
    everything = titles_of(book)
    qtbot.keyClicks(book.filter, "dominant")
    left = titles_of(book)
    assert set(left) < set(everything)
    assert book.technique() in left
    first = book.technique()
    qtbot.keyClick(book.filter, Qt.Key.Key_Down)
    assert book.technique() in left
    assert book.technique() != first
    book.filter.setText("xylophone")
    assert titles_of(book) == []
    assert book._none.isVisible()
    window.book.open("tritone_substitution")
    assert book.technique() == "tritone_substitution", "asked for by name it is shown whatever the filter says"


def test_another_key_shows_the_same_page_there(window: MainWindow) -> None:
    book = opened(window)
    window.book.open("tritone_substitution")
    book.keys.setCurrentIndex(book.keys.findData(-3))
    QApplication.processEvents()
    assert book.page.page is not None
    assert {example.chart.key.tonic for example in book.page.page.examples} == {-3}
    assert "E flat maj7" in book.page.blocks[0].view.accessibleName()


def test_examples_are_heard_before_and_after_and_hushed(
    window: MainWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    book = opened(window)
    window.book.open("tritone_substitution")
    QApplication.processEvents()
    block, other = book.page.blocks[0], book.page.blocks[1]
    block.buttons["after"].click()
    QApplication.processEvents()
    player = players[-1]
    assert player.calls[-1][0] == "play"
    assert player.calls[-1][3] == "take"
    assert window.playback.is_playing
    assert block.buttons["after"].isChecked()
    player.place = 5.0
    window.playback._on_frame()
    assert block.view._playhead == 5.0
    assert window.page._playhead is None, "the example is no place on the page"
    other.buttons["before"].click()
    QApplication.processEvents()
    assert player.calls[-1][3] == "standard"
    assert not block.buttons["after"].isChecked()
    other.buttons["before"].click()
    assert not window.playback.is_playing
    assert not other.sounds
    assert "stop" in player.names()


def test_playing_the_tune_ends_the_example(window: MainWindow, players: list[FakePlayer]) -> None:
    book = opened(window)
    QApplication.processEvents()
    block = book.page.blocks[0]
    block.buttons["before"].click()
    QApplication.processEvents()
    window.playback.play(0.0)
    QApplication.processEvents()
    assert not block.sounds
    players[-1].place = 2.0
    window.playback._on_frame()
    assert window.page._playhead == 2.0


def test_leaving_the_book_is_silence(window: MainWindow) -> None:
    book = opened(window)
    QApplication.processEvents()
    book.page.blocks[0].buttons["before"].click()
    QApplication.processEvents()
    assert window.playback.is_playing
    book.close()
    assert not window.playback.is_playing


def test_nothing_is_loaded_over_what_is_heard_for_once(window: MainWindow, players: list[FakePlayer]) -> None:
    book = opened(window)
    QApplication.processEvents()
    book.page.blocks[0].buttons["before"].click()
    QApplication.processEvents()
    window.playback.warm()
    QApplication.processEvents()
    assert players[-1].names()[-1] == "play"
    window.playback.stop()
    QApplication.processEvents()
    assert players[-1].names()[-1] == "load", "then the tune is back"
