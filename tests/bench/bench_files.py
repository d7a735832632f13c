"""Files from elsewhere: how long opening takes, process and all, and how soon a hostile one is refused.

Budgets are our own: a 32-bar lead sheet within 0.5 s and out again within 0.1 s, a 300-bar score within 2 s, a refusal
within 2 s. Reference of
the same run: music21 10.5 reading the same file in a process that has it loaded already.
"""

from __future__ import annotations

import contextlib
import tempfile
import time
import zipfile
from pathlib import Path
from random import Random

from core.arrange import arrange
from core.chart import Chart
from core.errors import ChangewrightError
from core.files import import_chart, load_chart, write_text_atomic
from core.foreign import write_abc, write_musicxml
from core.places import folder
from core.sound.midi_file import write_midi

Row = tuple[str, float, str, str, float | None]
BARS = 300
_CHORDS = ("Cmaj7", "A7b9", "Dm7", "G13")


def _timed(path: Path, repeats: int = 3) -> float:
    """Seconds of the fastest opening; a refusal counts as one."""
    best = 1e9
    for _ in range(repeats):
        begun = time.perf_counter()
        with contextlib.suppress(ChangewrightError):
            import_chart(path)
        best = min(best, time.perf_counter() - begun)
    return best


def _music21(path: Path) -> float:
    from music21 import converter

    begun = time.perf_counter()
    converter.parse(path, forceSource=True)
    return time.perf_counter() - begun


def _exports(chart: Chart, place: Path) -> list[tuple[str, float, float | None]]:
    """Seconds of the fastest export to a file, and what the reference takes to write the same score."""
    from music21 import converter

    theirs = converter.parse(write_musicxml(chart), format="musicxml")
    begun = time.perf_counter()
    theirs.write("musicxml", place / "theirs.musicxml")
    reference = time.perf_counter() - begun
    writers = {"MusicXML": (lambda: write_musicxml(chart, "both"), "out.musicxml", reference),
               "ABC (one row)": (lambda: write_abc(chart), "out.abc", None)}  # fmt: skip
    found: list[tuple[str, float, float | None]] = []
    for what, (write, name, other) in writers.items():
        best = 1e9
        for _ in range(5):
            begun = time.perf_counter()
            write_text_atomic(place / name, write())
            best = min(best, time.perf_counter() - begun)
        found.append((what, best, other))
    return found


def _score(parts: int) -> str:
    """A score of 300 bars: chord symbols and eighths in every part."""
    random = Random(parts)
    listed = "".join(f'<score-part id="P{n}"><part-name>Part {n}</part-name></score-part>' for n in range(parts))
    bodies = []
    for part in range(parts):
        bars = []
        for at in range(BARS):
            head = ("<attributes><divisions>2</divisions><key><fifths>0</fifths><mode>major</mode></key><time><beats>4"
                    "</beats><beat-type>4</beat-type></time></attributes>" if at == 0 else "")  # fmt: skip
            chord = (f"<harmony><root><root-step>{random.choice('CDEFGAB')}</root-step></root>"
                     "<kind>minor-seventh</kind></harmony>" if part == 0 else "")  # fmt: skip
            notes = "".join(f"<note><pitch><step>{random.choice('CDEFGAB')}</step><octave>5</octave></pitch><duration>1"
                            "</duration><voice>1</voice><type>eighth</type></note>" for _ in range(8))  # fmt: skip
            bars.append(f'<measure number="{at + 1}">{head}{chord}{notes}</measure>')
        bodies.append(f'<part id="P{part}">{"".join(bars)}</part>')
    return f'<?xml version="1.0"?><score-partwise version="4.0"><part-list>{listed}</part-list>{"".join(bodies)}</score-partwise>'


def _abc() -> str:
    bars = "|".join(f'"{_CHORDS[at % 4]}"CDEF GABc' for at in range(32))
    return f"X:1\nT:Ebb\nM:4/4\nL:1/8\nQ:1/4=120\nR:swing\nK:C\n{bars}|]\n"


def _hostile(place: Path) -> dict[str, Path]:
    """A file of each kind that costs most before it is refused."""
    bomb = place / "bomb.mxl"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml", '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>'
        )
        archive.writestr("a.xml", b" " * 90_000_000)
    texts: dict[str, bytes] = {
        "deep.musicxml": b"<?xml version='1.0'?><score-partwise>" + b"<a>" * 5_000_000,
        "notes.abc": b"X:1\nK:C\n" + b"C" * 4_000_000,
        "lists.changes.json": b"[" + b"[]," * 6_000_000 + b"[]]",
        "bars.txt": b"|C" * 450_000,
        "words.txt": b"| " + b"Cq " * 300_000,
        "random.mid": b"MThd\0\0\0\6\0\1\0\1\1\xe0MTrk"
        + (3_000_000).to_bytes(4, "big")
        + Random(1).randbytes(3_000_000),
    }
    for name, data in texts.items():
        (place / name).write_bytes(data)
    return {"zip bomb": bomb, **{name: place / name for name in texts}}


def run() -> list[Row]:
    """The rows of the table; times in seconds."""
    rows: list[Row] = []
    chart, _ = load_chart(Path(folder("demo_charts")) / "harbour_lamps.changes.json")
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        sheet, midi, abc = place / "sheet.musicxml", place / "tune.mid", place / "tune.abc"
        sheet.write_text(write_musicxml(chart), encoding="utf-8")
        write_midi(arrange(chart, None), "standard", midi)
        abc.write_text(_abc(), encoding="utf-8")
        lead, score = place / "lead.musicxml", place / "score.musicxml"
        lead.write_text(_score(1), encoding="utf-8")
        score.write_text(_score(4), encoding="utf-8")
        for what, path in (("open a 32-bar lead sheet", sheet), ("open 32 bars of ABC", abc), ("open a band's MIDI file", midi),
                           ("open a 300-bar lead sheet", lead), ("open a 300-bar score of 4 parts", score)):  # fmt: skip
            rows.append((what, _timed(path), "s", "music21 reads it", _music21(path)))
        rows += [(f"export 32 bars, both rows, as {what}", seconds, "s", "music21 writes it", theirs)
                 for what, seconds, theirs in _exports(chart, place)]  # fmt: skip
        rows += [(f"refuse {what}", _timed(path, 1), "s", "budget", 2.0) for what, path in _hostile(place).items()]
    return rows


if __name__ == "__main__":
    for row in run():
        print(row)
