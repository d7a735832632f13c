"""MIDI files, held against the bytes of Standard MIDI Files 1.0."""

from __future__ import annotations

import io

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import FileError
from core.key import Key, parse_key
from core.sound.midi_file import TICKS_PER_QUARTER, midi_file, write_midi
from core.timeline import Marker, Timeline, TimelineError, sort_events
from tests.core.sound.tunes import band, note, timeline


def data(tune: Timeline, side: str = "standard", ticks: int = TICKS_PER_QUARTER) -> bytes:
    buffer = io.BytesIO()
    midi_file(tune, side, ticks=ticks).save(file=buffer)
    return buffer.getvalue()


def absolute(track: mido.MidiTrack) -> list[tuple[int, mido.Message]]:
    now, found = 0, []
    for message in track:
        now += message.time
        found.append((now, message))
    return found


def parts(tune: Timeline, side: str = "standard") -> dict[str, mido.MidiTrack]:
    return {track.name: track for track in mido.MidiFile(file=io.BytesIO(data(tune, side))).tracks[1:]}


def test_the_smallest_file_byte_for_byte():
    # Standard MIDI Files 1.0 (header, tempo FF 51, time signature FF 58, end of track FF 2F): type 1, one track,
    # 480 ticks a quarter note, 120 quarter notes a minute, 4/4.
    assert data(Timeline(120.0, 0.0), ticks=480).hex() == (
        "4d546864000000060001000101e04d54726b0000001300ff510307a12000ff58040402180800ff2f00"
    )


@pytest.mark.parametrize(
    ("bpm", "microseconds"),
    [(60, 1_000_000), (120, 500_000), (140, 428_571), (180, 333_333), (200, 300_000), (240, 250_000)],
)
def test_the_tempo_is_in_microseconds_a_quarter(bpm, microseconds):
    # Standard MIDI Files 1.0, meta event FF 51 03 tttttt.
    assert b"\xff\x51\x03" + microseconds.to_bytes(3, "big") in data(Timeline(float(bpm), 4.0))


@pytest.mark.parametrize(
    ("ticks", "quantity"),
    [
        (0x00, "00"),
        (0x40, "40"),
        (0x7F, "7f"),
        (0x80, "8100"),
        (0x2000, "c000"),
        (0x3FFF, "ff7f"),
        (0x4000, "818000"),
        (0x100000, "c08000"),
        (0x1FFFFF, "ffff7f"),
        (0x200000, "81808000"),
        (0x8000000, "c0808000"),
        (0x0FFFFFFF, "ffffff7f"),
    ],
)
def test_delta_times_are_variable_length_quantities(ticks, quantity):
    # The table of variable-length quantities in Standard MIDI Files 1.0; here the delta before the end of the track.
    assert data(Timeline(120.0, float(ticks)), ticks=1).endswith(bytes.fromhex(quantity + "ff2f00"))


def test_header_tracks_and_names():
    file = data(band(2))
    assert file[:14].hex() == "4d546864000000060001000503c0"
    assert list(parts(band(2))) == ["Piano", "Bass", "Drums", "Tune"]
    assert mido.MidiFile(file=io.BytesIO(file)).tracks[0].name == "Thursday at the Quay"


def test_drums_are_on_channel_ten_and_programs_on_their_own():
    tracks = parts(Timeline(120.0, 8.0, events=band(2).events, programs=(("tune", 66),)))
    # General MIDI Level 1 (RP003): percussion on channel 10, 9 on the wire; acoustic bass is 33 in print, 32 here.
    assert {message.channel for message in tracks["Drums"] if message.type == "note_on"} == {9}
    assert not [message for message in tracks["Drums"] if message.type == "program_change"]
    programs = {
        name: message.program for name, track in tracks.items() for message in track if message.type == "program_change"
    }
    assert programs == {"Piano": 0, "Bass": 32, "Tune": 66}


