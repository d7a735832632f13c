"""Text pasted from anywhere, read as bars: our own bar text as it stands, anything else as well as it can be.

What is not ours is written out as bar text, line for line, and read by :mod:`core.bar_text`; an error names the line
that was pasted. Guessed, and reported with lines or bars: the title, the key, which lines are sections and which are
words, bars for chords without bar lines, endings that go on, holds that do not fill the metre.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import replace

from core.bar_text import BarTextError, chart_from_bar_text, is_ours
from core.bar_text_read import HEADER_WORDS
from core.chart import TEMPO_RANGE, Chart
from core.foreign.loose_bars import LooseCell, cells_of, played_times, road_of
from core.foreign.loose_cell import LANGUAGES, cell_words, chords_in, is_chord
from core.foreign.loose_line import Line, read_line, with_plain_signs
from core.foreign.plain_text import text_of
from core.foreign.report import Report
from core.foreign.score import MAX_BARS, Choices, Option, Question, asked
from core.foreign.xml_stream import Refused
from core.imported import Imported
from core.key import Key, KeyTextError, parse_key
from core.meter import Meter, MeterError, parse_meter
from core.pitch import name_of

MAX_PASTE_BYTES = 1_000_000
MAX_LINES, LONGEST_LINE = 5000, 20_000
_OWN = re.compile(r"(?m)^\s*(take|row|melody|step|align|lock)\s*:")
_NOT_A_NAME = re.compile(r"[^\w .+'-]")
_BETWEEN = r"\s[-–—→>]+\s|,"
_SPREADS = (
    Option("bar", "each chord has a bar"),
    Option("half", "two chords share a bar"),
    Option("line", "a line is four bars"),
)
_KEYS = tuple(
    str(Key(tonic, mode)) for mode, tonics in (("major", range(-6, 6)), ("minor", range(-3, 9))) for tonic in tonics
)
_NAMES_TEXT = {"english": "C D E F G A B", "german": "C D E F G A H, B is B flat", "latin": "Do Re Mi Fa Sol La Si"}


def text_reading(data: bytes, name: str, choices: Choices) -> Imported:
    """Read a text of bars; ``name`` is the title of an untitled one. Raises :class:`Refused` or BarTextError."""
    if len(data) > MAX_PASTE_BYTES:
        raise Refused(f"holds {len(data) / 1_000_000:.0f} MB of text, more than any chart", "open a shorter text")
    text, guessed = text_of(data)
    try:
        reading = _read_strictly(text, choices)
    except BarTextError as error:
        if _OWN.search(text) and error.line > 1:
            raise
        reading = None
    reading = reading or _read_loosely(text, name, choices)
    if not guessed:
        return reading
    return replace(reading, report=("The text is not UTF-8; it is read as Western European.", *reading.report))


def _read_strictly(text: str, choices: Choices) -> Imported | None:
    """Bar text as it stands; where it names no key, the one that its chords are at home in. None if it is not ours."""
    chart = chart_from_bar_text(text)
    if not is_ours(text, chart.form):
        return None
    if re.search(r"(?m)^\s*key\s*:", text):
        return Imported(chart, ())
    report = Report()
    chart, question = keyed(chart, choices, report)
    return Imported(chart, report.sentences([]), (question,))


def keyed(chart: Chart, choices: Choices, report: Report) -> tuple[Chart, Question]:
    """A chart whose key nobody named, in the key that its chords are at home in."""
    from core.home_key import home_key  # reads the whole row; not needed where a key is written

    guess = home_key(chart.standard, chart.form)
    options = tuple(Option(key, key) for key in dict.fromkeys((str(guess), *_KEYS)))
    question = asked(choices, "key", options, str(guess))
    key = parse_key(question.chosen)
    report.add(f"no key is given; {name_of(key.tonic)} {key.mode} is {'chosen' if 'key' in choices else 'guessed'}")
    return replace(chart, key=key), question


def _read_loosely(text: str, name: str, choices: Choices) -> Imported:
    lines = [with_plain_signs(line) for line in text.splitlines()]
    if len(lines) > MAX_LINES:
        raise Refused(f"has more than {MAX_LINES} lines", "open a shorter text")
    if max(map(len, lines), default=0) > LONGEST_LINE:
        raise Refused(f"has a line of more than {LONGEST_LINE} characters", "break it into lines of bars")
    names = _language(lines, choices)
    loose = _Loose(lines, names.chosen, choices)
    chart, report = loose.chart(name)
    questions = [*loose.questions]
    if names.chosen != "english" or "names" in choices:
        questions.append(names)
        report = (f"Notes are named as in {_NAMES_TEXT[names.chosen]}.", *report)
    return Imported(chart, report, tuple(questions))


def _language(lines: list[str], choices: Choices) -> Question:
    """Note names: English unless words can be read only in another language."""
    barred = any("|" in line for line in lines)
    rows = [[word.strip("(),;") for word in re.sub(r"[|:\[\]]", " ", line).split()] for line in lines
            if "|" in line or not barred][:400]  # fmt: skip

    def readable(language: str) -> int:
        """Words that are chords; of lines without bar lines only those that hold nothing else."""
        found = 0
        for words in rows:
            chords = sum(all(is_chord(part, language) for part in chords_in(word, language)) for word in words[:100])
            found += chords if barred or chords == len(words) else 0
        return found

    counts = {language: readable(language) for language in LANGUAGES}
    best = max(LANGUAGES, key=lambda language: (counts[language], -LANGUAGES.index(language)))
    return asked(choices, "names", tuple(Option(language, _NAMES_TEXT[language]) for language in LANGUAGES), best)


class _Loose:
    """Reads all lines to cells and headers, then writes them as bar text."""

    def __init__(self, lines: list[str], names: str, choices: Choices) -> None:
        self._names, self._choices = names, choices
        self._report = Report()
        self._headers: dict[str, str] = {}
        self._cells: list[LooseCell] = []
        self._tunes: dict[int, str] = {}
        self._section: str | None = None
        self._source = lines
        self._dropped: list[int] = []
        self._chord_lines = 0
        self.questions: list[Question] = []
        self._barred = any("|" in line for line in lines)
        for number, line in enumerate(lines, 1):
            self._line(number, read_line(line, names))

    def _line(self, number: int, line: Line) -> None:
        if line.kind in ("bars", "chords", "inline", "section") and line.word:
            self._section = line.word
        if line.kind == "header":
            self._header(number, line)
        elif line.kind == "bars":
            self._add(cells_of(number, line.rest))
        elif line.kind in ("chords", "inline"):
            self._chords(number, line)
        elif line.kind == "tune" and self._cells:
            self._tunes[len(self._cells)] = line.rest
        elif line.kind == "unknown":
            self._unknown(number, line)
        elif line.kind == "words":
            self._words(number, line.rest)

    def _add(self, cells: list[LooseCell]) -> None:
        if cells and self._section is not None:
            cells[0].section, self._section = self._section, None
        self._cells += cells
        if len(self._cells) > MAX_BARS:
            raise Refused(f"has more than {MAX_BARS} bars", "open a shorter text")

    # --- lines that are not bars ------------------------------------------------------------------------------------

    def _header(self, number: int, line: Line) -> None:
        word, value = line.word, line.rest.strip()
        if not word or not value:
            self._drop(number)
        elif word == "key":
            self._key(number, value)
        elif word == "meter":
            try:
                self._headers[word] = str(parse_meter(value.split()[0]))
            except MeterError:
                self._say_line(number, "names no metre that can be read; 4/4 is assumed")
        elif word == "tempo":
            match = re.search(r"\d{2,3}", value)
            if match and TEMPO_RANGE[0] <= int(match[0]) <= TEMPO_RANGE[1]:
                self._headers.setdefault("tempo", match[0])
            elif match is None:
                self._headers.setdefault("feel", value)
        else:
            self._headers.setdefault(word, value)

    def _key(self, number: int, value: str) -> None:
        for text in (value, value.split("(")[0].strip(), re.sub(r"-$", "m", value), value.split()[0]):
            try:
                self._headers["key"] = str(parse_key(text.replace(" Major", " major").replace(" Minor", " minor")))
            except KeyTextError:
                continue
            return
        self._say_line(number, f"names no key that can be read: {value[:20]!r}")

    def _unknown(self, number: int, line: Line) -> None:
        """A header that is ours but for a slip is an error; any other line of words is dropped."""
        close = difflib.get_close_matches(line.word, HEADER_WORDS, n=1, cutoff=0.8)
        if close and not self._cells:
            raise BarTextError(number, 1, f"{line.word!r} is not a word of the header; did you mean {close[0]!r}?")
        self._drop(number)

    def _words(self, number: int, text: str) -> None:
        marks = road_of(text)
        if marks and self._cells:
            self._cells[-1].directives += marks
        elif not self._cells and not self._chord_lines and "title" not in self._headers and len(text) <= 80:
            self._headers["title"] = text.strip("*_# ")
            self._say_line(number, "is read as the title")
        elif not self._cells and "composer" not in self._headers and re.match(r"(?i)by\s+\S", text):
            self._headers["composer"] = text[3:].strip()
        else:
            self._drop(number)

    def _drop(self, number: int) -> None:
        self._dropped.append(number)

    def _say_line(self, number: int, sentence: str) -> None:
        self._report.add(f"line {number} ({self._source[number - 1].strip()[:30]!r}) {sentence}")

    # --- chords without bar lines -----------------------------------------------------------------------------------

    def _chords(self, number: int, line: Line) -> None:
        """Chords over words, in brackets between words, or in a row with dashes."""
        body, times = played_times(line.rest)
        line = replace(line, rest=body)
        if line.kind == "inline":
            groups = [[word] for word in re.findall(r"\[([A-H][^\]\s]{0,12})\]", line.rest)]
        elif re.search(_BETWEEN, line.rest):
            groups = [part.split() for part in re.split(_BETWEEN, line.rest) if part.strip(" -–—")]
        else:
            groups = [[word] for word in line.rest.split() if word not in ("-", "–", "—", ".", "/")]
        spread = "bar"
        if not self._barred:
            spread = asked(self._choices, "spread", _SPREADS, "bar").chosen
        self._chord_lines += 1
        size = {"half": 2, "line": max(1, -(-len(groups) // 4))}.get(spread, 1)
        cells = [LooseCell(number, " ".join(word for group in groups[at : at + size] for word in group))
                 for at in range(0, len(groups), size)]  # fmt: skip
        if cells and times > 1:
            cells[0].start, cells[-1].end = True, times
        self._add(cells)

    # --- out --------------------------------------------------------------------------------------------------------

    def chart(self, name: str) -> tuple[Chart, tuple[str, ...]]:
        """The chart and what was guessed. Raises BarTextError for the line that was pasted."""
        if not self._cells:
            raise BarTextError(1, 1, "There are no chords; write them between | signs, like | Dm7 | G7 | Cmaj7 | % |.")
        if self._chord_lines:
            self._report.add("there are no bar lines, so every chord is given its bar" if not self._barred else
                             "chords in lines without bar lines have a bar each")  # fmt: skip
            if not self._barred:
                self.questions.append(asked(self._choices, "spread", _SPREADS, "bar"))
        self._close_endings()
        text, sources = self._bar_text(name)
        try:
            chart = chart_from_bar_text(text, self._names)
        except BarTextError as error:
            raise self._of_source(error, sources) from error
        dropped = self._dropped
        if dropped:
            self._report.add("lines without chords are not kept: " + ", ".join(map(str, dropped[:12]))
                             + (" and more" if len(dropped) > 12 else ""))  # fmt: skip
        if "key" not in self._headers:
            chart, question = keyed(chart, self._choices, self._report)
            self.questions.append(question)
        return chart, self._report.sentences([bar.number for bar in chart.form.written])

    def _close_endings(self) -> None:
        """An ending is written once and lasts to its repeat sign, a double bar, a section or the end of its line."""
        current, line, known = "", 0, False
        for at, cell in enumerate(self._cells):
            if cell.ending:
                current, line = cell.ending, cell.line
            elif current and (cell.section is not None or cell.start or cell.line != line):
                current = ""
            if current and not cell.ending:
                cell.ending = current
                self._report.add("an ending is read on to its repeat sign or the end of its line", at)
            known = known or bool(current)
            if cell.end or cell.closes:
                current = ""

    def _bar_text(self, name: str) -> tuple[str, list[int]]:
        known = {word: value for word, value in self._headers.items() if word in HEADER_WORDS}
        headers = {"title": name, **known}
        if "title" not in self._headers:
            self._report.add(f"the text has no title; {name!r} is taken")
        out = [f"{word}: {' '.join(value.split())}" for word, value in headers.items()]
        sources = [0] * len(out)
        meter = parse_meter(headers.get("meter", "4/4"))
        if "meter" not in headers:
            self._report.add("no metre is given; 4/4 is assumed")
        for at, cell in enumerate(self._cells):
            if cell.section is not None:
                out.append(f"[{_NOT_A_NAME.sub('', cell.section).strip()}]")
                sources.append(cell.line)
            words, change = cell_words(cell.text, meter, self._names, lambda text, bar=at: self._report.add(text, bar))  # type: ignore[misc]
            meter = change or meter
            out.append(self._bar(cell, at, words, change))
            sources.append(cell.line)
            if at + 1 in self._tunes:
                self._report.add("a line of melody is not kept, since its bars are not ours to tell")
        return "\n".join(out), sources

    def _bar(self, cell: LooseCell, at: int, words: str, change: Meter | None) -> str:
        if words == "%" and at == 0:
            words = "N.C."
        signs = [f"{{{change}}}"] if change is not None else []
        signs += [f"{{{mark}}}" for mark in dict.fromkeys(cell.directives)]
        ending = f"{cell.ending}. " if cell.ending else ""
        left = "|: " if cell.start else "| "
        right = " |" if not cell.end else " :|" if cell.end == 2 else f" :|x{cell.end}"
        return left + ending + " ".join([*signs, words]) + right

    def _of_source(self, error: BarTextError, sources: list[int]) -> BarTextError:
        """The error at the line that was pasted, and at the column of the word at fault where it stands there."""
        number = sources[error.line - 1] if error.line <= len(sources) else 0
        word = re.search(r"'([^']+)'", error.problem)
        line = self._source[number - 1] if number else ""
        inside = re.search(r"at character (\d+)", error.problem)
        column = line.find(word[1]) + (int(inside[1]) if inside else 1) if word and word[1] in line else 1
        return BarTextError(max(1, number), max(1, column), error.problem)
