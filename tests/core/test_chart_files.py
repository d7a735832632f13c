"""Charts as bar text and JSON: lossless, versioned, atomic, and clear about what is wrong."""

from __future__ import annotations

import json
import os
import stat
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.abc_notes import MelodyTextError, format_abc_bar, parse_abc_bar
from core.bar_text import BarError, BarTextError, chart_from_bar_text, chart_to_bar_text, parse_bar
from core.chart import Chart, NamedRow, Note, Step, Take
from core.chart_json import chart_from_json, chart_to_json
from core.errors import FileError
from core.files import load_chart, save_chart, write_atomic
from core.form import Form, WrittenBar, played_order
from core.json_reader import ChartFileError
from core.key import Key, parse_key
from core.meter import Meter
from core.pitch import Pitch
from core.quality import QUALITIES
from core.row import Slot, span
from core.symbol import parse_symbol

DEMOS = sorted((Path(__file__).parents[2] / "demo_charts").glob("*.changes.json"))

# --- random charts -------------------------------------------------------------------------------------------------

METERS = st.sampled_from([Meter(4, 4), Meter(3, 4), Meter(5, 4), Meter(6, 8)])
WORDS = st.text(st.characters(categories=("L", "N", "P"), exclude_characters="[]{}|:;()#"), min_size=1, max_size=12)


@st.composite
def written_bars(draw: st.DrawFn) -> tuple[WrittenBar, ...]:
    meter = draw(METERS)
    bars = []
    for index in range(draw(st.integers(1, 9))):
        meter = draw(METERS) if draw(st.integers(0, 5)) == 0 else meter
        length = meter.length if draw(st.integers(0, 7)) else meter.length - Fraction(1, 2)
        bars.append(WrittenBar(str(index + 1), meter, length, draw(st.none() | WORDS) if index % 3 == 0 else None,
                               draw(st.none() | st.builds(Key, st.integers(-6, 6))) if index == 3 else None))  # fmt: skip
    if len(bars) >= 4 and draw(st.booleans()):
        bars[0] = replace(bars[0], repeat_start=True)
        bars[2] = replace(bars[2], endings=(1,), repeat_end=2)
        bars[3] = replace(bars[3], endings=(2,))
    return tuple(bars)


@st.composite
def slots_for(draw: st.DrawFn, form: Form) -> tuple[Slot, ...]:
    slots: list[Slot] = []
    for bar in form.bars:
        shares = draw(st.sampled_from([(1,), (1, 1), (1, 3), (1, 1, 2)]))
        at = bar.start
        for share in shares:
            text = draw(st.sampled_from(["C", "Gb", "F#", "B", "Ebb"])) + draw(st.sampled_from(
                ["", "m7", "-7", "7(b9)", "maj7", "o7", "7alt", "/Bb", "7(b9)(#9)(b13)"]))  # fmt: skip
            chord = parse_symbol(text) if draw(st.integers(0, 9)) else None
            typed = text if chord and chord.canonical != text else None
            duration = bar.length * Fraction(share, sum(shares))
            slots.append(Slot(at, duration, chord, typed, bool(chord) and draw(st.integers(0, 9)) == 0))
            at += duration
    return tuple(slots)


@st.composite
def melody_for(draw: st.DrawFn, form: Form) -> tuple[Note, ...]:
    notes, at = [], Fraction(0)
    for _ in range(draw(st.integers(0, 8))):
        at += draw(st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(2, 3), Fraction(5)]))
        duration = draw(st.sampled_from([Fraction(1, 3), Fraction(1), Fraction(7, 2)]))
        if at + duration > form.length:
            break
        notes.append(Note(at, duration, Pitch(draw(st.integers(-9, 11)), draw(st.integers(2, 6)))))
        at += duration
    return tuple(notes)


@st.composite
def charts(draw: st.DrawFn) -> Chart:
    written = draw(written_bars())
    form = Form(written, played_order(written))
    row = draw(slots_for(form))
    first = draw(st.sampled_from(["standard", "the book"]))
    references = (
        NamedRow(first, row),
        *([NamedRow("the record", draw(slots_for(form)))] if draw(st.booleans()) else []),
    )
    takes = []
    if draw(st.booleans()):
        bar = form.bars[0]
        part = span(row, bar.start, bar.end)
        step = Step(
            "tritone_substitution", bar.start, bar.end, part, part, draw(st.sampled_from(["", "my own\nwords"]))
        )
        takes.append(Take("Evening take", draw(slots_for(form)), (step,), frozenset({0}), seed=draw(st.integers(1, 9)),
                          note=draw(st.sampled_from(["", "two\nlines"])), melody=draw(st.none() | melody_for(form))))  # fmt: skip
    if draw(st.booleans()):
        own = draw(written_bars())
        own_form = Form(own, played_order(own))
        takes.append(Take("Its own form", draw(slots_for(own_form)), form=own_form, key=draw(st.none() | st.just(Key(2))),
                          melody=draw(st.none() | melody_for(own_form)), alignment=tuple(
                              None if index >= len(form.bars) else index for index in range(len(own_form.bars)))))  # fmt: skip
    return Chart(draw(WORDS), draw(st.builds(Key, st.integers(-6, 6), st.sampled_from(["major", "minor"]))), form, references,
                 tuple(takes), draw(melody_for(form)), draw(st.just("") | WORDS), draw(st.integers(40, 320)), "medium swing",
                 draw(st.sampled_from([named.name for named in references])))  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(charts())
