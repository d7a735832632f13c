"""Standard MIDI Files: bytes, bars, grid, swing, melody, chords; odd and damaged files refused with the reason."""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path
from random import Random

import mido
import pytest

from core.arrange import arrange
from core.chart import Chart, check_chart
from core.chord_naming import name_chord
from core.errors import ChangewrightError, FileError
from core.files import load_chart
from core.foreign import read_foreign
from core.foreign.block_chords import named
from core.foreign.midi_file import parse_midi
from core.foreign.midi_grid import swing_of
from core.foreign.midi_read import midi_reading
from core.foreign.xml_stream import Refused
from core.imported import Imported
from core.key import Key
from core.places import folder
from core.row import slot_index
from core.sound.midi_file import midi_file
from core.symbol import parse_symbol
from tests.core.foreign.midi_bytes import MINIMAL, header, key, meta, meter, midi, name, notes, quantity, tempo, track

TUNE = [(at, 1.0, pitch) for at, pitch in enumerate((67, 69, 71, 72, 74, 72, 71, 69))]


def read(*tracks: bytes, **choices: str) -> Imported:
    return midi_reading(midi(*tracks), "untitled", choices)


def heard(chart: Chart) -> list[tuple[str, str, str]]:
    return [(str(note.onset), str(note.duration), str(note.pitch)) for note in chart.melody]


def slots(chart: Chart) -> list[tuple[str, str]]:
    return [(str(slot.onset), slot.text) for slot in chart.standard]


# --- bytes ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("value", "expected"), [
    (0x00, "00"), (0x40, "40"), (0x7F, "7F"), (0x80, "8100"), (0x2000, "C000"), (0x3FFF, "FF7F"), (0x4000, "818000"),
    (0x100000, "C08000"), (0x1FFFFF, "FFFF7F"), (0x200000, "81808000"),
])  # fmt: skip
def test_variable_lengths_are_those_of_the_standard(value: int, expected: str) -> None:
    # Standard MIDI Files 1.0 (RP-001), table of variable-length quantities; read back as the time of a note.
    assert quantity(value).hex().upper() == expected
    data = midi(track(bytes.fromhex(expected) + bytes((0x90, 60, 64)) + b"\x01" + bytes((0x80, 60, 0))), division=480)
    assert parse_midi(data).tracks[0].notes[0].start == value


def test_the_minimal_file_has_time_and_no_notes() -> None:
    file = parse_midi(MINIMAL)
    assert (file.division, file.tempos, file.meters, len(file.tracks)) == (480, [(0, 500_000)], [(0, 4, 2)], 1)
    with pytest.raises(Refused, match="holds no notes"):
        midi_reading(MINIMAL, "t", {})


@pytest.mark.parametrize(("micros", "bpm"), [(1_000_000, 60), (500_000, 120), (428_571, 140), (333_333, 180),
                                             (300_000, 200), (250_000, 240)])  # fmt: skip
def test_tempo(micros: int, bpm: int) -> None:
    # Standard MIDI Files 1.0: microseconds in a quarter note; 120 where none is given.
    imported = read(track(tempo(micros), key(0), meter(4, 2), notes(*TUNE)))
    assert imported.chart.tempo == bpm
    assert not any("tempo" in line for line in imported.report)


def test_running_status_velocity_zero_and_sysex() -> None:
    running = bytes((0x00, 0x90, 60, 64, 0x83, 0x60, 60, 0, 0x00, 62, 64)) + bytes((0x83, 0x60, 62, 0))
    data = midi(track(b"\x00\xf0\x03\x7e\x7f\xf7", running))
    assert [(note.start, note.end, note.pitch) for note in parse_midi(data).tracks[0].notes] == [
        (0, 480, 60),
        (480, 960, 62),
    ]


def test_the_same_notes_as_another_library_reads(tmp_path: Path) -> None:
    """Every note of a whole arrangement. Source: mido 1.3."""
    chart, _ = load_chart(next(iter(sorted(Path(folder("demo_charts")).glob("*.changes.json")))))
    buffer = io.BytesIO()
    midi_file(arrange(chart, None), "standard").save(file=buffer)
    ours = parse_midi(buffer.getvalue())
    for mine, theirs in zip(ours.tracks, mido.MidiFile(file=io.BytesIO(buffer.getvalue())).tracks, strict=True):
        at, starts = 0, []
        for message in theirs:
            at += message.time
            if message.type == "note_on" and message.velocity:
                starts.append((at, message.note))
        assert sorted((note.start, note.pitch) for note in mine.notes) == sorted(starts)


