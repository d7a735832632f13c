"""The MIDI sender: each note-on has its note-off, in order, and a port that vanishes is survived."""

from __future__ import annotations

import random

import pytest

from app.player.midi_port import EARLY, MidiSender, MidiSetup, panic_messages
from app.player.midi_ports import PortError, RtMidiPorts, RtMidiSink, list_ports, same_port
from core.timeline import TimelineError
from tests.app.player.helpers import RecordingSink, unended, until


@pytest.fixture
def lost() -> list[str]:
    return []


@pytest.fixture
def sender(lost):
    """A sender whose clock is always late, so that every note is due."""
    made = MidiSender(lost.append, clock=lambda: 1e9)
    yield made
    made.close()


def opened(sender: MidiSender) -> RecordingSink:
    sink = RecordingSink()
    sender.open(sink)
    assert sender.wait()
    sink.messages.clear()
    return sink


def test_notes_become_the_bytes_of_the_standard(sender):
    sink = opened(sender)
    sender.schedule([(1.0, True, "piano", 60, 80), (2.0, False, "piano", 60, 80), (3.0, True, "drums", 51, 70)])
    until(lambda: len(sink.messages) == 3)
    # MIDI 1.0: 9n note on, 8n note off, channel in the low half; drums on channel 10, 9 on the wire.
    assert [message.hex() for message in sink.messages] == ["903c50", "803c40", "993346"]


def test_at_one_time_note_offs_go_first(sender):
    sink = opened(sender)
    sender.schedule([(1.0, True, "bass", 40, 80), (2.0, True, "bass", 43, 80), (2.0, False, "bass", 40, 80)])
    until(lambda: len(sink.messages) == 3)
    assert sink.notes() == [("on", 1, 40), ("off", 1, 40), ("on", 1, 43)]


def test_two_calls_at_one_time_keep_their_order(sender):
    sink = opened(sender)
    sender.schedule([(2.0, True, "bass", 43, 80)])
    sender.schedule([(2.0, False, "bass", 43, 80)])
    until(lambda: len(sink.messages) == 2)
    assert sink.notes() == [("on", 1, 43), ("off", 1, 43)]


def test_a_pitch_struck_again_is_ended_first_and_ends_with_its_last_note(sender):
    sink = opened(sender)
    sender.schedule([(t, on, "tune", 70, 80) for t, on in ((1, True), (2, True), (3, False), (4, False))])
    until(lambda: len(sink.messages) == 4)
    assert sink.notes() == [("on", 2, 70), ("off", 2, 70), ("on", 2, 70), ("off", 2, 70)]


def test_a_note_waits_for_its_time():
    now = [0.0]
    sender = MidiSender(lambda _sentence: None, clock=lambda: now[0])
    sink = opened(sender)
    sender.schedule([(3600.0, True, "piano", 60, 80)])
    assert sender.wait()
    assert sink.messages == []
    now[0] = 3600.0
    sender.schedule([])
    until(lambda: sink.messages)
    sender.close()


def test_what_is_asked_in_the_last_moment_before_a_note_comes_first():
    now = [0.0]
    sender = MidiSender(lambda _sentence: None, clock=lambda: now[0])
    sink = opened(sender)
    now[0] = 10.0 - EARLY / 2  # awake already, and the note is not due yet
    sender.schedule([(10.0, True, "piano", 60, 80)])
    sender.panic()
    assert sender.wait()
    now[0] = 11.0
    assert sender.wait()
    assert sink.notes() == []
    sender.close()


def test_programs_are_sent_when_they_change_and_to_a_new_port(sender):
    sink = opened(sender)
    first = {"piano": 0, "bass": 32, "drums": 40, "click": 0}
    for programs in (first, first, {"piano": 26}):
        sender.set_programs(programs)
    assert sender.wait()
    # MIDI 1.0: Cn program change. The click is on the channel of the drums and must not change their kit.
    assert [message.hex() for message in sink.messages] == ["c000", "c120", "c928", "c01a"]
    second = RecordingSink("Attic organ")
    sender.open(second)
    assert sender.wait()
    assert second.messages[-1].hex() == "c01a"
    assert sink.closed
    assert sender.port == "Attic organ"


def test_parts_go_to_the_channels_and_programs_that_were_chosen(sender):
    sink = opened(sender)
    sender.set_programs({"piano": 0, "bass": 32})
    sender.set_setup(MidiSetup({"piano": 4, "bass": 15}, {"bass": 33}))
    assert sender.wait()
    # General MIDI Level 1: finger bass is 34 in print, 33 on the wire.
    assert [message.hex() for message in sink.messages if message[0] >> 4 == 0xC][-2:] == ["c400", "cf21"]
    sink.messages.clear()
    sender.schedule([(1.0, True, "piano", 60, 80), (2.0, True, "bass", 36, 80)])
    until(lambda: len(sink.messages) == 2)
    sender.set_setup(MidiSetup())
    assert sender.wait()
    assert [message.hex() for message in sink.messages[:4]] == ["943c50", "9f2450", "843c40", "8f2440"]


