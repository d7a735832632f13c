"""The bank: right pitch, square-law velocity, lengths, budget."""

from __future__ import annotations

import numpy as np
import pytest

from core.errors import FileError
from core.sound.bank import (
    CYMBAL_SECONDS,
    DRUM_SECONDS,
    LENGTHS,
    SAMPLE_RATE,
    Bank,
    measure,
    velocity_layers,
)
from core.sound.note_file import NoteKey, note_file
from core.sound.placement import place
from core.sound.soundfont import find_soundfont
from tests.core.sound.tunes import band, note, timeline


def pitch_of(samples: np.ndarray, near: float) -> float:
    """Fundamental in Hz within half a semitone of ``near``: the peak of a padded spectrum, refined by a parabola."""
    mono = samples.astype(np.float64).sum(axis=0)[4800 : 4800 + SAMPLE_RATE]
    padding = 8
    spectrum = np.log(np.abs(np.fft.rfft(mono * np.hanning(mono.size), padding * mono.size)) + 1e-9)
    low, high = (int(near * factor * padding * mono.size / SAMPLE_RATE) for factor in (0.971, 1.03))
    best = low + int(np.argmax(spectrum[low : high + 1]))
    assert low < best < high, "no peak near the expected pitch"
    a, b, c = spectrum[best - 1 : best + 2]
    return (best + 0.5 * (a - c) / (a - 2 * b + c)) * SAMPLE_RATE / (padding * mono.size)


@pytest.mark.parametrize(
    ("program", "pitch"),
    [(0, 40), (0, 48), (0, 60), (0, 69), (0, 84), (32, 31), (32, 40), (32, 48), (11, 60), (11, 84), (26, 57)],
)
def test_a_note_is_in_tune(shared_bank, program, pitch):
    # Equal temperament, f = 440 * 2^((m - 69) / 12), A4 = 440 Hz (ISO 16:1975, from memory). Ten cents: two fifths
    # of the smallest mistuning of a lone note that most listeners notice (common practice, no source).
    expected = 440.0 * 2 ** ((pitch - 69) / 12)
    rendered = shared_bank.render(NoteKey(program, pitch), 2.0)
    assert abs(1200 * np.log2(pitch_of(rendered.samples, expected) / expected)) < 10.0


def test_velocity_is_a_square_law_in_the_renderer(shared_bank):
    # Held against the renderer itself: one layer is enough only as long as this is so.
    loud = shared_bank.render(NoteKey(0, 62, 127), 1.5)
    soft = shared_bank.render(NoteKey(0, 62, 64), 1.5)
    scaled = loud.samples * (64 / 127) ** 2
    size = min(loud.samples.shape[1], soft.samples.shape[1]) - SAMPLE_RATE // 10
    # Where the wait before the attack is cut may differ by less than a millisecond between a loud and a soft note.
    off = [np.abs(scaled[:, 48 : size - 48] - soft.samples[:, 48 + k : size - 48 + k]).max() for k in range(-48, 49)]
    assert min(off) <= 8
    assert soft.gain(64) == pytest.approx(loud.gain(127))


def test_layers_end_at_full_velocity_and_each_velocity_finds_one(shared_bank):
    assert velocity_layers(1) == (127,)
    assert velocity_layers(4) == (32, 64, 95, 127)
    layered = Bank(layers=4)
    assert [layered.layer_of(v) for v in (1, 32, 33, 96, 127)] == [32, 32, 64, 127, 127]
    with pytest.raises(ValueError, match="layers"):
        velocity_layers(0)


def test_a_note_ends_in_silence(shared_bank):
    for key in (NoteKey(0, 60), NoteKey(66, 60), NoteKey(-1, 51)):
        assert np.all(shared_bank.render(key, 2.0).samples[:, -1] == 0)


def test_releases_are_plausible(shared_bank):
    # Measured on the default font: a bass note dies several times as fast as a piano note.
    piano, bass = measure(shared_bank._render, 0), measure(shared_bank._render, 32)
    assert 0.005 < bass.release < piano.release / 2 < 0.2


def test_a_plan_asks_for_enough_and_drums_whole():
    tune = timeline(note("piano", 0, 60, 8.0), note("drums", 0, 51, 0.1), note("drums", 0, 36), bpm=120.0)
    plan = Bank().plan(tune)
    assert plan[NoteKey(0, 60)] >= 4.0
    assert plan[NoteKey(0, 60)] in LENGTHS
    assert (plan[NoteKey(-1, 51)], plan[NoteKey(-1, 36)]) == (CYMBAL_SECONDS, DRUM_SECONDS)