ODD = {
    "empty": (b"", "does not begin with MThd"),
    "other bytes": (b"RIFF1234WAVEfmt ", "does not begin with MThd"),
    "cut in the header": (header(1)[:10], "breaks off in its header"),
    "SMPTE": (midi(track(notes(*TUNE)), division=0xE728), "SMPTE frames"),
    "zero division": (midi(track(notes(*TUNE)), division=0), "zero ticks"),
    "format 2": (midi(track(notes(*TUNE)), form=2), "format 2"),
    "format 9": (midi(track(notes(*TUNE)), form=9), "format 9"),
    "no track": (header(0), "holds no track"),
    "no track chunk": (header(3) + b"XTRA\0\0\0\0", "holds no track"),
    "truncated": (midi(track(notes(*TUNE)))[:-9], "breaks off in track 1 of 1"),
    "a chunk of 4 GB": (header(1) + b"MTrk\xff\xff\xff\xff" + notes(*TUNE), "breaks off in track 1"),
    "a header of 4 GB": (b"MThd\xff\xff\xff\xff" + header(1)[8:] + track(), "has a header of 4294967295 bytes"),
    "a meta of 200 MB": (midi(track(b"\x00\xff\x01\xff\xff\xff\x7f")), "reaches beyond its end"),
    "a length of five bytes": (midi(track(b"\xff\xff\xff\xff\x7f\x90\x3c\x40")), "more than four bytes"),
    "an endless time": (midi(track(b"\xff\xff\xff\x7f\x90\x3c\x40", b"\xff\xff\xff\x7f\x80\x3c\x40")), "longer than any tune"),
    "data without a status": (midi(track(b"\x00\x3c\x40")), "running status without a status"),
    "running status after a sysex": (midi(track(b"\x00\x90\x3c\x40\x00\xf0\x01\xf7\x00\x3c\x00")), "running status"),
    "a message cut by another": (midi(track(b"\x00\x90\x3c\x90\x3c\x40\x10\x40")), "cut off by another"),
    "a real-time byte": (midi(track(b"\x00\xf8\x00\x90\x3c\x40")), "no file may hold"),
    "an event that breaks off": (midi(track(b"\x00\x90\x3c", end=False)), "reaches beyond its end"),
    "drums only": (midi(track(notes(*TUNE, channel=9))), "drums only"),
    "no notes": (midi(track(name("Quay"))), "holds no notes"),
    "random bytes": (b"MThd" + Random(3).randbytes(4000), "header of"),
}  # fmt: skip


@pytest.mark.parametrize("case", ODD)
def test_odd_and_damaged_files_are_refused_with_the_reason(case: str) -> None:
    data, reason = ODD[case]
    with pytest.raises(Refused) as caught:
        midi_reading(data, "t", {})
    assert reason in caught.value.problem


def test_a_refused_file_is_one_sentence_with_its_name(tmp_path: Path) -> None:
    path = tmp_path / "film.mid"
    path.write_bytes(ODD["SMPTE"][0])
    with pytest.raises(
        FileError, match=r"film\.mid: counts time in SMPTE frames of a film, not in beats; export it with"
    ):
        read_foreign(path)


def test_damaged_files_are_read_or_refused_and_nothing_else() -> None:
    good = midi(track(name("Quay"), tempo(500_000), meter(3, 2), key(-3)), track(name("Lead"), notes(*TUNE)),
                track(notes((0, 2, 48), (0, 2, 52), (0, 2, 55), (2, 6, 43))))  # fmt: skip
    readable = 0
    for seed in range(250):
        random = Random(seed)
        data = bytearray(good)
        for _ in range(random.randint(1, 6)):
            data[random.randrange(8, len(data))] = random.randrange(256)
        try:
            chart = midi_reading(bytes(data), "t", {}).chart
        except (Refused, ChangewrightError):
            continue
        readable += check_chart(chart) is chart
    assert readable > 40


# --- time -----------------------------------------------------------------------------------------------------------