def test_json_is_lossless_and_stable(chart: Chart) -> None:
    text = chart_to_json(chart)
    assert chart_from_json(text) == chart
    assert chart_to_json(chart_from_json(text)) == text


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(charts())
def test_bar_text_is_lossless(chart: Chart) -> None:
    text = chart_to_bar_text(chart)
    assert chart_from_bar_text(text) == chart, text


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_demo_charts_are_saved_byte_for_byte(path: Path, tmp_path: Path) -> None:
    chart, report = load_chart(path)
    assert report == ()
    save_chart(chart, tmp_path / path.name)
    assert (tmp_path / path.name).read_bytes() == path.read_bytes()
    save_chart(chart, tmp_path / "as_text.txt")
    assert load_chart(tmp_path / "as_text.txt")[0] == chart


# --- one bar -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "durations"),
    [("Dm7 G7", [2, 2]), ("Dm7 / / G7", [3, 1]), ("C7*3/2 F7*5/2", [1.5, 2.5]), ("Dm7", [4]), ("N.C.", [4]),
     ("Dm7 (Db7) C6 /", [1, 1, 2])],
)  # fmt: skip
def test_chords_of_a_bar_share_it_as_written(text: str, durations: list[float]) -> None:
    slots = parse_bar(text, Fraction(8), Fraction(4), Meter())
    assert [float(slot.duration) for slot in slots] == durations
    assert slots[0].onset == 8


@pytest.mark.parametrize(
    ("text", "position", "message"),
    [("Dm7 / G7", 6, "3 beats and needs 4"), ("Dm7 Gq7", 5, "Gq7"), ("", 0, "empty"), ("%", 0, "none of the same length"),
     ("/ Dm7 / /", 0, "none before it"), ("C7*2 F7*1", 5, "add up to 3"), ("C7*x", 0, "needs a length")],
)  # fmt: skip
def test_a_bar_that_cannot_be_read_says_where(text: str, position: int, message: str) -> None:
    with pytest.raises(BarError, match=message.replace("*", r"\*")) as caught:
        parse_bar(text, Fraction(0), Fraction(4), Meter())
    assert caught.value.position == position


@pytest.mark.parametrize(
    ("text", "line", "column", "message"),
    [
        ("title: T\n\n| Dm7 | Gx9 |", 3, 11, "Gx9"),
        ("titel: T\n\n| Dm7 |", 1, 1, "did you mean 'title'"),
        ("key: H major\n\n| Dm7 |", 1, 1, "as a key"),
        ("tempo: fast\n\n| Dm7 |", 1, 1, "whole number"),
        ("meter: 4/5\n\n| Dm7 |", 1, 1, "metre"),
        ("title: T\n\n| Dm7 | {sengo} G7 |", 3, 9, "did you mean {segno}"),
        ("title: T\n\n| Dm7 |\nm: C3 |", 4, 6, "needs 4"),
        ("title: T\n\n| Dm7 |\nm: C8 | C8 |", 4, 1, "2 bars"),
        ("title: T\n", 1, 1, "There are no bars"),
        ("| Dm7 | G7 |\n\ntake: X\n| Dm7 |", 4, 1, "has 1 bars and the form has 2"),
        ("| {dal segno} Dm7 |", 1, 1, "segno"),
        ("just words", 1, 1, "bars stand between"),
        ("| Dm7 | | G7 |", 1, 8, "An empty bar"),
        ("| C*1e999999999 |", 1, 3, "needs a length"),
        ("tempo: " + "9" * 5000 + "\n\n| C |", 1, 1, "whole number"),
        ("tempo: ²\n\n| C |", 1, 1, "whole number"),
        ("| " + "9" * 5000 + ". C |", 1, 83, "no chord symbol is so long"),
        ("| C |\nm: C" + "9" * 5000, 2, 11, "is not a note"),
        ("| {length 1e999999999} C |", 1, 3, "Cannot read"),
        ("| " + "C" * 100_000 + " |", 1, 83, "no chord symbol is so long"),
        ("| Dm7 - | G7 |", 1, 7, "write / to hold"),
    ],
)
def test_bar_text_says_line_column_and_remedy(text: str, line: int, column: int, message: str) -> None:
    with pytest.raises(BarTextError) as caught:
        chart_from_bar_text(text)
    assert message in str(caught.value)
    assert (caught.value.line, caught.value.column) == (line, column)


