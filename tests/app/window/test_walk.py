"""Walks through the real window with keys and pointer: what a user does, and what must come of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, QRect, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.settings import Settings
from core.chart import changed_bars
from core.chart_json import chart_to_json
from core.row import same_chords, span
from tests.app.window.conftest import FakePlayer, PromptPool
from tests.app.window.sample import sample_chart

TAKE = "Second evening"


def select(window: MainWindow, bar: int) -> None:
    """Select a bar by its number."""
    window.desk.select(window.desk.selection.moved_to(bar - 1, 32))
    QApplication.processEvents()


def bar_texts(window: MainWindow, bar: int, row: str = TAKE) -> list[str]:
    """Chords of a bar by its number."""
    place = window.desk.form.bars[bar - 1]
    return [slot.text for slot in span(window.desk.chart.row_named(row), place.start, place.end)]


def type_into_editor(qtbot: QtBot, window: MainWindow, text: str, key: Qt.Key = Qt.Key.Key_Return) -> None:
    """Replace the editor's text and press a key."""
    line = window.bars.editor.line
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, key)


def test_a_proposal_is_taken_undone_and_redone(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 12)
    before = window.desk.chart
    proposal = window.panel.current_proposal()
    assert proposal is not None
    window.action("take_proposal").trigger()
    take = window.desk.take
    assert take is not None
    assert take.steps == before.take_named(TAKE).steps + proposal.steps
    assert same_chords(span(take.row, proposal.start, proposal.end), proposal.after)
    assert window.document.is_dirty
    window.action("undo").trigger()
    assert window.desk.chart == before
    assert not window.document.is_dirty
    window.action("redo").trigger()
    assert window.desk.take == take


def test_the_list_follows_the_selection_and_its_numbers(window: MainWindow) -> None:
    seen = set()
    for bar in (4, 6, 7, 12):
        select(window, bar)
        proposal = window.panel.current_proposal()
        if proposal is not None:
            place = window.desk.form.bars[bar - 1]
            assert place.start <= proposal.start < place.end
            seen.add(proposal.start)
    assert len(seen) >= 2


def test_typing_over_a_bar(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 7)
    qtbot.keyClick(window.page, Qt.Key.Key_G)
    editor = window.bars.editor
    assert editor.isVisible()
    assert editor.line.text() == "G"
    type_into_editor(qtbot, window, "Abm7 Db7", Qt.Key.Key_Tab)
    assert bar_texts(window, 7) == ["Abm7", "Db7"]
    assert window.desk.selection.first == 7, "Tab goes on to the next bar"
    assert editor.isVisible()
    qtbot.keyClick(editor.line, Qt.Key.Key_Escape)
    assert not editor.isVisible()
    assert 6 in changed_bars(window.desk.chart, window.desk.take)  # type: ignore[arg-type]


def test_an_unreadable_chord_stays_in_the_editor_and_is_explained(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 7)
    before = window.desk.chart
    qtbot.keyClick(window.page, Qt.Key.Key_Return)
    type_into_editor(qtbot, window, "Fm7 Bb13q")
    editor = window.bars.editor
    assert editor.isVisible()
    assert "'q'" in editor.echo.text()
    assert "did you mean" in editor.echo.text()
    assert window.desk.chart is before
    type_into_editor(qtbot, window, "Fm7 Bb13")
    assert bar_texts(window, 7) == ["Fm7", "Bb13"]


def test_the_notes_of_what_is_typed_are_echoed(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 7)
    window.bars.type_chords("take", "E7")
    assert "E G♯ B D" in window.bars.editor.echo.text()


