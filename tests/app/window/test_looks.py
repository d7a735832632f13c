"""Contrast, glyphs, pictures: what must be so for the page to be readable."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QImage, QRawFont
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.fonts import font, font_files
from app.window.main_window import MainWindow
from app.window.music_font import GLYPHS, glyph, parse_path
from app.window.page.brush import pen_of
from app.window.page.chord_painter import SMALLEST_SHARE, chord_runs, chord_width, fitting_size
from app.window.page.chord_text import chord_parts
from app.window.settings import Settings
from app.window.theme import TEXT_PAIRS, THEMES, Theme, contrast

SIGNS = "♭♯♮●◐✕▾▴▸"


@pytest.mark.parametrize("theme", THEMES.values(), ids=THEMES)
def test_text_keeps_its_contrast(theme: Theme) -> None:
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
    weak = [(text, ground, round(contrast(getattr(theme, text), getattr(theme, ground)), 2))
            for text, ground in TEXT_PAIRS if contrast(getattr(theme, text), getattr(theme, ground)) < 4.5]  # fmt: skip
    assert weak == []


def test_contrast_is_that_of_the_standard() -> None:
    # WCAG 2.2, definition of contrast ratio: black on white is 21, equal colours 1.
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.01)
    assert contrast("#123456", "#123456") == 1


@pytest.mark.parametrize("name", GLYPHS)
def test_every_music_sign_has_an_outline(name: str) -> None:
    area = glyph(name).boundingRect()
    assert 0.2 < area.width() < 4
    assert 0.2 < area.height() < 9


def test_path_data_is_read_as_svg_says() -> None:
    # SVG 1.1, chapter 8.3: relative commands, implied line after move, smooth curves, close.
    path = parse_path("M10 10h5v-5l-5 -1z m1 1 2 2 c0 1 1 2 2 2s2 -1 2 -2q1 1 2 0t2 0")
    area = path.boundingRect()
    assert (area.left(), area.top()) == (10, 4)
    assert path.elementCount() == 19
    with pytest.raises(ValueError, match="path data"):
        parse_path("M0 0 A1 1 0 0 0 2 2")


def test_all_type_is_there_and_no_box_appears(qapp: object) -> None:
    names = {path.name for path in font_files()}
    assert {"SourceSerifPro-Regular.ttf", "SourceSansPro-Semibold.ttf", "ChangewrightSigns.ttf"} <= names
    signs = QRawFont(str(next(path for path in font_files() if "Signs" in path.name)), 20)
    for sign in SIGNS:
        assert signs.supportsCharacter(ord(sign)), sign
        assert not signs.pathForGlyph(signs.glyphIndexesForString(sign)[0]).isEmpty(), sign
    for family in ("serif", "sans"):
        text = QRawFont.fromFont(font(family, 20))
        for character in "ABCDEFGabcdmnoprstuvwxyzΔø°–·→…’“”×0123456789()/\\#":
            assert text.supportsCharacter(ord(character)), (family, character)


def test_chord_runs_stand_one_after_the_other(qapp: object) -> None:
    runs, width = chord_runs(chord_parts("B♭7♯11/A♭"), 24)
    assert "".join(run.text for run in runs) == "B♭7♯11/A♭"
    assert [run.x for run in runs] == sorted(run.x for run in runs)
    assert runs[0].pixels > runs[1].pixels
    assert width > runs[-1].x
    parts = chord_parts("G♭maj13♯11")
    assert chord_width(parts, fitting_size(parts, 24, 80)) <= 81
    assert fitting_size(parts, 24, 10) == pytest.approx(24 * SMALLEST_SHARE)


def ink(image: QImage) -> int:
    """How many different colours a picture has, a sign that something was drawn."""
    small = image.scaled(160, 100)
    return len({small.pixel(x, y) for x in range(160) for y in range(100)})


@pytest.mark.parametrize("theme", THEMES)
def test_the_page_is_drawn_in_both_themes(window: MainWindow, qtbot: QtBot, settings: Settings, theme: str) -> None:
    settings.set("theme", theme)
    window.repaint()
    picture = window.page.grab().toImage()
    assert ink(picture) > 30
    paper = picture.pixelColor(picture.width() - 20, 40).name().upper()
    assert paper == THEMES[theme].page


def test_an_edit_repaints_its_own_system_only(window: MainWindow) -> None:
    window.page.repaint()
    window.page.grab()
    before = {index: picture.cacheKey() for index, (_, picture) in window.page._cache.items()}
    window.desk.select(window.desk.selection.moved_to(1, 32))
    window.action("restore").trigger()
    window.page.grab()
    after = {index: picture.cacheKey() for index, (_, picture) in window.page._cache.items()}
    assert after[0] != before[0]
    assert any(after[index] == before[index] for index in before if index)


def test_zoom_and_staff_switches_change_the_layout(window: MainWindow) -> None:
    tall = window.page.geometry_now.systems[0].lanes.height
    window.action("show_staff").trigger()
    assert window.page.geometry_now.systems[0].lanes.height < tall
    window.action("show_staff").trigger()
    bars = len(window.page.geometry_now.systems[0].bars)
    for _ in range(6):
        window.action("zoom_in").trigger()
    assert len(window.page.geometry_now.systems[0].bars) < bars
    window.action("zoom_reset").trigger()
    assert len(window.page.geometry_now.systems[0].bars) == bars


def test_everything_has_a_name_for_a_screen_reader(window: MainWindow) -> None:
    from PySide6.QtWidgets import QAbstractButton, QLineEdit, QListView, QSlider

    for kind in (QAbstractButton, QLineEdit, QListView, QSlider):
        for widget in window.findChildren(kind):
            if widget.isVisibleTo(window):
                text = widget.text() if isinstance(widget, QAbstractButton) else ""
                assert widget.accessibleName() or text, widget
    assert "Bar 1, standard E flat maj7" in window.page.accessibleDescription()


def test_shared_pens_are_left_as_they_are(window: MainWindow, qtbot: QtBot) -> None:
    before = [
        (pen_of(code, 1.0).style(), pen_of(code, 1.0).widthF()) for code in (window.theme.edge, window.theme.second)
    ]
    window.action("refused").trigger()
    window.desk.select(window.desk.selection.moved_to(0, 32).moved_to(31, 32, True))
    QApplication.processEvents()
    window.grab()
    after = [
        (pen_of(code, 1.0).style(), pen_of(code, 1.0).widthF()) for code in (window.theme.edge, window.theme.second)
    ]
    assert after == before
