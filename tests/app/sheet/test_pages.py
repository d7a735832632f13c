"""Pages as they are laid out and as pixels: nothing clipped, nothing on top of another, every chord over its beat."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import combinations, pairwise
from random import Random

import pytest
from PySide6.QtGui import QImage

from app.sheet.drawing import INK, LABEL, PALE, PAPER, SECOND, Page, Rule, Sign, Words
from app.sheet.files import image_of
from app.sheet.pages import MARGIN, pages_of
from app.sheet.type import width
from app.window.theme import contrast
from core.bar_text import chart_from_bar_text
from core.chart import Note
from core.files import load_chart
from core.form import Form
from core.key import Key
from core.meter import Meter
from core.pitch import Pitch
from core.places import folder
from core.sheet.content import sheet_of
from core.sheet.kinds import KINDS, SheetOptions
from core.sheet.lines import lines_of
from core.sheet.part import PARTS
from tests.core.foreign.charts import random_chart

DEMOS = {path.name.partition(".")[0]: path for path in folder("demo_charts").glob("*.changes.json")}
PLACES = {(name, kind) for name in DEMOS for kind in ("answers", "take")}
EVERY = [
    (name, kind, part)
    for name in DEMOS
    for kind in KINDS
    for part in ("C", "Eb", "bass")
    if part == "C" or (name, kind) in PLACES
]
HEADS_AND_RESTS = ("E0A", "E4")
HEAD_WIDTH = 1.3  # staff spaces, about
EDGE = 20.0  # points of paper that stay white
Box = tuple[float, float, float, float]


@lru_cache(maxsize=64)
def pages(name: str, options: SheetOptions) -> tuple[Page, ...]:
    return pages_of(sheet_of(load_chart(DEMOS[name])[0], options))


def box(words: Words) -> Box:
    """Where the ink of words is, about: capitals are 0.68 of the size, descenders 0.2 (measured on the type)."""
    wide = width(words.text, words.size, words.family, words.weight, words.italic)
    return words.x, words.y - 0.68 * words.size, words.x + wide, words.y + 0.05 * words.size


def words_of(page: Page) -> list[Words]:
    return [item for item in page.items if isinstance(item, Words)]


def touch(one: Box, other: Box, slack: float = 0.6) -> bool:
    return (one[0] < other[2] - slack and other[0] < one[2] - slack and one[1] < other[3] - slack
            and other[1] < one[3] - slack)  # fmt: skip


def assert_inside(page: Page) -> None:
    for words in words_of(page):
        left, top, right, bottom = box(words)
        assert left >= EDGE, words
        assert right <= page.width - EDGE, words
        assert top >= EDGE, words
        assert bottom <= page.height - EDGE, words


@pytest.mark.parametrize(("name", "kind", "part"), EVERY)
def test_words_stand_inside_the_page_and_never_on_each_other_or_on_notes(name: str, kind: str, part: str) -> None:
    for melody in (True, False) if part == "C" else (True,):
        for page in pages_of(sheet_of(load_chart(DEMOS[name])[0], SheetOptions(kind, part, melody=melody))):
            assert_inside(page)
            placed = [(words, box(words)) for words in words_of(page)]
            for (one, here), (other, there) in combinations(placed, 2):
                if abs(one.y - other.y) < 30 and not other.role.endswith("more"):
                    assert not touch(here, there), (one, other)
            heads = [head for sign in page.items if isinstance(sign, Sign) and sign.code.startswith(HEADS_AND_RESTS)
                     for head in (head_box(sign),)]  # fmt: skip
            for words, here in placed:
                if words.role not in ("number", "voicing degree", "tempo", "feel"):
                    assert not any(touch(here, head) for head in heads), words


def head_box(sign: Sign) -> Box:
    return sign.x, sign.y - sign.space / 2, sign.x + HEAD_WIDTH * sign.space, sign.y + sign.space / 2


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("part", ["C", "Eb", "bass"])
def test_every_chord_stands_over_its_note(name: str, part: str) -> None:
    """The note heads are where the engraver's picture has them; a chord begins at the one of its moment."""
    sheet = sheet_of(load_chart(DEMOS[name])[0], SheetOptions("standard", part))
    (page,) = pages_of(sheet)
    chords = iter([words for words in words_of(page) if words.role == "standard"])
    signs = [item for item in page.items if isinstance(item, Sign) and item.code.startswith(HEADS_AND_RESTS)]
    checked = 0
    for bar in sheet.bars:
        onsets = {sung.onset for sung in bar.melody}
        for chord in bar.standard:
            words = next(chords)
            if chord.offset not in onsets:
                continue
            under = [sign for sign in signs if abs(sign.x - words.x) < 0.5 and 0 < sign.y - words.y < 70]
            assert under, (bar.number, words)
            checked += 1
    assert checked >= len(sheet.bars) * 0.6