@pytest.mark.parametrize("setup", [({"piano": 16}, {}), ({"piano": -1}, {}), ({"flute": 1}, {}), ({}, {"bass": 128})])
def test_a_channel_or_program_that_does_not_exist_is_refused(setup):
    with pytest.raises(TimelineError, match=r"does not fit; use 0 to"):
        MidiSetup(*setup)


def test_panic_silences_every_channel_and_resets_those_in_use(sender):
    sink = opened(sender)
    sender.schedule([(1.0, True, "piano", 60, 80), (1.0, True, "bass", 36, 80)])
    until(lambda: len(sink.messages) == 2)
    sink.messages.clear()
    sender.panic()
    assert sender.wait()
    assert [message.hex() for message in sink.messages[:2]] == ["803c40", "812440"]
    # Sustain 64 off, all notes off 123, all sound off 120, reset all controllers 121 (MIDI 1.0, channel mode
    # messages); their order is common practice, no source.
    assert [message.hex() for message in sink.messages[2:6]] == ["b04000", "b07b00", "b07800", "b07900"]
    reset = {message[0] & 15 for message in sink.messages[2:] if message[1] == 121}
    assert reset == {0, 1, 2, 9}
    assert {message[0] & 15 for message in sink.messages[2:] if message[1] == 120} == set(range(16))


def test_a_port_that_is_left_is_silenced_only_where_we_played(sender):
    sink = opened(sender)
    sender.open(None)
    assert sender.wait()
    assert {message[0] & 15 for message in sink.messages} == {0, 1, 2, 9}


def test_panic_with_nothing_sounding_is_controllers_only():
    assert {message[0] >> 4 for message in panic_messages([], (0,), everywhere=True)} == {0xB}


def test_a_changed_port_is_silenced_first(sender):
    sink = opened(sender)
    sender.schedule([(1.0, True, "piano", 60, 80)])
    until(lambda: sink.messages)
    sender.open(None)
    assert sender.wait()
    assert unended(sink.messages) == {}
    assert sink.closed
    assert sender.port is None


def test_a_vanished_port_is_said_once_and_the_sender_lives(sender, lost):
    sink = opened(sender)
    sink.gone = True
    sender.schedule([(1.0, True, "piano", pitch, 80) for pitch in range(60, 70)])
    until(lambda: lost)
    assert sender.wait()
    assert lost == ["Stage piano"]
    assert sink.closed
    other = opened(sender)
    sender.schedule([(1.0, True, "piano", 60, 80)])
    until(lambda: other.notes() == [("on", 0, 60)])


def test_without_a_port_notes_are_dropped(sender):
    sender.schedule([(1.0, True, "piano", 60, 80)])
    assert sender.wait()
    sink = opened(sender)
    assert sender.wait()
    assert sink.notes() == []


@pytest.mark.parametrize("seed", range(5))
def test_any_order_of_notes_leaves_nothing_hanging_once_all_have_ended(sender, seed):
    chance, sink, notes = random.Random(seed), opened(sender), []
    for _ in range(100):
        start, pitch = chance.random() * 10, chance.randrange(60, 64)
        notes += [(start, True, "piano", pitch, 80), (start + chance.random() * 3 + 0.01, False, "piano", pitch, 80)]
    sender.schedule(notes)
    assert sender.wait()
    until(lambda: not sender._queue)
    assert sender.wait()
    assert unended(sink.messages) == {}
    assert len(sink.messages) == 2 * len([m for m in sink.messages if m[0] & 0xF0 == 0x90])


def test_no_sequencer_or_no_such_port_is_a_sentence(capfd):
    outs, ins, sentence = list_ports()
    assert sentence.endswith(".")
    with pytest.raises(PortError, match=r"\.$"):
        RtMidiSink("A port that nobody has")
    with pytest.raises(PortError, match=r"\.$"):
        RtMidiPorts().open_in("A keyboard that nobody has", lambda _message: None)
    assert "A port that nobody has" not in outs + ins
    assert capfd.readouterr().err == ""


def test_a_real_port_takes_messages():
    outs, _, sentence = list_ports()
    if not outs:
        pytest.skip(f"no MIDI port on this machine ({sentence}); real ports are tried by hand")
    sink = RtMidiSink(outs[0])
    sink.send(bytes((0xB0, 123, 0)))
    sink.close()


@pytest.mark.parametrize(
    ("wanted", "found"),
    [("Desk 20:0", "Desk 20:0"), ("Desk 24:0", "Desk 20:0"), ("Desk", "Desk 20:0"), ("Des", None), ("Attic 3", None)],
)
def test_a_port_is_known_again_when_only_its_address_has_changed(wanted, found):
    # The sequencer of Linux gives a client a new number each time it is plugged in.
    assert same_port(wanted, ["Hall 16:0", "Desk 20:0", "Attic"]) == found