def test_double_and_final_bar_lines_are_plain_ones() -> None:
    plain, fancy = chart_from_bar_text("|: Dm7 | G7 :| C6 |"), chart_from_bar_text("||: Dm7 | G7 :|| C6 |]")
    assert fancy == plain
    assert [slot.text for slot in plain.standard] == ["Dm7", "G7", "Dm7", "G7", "C6"]


@settings(max_examples=200, deadline=None)
@given(st.text(st.sampled_from(list("|:[]{}%~/ CDm7b9#\nmtakestepform.1,x*()")), max_size=60))
def test_any_text_gives_a_chart_or_our_own_error(text: str) -> None:
    try:
        chart = chart_from_bar_text(text)
    except BarTextError:
        return
    assert chart_from_bar_text(chart_to_bar_text(chart)) == chart


# --- melody --------------------------------------------------------------------------------------------------------


def _bar(key: str = "C major", text: str = "") -> tuple[list[tuple[float, float, str]], bool]:
    chart = chart_from_bar_text("| C |")
    notes, tied = parse_abc_bar(text, chart.form.bars[0], parse_key(key))
    return [(float(note.onset), float(note.duration), str(note.pitch)) for note in notes], tied


def test_abc_notes_follow_the_standard() -> None:
    # The ABC standard 2.1 (December 2011), sections 4.1 (pitch), 4.2 (accidentals), 4.3 (lengths), 4.4 (broken rhythm),
    # 4.11 (ties), 4.13 (tuplets).
    assert _bar(text="C,2 C2 c2 c'2")[0] == [(0, 1, "C3"), (1, 1, "C4"), (2, 1, "C5"), (3, 1, "C6")]
    assert _bar("Eb major", "A2 =A2 A2 ^A2")[0] == [(0, 1, "Ab4"), (1, 1, "A4"), (2, 1, "A4"), (3, 1, "A#4")]
    assert _bar(text="C>D C<D E4")[0] == [
        (0, 0.75, "C4"),
        (0.75, 0.25, "D4"),
        (1, 0.25, "C4"),
        (1.25, 0.75, "D4"),
        (2, 2, "E4"),
    ]
    assert [duration for _, duration, _ in _bar(text="(3C2D2E2 F4")[0]] == pytest.approx([2 / 3, 2 / 3, 2 / 3, 2])
    assert _bar(text="C2-C2 z4") == ([(0, 2, "C4")], False)
    assert _bar(text="C8-") == ([(0, 4, "C4")], True)


@pytest.mark.parametrize(("text", "position"), [("C4 ?4", 3), ("C/0", 0), (">C8", 0), ("C4", 2)])
def test_a_melody_that_cannot_be_read_says_where(text: str, position: int) -> None:
    with pytest.raises(MelodyTextError) as caught:
        _bar(text=text)
    assert caught.value.position == position


def test_a_note_over_the_bar_line_is_written_tied_and_read_as_one() -> None:
    chart = chart_from_bar_text("| C | F |\nm: z4 C4- | C4 z4 |")
    assert [(note.onset, note.duration) for note in chart.melody] == [(2, 4)]
    assert format_abc_bar(chart.melody, chart.form.bars[0], chart.key) == "z4 C4-"


# --- bad files -----------------------------------------------------------------------------------------------------


def _damaged(change: str) -> str:
    document = json.loads(DEMOS[0].read_text(encoding="utf-8"))
    exec(change, {"d": document})
    return json.dumps(document)