def test_filling_twice_renders_once(bank_for):
    tune = band(4)
    bank = bank_for(tune)
    assert bank.missing(tune) == {}
    assert bank.fill(tune) == 0
    before = bank.get(NoteKey(0, 60))
    assert bank.fill(tune.at_tempo(tune.bpm * 1.2)) == 0
    assert bank.get(NoteKey(0, 60)) is before


def test_notes_come_in_the_order_of_their_first_use():
    tune = timeline(note("piano", 2, 67), note("piano", 0, 60), note("bass", 1, 40))
    assert [key.pitch for key in Bank().plan(tune)] == [60, 40, 67]


def test_what_is_urgent_is_the_next_bar_of_the_heard_side_with_what_is_held():
    tune = timeline(
        note("piano", 0, 60, 9.0),
        note("piano", 0, 61, 1.0),
        note("piano", 9, 62, side="take"),
        note("piano", 9, 63, side="standard"),
        note("piano", 13, 64),
        lead_in=4.0,
        count_in=(note("click", -1.0, 76, 0.1),),
    )
    bank = Bank()
    assert [key.pitch for key in bank.urgent(tune, "take", 8.0)] == [60, 62]
    assert [key.pitch for key in bank.urgent(tune, "standard", 8.0, count_in=True)] == [76, 60, 63]
    first = bank.urgent(tune, "take", 8.0)
    assert [key.pitch for key in bank.missing(tune, first)][:3] == [60, 62, 76]


def test_memory_stays_under_the_budget():
    bank = Bank(budget=2 * 2**20)
    for pitch in range(40, 80, 2):
        bank.render(NoteKey(0, pitch), 2.0)
        assert bank.size <= bank.budget
    assert bank.get(NoteKey(0, 78)) is not None
    assert bank.get(NoteKey(0, 40)) is None


def test_a_plan_beyond_the_budget_is_shortened_to_fit():
    wide = timeline(*(note("piano", float(i), 30 + i, 20.0) for i in range(60)), length=80.0)
    bank = Bank(budget=20 * 2**20)
    assert sum(bank.plan(wide).values()) * SAMPLE_RATE * 4 <= bank.budget


def test_the_note_file_is_what_the_standard_says():
    # Standard MIDI Files 1.0: MThd, length 6, format 0, one track, division 1000; status bytes B0 C0 90 80.
    data = note_file(NoteKey(11, 60), 0.5, 0.25)
    assert data[:14].hex() == "4d546864000000060000000103e8"
    assert data[14:18] == b"MTrk"
    assert int.from_bytes(data[18:22], "big") == len(data) - 22
    assert data[22:].hex() == (
        "00ff51030f4240"  # a second per quarter note
        "00b05b0000b05d00"  # reverb and chorus send 0
        "00c00b"
        "00903c7f"
        "8374803c00"  # after 500 ticks
        "817aff2f00"  # after 250 more
    )


def test_a_font_that_is_damaged_inside_is_a_sentence_not_a_crash(tmp_path):
    path = tmp_path / "hollow.sf2"
    whole = find_soundfont().read_bytes()
    # Headers and lengths stay right; the tables that say where samples lie do not.
    at = whole.index(b"pdta")
    path.write_bytes(
        whole[: at + 12] + bytes(byte ^ 0x5A for byte in whole[at + 12 : at + 40_000]) + whole[at + 40_000 :]
    )
    with pytest.raises(FileError, match=r"hollow\.sf2"):
        Bank(path).render(NoteKey(0, 60), 1.5)


@pytest.mark.parametrize(("program", "pitch"), [(-1, 44), (-1, 51), (0, 53), (0, 72), (32, 31), (11, 72)])
def test_the_wait_before_an_attack_is_cut(shared_bank, program, pitch):
    # A pedalled hi-hat of the default font begins 1.7 ms late; an onset is off by less than a millisecond here.
    samples = np.abs(shared_bank.render(NoteKey(program, pitch), 1.5).samples.astype(int)).max(axis=0)
    assert np.flatnonzero(samples > samples.max() * 10 ** (-50 / 20))[0] <= 12


def test_a_tune_may_ask_for_another_kit(shared_bank):
    tune = timeline(note("drums", 0, 38), note("click", 0, 77), programs=(("drums", 40),))
    drum, click = (shared_bank.key_of(tune, event) for event in tune.events)
    assert (drum, click) == (NoteKey(-41, 38), NoteKey(-1, 77))
    assert [placed.key for placed in place(tune).placed] == [drum, click]
    assert note_file(drum, 0.1, 0.0).find(bytes((0xC9, 40))) > 0, "the program goes to the drum channel"
    brushed, struck = shared_bank.render(drum, 1.5), shared_bank.render(NoteKey(-1, 38), 1.5)
    assert not np.array_equal(brushed.samples, struck.samples)