def test_bars_metres_keys_and_marks() -> None:
    head = track(
        name("Quay"), key(-3, True), meter(3, 2), meta(6, b"A"), meter(4, 2, 480 * 3), meta(6, "Brücke".encode())
    )
    imported = read(head, track(name("Melody"), notes(*[(at, 1, 60) for at in range(11)])))
    chart = imported.chart
    assert (chart.title, str(chart.key)) == ("Quay", "C minor")
    assert [str(bar.meter) for bar in chart.form.bars] == ["3/4", "4/4", "4/4"]
    assert [bar.section for bar in chart.form.bars] == ["A", "Brücke", None]


def test_notes_over_bar_lines_are_joined_again() -> None:
    assert heard(read(track(key(0), meter(4, 2), notes((0, 3, 60), (3, 2, 62), (5, 3, 64)))).chart) == [
        ("0", "3", "C4"), ("3", "2", "D4"), ("5", "3", "E4")]  # fmt: skip


@pytest.mark.parametrize(("played", "expected"), [
    (((0, 0.98, 60), (1.02, 0.5, 62), (1.51, 0.48, 64)), [("0", "1"), ("1", "1/2"), ("3/2", "1/2")]),
    (((0, 0.33, 60), (0.335, 0.33, 62), (0.668, 0.33, 64)), [("0", "1/3"), ("1/3", "1/3"), ("2/3", "1/3")]),
    (((0, 0.24, 60), (0.26, 0.24, 62), (0.49, 0.26, 64), (0.74, 0.26, 65)), [("0", "1/4"), ("1/4", "1/4"), ("1/2", "1/4"),
                                                                           ("3/4", "1/4")]),
    (((0, 0.75, 60), (0.75, 0.25, 62)), [("0", "3/4"), ("3/4", "1/4")]),
    (((-0.0 + 0.97, 1, 60), (2, 1, 62)), [("1", "1"), ("2", "1")]),
])  # fmt: skip
def test_played_times_come_to_the_nearest_sensible_place(
    played: tuple[tuple[float, float, int], ...], expected: list[tuple[str, str]]
) -> None:
    assert [cell[:2] for cell in heard(read(track(key(0), meter(4, 2), notes(*played))).chart)] == expected


SWUNG = [(beat + place, 0.5, 60 + beat % 5) for beat in range(8) for place in (0, 0.64)]


def test_swung_eighths_are_written_even_and_said() -> None:
    swing = swing_of([(Fraction(onset).limit_denominator(480), Fraction(onset + length).limit_denominator(480), pitch)
                      for onset, length, pitch in SWUNG])  # fmt: skip
    assert swing is not None
    assert float(swing.share) == pytest.approx(0.64, abs=0.01)
    imported = read(track(key(0), meter(4, 2), notes(*SWUNG)))
    assert [cell[0] for cell in heard(imported.chart)] == [str(Fraction(n, 2)) for n in range(16)]
    assert imported.chart.feel == "medium swing"
    assert "Swung eighths are written as even ones." in imported.report
    played = read(track(key(0), meter(4, 2), notes(*SWUNG)), rhythm="played")
    assert [cell[0] for cell in heard(played.chart)][:4] == ["0", "2/3", "1", "5/3"]


def test_triplets_are_no_swing() -> None:
    triplets = [(beat + place / 3, 0.33, 60 + place) for beat in range(8) for place in range(3)]
    imported = read(track(key(0), meter(4, 2), notes(*triplets)))
    assert [cell[0] for cell in heard(imported.chart)][:4] == ["0", "1/3", "2/3", "1"]


# --- melody, chords -------------------------------------------------------------------------------------------------

BASS = notes(*[(at * 2, 2, pitch) for at, pitch in enumerate((38, 43, 36, 36))], channel=1)
PIANO = notes(*[(at * 2, 2, pitch) for at, chord in enumerate(((53, 57, 60), (53, 59, 64), (52, 55, 59), (52, 55, 59)))
                for pitch in chord], channel=2)  # fmt: skip