@pytest.mark.parametrize(
    ("change", "where", "message"),
    [
        ("d['version'] = 99", "version", "newer program"),
        ("d['version'] = 'x'", "version", "whole number"),
        ("d['format'] = 'other'", "", "not a chart"),
        ("del d['key']", "", "'key' is missing"),
        ("d['key'] = 'Q major'", "key", "as a key"),
        ("d['tempo'] = 'fast'", "tempo", "a whole number"),
        ("d['references'][0]['row'][3][2] = 'Qm7'", "references[0].row[3]", "Qm7"),
        ("d['references'][0]['row'][3][1] = '5/0'", "references[0].row[3]", "5/0"),
        ("d['references'][0]['row'].pop()", "", "does not fit the form"),
        ("d['form']['order'] = [999]", "form.order", "written bars"),
        ("d['references'][0]['row'][0][1] = '1e999999999'", "references[0].row[0]", "not a length"),
        ("d['melody'][0] = ['0', '1']", "melody[0]", "onset, duration, pitch"),
        ("d['reference'] = 'lost'", "", "no reference row"),
        ("d['takes'][0]['locked'] = [999]", "", "locks a bar"),
        ("d['takes'][0]['alignment'] = ['a']", "", "aligned to bars"),
    ],
)
def test_damaged_json_says_where(change: str, where: str, message: str) -> None:
    with pytest.raises(Exception, match=message) as caught:
        chart_from_json(_damaged(change))
    assert caught.type.__module__ in ("core.json_reader", "core.chart")
    if isinstance(caught.value, ChartFileError):
        assert caught.value.where == where


@pytest.mark.parametrize("text", ["", "{", "[1, 2]", "null", '{"format": "changewright chart"}', "[" * 100_000])
def test_what_is_no_chart_is_refused(text: str) -> None:
    with pytest.raises(ChartFileError):
        chart_from_json(text)


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "tune.txt"
    target.write_text("old", encoding="utf-8")

    def full_disk(name: str) -> None:
        Path(name).write_text("half", encoding="utf-8")
        raise OSError(28, "No space left on device")

    with pytest.raises(FileError, match="no space left"):
        write_atomic(target, full_disk)
    assert target.read_text(encoding="utf-8") == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["tune.txt"]


def test_writing_keeps_the_rights_of_the_file(tmp_path: Path) -> None:
    target = tmp_path / "tune.txt"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o640)
    write_atomic(target, lambda name: Path(name).write_text("new", encoding="utf-8") and None)  # type: ignore[func-returns-value]
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    chart, _ = load_chart(DEMOS[0])
    missing = tmp_path / "not there" / "tune.changes.json"
    with pytest.raises(FileError, match="choose another folder"):
        save_chart(chart, missing)
    if os.geteuid() != 0:  # root may write everywhere
        tmp_path.chmod(0o500)
        with pytest.raises(FileError, match="permission denied"):
            save_chart(chart, tmp_path / "tune.txt")
        tmp_path.chmod(0o700)


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [("tune.pdf", b"", "has the ending '.pdf'"), ("tune.txt", b"\xff\xfe\x00", "not UTF-8"), ("tune.changes.json", b"{", "not JSON"),
     ("tune.txt", b"| Dm7 | Gq |", "Line 1, column 10")],
)  # fmt: skip
def test_unreadable_files_name_themselves(tmp_path: Path, name: str, content: bytes, message: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(FileError, match=message) as caught:
        load_chart(path)
    assert str(path) in str(caught.value)


def test_missing_files_and_folders_are_said(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="no such file"):
        load_chart(tmp_path / "none.txt")
    with pytest.raises(FileError, match="is a folder"):
        load_chart(_folder(tmp_path))


def _folder(tmp_path: Path) -> Path:
    folder = tmp_path / "folder.txt"
    folder.mkdir()
    return folder


def test_all_rows_of_the_table_survive_a_file(tmp_path: Path) -> None:
    text = "| " + " | ".join(f"Eb{identifier if identifier != 'maj' else ''}" for identifier in QUALITIES) + " |"
    chart = chart_from_bar_text(text)
    save_chart(chart, tmp_path / "all.changes.json")
    assert [
        slot.chord.quality.id for slot in load_chart(tmp_path / "all.changes.json")[0].standard if slot.chord
    ] == list(QUALITIES)


@pytest.mark.parametrize("order", [(0, 1, 0, 2), (2, 2), (0, 1, 2)])
def test_an_order_that_no_sign_says_is_kept_in_bar_text(order: tuple[int, ...]) -> None:
    form = Form(tuple(WrittenBar(str(at + 1), Meter(), Meter().length) for at in range(3)), order)
    row = tuple(Slot(bar.start, bar.length, parse_symbol("Dm7")) for bar in form.bars)
    text = chart_to_bar_text(Chart("T", Key(0), form, (NamedRow("standard", row),)))
    assert chart_from_bar_text(text).form == form
    assert ("order:" in text) == (order != (0, 1, 2))


@pytest.mark.parametrize("words", ["", "0", "4", "1 x", "1 -1", "1 " * 5001, "²"])
def test_an_order_that_cannot_be_read_says_where(words: str) -> None:
    with pytest.raises(BarTextError, match="from 1 to 3") as caught:
        chart_from_bar_text(f"title: T\norder: {words}\n\n| C | F | G7 |")
    assert caught.value.line == 2