def test_sections_are_markers_and_chord_names_texts_of_the_chosen_row():
    conductor = mido.MidiFile(file=io.BytesIO(data(band(2), "take"))).tracks[0]
    texts = [(tick, m.type, m.text) for tick, m in absolute(conductor) if m.type in ("marker", "text")]
    assert texts == [(0, "marker", "A"), (4 * TICKS_PER_QUARTER, "text", "Eb7")]


def test_flats_in_names_survive():
    tune = Timeline(120.0, 4.0, markers=(Marker(0.0, "E♭7(♯9)", "chord_take"),), title="Möwe – am Kai")
    file = mido.MidiFile(file=io.BytesIO(data(tune, "take")), charset="utf-8")
    assert [m.text for m in file.tracks[0] if m.type == "text"] == ["E♭7(♯9)"]
    assert file.tracks[0].name == "Möwe – am Kai"


def test_a_change_of_metre_is_at_its_tick():
    tune = Timeline(120.0, 14.0, meters=((0.0, 4, 4), (8.0, 3, 4), (11.0, 6, 8)))
    found = [
        (tick // TICKS_PER_QUARTER, m.numerator, m.denominator)
        for tick, m in absolute(midi_file(tune, "take").tracks[0])
        if m.type == "time_signature"
    ]
    assert found == [(0, 4, 4), (8, 3, 4), (11, 6, 8)]


def signatures(tune: Timeline) -> list[tuple[float, int, int, int]]:
    return [
        (tick / TICKS_PER_QUARTER, m.numerator, m.denominator, m.clocks_per_click)
        for tick, m in absolute(midi_file(tune, "take").tracks[0])
        if m.type == "time_signature"
    ]


def test_a_pickup_is_a_metre_of_its_own_so_that_bar_lines_fall_where_they_are():
    tune = Timeline(120.0, 9.0, bars=(0.0, 1.0, 5.0), meters=((0.0, 4, 4),))
    assert signatures(tune) == [(0, 1, 4, 24), (1, 4, 4, 24)]
    short = Timeline(120.0, 9.5, bars=(0.0, 4.0, 5.5), meters=((0.0, 4, 4),))
    assert signatures(short) == [(0, 4, 4, 24), (4, 3, 8, 12), (5.5, 4, 4, 24)]


@pytest.mark.parametrize(
    ("metre", "clocks"),
    [((4, 4), 24), ((3, 4), 24), ((2, 2), 48), ((6, 8), 36), ((12, 8), 36), ((7, 8), 12), ((3, 8), 12)],
)
def test_a_metronome_clicks_on_the_beat(metre, clocks):
    # Standard MIDI Files 1.0 gives 6/8 as FF 58 04 06 03 24 08: 36 (hex 24) clocks, a dotted quarter; from memory.
    assert signatures(Timeline(120.0, 12.0, meters=((0.0, *metre),))) == [(0, *metre, clocks)]
    assert b"\xff\x58\x04\x06\x03\x24\x08" in data(Timeline(120.0, 3.0, meters=((0.0, 6, 8),)))


@pytest.mark.parametrize(
    ("key", "written"),
    [("C major", "0000"), ("Eb major", "fd00"), ("C minor", "fd01"), ("F# major", "0600"), ("G# minor", "0501")],
)
def test_the_key_is_sharps_and_mode(key, written):
    # Standard MIDI Files 1.0, meta event FF 59 02 sf mi: sharps (flats below zero), 0 major, 1 minor.
    buffer = io.BytesIO()
    midi_file(band(1), "take", key=parse_key(key)).save(file=buffer)
    assert bytes.fromhex("ff5902" + written) in buffer.getvalue()


def test_a_key_that_no_signature_has_is_left_out():
    buffer = io.BytesIO()
    midi_file(band(1), "take", key=Key(8)).save(file=buffer)
    assert b"\xff\x59" not in buffer.getvalue()


@pytest.mark.parametrize(("kind", "event"), [("text", "01"), ("lyrics", "05"), ("marker", "06")])
def test_chord_names_are_texts_lyrics_or_markers(kind, event):
    # Standard MIDI Files 1.0: FF 01 text, FF 05 lyric, FF 06 marker, each with its length.
    buffer = io.BytesIO()
    midi_file(band(2), "take", chords=kind).save(file=buffer)
    assert bytes.fromhex(f"ff{event}03") + b"Eb7" in buffer.getvalue()


def test_volume_and_place_are_those_of_the_band_or_as_asked():
    def controls(**more) -> dict[int, int]:
        piano = next(t for t in midi_file(band(1), "take", **more).tracks if t.name == "Piano")
        return {message.control: message.value for message in piano if message.type == "control_change"}

    # Controllers 7 volume and 10 pan, 64 in the middle (MIDI 1.0); 127 * sqrt(0.7) = 106, 64 - 0.25 * 63 = 48.
    assert controls() == {7: 106, 10: 48}
    assert controls(levels={"piano": 0.25}) == {7: 64, 10: 48}


def test_a_kit_of_its_own_is_asked_for_on_channel_ten():
    tune = Timeline(120.0, 8.0, events=band(2).events, programs=(("drums", 40),))
    assert [(m.channel, m.program) for m in parts(tune)["Drums"] if m.type == "program_change"] == [(9, 40)]


def test_each_side_holds_its_own_notes_and_no_count_in():
    tune = band(2)
    for side in ("standard", "take"):
        wanted = sorted((round(e.onset * 960), e.pitch) for e in tune.for_side(side).events if e.part == "piano")
        found = [(tick, m.note) for tick, m in absolute(parts(tune, side)["Piano"]) if m.type == "note_on"]
        assert sorted(found) == wanted
    assert "Click" not in parts(tune)
    with pytest.raises(TimelineError, match="one row"):
        midi_file(tune, "both")


def test_a_repeated_note_ends_before_it_begins_again():
    tune = timeline(note("tune", 0, 60, 1.0), note("tune", 1, 60, 1.0))
    kinds = [(tick, m.type) for tick, m in absolute(parts(tune)["Tune"]) if m.type.startswith("note")]
    assert kinds == [(0, "note_on"), (960, "note_off"), (960, "note_on"), (1920, "note_off")]


def test_overlapping_notes_of_one_pitch_are_shortened_and_doubles_are_one():
    tune = timeline(
        note("tune", 0, 60, 3.0, velocity=50), note("tune", 0, 60, 2.0, velocity=90), note("tune", 1, 60, 1.0)
    )
    found = [
        (tick, m.type, m.velocity) for tick, m in absolute(parts(tune)["Tune"]) if m.type in ("note_on", "note_off")
    ]
    assert found == [(0, "note_on", 90), (960, "note_off", 64), (960, "note_on", 80), (1920, "note_off", 64)]


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.builds(
            note,
            st.sampled_from(("piano", "drums", "tune")),
            st.floats(0.0, 20.0),
            st.integers(60, 62),
            st.floats(0.001, 9.0),
            side=st.sampled_from(("both", "standard", "take")),
            velocity=st.integers(1, 127),
        ),
        max_size=40,
    )
)
def test_no_pitch_ever_sounds_twice_and_all_ends(events):
    tune = Timeline(120.0, 30.0, events=sort_events(events))
    for side in ("standard", "take"):
        for track in parts(tune, side).values():
            on: set[int] = set()
            for message in track:
                if message.type == "note_on":
                    assert message.note not in on
                    on.add(message.note)
                elif message.type == "note_off":
                    on.remove(message.note)
            assert not on


def test_writing_is_whole_or_not_at_all(tmp_path):
    path = tmp_path / "tune.mid"
    write_midi(band(2), "take", path)
    assert path.read_bytes() == data(band(2), "take")
    with pytest.raises(FileError, match="nowhere"):
        write_midi(band(2), "take", tmp_path / "nowhere" / "tune.mid")
    assert [item.name for item in tmp_path.iterdir()] == ["tune.mid"]
