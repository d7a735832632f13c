"""Whole takes in the window: wishes by key and mouse, the search and its end, hearing, putting and merging, undo."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit, QSlider, QWidget
from pytestqt.qtbot import QtBot

from app.chorus.__main__ import NAME, request_of
from app.chorus.view import TakeView, view_of
from app.chorus.wish import Wish, wish_to_json
from app.window.chorus_desk import FAULT, ChorusDesk
from app.window.main_window import MainWindow
from app.window.take_lanes import Lanes
from app.window.take_rows import MOST_PICTURES, RowsView
from app.window.takes_control import merged_words
from app.window.takes_model import (
    TERM_WORDS,
    TakeLine,
    bar_words,
    changed_words,
    differing_bars,
    spoken_line,
    standard_line,
    stretches,
    take_words,
    technique_words,
    term_words,
)
from app.window.theme import LIGHT
from app.window.whole_takes_control import CHANGED, EMPTY_ROW, LOOKING, OUTDATED
from app.window.whole_takes_window import WholeTakesWindow
from core.chart import Chart, NamedRow, Take
from core.chorus import as_take, chorus
from core.chorus.cost import TERMS
from core.edit import new_chart, set_bar
from core.form import plain_form
from core.meter import Meter
from core.row import span
from tests.app.window.conftest import FakePlayer
from tests.app.window.sample import sample_chart

PATIENCE = 60_000
TAKE = "Second evening"
WISH = Wish(count=3, boldness=0.6)
pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", extend=True)  # the offscreen platform has no frames


@pytest.fixture(scope="module")
def views() -> tuple[TakeView, ...]:
    """What the search finds for the sample tune."""
    chart = sample_chart()
    found = []
    for place, made in enumerate(chorus(chart, request_of(chart, WISH))):
        take = as_take(chart, NAME if place == 0 else f"{NAME} {place + 1}", made)
        found.append(view_of(chart, take, TERMS, made.terms))
    return tuple(found)


@pytest.fixture
def opened(window: MainWindow, qtbot: QtBot) -> Iterator[WholeTakesWindow]:
    qtbot.keyClick(window, Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    made = window.whole.window
    assert made is not None
    qtbot.waitExposed(made)
    yield made
    window.whole.close()
    made.close()


@pytest.fixture
def found(window: MainWindow, opened: WholeTakesWindow, views: tuple[TakeView, ...]) -> WholeTakesWindow:
    """The window after a search."""
    window.whole._ground = window.desk.chart
    for view in views:
        window.whole._on_found(view)
    return opened


def move_over(widget: QWidget, at: QPointF, held: Qt.MouseButton) -> None:
    """The pointer moves to a place, perhaps with a button held."""
    none = Qt.KeyboardModifier.NoModifier
    event = QMouseEvent(QEvent.Type.MouseMove, at, widget.mapToGlobal(at), Qt.MouseButton.NoButton, held, none)
    QApplication.sendEvent(widget, event)


def search_is_over(window: MainWindow) -> bool:
    return window.whole.search is not None and not window.whole.search.is_busy


def settle() -> None:
    for _ in range(6):
        QApplication.processEvents()


# --- words and lines -------------------------------------------------------------------------------------------------


def test_every_term_of_the_cost_has_words() -> None:
    assert set(TERMS) <= set(TERM_WORDS)
    assert term_words({"bass": 6, "melody": 0, "distance": -48}) == "boldness −48, the bass 6"
    assert term_words({"unheard of": 1}) == "unheard of 1"


def test_a_bar_is_said_with_what_it_costs(views: tuple[TakeView, ...]) -> None:
    chart, view = sample_chart(), views[0]
    line = TakeLine(chart, view.take, chart.standard, view=view)
    for bar in chart.form.bars:
        words = bar_words(line, bar.index)
        chords = " ".join(one.parts.text for one in line.chords(bar.index))
        assert words.startswith(f"{NAME}, bar {bar.number}: {chords} · cost ")
        numbers = (
            [int(part.rsplit(" ", 1)[1].replace("−", "-")) for part in words.split(": ")[2].split(", ")]
            if words.count(": ") == 2
            else []
        )
        assert sum(numbers) == sum(view.terms[bar.index])
    assert "bar 1: E♭maj7" in bar_words(standard_line(chart), 0)
    assert "cost" not in bar_words(standard_line(chart), 0), "its cost is not known"


def test_chords_stand_apart_where_the_standard_sounds_another(views: tuple[TakeView, ...]) -> None:
    chart = sample_chart()
    for view in views:
        line = TakeLine(chart, view.take, chart.standard, view=view)
        for bar in chart.form.bars:
            for one in line.chords(bar.index):
                at = bar.start + Fraction(one.share).limit_denominator(64) * bar.length
                here, there = (span(row, at, at + Fraction(1, 64))[0].chord for row in (view.take.row, chart.standard))
                assert one.apart == (here != there)


def test_differences_are_the_bars_that_sound_unlike(views: tuple[TakeView, ...]) -> None:
    chart = sample_chart()
    lines = [TakeLine(chart, view.take, chart.standard) for view in views]
    assert differing_bars(lines[0], lines[0]) == ()
    assert frozenset(differing_bars(standard_line(chart), lines[1])) == views[1].changed
    assert differing_bars(lines[0], lines[1]) == differing_bars(lines[1], lines[0]) != ()


def test_a_take_with_bars_of_its_own_stands_where_it_answers() -> None:
    chart = sample_chart()
    form = plain_form(3, Meter())
    row = span(chart.standard, Fraction(0), form.length)
    take = Take("short", row, form=form, alignment=(4, None, 9))
    line = TakeLine(chart, take, chart.standard)
    bars = [index for index in range(32) if line.chords(index)]
    assert bars == [4, 9]
    assert [one.parts.text for one in line.chords(9)] == ["Fm7"]
    assert changed_words(line) == "3 bars of its own"
    assert "no bar that answers" in bar_words(line, 0)


def test_cards_say_what_a_take_is_made_of(views: tuple[TakeView, ...]) -> None:
    chart = sample_chart()
    for view in views:
        words = spoken_line(TakeLine(chart, view.take, chart.standard, view=view))
        assert f"{len(view.changed)} of 32 bars changed" in words
        assert f"cost {view.cost}".replace("-", "−") in words
        assert sum(count for _, count in view.techniques) == len(view.take.steps)
        sums = [sum(bar[place] for bar in view.terms) for place in range(len(TERMS))]
        whole = take_words(TakeLine(chart, view.take, chart.standard, view=view))
        assert all(
            f"{TERM_WORDS[name]} {value}".replace("-", "−") in whole
            for name, value in zip(TERMS, sums, strict=True)
            if value
        )
        for title, _ in view.techniques:
            assert title.lower() in technique_words(view).lower()


@pytest.mark.parametrize("most", [4, 8, 16])
def test_lines_of_bars_cover_the_form_and_begin_with_sections(most: int) -> None:
    form = sample_chart().form
    cut = stretches(form, most)
    assert [bar for one in cut for bar in range(one.first, one.last)] == list(range(32))
    assert all(one.last - one.first <= most for one in cut)
    assert {section.first for section in form.sections} <= {one.first for one in cut}
    many = plain_form(11, Meter(), tuple((bar, "A") for bar in range(11)))
    assert len(stretches(many, 8)) == 2, "sections of a bar do not break the line"


def test_what_was_merged_is_said() -> None:
    assert merged_words("bars 5–8", "One", 0) == "Bars 5–8 are now in “One”."
    assert merged_words("bar 3", "One", 1).startswith("Bar 3 is now in “One”. One change reaches over")


# --- the search ------------------------------------------------------------------------------------------------------


def test_a_search_from_the_first_key_to_a_take_on_the_chart(
    window: MainWindow, opened: WholeTakesWindow, qtbot: QtBot, views: tuple[TakeView, ...]
) -> None:
    wishes = opened.wishes
    assert QApplication.focusWidget() is wishes.boldness or wishes.boldness.hasFocus() or not opened.isActiveWindow()
    qtbot.keyClick(wishes.boldness, Qt.Key.Key_Right)
    qtbot.keyClick(wishes.boldness, Qt.Key.Key_Right)
    assert wishes.wish(window.desk.chart.form) == WISH
    shares: list[int] = []
    wishes.progress.valueChanged.connect(shares.append)
    qtbot.keyClick(wishes.boldness, Qt.Key.Key_Return)
    assert wishes.status.text() == LOOKING
    assert not wishes.start.isEnabled()
    qtbot.waitUntil(lambda: len(opened.board.lines) == 1, timeout=PATIENCE)
    assert window.whole.search is not None
    qtbot.waitUntil(lambda: not window.whole.search.is_busy, timeout=PATIENCE)  # type: ignore[union-attr]
    assert len(set(shares)) > 10
    assert [line.take.row for line in opened.board.lines] == [view.take.row for view in views]
    assert [line.view for line in opened.board.lines] == list(views)
    assert wishes.status.text() == f"{len(views)} takes found, the best first."
    qtbot.keyClick(opened.board.cards, Qt.Key.Key_Right)
    qtbot.keyClick(opened, Qt.Key.Key_T)
    assert window.desk.take_name == f"{NAME} 2"
    assert window.desk.take is not None
    assert window.desk.take.steps == views[1].take.steps
    qtbot.keyClick(opened, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert [take.name for take in window.desk.chart.takes] == [TAKE]
    qtbot.keyClick(opened.board.rows, Qt.Key.Key_Return)
    assert window.desk.take_name == f"{NAME} 2"
    assert search_is_over(window), "Enter on a row does not look again"


def test_escape_ends_the_search_at_once_and_then_closes(
    window: MainWindow, opened: WholeTakesWindow, qtbot: QtBot
) -> None:
    qtbot.mouseClick(opened.wishes.start, Qt.MouseButton.LeftButton)
    search = window.whole.search
    assert search is not None
    qtbot.waitUntil(lambda: opened.wishes.progress.value() > 0, timeout=PATIENCE)
    process = search._process
    assert process is not None
    with qtbot.waitSignal(process.finished, timeout=PATIENCE):
        qtbot.keyClick(opened, Qt.Key.Key_Escape)
        assert not search.is_busy
        assert opened.wishes.status.text() == "Stopped; no takes found."
        assert opened.isVisible()
    value = opened.wishes.progress.value()
    settle()
    assert opened.wishes.progress.value() == value == 0, "nothing more is heard of it"
    qtbot.keyClick(opened, Qt.Key.Key_Escape)
    assert not opened.isVisible()


def test_a_wish_that_cannot_be_read_starts_nothing(window: MainWindow, opened: WholeTakesWindow, qtbot: QtBot) -> None:
    qtbot.keyClicks(opened.wishes.keep, "7-8, 99")
    qtbot.keyClick(opened.wishes.keep, Qt.Key.Key_Return)
    assert opened.wishes.status.text() == "There is no bar 99; the tune's bars go from 1 to 32."
    assert window.whole.search is not None
    assert not window.whole.search.is_busy


def test_a_standard_without_chords_is_told_apart(window: MainWindow, opened: WholeTakesWindow, qtbot: QtBot) -> None:
    window.document.start(new_chart("Bare", sample_chart().key, Meter(), 8))
    qtbot.mouseClick(opened.wishes.start, Qt.MouseButton.LeftButton)
    assert opened.wishes.status.text() == EMPTY_ROW
    assert search_is_over(window)
    opened.wishes.source.chosen.emit("tune")
    qtbot.mouseClick(opened.wishes.start, Qt.MouseButton.LeftButton)
    assert opened.wishes.status.text() != EMPTY_ROW, "a tune may be all there is"
    window.whole.stop()


def test_what_the_search_refuses_is_shown_as_it_says_it(
    window: MainWindow, opened: WholeTakesWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.window.chorus_desk.wish_to_json", lambda wish: wish_to_json(replace(wish, count=0)))
    qtbot.mouseClick(opened.wishes.start, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: opened.wishes.start.isEnabled(), timeout=PATIENCE)
    assert opened.wishes.status.text() == "The number of takes goes from 1 to 50, not 0."


def test_a_search_that_dies_says_so(window: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.window.chorus_desk.asked_text", lambda *_: b"{}")
    search = ChorusDesk("test", window.background, window)
    with qtbot.waitSignal(search.failed, timeout=PATIENCE) as told:
        search.search(window.desk.chart, WISH)
    assert told.args == [FAULT]
    assert not search.is_busy


# --- wishes ----------------------------------------------------------------------------------------------------------


def test_every_wish_reaches_the_search(window: MainWindow, opened: WholeTakesWindow, qtbot: QtBot) -> None:
    wishes, form = opened.wishes, window.desk.chart.form
    window.desk.select(window.desk.selection.moved_to(4, 32).moved_to(7, 32, True))
    qtbot.mouseClick(wishes.keep_selection, Qt.MouseButton.LeftButton)
    assert wishes.keep.text() == "5–8"
    qtbot.keyClicks(wishes.keep, ", 30")
    window.desk.select(window.desk.selection.moved_to(0, 32).moved_to(3, 32, True))
    wishes.bass.chosen.emit("descending")
    assert wishes.bass_bars.text() == "1–4", "the plan is for the selection until other bars are typed"
    for button in (wishes.cadences, wishes.alike, wishes.more):
        qtbot.keyClick(button, Qt.Key.Key_Return)
    assert wishes.cadences.text() == "cadences may change"
    wishes.density.chosen.emit("1")
    wishes.count.setValue(5)
    first = wishes.techniques.item(0).data(Qt.ItemDataRole.UserRole)
    wishes.techniques.setCurrentRow(0)
    qtbot.keyClick(wishes.techniques, Qt.Key.Key_Return)
    wishes.techniques.setCurrentRow(1)
    second = wishes.techniques.item(1).data(Qt.ItemDataRole.UserRole)
    qtbot.keyClick(wishes.techniques, Qt.Key.Key_Return)
    qtbot.keyClick(wishes.techniques, Qt.Key.Key_Return)
    assert wishes.more.text().endswith("1 favoured, 1 forbidden")
    qtbot.keyClicks(wishes.asked, "29:Eb6, 9:*maj7")
    wishes.playable.chosen.emit("guitar")
    wishes.source.chosen.emit("tune")
    assert wishes.wish(form) == Wish(
        5, 0.5, 1, (4, 5, 6, 7, 29), False, False, (second,), (first,), "descending", ((0, 4),),
        ("29:Eb6", "9:*maj7"), "guitar", "tune",
    )  # fmt: skip
    qtbot.keyClick(wishes.techniques, Qt.Key.Key_Return)
    assert wishes.techniques.of("forbidden") == ()
    qtbot.keyClicks(wishes.asked, ", 5")
    qtbot.keyClick(wishes.asked, Qt.Key.Key_Return)
    assert wishes.status.text() == "'5' asks for no chord; type a bar and a chord, such as 5:Ebmaj7 or 5:*7alt."


# --- what is done with it --------------------------------------------------------------------------------------------


def test_bars_of_a_found_take_are_merged_and_locks_hold(
    window: MainWindow, found: WholeTakesWindow, qtbot: QtBot, views: tuple[TakeView, ...]
) -> None:
    rows, before = found.board.rows, window.desk.chart
    found.board.choose(1)
    rows.setFocus()
    for _ in range(4):
        qtbot.keyClick(rows, Qt.Key.Key_Right)
    qtbot.keyClick(rows, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert (window.desk.selection.first, window.desk.selection.last) == (4, 5)
    assert found.merge.text() == "Merge bars 5–6 into “Second evening”   M"
    qtbot.keyClick(found, Qt.Key.Key_M)
    after = window.desk.chart
    start, end = before.form.bars[4].start, before.form.bars[5].end
    assert span(after.row_named(TAKE), start, end) == span(views[1].take.row, start, end)
    assert found.note.text().startswith("Bars 5–6 are now in “Second evening”.")
    qtbot.keyClick(found, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.desk.chart == before
    rows.bar_chosen.emit(16, False)
    qtbot.keyClick(found, Qt.Key.Key_M)
    assert window.desk.chart == before
    assert found.note.text() == "Bar 17 of 'Second evening' is locked; unlock it first."


def test_takes_are_chosen_and_bars_dragged_with_the_mouse(
    window: MainWindow, found: WholeTakesWindow, qtbot: QtBot, views: tuple[TakeView, ...]
) -> None:
    qtbot.mouseClick(found.board.cards.cards[1], Qt.MouseButton.LeftButton)
    assert found.board.index == 1
    assert found.board.sentence.text().startswith(f"{NAME} 2, the whole form: cost ")
    assert found.board.rows.hand[0] == 2, "under the standard and the first take"
    view = found.board.rows.viewport()
    places = [found.board.rows.bar_rect(1, bar).center().toPoint() for bar in (1, 3)]
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=places[0])
    move_over(view, QPointF(places[1]), Qt.MouseButton.LeftButton)
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=places[1])
    assert found.board.index == 0, "the row that was pressed is in hand"
    assert found.board.rows.selected == (window.desk.selection.first, window.desk.selection.last)
    assert found.board.rows.selected == (1, 3)
    assert found.board.sentence.text().startswith(f"{NAME}, bar ")
    card = found.board.cards.cards[1]
    move_over(card, QPointF(card.width() - 20, 140), Qt.MouseButton.NoButton)
    assert found.board.sentence.text().startswith(f"{NAME} 2, bar 3")


def test_any_take_is_heard_against_the_standard(
    window: MainWindow, found: WholeTakesWindow, qtbot: QtBot, players: list[FakePlayer], views: tuple[TakeView, ...]
) -> None:
    window.playback.warm()
    settle()
    player = players[0]
    window.desk.select(window.desk.selection.moved_to(8, 32))
    window.practice.set_tempo(100)
    player.calls.clear()
    qtbot.keyClick(found, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: "play" in player.names())
    assert ("play", 32.0, False, "take") in player.calls
    assert player.timeline is not None
    assert player.timeline.bpm == 100, "as one practises now"
    assert found.hear.text().startswith("Stop")
    player.place = 40.0
    qtbot.waitUntil(lambda: found.board.rows._playhead == 40.0)
    qtbot.keyClick(found, Qt.Key.Key_S)
    assert player.calls[-1] == ("set_side", "standard")
    assert found.side.text() == "Heard: the standard   S"
    player.calls.clear()
    qtbot.keyClick(found.board.cards, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: "play" in player.names())
    assert ("play", 40.0, False, "standard") in player.calls, "the next take goes on where the last one was"
    qtbot.keyClick(found, Qt.Key.Key_Space)
    assert not window.playback.is_playing
    assert found.board.rows._playhead is None
    qtbot.keyClick(found, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: window.playback.is_playing)
    found.close()
    assert not window.playback.is_playing, "who leaves hears nothing more of it"


def test_takes_for_another_standard_are_not_put_on_the_chart(
    window: MainWindow, found: WholeTakesWindow, qtbot: QtBot
) -> None:
    first, second = window.desk.chart.standard[:2]
    window.desk.edit("standard", set_bar, "standard", 0, (replace(first, chord=second.chord),))
    assert window.whole.is_outdated
    assert found.note.text() == OUTDATED
    assert not found.put.isEnabled()
    before = window.desk.chart
    qtbot.keyClick(found.board.cards, Qt.Key.Key_Return)
    assert window.desk.chart == before
    window.action("undo").trigger()
    assert found.note.text() == ""
    assert found.put.isEnabled()


def test_changed_wishes_say_that_what_is_shown_is_of_the_old_ones(
    window: MainWindow, found: WholeTakesWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(found.wishes.boldness, Qt.Key.Key_Right)
    assert found.wishes.status.text() == CHANGED
    assert len(found.board.lines) == 3, "they stay until others are looked for"


def test_another_chart_clears_the_window(window: MainWindow, found: WholeTakesWindow) -> None:
    window.document.start(replace(sample_chart(), title="Another"))
    assert found.board.lines == ()
    assert not found.hear.isEnabled()


def test_a_name_that_is_taken_gives_the_next(window: MainWindow, found: WholeTakesWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(found, Qt.Key.Key_T)
    qtbot.keyClick(found, Qt.Key.Key_T)
    names = [take.name for take in window.desk.chart.takes]
    assert len(names) == len(set(names)) == 3
    assert window.desk.chart.takes[-1].row == window.desk.chart.takes[-2].row


def test_of_a_thousand_bars_only_those_in_sight_are_printed(qtbot: QtBot) -> None:
    form = plain_form(1000, Meter(), tuple((bar, "A") for bar in range(0, 1000, 8)))
    row = tuple(
        replace(sample_chart().standard[bar.index % 4], onset=bar.start, duration=bar.length) for bar in form.bars
    )
    chart = replace(sample_chart(), form=form, references=(NamedRow("standard", row),), takes=(), melody=())
    line = standard_line(chart)
    line.view = view_of(chart, line.take, TERMS, tuple((1,) * len(TERMS) for _ in form.bars))
    rows = RowsView(LIGHT)
    qtbot.addWidget(rows)
    rows.resize(900, 500)
    rows.set_lines(form, (line,))
    rows.show()
    qtbot.waitUntil(lambda: len(rows._pictures) >= 10)
    rows.verticalScrollBar().setValue(rows.verticalScrollBar().maximum())
    qtbot.waitUntil(lambda: (124, 0) in rows._pictures)
    qtbot.waitUntil(lambda: 999 in line._known)
    assert len(line._known) < 250
    assert len(rows._pictures) <= MOST_PICTURES
    lanes = Lanes(form, line.view, (9, 2), 300)
    assert len(lanes._cells()) <= 140
    assert sum(len(cell.bars) for cell in lanes._cells()) == 1000
    assert [lanes.bar_at(lanes.x(float(form.bars[bar].start)) + 0.01) for bar in (0, 500, 999)] == [0, 500, 999]


def test_everything_has_a_name_in_both_themes(window: MainWindow, found: WholeTakesWindow) -> None:
    named(found)
    card = found.board.cards.cards[0]
    assert card.accessibleName().startswith(f"{NAME}. ")
    assert found.board.cards.accessibleDescription() == card.accessibleName()
    for theme in ("light", "dark"):
        window.settings.set("theme", theme)
        picture = found.grab().toImage()
        paper = picture.pixelColor(found.board.rows.mapTo(found, QPoint(8, 8))).name().upper()
        assert paper == window.theme.page


def named(window: QWidget) -> None:
    """Every control says what it is."""
    for kind in (QAbstractButton, QLineEdit, QSlider, QComboBox):
        for widget in window.findChildren(kind):
            if widget.isVisibleTo(window) and widget.objectName() != "qt_spinbox_lineedit":
                text = widget.text() if isinstance(widget, QAbstractButton) else ""
                assert widget.accessibleName() or text, widget


def test_no_words_are_cut_at_the_least_size(window: MainWindow, found: WholeTakesWindow) -> None:
    found.resize(1024, 700)
    window.desk.select(window.desk.selection.moved_to(18, 32).moved_to(26, 32, True))
    settle()
    assert (found.width(), found.height()) == (1024, 700), "the layout asks for no more"
    for label in found.findChildren(QLabel):
        if label.isVisibleTo(found) and not label.wordWrap():
            assert label.width() >= label.sizeHint().width() - 1, label.text()
    for button in found.findChildren(QAbstractButton):
        if button.isVisibleTo(found) and button.text():
            assert button.width() >= button.minimumSizeHint().width(), button.text()


def test_chart_is_untouched_by_looking(window: MainWindow, found: WholeTakesWindow) -> None:
    assert window.desk.chart is sample_chart()
    assert isinstance(window.whole.ground, Chart)
