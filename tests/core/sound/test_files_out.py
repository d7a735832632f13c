"""Files of one row or several: parts add up to the mix, all files of a row or none, each named for what it holds."""

from __future__ import annotations

import wave
from dataclasses import replace

import mido
import numpy as np
import pytest

from core.bar_text import chart_from_bar_text
from core.chart import ChartError
from core.chart_json import chart_from_json
from core.errors import FileError
from core.places import folder
from core.sound.bank import SAMPLE_RATE
from core.sound.files_out import SoundFiles, heard_parts, planned_files, write_sound
from core.sound.limiter import LOOK_AHEAD, Unlimited
from core.sound.mixer import Mixer
from core.sound.stems import render_stems
from tests.core.sound.fonts import Sound, font_bytes
from tests.core.sound.tunes import band, note, timeline

TEXT = """title: Low Tide
key: Eb major
tempo: 300

[A]
| Fm7 | Bb7 | Ebmaj7 | % |
m: c4 e4 | d4 f4 | g8 | z8 |

take: Second evening
| Fm7 | E7 | Ebmaj7 | % |
"""
CHART = chart_from_bar_text(TEXT)
BOTH = ("standard", "Second evening")


def read24(path) -> np.ndarray:
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (48_000, 2, 3)
        raw = np.frombuffer(file.readframes(file.getnframes()), np.uint8).reshape(-1, 3)
    padded = np.zeros((raw.shape[0], 4), np.uint8)
    padded[:, 1:] = raw
    return (padded.view("<i4")[:, 0] >> 8).reshape(-1, 2) / (2**23 - 1)


def test_parts_add_up_to_the_mix_before_the_limiter(bank_for, tmp_path):
    tune = band(2)
    bank, names = bank_for(tune), ("piano", "bass", "drums", "tune")
    levels = {"piano": 0.6, "drums": 1.0}
    done = render_stems(tune, "take", {part: tmp_path / f"{part}.wav" for part in names}, bank=bank, levels=levels)
    parts = [read24(tmp_path / f"{part}.wav") for part in names]
    assert len({part.shape for part in parts}) == 1
    assert all(part.any() for part in parts)
    mixer = Mixer(bank, tune, Unlimited())
    for part, level in levels.items():
        mixer.set_level(part, level)
    mixer.set_master(1.0)
    mixer.set_side("take")
    mixer.play()
    frames = round(tune.seconds_at(8.0) * SAMPLE_RATE)
    mix = mixer.read(frames)[LOOK_AHEAD:]
    difference = np.abs(sum(parts)[: frames - LOOK_AHEAD] - mix).max()
    assert difference < 4 * 2**-23
    assert done.peak == pytest.approx(max(np.abs(part).max() for part in parts), abs=1e-5)


def test_parts_that_would_clip_are_all_lowered_alike(bank_for, tmp_path, monkeypatch):
    tune = timeline(note("piano", 0, 60, 1.0, velocity=127), note("bass", 0, 40, 1.0, velocity=60))
    bank, paths = bank_for(tune), {part: tmp_path / f"{part}.wav" for part in ("piano", "bass")}
    plain = render_stems(tune, "take", paths, bank=bank)
    bass = np.abs(read24(paths["bass"])).max()
    monkeypatch.setattr("core.sound.mixer.MIX_GAIN", 4.0 * 3 / plain.peak)
    loud = render_stems(tune, "take", paths, bank=bank)
    piano = read24(paths["piano"])
    assert loud.peak == pytest.approx(0.98, abs=0.005)
    assert np.abs(piano).max() == pytest.approx(0.98, abs=0.005)
    assert np.abs(read24(paths["bass"])).max() / bass == pytest.approx(0.98 / plain.peak, rel=0.01)


def test_stopped_or_failed_parts_leave_no_file_and_touch_none(bank_for, tmp_path):
    tune = band(1)
    bank, paths = bank_for(tune), {part: tmp_path / f"{part}.wav" for part in ("piano", "bass")}
    paths["bass"].write_bytes(b"older")
    seen: list[float] = []
    assert render_stems(tune, "take", paths, bank=bank, progress=seen.append, cancelled=lambda: len(seen) > 1) is None
    with pytest.raises(FileError, match="nowhere"):
        render_stems(tune, "take", paths | {"drums": tmp_path / "nowhere" / "d.wav"}, bank=bank)
    assert paths["bass"].read_bytes() == b"older"
    assert [item.name for item in tmp_path.iterdir()] == ["bass.wav"]