def test_melody_bass_and_block_chords() -> None:
    imported = read(track(name("Bass"), BASS), track(name("Piano"), PIANO), track(name("Horn"), notes(*TUNE)))
    chart = imported.chart
    assert [cell[2] for cell in heard(chart)] == ["G4", "A4", "B4", "C5", "D5", "C5", "B4", "A4"]
    assert slots(chart) == [("0", "Dm7"), ("2", "G13"), ("4", "Cmaj7")]
    assert [question.id for question in imported.questions] == ["rhythm", "melody", "chords", "mode", "feel"]
    for line in ("Of 3 parts 'Horn' is read as the melody.", "No key is given; no sharps or flats fit the notes best.",
                 "The chords are named from the notes of the parts beside the melody."):  # fmt: skip
        assert line in imported.report
    assert {
        slot.chord for slot in read(track(BASS), track(PIANO), track(notes(*TUNE)), chords="none").chart.standard
    } == {None}


def test_channels_of_one_track_are_parts() -> None:
    one, two = notes((0, 4, 72), channel=3), notes((0, 4, 48), channel=5)
    imported = midi_reading(midi(track(name("Quay"), one), track(name("Quay"), two), form=1), "t", {})
    assert [option.text for option in imported.questions[1].options] == ["Quay", "Quay (2)", "no melody"]
    both = midi_reading(
        midi(track(b"\x00\x93\x48\x40\x00\x95\x30\x40\x8f\x00\x83\x48\x00\x00\x85\x30\x00"), form=0), "t", {}
    )
    texts = [option.text for option in both.questions[1].options]
    assert texts == ["track 1, channel 4", "track 1, channel 6", "no melody"]


def test_symbols_in_texts_are_taken_and_section_letters_are_not() -> None:
    texts = [
        meta(1, text.encode(), delta) for text, delta in (("Dm7", 0), ("G7b9", 960), ("Cmaj7", 960), ("N.C.", 1920))
    ]
    imported = read(track(*texts), track(key(0), meter(4, 2), notes(*TUNE, (8, 4, 60))))
    assert slots(imported.chart) == [("0", "Dm7"), ("2", "G7b9"), ("4", "Cmaj7"), ("8", "N.C.")]
    assert "Chord symbols are taken from the texts of the file." in imported.report
    letters = read(track(meta(6, b"A"), meta(6, b"B", 1920)), track(key(0), meter(4, 2), notes(*TUNE)))
    assert [section.name for section in letters.chart.form.sections] == ["A", "B"]
    assert slots(letters.chart) == [("0", "N.C.")]


def test_our_own_export_comes_back() -> None:
    """A demo tune played by the band and read from the file again: chords by text, and by their notes alone."""
    chart, _ = load_chart(Path(folder("demo_charts")) / "harbour_lamps.changes.json")
    buffer = io.BytesIO()
    midi_file(arrange(chart, None), "standard").save(file=buffer)
    back = midi_reading(buffer.getvalue(), "t", {}).chart
    assert len(back.form.bars) == len(chart.form.bars)
    assert [section.name for section in back.form.sections] == [section.name for section in chart.form.sections]
    assert [at.chord for at in back.standard] == [at.chord for at in chart.standard]
    assert [note.pitch.midi for note in back.melody] == [note.pitch.midi for note in chart.melody]
    by_notes = midi_reading(buffer.getvalue(), "t", {"chords": "notes but 3"}).chart.standard
    roots = [(slot.chord, by_notes[slot_index(by_notes, slot.onset)].chord) for slot in chart.standard]
    same = sum(ours is not None and theirs is not None and ours.root_pc == theirs.root_pc for ours, theirs in roots)
    assert same >= 0.9 * len(chart.standard)


@pytest.mark.parametrize(
    "symbol", ["C", "Cm", "C7", "Cmaj7", "Cm7", "C6", "Cm7b5", "Cdim7", "C7b9", "C9", "C13", "C7sus", "CmM7"]
)
def test_a_chord_in_root_position_has_its_name_in_every_key(symbol: str) -> None:
    chord = parse_symbol(symbol)
    assert chord is not None
    for root in range(12):
        tones = sum(1 << (root + tone) % 12 for tone in set(chord.quality.semitones))
        found = named(tones, root)
        assert found is not None
        assert (found[0], found[1].id) == (root, chord.quality.id)
        played = [36 + root, *(60 + (root + tone) % 12 for tone in chord.quality.semitones)]
        assert name_chord(played, Key(0))[0].chord.quality.id == chord.quality.id, "both namers say the same"
