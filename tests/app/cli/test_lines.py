"""JSON lines: an answer for every line, rows of the handbooks read, the fit table kept, bad lines said, memory flat."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
import tracemalloc
from collections.abc import Iterator
from typing import Any, BinaryIO

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.cli import run_command
from app.cli.analyse import MOST_BARS, MOST_CHORDS, row_of_bars
from app.cli.lines import LONGEST_LINE, LineError, answer_lines, quarters
from core.bar_text import BarTextError, chart_from_bar_text
from core.chart import Note
from core.checks.melody import melody_check
from core.edit import transposed
from core.files import load_chart
from core.key import Key, parse_key
from core.meter import Meter
from core.places import folder
from core.row import ZERO, Slot
from core.symbol import parse_symbol

SCHEMAS = folder("resources") / "schema"
DEMOS = sorted(folder("demo_charts").glob("*.changes.json"))
TWELVE = [(fifths, fifths * 7 % 12) for fifths in range(-5, 7)]


def raw(monkeypatch: pytest.MonkeyPatch, command: str, source: BinaryIO) -> list[str]:
    """What a command answers to a stream of bytes, line by line."""
    answers = io.BytesIO()
    monkeypatch.setattr(sys, "stdin", type("In", (), {"buffer": source}))
    monkeypatch.setattr(sys, "stdout", type("Out", (), {"buffer": answers}))
    assert run_command([command, "--lines"]) == 0
    return answers.getvalue().decode("utf-8").splitlines()


def answers_to(monkeypatch: pytest.MonkeyPatch, command: str, lines: list[object]) -> list[Any]:
    """The answers to some lines (text, bytes or objects), each valid by the schema."""
    data = b"".join(
        (line if isinstance(line, bytes) else (line if isinstance(line, str) else json.dumps(line)).encode()) + b"\n"
        for line in lines
    )
    found = [json.loads(line) for line in raw(monkeypatch, command, io.BytesIO(data))]
    schema = json.loads((SCHEMAS / f"{command}_line.schema.json").read_text(encoding="utf-8"))
    validator = jsonschema.Draft202012Validator(schema)
    for answer in found:
        validator.validate(answer)
    assert len(found) == len(lines)
    return found


# --- rows of the handbooks -----------------------------------------------------------------------------------------

# Blues variants B1–B8: J. Coker 1964, Improvising Jazz, as in the test data of M. Granroth-Wilding's parser; B1 also in
# M. Steedman's slides of 2004. P4, P5: common forms of the jazz blues and the plain blues. RA: rhythm changes, same file.
# Functions: T tonic, S subdominant, D dominant; * is what the handbooks leave open. Arrows: chord → its target.
WORKED = {
    "B1": ("C major", "Cmaj7 | F7 | Cmaj7 | C7 | F7 | F7 | Cmaj7 | Cmaj7 | G7 | G7 | Cmaj7 | Cmaj7",
           "T S T * S S T T D D T T", {3: 4, 8: 10, 9: 10}),
    "B2": ("C major", "Cmaj7 | F7 | Cmaj7 | Gm7 C7 | F7 | F#o7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | Cmaj7",
           "T S T * D S * T D S D T T", {3: 4, 4: 5, 8: 9, 9: 10, 10: 11}),
    "B3": ("C major", "Cmaj7 | F7 | Cmaj7 | Gm7 C7 | Fmaj7 | Fm7 | Em7 | A7 | Dm7 | G7 | Cmaj7 | Cmaj7",
           "T S T * D S S * D S D T T", {3: 4, 4: 5, 7: 8, 8: 9, 9: 10, 10: 11}),
    "B6": ("C major", "Cmaj7 | F7 | Cmaj7 | Dbm7 Gb7 | F7 | F#o7 | Em7 | A7 | Dm7 G7 | Abm7 Db7 | Cmaj7 | Cmaj7",
           "T S T * D S * * D S D * D T T", {3: 4, 4: 5, 7: 8, 8: 9, 9: 10, 11: 12, 12: 13}),
    "B8": ("C minor", "Cm6 | Dm7b5 G7 | Cm6 | C7 | Fm6 | Fm6 | Cm6 | Cm6 | Dm7b5 | G7 | Cm6 | Cm6",
           "T S D T D S S T T S D T T", {1: 2, 2: 3, 4: 5, 9: 10, 10: 11}),
    "P4": ("C major", "C7 | F7 | C7 | C7 | F7 | F7 | C7 | Em7 A7 | Dm7 | G7 | C7 A7 | Dm7 G7",
           "T S T * S S T * D S D T D S D", {7: 8, 8: 9, 9: 10, 10: 11, 12: 13, 13: 14, 14: 0}),
    "P5": ("C major", "C7 | C7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | C7",
           "* * * * S S T T D S * *", {}),
    "RA1": ("C major", "Cmaj7 | Dm7 G7 | Cmaj7 | Dm7 G7 | Cmaj7 C7 | Fmaj7 F#o7 | G7 | Cmaj7",
            "T S D T S D T * S D D T", {1: 2, 2: 3, 4: 5, 5: 6, 7: 8, 9: 10, 10: 11}),
    "RA2": ("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7 Am7 | Dm7 G7 | Gm7 C7 | Fmaj7 Fm7 | Cmaj7 | Cmaj7",
            "T T S D T T S D * D S S T T", {2: 3, 3: 4, 6: 7, 8: 9, 9: 10}),
    "RA3": ("C major", "Cmaj7 | Dm7 D#o7 | Em7 A7 | Dm7 G7 | Gm7 C7 | Fmaj7 F#o7 | Cmaj7 | Cmaj7",
            "T S D * D S D * D S * T T", {2: 3, 3: 4, 4: 5, 5: 6, 7: 8, 8: 9}),
    "RA5": ("C major", "Cmaj7 Eb7 | D7 Db7 | Cmaj7 Eb7 | D7 Db7 | Gm7 C7 | Fmaj7 Fm7 | Cmaj7 | Cmaj7",
            "T D D D T D D * * D S S T T", {1: 2, 3: 4, 5: 6, 8: 9, 9: 10}),
}  # fmt: skip
# Rows whose first or last chord says nothing, with the home key that a reader gives them: common practice, no source.
HOMES = {
    "ii V I": ("C major", "Dm7 | G7 | Cmaj7 | %"),
    "minor ii V i": ("C minor", "Dm7b5 | G7b9 | Cm6 | %"),
    "fifths to the relative minor": ("A minor", "Dm7 | G7 | Cmaj7 | Fmaj7 | Bm7b5 | E7 | Am7 | Am7"),
    "turnaround": ("C major", "Cmaj7 | A7 | Dm7 | G7"),
    "triads": ("G major", "G | C | D | G"),
    "minor triads": ("A minor", "Am | Dm | E | Am"),
    "bridge and home": ("C major", "E7 | E7 | A7 | A7 | D7 | D7 | G7 | G7 | Cmaj7 | Cmaj7"),
    "minor vamp": ("D minor", "Dm7 | % | % | % | Ebm7 | % | Dm7 | %"),
    "keys a whole step apart": (
        "C major", "Cmaj7 | Cmaj7 | Cm7 | F7 | Bbmaj7 | Bbmaj7 | Bbm7 | Eb7 | Abmaj7 | Abmaj7 | Dm7b5 | G7"),
}  # fmt: skip


def in_twelve_keys(key: str, bars: str) -> Iterator[tuple[str, str]]:
    """Key and bar text of a row in all keys."""
    chart = chart_from_bar_text(f"key: {key}\n\n| {bars} |\n")
    for interval in TWELVE:
        moved = transposed(chart, *interval)
        texts = [" ".join(slot.chord.canonical for slot in moved.standard if slot.chord and bar.start <= slot.onset < bar.end)
                 for bar in moved.form.bars]  # fmt: skip
        yield str(moved.key), " | ".join(texts)


def same_key(one: str, other: str) -> bool:
    first, second = parse_key(one), parse_key(other)
    return (first.tonic_pc, first.mode) == (second.tonic_pc, second.mode)


@pytest.mark.parametrize("known", [True, False], ids=["key given", "key found"])
@pytest.mark.parametrize("name", WORKED)
def test_functions_and_targets_of_published_rows(name: str, known: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    key, bars, functions, targets = WORKED[name]
    lines = [{"id": home, "key": home if known else None, "meter": "4/4", "bars": text}
             for home, text in in_twelve_keys(key, bars)]  # fmt: skip
    for answer in answers_to(monkeypatch, "analyse", list(lines)):
        chords = answer["chords"]
        for wanted, chord in zip(functions.split(), chords, strict=True):
            assert wanted in ("*", chord["function"]), (answer["id"], chord)
        assert {index: chords[index]["target"] for index in targets} == targets
        # Only the two notes that a key can do without may be read away from home.
        assert all(same_key(answer["id"], chord["key"]) for chord in (chords[0], chords[-1]))


@pytest.mark.parametrize("name", HOMES)
def test_the_home_key_is_found_in_all_keys(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    key, bars = HOMES[name]
    lines = [{"id": home, "key": None, "meter": "4/4", "bars": text} for home, text in in_twelve_keys(key, bars)]
    given_home = [{**line, "key": line["id"]} for line in lines]
    found = answers_to(monkeypatch, "analyse", list(lines))
    wanted = answers_to(monkeypatch, "analyse", list(given_home))
    for one, other in zip(found, wanted, strict=True):
        assert [chord["numeral"] for chord in one["chords"]] == [chord["numeral"] for chord in other["chords"]]
        keys = {chord["key"] for chord in one["chords"]}
        assert all(abs(parse_key(key).signature) <= 11 for key in keys)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_the_home_key_of_every_demo_is_its_own(path: Any) -> None:
    from core.home_key import home_key

    chart, _ = load_chart(path)
    assert home_key(chart.standard, chart.form) == chart.key
    assert home_key(chart.takes[0].row, chart.form) == chart.key


def test_a_home_of_six_accidentals_is_spelled_as_it_is_written() -> None:
    from core.home_key import home_key

    for bars, home in (("Gbmaj7 | Abm7 Db7 | Gbmaj7", "Gb major"), ("F#maj7 | G#m7 C#7 | F#maj7", "F# major")):
        row, form = row_of_bars(bars, Meter(), "bars")
        assert str(home_key(row, form)) == home
    assert home_key(*row_of_bars("N.C. | N.C.", Meter(), "bars")) == Key(0)


def test_the_second_key_is_in_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    # Backdoor first, the ii-V of its own key second: J. Coker 1997, Elements of the Jazz Language, p. 82.
    line = {"id": 0, "key": "C major", "meter": "4/4", "bars": "Cmaj7 | Fm7 Bb7 | Cmaj7 | C6"}
    (found,) = answers_to(monkeypatch, "analyse", [line])
    told = [(chord["key"], chord["second"], chord["role"]) for chord in found["chords"][1:3]]
    assert told == [("C major", "Eb major", "backdoor ii"), ("C major", "Eb major", "backdoor")]


# --- the file command ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_analyse_a_file(path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    chart, _ = load_chart(path)
    for row in ("standard", chart.takes[0].name):
        assert run_command(["analyse", str(path), "--row", row, "--json"]) == 0
        found = json.loads(capsys.readouterr().out)
        jsonschema.validate(found, json.loads((SCHEMAS / "analyse.schema.json").read_text(encoding="utf-8")))
        assert (found["row"], found["key"]) == (row, str(chart.key))
        assert [chord["typed"] for chord in found["chords"]] == [slot.text for slot in chart.row_named(row)]
    assert run_command(["analyse", str(path)]) == 0
    assert len(capsys.readouterr().out.splitlines()) > len(chart.standard)


@pytest.mark.parametrize("words", [["analyse"], ["analyse", "x.txt", "--lines"], ["fit"]])
def test_usage(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(words) == 2
    assert "--lines" in capsys.readouterr().err


# --- bar text ------------------------------------------------------------------------------------------------------

_WORDS = st.sampled_from(["Dm7", "G7", "Cmaj7", "F#m7b5", "Bb/D", "N.C.", "(Db7)", "C7alt", "D\\C7"])
_BARS = st.lists(_WORDS, min_size=1, max_size=3).map(" ".join) | st.sampled_from(
    ["%", "~", "~ / G7 /", "C7 / / /", "~ F7"]
)


@settings(max_examples=150, deadline=None)
@given(st.lists(_BARS, min_size=1, max_size=8), st.sampled_from(["{}", "| {} |", "| {} ||", "{} |"]), st.booleans())
def test_bars_are_read_as_bar_text_reads_them(bars: list[str], frame: str, double: bool) -> None:
    """The quick way and the grammar of the chart format agree, in what they read and in what they refuse."""
    text = frame.format((" || " if double else " | ").join(bars))
    full = text if text.startswith("|") else "| " + text
    try:
        wanted = chart_from_bar_text(full)
    except BarTextError:
        with pytest.raises(LineError):
            row_of_bars(text, Meter(), "bars")
        return
    row, form = row_of_bars(text, Meter(), "bars")
    assert row == wanted.standard
    assert form == wanted.form


def test_repeats_and_signs_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    line = {"id": 1, "key": "C major", "meter": "4/4", "bars": "|: Cmaj7 | {3/4} G7 :|x3 [B]\n| {2/4} C6 |"}
    found = answers_to(monkeypatch, "analyse", [{**line, "bars": "|: Cmaj7 | {3/4} G7 :|x3 C6 |"}, line])
    assert [chord["bar"] for chord in found[0]["chords"]] == [1, 2, 3, 4, 5, 6, 7]
    assert [chord["printed"] for chord in found[0]["chords"]] == ["1", "2", "1", "2", "1", "2", "3"]
    assert "[B]" in found[1]["error"]


@pytest.mark.parametrize("meter", ["4/4", "3/4", "5/4", "6/8", "11/8", "1/4", "1/32", "32/1"])
def test_every_metre_is_read_exactly(meter: str, monkeypatch: pytest.MonkeyPatch) -> None:
    (found,) = answers_to(
        monkeypatch, "analyse", [{"id": 0, "key": None, "meter": meter, "bars": "C6 | Dm7 G7 | N.C. | %"}]
    )
    numerator, denominator = map(int, meter.split("/"))
    assert sum(quarters(chord["duration"], "duration") for chord in found["chords"]) == quarters(
        f"{16 * numerator}/{denominator}", "length"
    )
    assert found["chords"][-1]["chord"] is None
    assert found["chords"][-1]["function"] == "N"


# --- bad lines -----------------------------------------------------------------------------------------------------

GOOD = '{"id": 1, "key": "C major", "meter": "4/4", "bars": "Dm7 | G7 | Cmaj7 | %"}'
BAD = [  # (line, id of the answer, what the sentence says)
    ("", None, "empty"),
    ("   ", None, "empty"),
    ("{", None, "not JSON"),
    ("[1, 2]", None, "a list"),
    ("7", None, "a number"),
    (b"\xff\xfe", None, "UTF-8"),
    ("[" * 100_000, None, "nested"),
    ('{"id": 1, "bars": ' + "9" * 5000 + "}", None, "digits"),
    ('{"id": NaN, "bars": "C"}', None, "NaN"),
    ('{"id": 3, "bars": Infinity}', None, "Infinity"),
    ('{"id": 1e999, "bars": "C"}', None, "id is too large"),
    ('{"id": [1], "bars": "C"}', None, "id takes"),
    ('{"id": 1, "id": 2, "bars": "C"}', None, "'id' stands twice"),
    ('{"id": 4, "bars": "C", "bars": "D"}', 4, "'bars' stands twice"),
    ('{"id": "x"}', "x", "bars is missing"),
    ('{"id": 5, "bars": null}', 5, "bars is missing"),
    ('{"id": 5, "bars": ["C"]}', 5, "bars takes text, not a list"),
    ('{"id": 5, "bars": ""}', 5, "there are no bars"),
    ('{"id": 5, "bars": " || "}', 5, "there are no bars"),
    ('{"id": 5, "bars": "C | | G7"}', 5, "bar 2: The bar is empty"),
    ('{"id": 5, "bars": "C | G7x9"}', 5, "bars, bar 2: Cannot read the chord 'G7x9'"),
    ('{"id": 5, "bars": "% | C"}', 5, "bar 1: % repeats"),
    ('{"id": 5, "bars": "C / / / / | C"}', 5, "5 beats and needs 4"),
    ('{"id": 5, "bars": "|: C | Q7 :|"}', 5, "bars, line 1, character 8: Cannot read the chord 'Q7'"),
    ('{"id": 5, "bars": "C*1e999999999"}', 5, "write it as a fraction"),
    ('{"id": 5, "bars": "{length 1e999999999} C"}', 5, "write it as a fraction"),
    ('{"id": 5, "bars": "C' + "x" * 5000 + '"}', 5, "longer than 60 characters"),
    ('{"id": 5, "bars": "' + "C|" * (MOST_BARS + 1) + '"}', 5, f"{MOST_BARS} are the most"),
    ('{"id": 5, "bars": "' + "C " * (MOST_CHORDS + 1) + '"}', 5, f"{MOST_CHORDS} chords are the most"),
    ('{"id": 5, "bars": "|: C :|x3000"}', 5, f"{MOST_BARS} bars"),
    ('{"id": 6, "meter": "4/4", "key": "H major", "bars": "C"}', 6, "'H major' as a key"),
    ('{"id": 6, "key": 3, "bars": "C"}', 6, "key takes text, not a number"),
    ('{"id": 6, "key": "' + "C" * 100 + '", "bars": "C"}', 6, "60 are the most"),
    ('{"id": 7, "meter": "4/3", "bars": "C"}', 7, "'4/3' as a metre"),
    ('{"id": 7, "meter": 4, "bars": "C"}', 7, "meter takes text, not a number"),
    ('{"id": 7, "meter": true, "bars": "C"}', 7, "meter takes text, not true or false"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "identifier", "words"), BAD, ids=[f"{words}-{n}" for n, (_, _, words) in enumerate(BAD)]
)
def test_a_bad_line_gets_one_sentence_and_the_next_an_answer(
    line: str | bytes, identifier: object, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad, good = answers_to(monkeypatch, "analyse", [line, GOOD])
    assert set(bad) == {"id", "error"}
    assert bad["id"] == identifier
    assert words in bad["error"]
    assert "fault of the program" not in bad["error"]
    assert len(bad["error"]) <= 400
    assert [chord["numeral"] for chord in good["chords"]] == ["ii7", "V7", "Imaj7", "Imaj7"]


def test_a_line_that_is_too_long_is_let_go_and_the_next_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    data = b'{"id": 1, "bars": "' + b"C" * (3 * LONGEST_LINE) + b'"}\n' + GOOD.encode()
    bad, good = map(json.loads, raw(monkeypatch, "analyse", io.BytesIO(data)))
    assert bad["id"] is None
    assert "longer than 1,000,000 bytes" in bad["error"]
    assert len(good["chords"]) == 4


def test_ids_come_back_as_they_were_given(monkeypatch: pytest.MonkeyPatch) -> None:
    ids: list[object] = ["a", 1, 2.5, None, True, "♭", "\ud800", 10**30]
    found = answers_to(monkeypatch, "analyse", [{"id": one, "bars": "C6"} for one in ids])
    assert [answer["id"] for answer in found] == ids


def test_a_byte_order_mark_and_foreign_line_ends_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    data = b"\xef\xbb\xbf" + GOOD.encode() + b"\r\n" + GOOD.encode()
    assert all("chords" in json.loads(line) for line in raw(monkeypatch, "analyse", io.BytesIO(data)))


def test_our_own_fault_is_one_answer_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> dict[str, object]:
        raise RuntimeError("broken")

    answers = io.BytesIO()
    monkeypatch.setattr(sys, "stdin", type("In", (), {"buffer": io.BytesIO(b'{"id": 1}\n{"id": 2}\n')}))
    monkeypatch.setattr(sys, "stdout", type("Out", (), {"buffer": answers}))
    assert answer_lines(broken) == 0
    found = [json.loads(line) for line in answers.getvalue().splitlines()]
    assert [answer["id"] for answer in found] == [1, 2]
    assert all("fault of the program" in answer["error"] for answer in found)


# --- pipes ---------------------------------------------------------------------------------------------------------


def start(command: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-m", "app.main", command, "--lines"], stdin=subprocess.PIPE,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=folder("resources").parent)  # fmt: skip


def test_a_partner_gets_each_answer_before_it_asks_again() -> None:
    with start("analyse") as process:
        assert process.stdin
        assert process.stdout
        assert process.stderr
        for number in range(3):
            process.stdin.write(json.dumps({"id": number, "bars": "Dm7 | G7 | C6"}).encode() + b"\n")
            process.stdin.flush()
            assert json.loads(process.stdout.readline())["id"] == number
        process.stdin.close()
        assert process.stdout.read() == b""
        assert process.wait() == 0
        assert process.stderr.read() == b""


@pytest.mark.skipif(os.name == "nt", reason="pipes break differently there")
def test_a_reader_that_leaves_is_no_complaint() -> None:
    with start("analyse") as process:
        assert process.stdin
        assert process.stdout
        assert process.stderr
        process.stdin.write(GOOD.encode() + b"\n")
        process.stdin.flush()
        process.stdout.readline()
        process.stdout.close()
        process.stdin.write((GOOD + "\n").encode() * 50)
        with contextlib.suppress(BrokenPipeError):  # it has gone already
            process.stdin.close()
        assert process.wait() == 0
        assert process.stderr.read() == b""


class Stream:
    """Lines made while they are read: no two are alike, and the memory in use is noted on the way."""

    def __init__(self, count: int) -> None:
        self.count, self.at, self.used = count, 0, [0] * 10

    def readline(self, _: int) -> bytes:
        if self.at == self.count:
            return b""
        self.used[10 * self.at // self.count] = tracemalloc.get_traced_memory()[0]
        roots, kinds = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"), ("m7", "7", "maj7", "m6")
        words = [roots[(self.at // 7**k + 5 * k) % 12] + kinds[(self.at + k) % 4] for k in range(4)]
        self.at += 1
        return json.dumps({"id": self.at, "key": "C major", "bars": " | ".join(words)}).encode() + b"\n"


class Nowhere:
    def __init__(self) -> None:
        self.lines = 0

    def write(self, data: bytes) -> None:
        self.lines += data.count(b"\n")

    def flush(self) -> None: ...


def test_memory_is_flat(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second half of 6000 lines adds less than 1 MB: answers, rows and caches do not pile up."""
    stream, sink = Stream(6000), Nowhere()
    monkeypatch.setattr(sys, "stdin", type("In", (), {"buffer": stream}))
    monkeypatch.setattr(sys, "stdout", type("Out", (), {"buffer": sink}))
    tracemalloc.start()
    try:
        assert run_command(["analyse", "--lines"]) == 0
    finally:
        tracemalloc.stop()
    assert sink.lines == 6000
    assert max(stream.used[5:]) - stream.used[4] < 1_000_000