def test_the_standard_is_typed_and_agreeing_takes_follow(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 7)
    qtbot.keyClick(window.page, Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    type_into_editor(qtbot, window, "Dm7b5 G7")
    assert bar_texts(window, 7, "standard") == ["Dm7b5", "G7"]
    assert bar_texts(window, 7) == ["Dm7b5", "G7"], "the take left this bar as printed, so it follows"
    select(window, 4)
    qtbot.keyClick(window.page, Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    type_into_editor(qtbot, window, "Bb9")
    assert bar_texts(window, 4) == ["Bm7", "E7#11"], "the take has its own chords here"


def test_locked_bars_refuse_typing_in_one_sentence(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 7)
    window.action("lock").trigger()
    assert window.desk.take is not None
    assert 6 in window.desk.take.locked
    qtbot.keyClick(window.page, Qt.Key.Key_Return)
    type_into_editor(qtbot, window, "Abm7")
    assert "locked" in window.message.text
    assert bar_texts(window, 7) == ["Fm7"]


def test_restore_gives_the_standard_back(window: MainWindow) -> None:
    select(window, 4)
    window.action("restore").trigger()
    assert bar_texts(window, 4) == ["Bb7"]


def test_arrows_and_shift_select(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(window.page, Qt.Key.Key_Right)
    assert window.desk.selection.bars == (1,)
    qtbot.keyClick(window.page, Qt.Key.Key_Down)
    assert window.desk.selection.bars == (5,)
    qtbot.keyClick(window.page, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert window.desk.selection.bars == (5, 6)
    qtbot.keyClick(window.page, Qt.Key.Key_Home)
    assert window.desk.selection.bars == (0,)


def test_a_single_chord_is_selected_and_proposed_for(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 14)
    control = Qt.KeyboardModifier.ControlModifier
    qtbot.keyClick(window.page, Qt.Key.Key_Right, control)
    qtbot.keyClick(window.page, Qt.Key.Key_Right, control)
    start, end = window.desk.selected_time()
    assert (start, end) == (window.desk.form.bars[13].start + 2, window.desk.form.bars[13].end)


def test_pointer_selects_and_drags(window: MainWindow, qtbot: QtBot) -> None:
    first, last = window.page.bar_rect(1).center().toPoint(), window.page.bar_rect(2).center().toPoint()
    view = window.page.viewport()
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=first)
    qtbot.mouseMove(view, last)
    window.page.mouseMoveEvent(_drag(last))
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=last)
    assert window.desk.selection.bars == (1, 2)


def _drag(place: QPoint):  # type: ignore[no-untyped-def]
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent

    return QMouseEvent(QEvent.Type.MouseMove, QPointF(place), QPointF(place), Qt.MouseButton.NoButton,
                       Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)  # fmt: skip


def test_saved_and_opened_again_it_is_equal(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    select(window, 12)
    window.action("take_proposal").trigger()
    chart, path = window.desk.chart, tmp_path / "tune.changes.json"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    window.action("save").trigger()
    assert not window.document.is_dirty
    assert "tune.changes.json" in window.windowTitle()
    window.document.start(sample_chart())
    assert window.files.open(str(path))
    QApplication.processEvents()
    assert window.desk.chart == chart
    assert window.settings.get("recent") == (str(path.resolve()),)


def test_what_is_not_saved_is_asked_about(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    window.action("new_take").trigger()
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Cancel)
    assert not window.close()
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Discard)
    assert window.close()


def test_a_damaged_file_is_one_sentence_and_changes_nothing(window: MainWindow, tmp_path: Path) -> None:
    path = tmp_path / "broken.changes.json"
    path.write_text('{"title": "x"')
    before = window.desk.chart
    window.files.open(str(path))
    QApplication.processEvents()
    assert "broken.changes.json" in window.message.text
    assert "Traceback" not in window.message.text
    assert window.desk.chart is before


def test_a_file_is_dropped(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "dropped.changes.json"
    document = json.loads(chart_to_json(sample_chart()))
    path.write_text(json.dumps(document | {"title": "Dropped"}))
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    window.dropEvent(QDropEvent(QPointF(10, 10), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton,
                                Qt.KeyboardModifier.NoModifier))  # fmt: skip
    qtbot.waitUntil(lambda: window.desk.chart.title == "Dropped")


def test_takes_come_and_go(window: MainWindow) -> None:
    window.action("copy_take").trigger()
    assert window.desk.take_name == "Second evening again"
    window.action("new_take").trigger()
    assert window.desk.take is not None
    assert changed_bars(window.desk.chart, window.desk.take) == ()
    window.action("remove_take").trigger()
    assert len(window.desk.chart.takes) == 2
    window.action("undo").trigger()
    window.action("next_take").trigger()
    assert window.desk.take_name in {take.name for take in window.desk.chart.takes}


def test_space_plays_and_stops_but_not_while_typing(
    window: MainWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    select(window, 5)
    qtbot.keyClick(window.page, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: bool(players) and "play" in players[0].names())
    assert ("play", 16.0, True, "take") in players[0].calls
    qtbot.keyClick(window.page, Qt.Key.Key_Space)
    assert players[0].names()[-1] == "stop"
    window.bars.type_chords("take", "")
    calls = len(players[0].calls)
    qtbot.keyClick(window.bars.editor.line, Qt.Key.Key_Space)
    assert len(players[0].calls) == calls
    assert window.bars.editor.line.text().endswith(" ")


def test_a_proposal_is_heard_in_its_place(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    window.playback.warm()
    select(window, 12)
    window.action("hear").trigger()
    qtbot.waitUntil(lambda: players[0].names()[-1] == "play")
    assert players[0].calls[-1][1] == 40.0, "from the bar before"
    players[0].place = 52.5
    qtbot.waitUntil(lambda: not window.playback.is_playing)
    assert window.desk.chart == sample_chart(), "hearing changes nothing"
    qtbot.waitUntil(lambda: players[0].names()[-1] == "load")


def test_sound_follows_an_edit_and_the_switch(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    window.playback.warm()
    qtbot.waitUntil(lambda: "load" in players[0].names())
    loads = players[0].names().count("load")
    window.action("faster").trigger()
    qtbot.waitUntil(lambda: players[0].names().count("load") == loads + 1)
    assert players[0].timeline is not None
    assert players[0].timeline.bpm == 136
    window.action("side").trigger()
    assert ("set_side", "standard") in players[0].calls


def test_a_lost_player_is_said_calmly(window: MainWindow, qtbot: QtBot, players: list[FakePlayer]) -> None:
    window.playback.warm()
    players[0].on_event({"event": "gone", "sentence": "Sound stopped working."})
    qtbot.waitUntil(lambda: window.message.text == "Sound stopped working.")
    assert not window.playback.is_playing


def test_the_selected_bars_are_looped(window: MainWindow, players: list[FakePlayer]) -> None:
    window.playback.warm()
    window.desk.select(window.desk.selection.moved_to(2, 32).moved_to(5, 32, True))
    window.action("loop").trigger()
    assert ("set_loop", (8.0, 24.0)) in players[0].calls
    assert window.transport.loop.text() == "loop bars 3–6"
    window.action("loop").trigger()
    assert players[0].calls[-1] == ("set_loop", None)


def test_writing_the_tune_on_the_staff(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 8)
    window.action("tune_mode").trigger()
    page = window.page
    for key in (Qt.Key.Key_8, Qt.Key.Key_B, Qt.Key.Key_C):
        qtbot.keyClick(page, key)
    start = window.desk.form.bars[7].start
    written = [note for note in window.desk.chart.melody if start <= note.onset < start + 1]
    assert [str(note.pitch) for note in written] == ["Bb4", "C5"], "the signature applies, the nearest octave is taken"
    assert [note.duration * 2 for note in written] == [1, 1]
    qtbot.keyClick(page, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert "C#5" in [str(note.pitch) for note in window.desk.chart.melody]
    qtbot.keyClick(page, Qt.Key.Key_Delete)
    assert "C#5" not in [str(note.pitch) for note in window.desk.chart.melody]
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert not window.action("tune_mode").isChecked()


def test_a_click_on_the_staff_writes_a_note(window: MainWindow, qtbot: QtBot) -> None:
    window.action("tune_mode").trigger()
    select(window, 8)
    page, box = window.page, window.page.geometry_now.bar_box(7)
    system = page.geometry_now.system_of(7)
    y = (system.top + system.lanes.staff_top) * 1.0 - page.verticalScrollBar().value()
    x = box.x_at(box.start + 2)
    qtbot.mouseClick(
        page.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(round(x * page._zoom), round(y * page._zoom))
    )
    assert any(note.onset == box.start + 2 and str(note.pitch) == "F5" for note in window.desk.chart.melody)


def test_the_tune_is_typed_in_abc(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 8)
    window.action("edit_tune_text").trigger()
    type_into_editor(qtbot, window, "B2 c2 d2 e")
    assert "7/2" in window.bars.editor.echo.text() or "needs 4" in window.bars.editor.echo.text()
    type_into_editor(qtbot, window, "B2 c2 d2 e2")
    place = window.desk.form.bars[7]
    names = [str(note.pitch) for note in window.desk.chart.melody if place.start <= note.onset < place.end]
    assert names == ["Bb4", "C5", "D5", "Eb5"]


def test_the_slider_orders_from_safe_to_bold(window: MainWindow) -> None:
    select(window, 6)
    slider = window.panel._slider
    slider.setValue(0)
    safe = window.panel._ordered
    slider.setValue(slider.maximum())
    bold = window.panel._ordered
    assert set(safe) == set(bold)
    if len(safe) > 1:
        assert bold[0].boldness >= safe[0].boldness


def test_refused_ones_are_shown_with_their_note(window: MainWindow) -> None:
    for bar in range(1, 33):
        select(window, bar)
        answer = window.panel._answer
        if answer and answer.refused:
            break
    assert answer is not None
    shown = window.panel._model.rowCount()
    window.action("refused").trigger()
    assert window.panel._model.rowCount() == shown + len(answer.refused)
    card = window.panel._model.card(shown)
    assert card is not None
    assert card.refused
    assert card.why
    window.panel.choose(shown)
    before = window.desk.chart
    window.action("take_proposal").trigger()
    assert window.desk.chart is before
    assert "refused" in window.message.text


def test_a_lead_sheet_is_read_and_its_guesses_are_listed(window: MainWindow, qtbot: QtBot) -> None:
    source = Path(__file__).parents[2] / "reference" / "musicxml"
    sheets = sorted(source.rglob("*.musicxml"))
    assert sheets, "the lead sheets of the tests"
    for sheet in sheets:
        window.files.open(str(sheet))
        QApplication.processEvents()
        if window.desk.chart.title != sample_chart().title:
            break
    assert window.document.path is None, "Save must not write over a foreign file"
    assert window.page.model is not None
    assert len(window.page.model.bars) == len(window.desk.form.bars)


def test_an_empty_tune_says_how_to_begin(window: MainWindow, qtbot: QtBot) -> None:
    from app.window.start import blank_chart

    window.document.start(blank_chart())
    window.desk.select_row("standard")
    QApplication.processEvents()
    assert "no chords yet" in window.panel._empty.text()
    window.page.setFocus()
    qtbot.keyClick(window.page, Qt.Key.Key_D)
    type_into_editor(qtbot, window, "Dm7 G7", Qt.Key.Key_Tab)
    assert bar_texts(window, 1, "standard") == ["Dm7", "G7"]
    assert bar_texts(window, 1, "First take") == ["Dm7", "G7"]


def test_the_page_is_painted_before_the_rest_is_made(qtbot: QtBot, settings: Settings) -> None:
    made = MainWindow(sample_chart(), settings, PromptPool(), FakePlayer)
    qtbot.addWidget(made)
    seen: list[bool] = []
    places: list[QRect] = []
    made.painted.connect(lambda: seen.append(made.workings is None))
    made.painted.connect(lambda: places.append(page_place(made)))
    with qtbot.waitSignal(made.completed):
        made.show()
    assert seen == [True]
    assert places[0].width() > 500
    qtbot.waitUntil(lambda: page_place(made).width() > 500)
    now = page_place(made)
    assert abs(now.y() - places[0].y()) < 4, "nothing jumps when the rest comes"
    assert abs(now.width() - places[0].width()) < 12


def page_place(window: MainWindow) -> QRect:
    """Where the page stands in the window."""
    return QRect(window.page.mapTo(window, QPoint(0, 0)), window.page.size())


OWN_FORM = """title: Tide Table
key: F major
meter: 4/4

[A]
| Fmaj7 | Gm7 C7 | Fmaj7 | C7 |

take: Long tag
form: own
key: G major
align: 1 2 - 4
[A]
| Gmaj7 | Am7 D7 | Bm7 E7 | D7 |
"""


def test_a_take_with_its_own_form_answers_bar_by_bar(window: MainWindow, qtbot: QtBot) -> None:
    from core.bar_text import chart_from_bar_text

    window.document.start(chart_from_bar_text(OWN_FORM))
    QApplication.processEvents()
    assert window.page.model is not None
    shown = [[slot.parts.text for slot in bar.standard] for bar in window.page.model.bars]
    assert shown == [["Fmaj7"], ["Gm7", "C7"], [], ["C7"]]
    assert [bar.standard[0].numeral for bar in window.page.model.bars if bar.standard][-1] == "V7"
    window.desk.select(window.desk.selection.moved_to(3, 4))
    qtbot.keyClick(window.page, Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    type_into_editor(qtbot, window, "C13")
    assert window.desk.chart.standard[-1].text == "C13"
    window.desk.select(window.desk.selection.moved_to(2, 4))
    qtbot.keyClick(window.page, Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    assert not window.bars.editor.isVisible()
    assert "answers no bar" in window.message.text


def test_enter_presses_buttons_and_space_still_plays(
    window: MainWindow, qtbot: QtBot, players: list[FakePlayer]
) -> None:
    window.transport.loop.setFocus()
    qtbot.keyClick(window.transport.loop, Qt.Key.Key_Return)
    assert window.transport.loop.text() == "loop bar 1"
    assert window.action("loop").isChecked()
    qtbot.keyClick(window.transport.loop, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: bool(players) and "play" in players[0].names())
    assert window.action("loop").isChecked()


def test_a_tempo_is_typed_and_held_in_its_range(window: MainWindow, qtbot: QtBot) -> None:
    field = window.transport.tempo
    field.selectAll()
    qtbot.keyClicks(field, "999")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.text() == "320", "no faster than can be played"
    qtbot.keyClick(field, Qt.Key.Key_Down)
    assert field.text() == "319"
    assert window.desk.chart.tempo == 132, "practice leaves the tune alone"
    window.action("keep_tempo").trigger()
    assert window.desk.chart.tempo == 319
    window.action("undo").trigger()
    assert window.desk.chart.tempo == 132
    assert field.text() == "132"


def test_going_elsewhere_keeps_what_can_be_read(window: MainWindow, qtbot: QtBot) -> None:
    select(window, 6)
    window.bars.type_chords("take", "")
    window.bars.editor.line.setText("C13")
    select(window, 8)
    assert not window.bars.editor.isVisible()
    assert bar_texts(window, 6) == ["C13"]
    before = window.desk.chart
    window.bars.type_chords("take", "")
    window.bars.editor.line.setText("Bb13q")
    qtbot.mouseClick(window.page.viewport(), Qt.MouseButton.LeftButton, pos=window.page.bar_rect(5).center().toPoint())
    assert not window.bars.editor.isVisible()
    assert window.desk.chart is before


def test_scrolling_moves_the_editor_with_its_bar(window: MainWindow) -> None:
    select(window, 12)
    window.bars.type_chords("take", "")
    window.bars.editor.line.setText("E7alt")
    bar, top = window.page.verticalScrollBar(), window.bars.editor.y()
    bar.setValue(bar.value() + 60)
    assert window.bars.editor.isVisible()
    assert window.bars.editor.y() == pytest.approx(top - 60, abs=2)
    assert window.bars.editor.line.text() == "E7alt"


def test_the_page_marks_what_the_proposal_in_hand_would_change(window: MainWindow) -> None:
    select(window, 12)
    proposal = window.panel.current_proposal()
    assert proposal is not None
    assert window.page._preview == (proposal.start, proposal.end)
    window.document.start(sample_chart())
    select(window, 18)
    assert window.panel.current() is None, "locked bars are left alone"
    assert window.page._preview is None


REPEATED = """title: Round Trip
key: C major
meter: 4/4

[A]
|: Cmaj7 | A7 :| Dm7 | G7 |

take: First take (as played)
| Cmaj7 | A7 | Cmaj7 | A7 | Dm7 | G7 |
"""


def test_a_repeated_bar_is_typed_for_this_pass_or_for_every_pass(window: MainWindow, qtbot: QtBot) -> None:
    from core.bar_text import chart_from_bar_text

    window.document.start(chart_from_bar_text(REPEATED))
    QApplication.processEvents()
    window.desk.select(window.desk.selection.moved_to(1, 6))
    window.bars.type_chords("take", "")
    assert "all 2 passes" in window.bars.editor.echo.text()
    type_into_editor(qtbot, window, "Eb7")
    assert [bar_texts(window, bar, "First take") for bar in (2, 4)] == [["Eb7"], ["A7"]]
    window.bars.type_chords("standard", "")
    line = window.bars.editor.line
    line.setText("A7b9")
    qtbot.keyClick(line, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert [bar_texts(window, bar, "standard") for bar in (2, 4)] == [["A7b9"], ["A7b9"]]
    assert [bar_texts(window, bar, "First take") for bar in (2, 4)] == [["Eb7"], ["A7b9"]]
