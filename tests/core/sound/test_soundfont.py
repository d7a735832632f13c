"""A SoundFont is found without importing its carrier, and looked at before it is used; of a huge one only a part is read.

Structure and numbers: SoundFont Technical Specification 2.01 (sfbk, INFO, sdta, pdta and its nine tables).
"""

from __future__ import annotations

import io
import random
import struct
import subprocess
import sys
import tracemalloc
import wave
from contextlib import suppress

import midirenderer
import numpy as np
import pytest

from core.errors import FileError
from core.sound import font_notes
from core.sound.bank import Bank
from core.sound.font_file import open_font
from core.sound.font_notes import note_font, preset_for, velocity_steps
from core.sound.note_file import KIT, NoteKey, note_file
from core.sound.renderer import renderer
from core.sound.soundfont import check_soundfont, default_soundfont, find_soundfont
from tests.core.sound.fonts import Sound, font_bytes, riff, tables, write_huge_font

PIANO = Sound("Upright", 0)
BAND = (PIANO, Sound("Upright bass", 32, pitch=45), Sound("Vibes", 11), Sound("Kit", 0, 128, pitch=60))


@pytest.fixture
def font(tmp_path):
    def make(data: bytes, name: str = "harbour.sf2"):
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return make


def samples(data: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(data)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, 2)


def frequency(data: bytes) -> float:
    sound = samples(data)[:, 0].astype(float)
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(sound.size), 1 << 19))
    return float(np.argmax(spectrum)) * 48_000 / (1 << 19)


def test_the_default_font_is_there_and_whole():
    path = default_soundfont()
    assert path is not None
    report = check_soundfont(path)
    assert (report.size, report.lacks, report.layers) == (path.stat().st_size, (), 1)
    assert report.sentence.endswith("is whole.")


def test_finding_it_imports_neither_its_carrier_nor_numpy():
    code = (
        "import sys; from core.sound.soundfont import default_soundfont; assert default_soundfont();"
        "print([m for m in ('pretty_midi', 'numpy', 'mido') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_small_whole_font_passes_under_its_own_name(font):
    path = font(font_bytes(*BAND))
    assert find_soundfont(path) == path
    report = check_soundfont(path)
    assert (report.name, report.lacks) == ("Harbour Keys", ())
    assert report.sentence == "“Harbour Keys” (0.2 MB) is whole."


WHOLE = ((b"INFO", b"ab"), (b"sdta", b"cdef"), (b"pdta", b"gh"))
SAMPLE = struct.Struct("<20s5IBbHH")


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "not a SoundFont"),
        (b"RIFF\x04\x00\x00\x00WAVE", "not a SoundFont"),
        (b"PK\x03\x04 something else entirely", "not a SoundFont"),
        (riff(*WHOLE, claimed=10_000), "end is missing"),
        (riff(*WHOLE[:2]), "pdta list is missing"),
        (riff(*WHOLE[1:]), "INFO list is missing"),
        (riff(*WHOLE), "phdr table is missing"),
        (font_bytes(PIANO, igen=bytes(5)), "igen table has a broken length"),
        (font_bytes(PIANO, phdr=bytes(38)), "holds no instrument"),
        (font_bytes(PIANO, pbag=struct.pack("<HHHH", 0, 0, 99, 0)), "pbag table points outside its pgen"),
        (font_bytes(PIANO, ibag=struct.pack("<HHHH", 3, 0, 0, 0)), "ibag table points outside its igen"),
        (font_bytes(PIANO, pgen=struct.pack("<HHHH", 41, 7, 0, 0)), "pgen table points outside its inst"),
        (font_bytes(PIANO, igen=struct.pack("<HHHHHHHH", 43, 127 << 8, 44, 127 << 8, 53, 9, 0, 0)), "outside its shdr"),
        (font_bytes(Sound("Pressed", kind=0x11)), "compressed"),
        (font_bytes(PIANO, shdr=SAMPLE.pack(b"Far", 0, 10**6, 0, 9, 48_000, 60, 0, 0, 1) + bytes(46)), "sample “Far”"),
    ],
)
def test_a_damaged_file_is_refused_by_name(font, data, problem):
    with pytest.raises(FileError, match=problem) as caught:
        find_soundfont(font(data, "broken.sf2"))
    assert "broken.sf2" in str(caught.value)
    assert str(caught.value).count(".") == str(caught.value).count(".sf2") + 1, "one sentence"