# --- fit -----------------------------------------------------------------------------------------------------------

# Melody over the substitute of a dominant, by its degree over the dominant (0 root … 11 major seventh): ♯11, ♭5 and the
# like are good, the three altered colours are flagged, the fourth and the major seventh of the dominant clash.
# Available tensions by the ♭9 rule, two Berklee-style chord-scale summaries; the table itself common practice, no source.
UNDER_SUBSTITUTE = [
    "good",
    "good",
    "caution",
    "good",
    "good",
    "clash",
    "good",
    "caution",
    "good",
    "caution",
    "good",
    "clash",
]


@pytest.mark.parametrize("interval", TWELVE, ids=str)
def test_twelve_notes_under_a_tritone_substitute(interval: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    key = Key(interval[0])
    substitute, tonic = parse_symbol("Db7"), parse_symbol("Cmaj7")
    assert substitute
    assert tonic
    chord, following = substitute.transposed(interval[0]).canonical, tonic.transposed(interval[0]).canonical
    dominant = 55 + interval[1]
    lines: list[object] = [
        {"id": degree, "key": str(key), "meter": "4/4", "chord": chord, "beat": 1, "duration": 4, "next": following,
         "melody": [[0, dominant + degree, 4]]} for degree in range(12)]  # fmt: skip
    found = answers_to(monkeypatch, "fit", lines)
    assert [answer["verdict"] for answer in found] == UNDER_SUBSTITUTE
    assert [answer["findings"][0]["midi"] for answer in found] == [dominant + degree for degree in range(12)]


FIT = {"id": 1, "key": "C major", "meter": "4/4", "chord": "G7", "beat": 3, "duration": 2, "next": "Cmaj7"}


def test_the_windows_own_check_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    (found,) = answers_to(monkeypatch, "fit", [{**FIT, "melody": [[2, 74, "3/2"], [3.5, 72, 2]]}])
    row, form = row_of_bars("Dm7 G7 | Cmaj7", Meter(), "bars")
    pitches = {74: 2, 72: 0}
    from core.pitch import pitch_from_midi

    melody = tuple(Note(quarters(onset, ""), quarters(duration, ""), pitch_from_midi(midi, pitches[midi]))
                   for onset, midi, duration in ((2, 74, "3/2"), ("7/2", 72, 2)))  # fmt: skip
    wanted = melody_check(melody, row[1:2], row[2].chord, Key(0), form)
    assert found["verdict"] == wanted.verdict
    assert [one["text"] for one in found["findings"]] == [one.text for one in wanted.findings]
    assert "anticipates" in found["findings"][1]["text"]  # the C that is held over belongs to the chord it is held into
    assert found["findings"][1]["where"] == {"bar": 1, "printed": "1", "beat": "9/2"}
    assert found["findings"][1]["duration"] == "1/2"


def test_an_altered_colour_that_is_written_is_not_flagged(monkeypatch: pytest.MonkeyPatch) -> None:
    lines: list[object] = [
        {**FIT, "chord": chord, "beat": 1, "duration": 4, "melody": [[0, 68, 4]]} for chord in ("G7b9", "G7")
    ]
    assert [answer["verdict"] for answer in answers_to(monkeypatch, "fit", lines)] == ["good", "caution"]


def test_notes_are_spelled_near_the_key(monkeypatch: pytest.MonkeyPatch) -> None:
    lines: list[object] = [{**FIT, "key": key, "melody": [[2, 66, 1]]} for key in ("Db major", "D major", None)]
    notes = [answer["findings"][0]["note"] for answer in answers_to(monkeypatch, "fit", lines)]
    assert notes == ["G♭", "F♯", "F♯"]


def test_silence_and_no_melody_are_good(monkeypatch: pytest.MonkeyPatch) -> None:
    lines: list[object] = [{**FIT, "melody": []}, {**FIT, "chord": "N.C.", "melody": [[2, 61, 2]]},
                           {**FIT, "chord": None, "next": None, "melody": [[2, 61, 2]]}]  # fmt: skip
    assert answers_to(monkeypatch, "fit", lines) == [{"id": 1, "verdict": "good", "findings": []}] * 3


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"chord": "Gq"}, "Cannot read the chord 'Gq'"),
        ({"chord": 7}, "chord takes text, not a number"),
        ({"chord": "C" * 70}, "60 are the most"),
        ({"next": "x"}, "Cannot read the chord 'x'"),
        ({"beat": 0}, "from 1 to below 5"),
        ({"beat": 5}, "from 1 to below 5"),
        ({"beat": "1/0"}, "beat takes quarter notes"),
        ({"beat": "1e9"}, "beat takes quarter notes"),
        ({"beat": True}, "beat takes quarter notes"),
        ({"duration": 0}, "more than 0"),
        ({"duration": 10**400}, "the most"),
        ({"duration": 5000}, "100 are the most"),
        ({"melody": None}, "melody takes a list"),
        ({"melody": [1]}, "melody note 1 takes three values"),
        ({"melody": [[0, 60, 1], [1, 60]]}, "melody note 2 takes three values"),
        ({"melody": [[0, 128, 1]]}, "from 0 to 127"),
        ({"melody": [[0, 60.5, 1]]}, "from 0 to 127"),
        ({"melody": [[0, True, 1]]}, "from 0 to 127"),
        ({"melody": [[0, 60, -1]]}, "more than 0"),
        ({"melody": [[0, 60, "long"]]}, "melody note 1: duration takes quarter notes"),
        ({"melody": [[0, 60, 2], [1, 62, 1]]}, "begins before note 1 ends"),
        ({"melody": [[0, 60, 1]] * 1001}, "1000 are the most"),
    ],
)  # fmt: skip
def test_bad_fit_lines(change: dict[str, object], words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    bad, good = answers_to(monkeypatch, "fit", [{**FIT, "melody": [], **change}, {**FIT, "melody": [[2, 62, 1]]}])
    assert bad["id"] == 1
    assert words in bad["error"]
    assert good["verdict"] == "good"


@settings(max_examples=200, deadline=None)
@given(st.recursive(st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
                    lambda inner: st.lists(inner, max_size=4), max_leaves=8),
       st.sampled_from(["key", "meter", "chord", "beat", "duration", "next", "melody", "bars"]))  # fmt: skip
def test_whatever_a_field_holds_the_program_is_not_at_fault(value: object, name: str) -> None:
    from app.cli import analyse, fit
    from app.cli.lines import reply

    line = json.dumps({**FIT, "bars": "C | G7", "melody": [[2, 62, 1]], name: value}).encode()
    for command in (analyse, fit):
        answer = reply(line, command._answer)
        assert "fault of the program" not in answer.get("error", "")
        assert answer["id"] == 1


def test_simple_fractions_are_found_again_in_floats() -> None:
    assert quarters(4 / 3, "x") == quarters("4/3", "x")
    assert quarters(0.5, "x") == quarters("1/2", "x") == quarters("0.5", "x")
    assert Slot(ZERO, quarters(2, "x"), None).end == 2
