"""What a chart becomes outside as sound: MIDI and wave files, of one row or of several, as a mix or part by part."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from core.arrange import arrange
from core.chart import STANDARD, Chart
from core.errors import FileError
from core.files import ending_of
from core.key import Key
from core.sound.file_names import part_targets, row_targets
from core.sound.midi_file import ChordTexts, write_midi
from core.timeline import PARTS, Side, Timeline

Report = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class SoundFiles:
    """What to write: rows by name (``standard``, a reference row or a take), and how.

    ``stems`` writes a wave file for each part instead of the mix; ``chords`` says as what a MIDI file names chords;
    ``levels`` are gains 0..1 of parts that are not the band's own, and a part at 0 is left out.
    """

    rows: tuple[str, ...] = (STANDARD,)
    stems: bool = False
    chords: ChordTexts = "text"
    font: Path | None = None
    levels: Mapping[str, float] = field(default_factory=dict)
    count_in: bool = False


@dataclass(frozen=True, slots=True)
class _Row:
    """A row ready to be written: its timeline and side, its key, and the files it becomes (by part, "" for all)."""

    timeline: Timeline
    side: Side
    key: Key
    paths: dict[str, Path]


def planned_files(chart: Chart, target: Path, wanted: SoundFiles) -> tuple[Path, ...]:
    """The files that ``write_sound`` would write: ``tide-standard-bass.wav`` where there are several.

    Raises ChartError for a row that is not there.
    """
    return tuple(path for row in _rows(chart, target, wanted) for path in row.paths.values())


def write_sound(chart: Chart, target: Path, wanted: SoundFiles, report: Report = lambda _share: None,
                stop: Callable[[], bool] = lambda: False) -> tuple[Path, ...] | None:  # fmt: skip
    """Write the files by the target's ending, .mid or .wav; None if ``stop`` said so.

    Each row's files come whole or not at all; those of a row that was finished before stay. ``report`` gets 0..1.
    Raises FileError for a file or a SoundFont that cannot be used, ChartError for a row that is not there.
    """
    rows = list(_rows(chart, target, wanted))
    if ending_of(target) == ".mid":
        for row in rows:
            write_midi(row.timeline, row.side, row.paths[""], key=row.key, chords=wanted.chords, levels=wanted.levels)
        report(1.0)
    elif not _write_waves(rows, wanted, report, stop):
        return None
    return tuple(path for row in rows for path in row.paths.values())


def _rows(chart: Chart, target: Path, wanted: SoundFiles) -> Iterator[_Row]:
    for name, file in row_targets(target, wanted.rows).items():
        chart.row_named(name)
        take = next((take for take in chart.takes if take.name == name), None)
        reference = None if take or name == STANDARD else name
        timeline = arrange(chart, take.name if take else None, reference=reference)
        side: Side = "take" if take else "standard"
        paths = {"": file}
        if wanted.stems and ending_of(target) == ".wav":
            paths = part_targets(file, heard_parts(timeline.for_side(side), wanted.levels))
            if not paths:
                raise FileError(target, "no part of this row plays a note", "write chords into it first")
        yield _Row(timeline, side, chart.key_of(take), paths)


def heard_parts(timeline: Timeline, levels: Mapping[str, float]) -> list[str]:
    """Parts that play a note and are not turned down to nothing."""
    playing = {event.part for event in timeline.events}
    return [part for part in PARTS if part in playing and levels.get(part, 1.0) > 0.0]


def _write_waves(rows: list[_Row], wanted: SoundFiles, report: Report, stop: Callable[[], bool]) -> bool:
    # Sound is rendered with numpy, which a MIDI file does without.
    from core.sound.bank import Bank
    from core.sound.soundfont import check_soundfont, find_soundfont
    from core.sound.stems import render_stems
    from core.sound.wav import render_wav

    font = find_soundfont(wanted.font)
    bank = Bank(font, layers=check_soundfont(font).layers)
    for index, row in enumerate(rows):

        def share(done: float, before: int = index) -> None:
            report((before + done) / len(rows))

        if wanted.stems:
            done = render_stems(row.timeline, row.side, row.paths, bank=bank, levels=wanted.levels,
                                count_in=wanted.count_in, progress=share, cancelled=stop)  # fmt: skip
        else:
            done = render_wav(row.timeline, row.side, row.paths[""], bank=bank, levels=wanted.levels,
                              count_in=wanted.count_in, progress=share, cancelled=stop)  # fmt: skip
        if done is None:
            return False
    return True