def test_a_font_cut_off_anywhere_is_refused(font):
    data = font_bytes(*BAND)
    for share in range(20):
        with pytest.raises(FileError):
            check_soundfont(font(data[: len(data) * share // 20], f"cut{share}.sf2"))


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path in (tmp_path / "nowhere.sf2", tmp_path):
        with pytest.raises(FileError, match="cannot be read"):
            check_soundfont(path)


@pytest.mark.parametrize("seed", range(3))
def test_spoilt_tables_are_refused_or_rendered_but_never_bring_anything_down(font, seed):
    chance, data = random.Random(seed), bytearray(font_bytes(*BAND))
    start = data.index(b"pdta")
    for attempt in range(40):
        spoilt = bytearray(data)
        for _ in range(chance.randint(1, 6)):
            spoilt[chance.randrange(start, len(spoilt))] = chance.randrange(256)
        path = font(bytes(spoilt), f"spoilt{attempt}.sf2")
        with suppress(FileError):
            check_soundfont(path)
            part = note_font(open_font(path), NoteKey(0, 60))
            assert part is None or part.startswith(b"RIFF")


def test_a_gigabyte_is_used_without_being_read(tmp_path):
    path = tmp_path / "wide.sf2"
    write_huge_font(path, 500_000_000, Sound("Hall", pitch=69))
    assert path.stat().st_size > 10**9
    tracemalloc.start()
    try:
        assert check_soundfont(path).size > 10**9
        sound = renderer(path)(NoteKey(0, 69), 0.4, 0.0)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 4 * 2**20
    # ISO 16: A4 is 440 Hz.
    assert frequency(sound) == pytest.approx(440.0, rel=0.002)


def test_a_font_cut_off_after_it_was_checked_is_a_sentence(font):
    path = font(font_bytes(*BAND))
    render = renderer(path)
    path.write_bytes(path.read_bytes()[:30_000])
    with pytest.raises(FileError, match="end is missing"):
        render(NoteKey(KIT, 60), 0.1, 0.0)


def test_a_note_that_would_take_too_much_is_a_sentence(font, monkeypatch):
    monkeypatch.setattr(font_notes, "MAX_NOTE_BYTES", 1000)
    with pytest.raises(FileError, match="a single note needs more than"):
        renderer(font(font_bytes(PIANO)))(NoteKey(0, 60), 0.1, 0.0)


KEYS = [NoteKey(program, pitch, layer) for program in (0, 11, 26, 32, KIT, KIT - 40)
        for pitch, layer in ((38, 127), (51, 40), (64, 90))]  # fmt: skip


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_a_note_sounds_as_from_the_whole_font_to_the_bit(key):
    path = default_soundfont()
    assert path is not None
    part = note_font(open_font(path), key)
    assert part is not None
    assert len(part) < path.stat().st_size / 4
    event = note_file(key, 0.2, 0.2)
    assert midirenderer.render_wave_from(part, event) == midirenderer.render_wave_from(path.read_bytes(), event)


@pytest.mark.parametrize(
    ("wanted", "programs", "found"),
    [(0, (0, 4), 0), (0, (5, 40), 5), (32, (0, 33, 40), 33), (11, (0, 14, 60), 14), (66, (0, 32), 32)],
)
def test_the_nearest_program_stands_in(font, wanted, programs, found):
    # General MIDI Level 1 groups programs in families of eight; beyond the family the nearest number.
    opened = open_font(font(font_bytes(*(Sound(f"Number {program}", program) for program in programs))))
    preset = preset_for(opened, NoteKey(wanted, 60))
    assert preset is not None
    assert preset.program == found


def test_what_a_font_lacks_is_said_and_drums_without_a_kit_are_silent(font):
    path = font(font_bytes(PIANO, Sound("Long bass", 33)))
    report = check_soundfont(path)
    assert report.lacks == (
        "It has no acoustic bass, so its “Long bass” plays the bass.",
        "It has no vibraphone, so its “Upright” plays the tune.",
        "It has no drum kit, so the drums are silent.",
    )
    render = renderer(path)
    assert not samples(render(NoteKey(KIT, 51), 0.1, 0.1)).any()
    assert samples(render(NoteKey(32, 40), 0.1, 0.1)).any()


def test_a_kit_asked_for_is_used_and_else_the_first(font):
    kits = open_font(font(font_bytes(PIANO, Sound("Brushes", 40, 128), Sound("Room", 8, 128))))
    assert [preset_for(kits, NoteKey(KIT - program, 38)).name for program in (40, 8, 0)] == ["Brushes", "Room", "Room"]


def test_velocity_layers_of_a_font_are_rendered_each(font):
    layered = Sound("Soft and loud", velocities=((0, 50), (51, 90), (91, 127)))
    path = font(font_bytes(layered, *BAND[1:]))
    assert check_soundfont(path).layers == 3
    assert velocity_steps(open_font(path), [NoteKey(32, 40)]) == 1
    assert Bank(path, layers=3).layers == (42, 85, 127)


def test_only_the_zones_that_sound_are_taken(font):
    low, high = Sound("Low", 0, keys=(0, 59), pitch=48), Sound("Low too", 1, keys=(60, 127), pitch=72)
    opened = open_font(font(font_bytes(low, high)))
    assert note_font(opened, NoteKey(0, 60)) is None
    part = note_font(opened, NoteKey(1, 72))
    assert part is not None
    assert len(part) < 60_000


def test_the_tables_of_the_tests_are_those_of_the_specification():
    sizes = {name: len(data) for name, data in tables((PIANO,)).items()}
    assert sizes == {"phdr": 76, "pbag": 8, "pmod": 10, "pgen": 8, "inst": 44, "ibag": 8, "imod": 10, "igen": 16,
                     "shdr": 92}  # fmt: skip