def test_chords_between_notes_stand_in_the_order_of_time() -> None:
    text = "key: C major\n\n| C Dm7 Em7 F | G7 |\nm: c8 | z4 B4 |"
    (page,) = pages_of(sheet_of(chart_from_bar_text(text), SheetOptions()))
    places = [words.x for words in words_of(page) if words.role == "standard"]
    assert places == sorted(places)
    gaps = [after - before for before, after in pairwise(places[:4])]
    assert max(gaps) - min(gaps) < 1.0, "four beats under one long note are as far apart"


def white_edge(image: QImage, points: float, dpi: float) -> bool:
    """Whether a margin of the picture has no ink."""
    edge = round(points * dpi / 72)
    wide, tall = image.width(), image.height()
    strips = (
        (0, 0, wide, edge),
        (0, 0, edge, tall),
        (wide - edge, 0, edge, tall),
        (0, tall - edge // 2, wide, edge // 2),
    )
    return all(ink_share(image.copy(*strip)) == 0 for strip in strips)


def ink_share(image: QImage) -> float:
    """How much of a picture is darker than paper."""
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = [bytes(grey.constScanLine(y))[: grey.width()] for y in range(grey.height())]
    return sum(sum(value < 200 for value in row) for row in rows) / (grey.width() * grey.height())


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("melody", [True, False])
def test_pages_as_pixels_are_not_blank_and_their_edges_are(kind: str, melody: bool) -> None:
    for page in pages("ferry_steps", SheetOptions(kind, "Bb", melody=melody)):
        image = image_of(page, 50)
        assert 0.004 < ink_share(image) < 0.25
        assert white_edge(image, EDGE, 50)


def test_every_ink_reads_in_black_and_white() -> None:
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text; the rows differ in weight, not in colour alone.
    for ink in (INK, LABEL, PALE, SECOND):
        assert contrast(ink, PAPER) >= 4.5
    sheet = sheet_of(load_chart(DEMOS["harbour_lamps"])[0], SheetOptions("both"))
    (page,) = pages_of(sheet)
    weights = {words.role: words.weight for words in words_of(page) if words.ink == SECOND and words.role == "take"}
    assert weights == {"take": "strong"}
    assert {words.weight for words in words_of(page) if words.role == "standard"} == {"regular"}


def test_one_page_when_it_fits_and_numbered_when_it_does_not() -> None:
    for kind in KINDS:
        assert len(pages("low_water_blues", SheetOptions(kind))) == 1, kind
        if kind != "answers":
            assert len(pages("harbour_lamps", SheetOptions(kind))) == 1, kind
    key = pages("harbour_lamps", SheetOptions("answers"))
    assert [words.text for page in key for words in words_of(page) if words.role == "page number"] == [
        "1 of 2", "2 of 2",
    ]  # fmt: skip
    heads = [words.text for words in words_of(key[1]) if words.role == "running head"]
    assert heads == ["Harbour Lamps"]


@pytest.mark.parametrize(("bars", "section"), [(45, 0), (133, 0), (60, 56), (64, 60)])
def test_no_line_stands_alone_on_a_page(bars: int, section: int) -> None:
    """Nor does a page turn before a section where that would leave its one line by itself."""
    lines = []
    for first, last in ((0, section), (section, bars)):
        row = " | ".join(f"{'CDEFGAB'[at % 7]}m7" for at in range(first, last))
        tune = " | ".join("c4 e4" for _ in range(first, last))
        lines.append(f"[{'AB'[first > 0]}]\n| {row} |\nm: {tune} |\n" if row else "")
    sheet = sheet_of(chart_from_bar_text("key: C major\n\n" + "".join(lines)), SheetOptions())
    made = pages_of(sheet)
    counts = [sum(words.role == "bar number" for words in words_of(page)) for page in made]
    assert sum(counts) == len(lines_of(sheet))
    assert min(counts) >= 2
    assert max(counts) - min(counts) <= max(counts) * 2 // 3, "pages are about even"
    shown = [words.text for page in made for words in words_of(page) if words.role == "standard"]
    assert len(shown) == bars


def test_bar_lines_stand_under_each_other() -> None:
    sheet = sheet_of(load_chart(DEMOS["harbour_lamps"])[0], SheetOptions("standard"))
    (page,) = pages_of(sheet)
    numbers = [words for words in words_of(page) if words.role == "bar number"]
    second = []
    for number in numbers:  # the chord of each line's second bar begins at the same place, but for an accidental
        line = [words.x for words in words_of(page) if words.role == "standard" and -60 < words.y - number.y < 40]
        second.append(min(x for x in line if x > page.width * 0.3))
    assert max(second) - min(second) < 10


def test_signs_of_the_next_line_stand_behind_the_bar_line_and_inside_the_line() -> None:
    tune = chart_from_bar_text("key: F major\n\n[A]\n| F | C7 | F | C7 |\n[B]\n| E7 | A | A | A |")
    written = list(tune.form.written)
    written[4] = replace(written[4], key=Key(3), meter=Meter(2, 2))
    chart = replace(tune, form=Form(tuple(written), tune.form.order))
    melody = tuple(Note(bar.start, bar.length, Pitch(0, 5)) for bar in chart.form.bars)
    sheet = sheet_of(replace(chart, melody=melody), SheetOptions())
    (page,) = pages_of(sheet)
    right = page.width - MARGIN
    sharps = [sign for sign in page.items if isinstance(sign, Sign) and sign.code == "E262"]
    warning = [sign for sign in sharps if sign.x > right - 60]
    assert len(warning) == 3, "the three sharps of A major warn at the end of the first line"
    assert len(sharps) == 6
    assert all(sign.x + sign.space < right + 1 for sign in warning)
    upright = [rule.x1 for rule in page.items if isinstance(rule, Rule) and rule.x1 == rule.x2 and rule.width > 0.4]
    assert not any(sign.x - 0.5 < x < sign.x + sign.space for sign in warning for x in upright), (
        "no bar line among them"
    )


def test_title_composer_tempo_feel_and_part_are_there() -> None:
    (page,) = pages("ferry_steps", SheetOptions("standard", "Eb"))
    said = {words.role: words.text for words in words_of(page)}
    assert said["title"] == "Ferry Steps"
    assert said["composer"] == "Thursday evening class"
    assert said["feel"] == "jazz waltz"
    assert said["tempo"] == "= 150"
    assert said["part"] == "E♭ instruments"
    assert {words.text for words in words_of(page) if words.role == "section"} == {"A", "B"}
    assert {words.text for words in words_of(page) if words.role == "ending"} == {"1.", "2."}


def test_a_long_title_takes_two_lines_and_loses_nothing() -> None:
    title = "The Long Way Round the Harbour Wall with the Lamps Lit and the Tide Coming In"
    text = f"title: {title}\nkey: C major\n\n| C |"
    (page,) = pages_of(sheet_of(chart_from_bar_text(text), SheetOptions("standard", "Bb")))
    lines = [words.text for words in words_of(page) if words.role == "title"]
    assert " ".join(lines) == title
    assert len(lines) == 2


def test_whatever_the_chart_holds_the_sheet_is_made_and_stays_on_the_paper() -> None:
    for seed in range(16):
        random = Random(seed)
        chart = random_chart(random, seed % 2 == 0)
        options = SheetOptions(random.choice(list(KINDS)), random.choice(list(PARTS)), melody=random.random() < 0.7,
                               bars=random.choice([4, 4, 2, 6]), paper=random.choice(["A4", "letter"]),
                               style=random.choice(["plain", "signs", "words", "capitals"]))  # fmt: skip
        for page in pages_of(sheet_of(chart, options)):
            assert_inside(page)
            assert MARGIN > EDGE