def test_both_rows_are_two_midi_files_with_key_and_chords(tmp_path):
    done = write_sound(CHART, tmp_path / "tide.mid", SoundFiles(BOTH, chords="lyrics"))
    assert [path.name for path in done] == ["tide-standard.mid", "tide-second-evening.mid"]
    chords = []
    for path in done:
        conductor = mido.MidiFile(path, charset="utf-8").tracks[0]
        assert [m.key for m in conductor if m.type == "key_signature"] == ["Eb"]
        assert [m.text for m in conductor if m.type == "marker"] == ["A"]
        chords.append([m.text for m in conductor if m.type == "lyrics"][1])
    assert chords == ["Bb7", "E7"]


def test_a_single_row_keeps_the_name_that_was_given(tmp_path):
    target = tmp_path / "tide.mid"
    assert write_sound(CHART, target, SoundFiles(("Second evening",))) == (target,)
    assert planned_files(CHART, target, SoundFiles(BOTH, stems=True)) == (
        tmp_path / "tide-standard.mid", tmp_path / "tide-second-evening.mid"
    )  # fmt: skip


def test_files_are_named_for_row_and_part(tmp_path):
    names = [path.name for path in planned_files(CHART, tmp_path / "tide.wav", SoundFiles(BOTH, stems=True))]
    assert names == [f"tide-{row}-{part}.wav" for row in ("standard", "second-evening")
                     for part in ("piano", "bass", "drums", "tune")]  # fmt: skip
    quiet = SoundFiles(("standard",), stems=True, levels={"tune": 0.0})
    assert [path.name for path in planned_files(CHART, tmp_path / "t.wav", quiet)] == [
        "t-piano.wav", "t-bass.wav", "t-drums.wav"
    ]  # fmt: skip


def test_rows_whose_names_look_alike_get_numbers(tmp_path):
    first, second = CHART.takes[0], replace(CHART.takes[0], name="Second  Evening!")
    twins = SoundFiles((first.name, second.name))
    names = [path.name for path in planned_files(replace(CHART, takes=(first, second)), tmp_path / "t.mid", twins)]
    assert names == ["t-second-evening.mid", "t-second-evening-2.mid"]


def test_an_unknown_row_or_font_is_a_sentence(tmp_path):
    with pytest.raises(ChartError):
        write_sound(CHART, tmp_path / "t.mid", SoundFiles(("Third evening",)))
    bad = tmp_path / "bad.sf2"
    bad.write_bytes(b"hello")
    with pytest.raises(FileError, match="not a SoundFont"):
        write_sound(CHART, tmp_path / "t.wav", SoundFiles(font=bad))
    assert [path.name for path in tmp_path.iterdir()] == ["bad.sf2"]


def test_a_wave_is_played_by_the_font_that_was_chosen_with_progress(tmp_path):
    font = tmp_path / "small.sf2"
    font.write_bytes(font_bytes(Sound("Upright", 0), Sound("Bass", 32, pitch=45), Sound("Vibes", 11)))
    seen: list[float] = []
    (path,) = write_sound(CHART, tmp_path / "t.wav", SoundFiles(font=font), seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    assert path.stat().st_size > 100_000
    assert write_sound(CHART, tmp_path / "u.wav", SoundFiles(font=font), stop=lambda: True) is None
    assert not (tmp_path / "u.wav").exists()


def test_a_row_without_a_note_has_no_parts_to_write():
    assert heard_parts(timeline(), {}) == []


@pytest.mark.parametrize("path", sorted(folder("demo_charts").glob("*.json")), ids=lambda path: path.stem)
def test_demo_charts_are_read_back_as_long_as_their_form_with_general_midi_numbers(path, tmp_path):
    chart = chart_from_json(path.read_text(encoding="utf-8"))
    names = ("standard", chart.takes[0].name)
    for written in write_sound(chart, tmp_path / "t.mid", SoundFiles(names)):
        file = mido.MidiFile(written, charset="utf-8")
        assert file.length == pytest.approx(float(chart.form.length) * 60 / chart.tempo, abs=1.5)
        for track in file.tracks[1:]:
            notes = [message for message in track if message.type == "note_on"]
            # General MIDI Level 1 (RP003): percussion on channel 10, 9 on the wire, keys 35 to 81.
            drums = {message.channel for message in notes} == {9}
            assert drums == (track.name == "Drums")
            assert all(35 <= message.note <= 81 for message in notes if drums)
            assert all(21 <= message.note <= 108 for message in notes if not drums), "a piano's keys"
