"""The MIDI sender: each note-on has its note-off, in order, and a port that vanishes is survived."""

from __future__ import annotations

import random

import pytest

from app.player.midi_port import MidiSender, PortError, RtMidiSink, list_ports, panic_messages
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


def test_programs_are_sent_when_they_change_and_to_a_new_port(sender):
    sink = opened(sender)
    for programs in ({"piano": 0, "bass": 32, "drums": 0}, {"piano": 0, "bass": 32, "drums": 0}, {"piano": 26}):
        sender.set_programs(programs)
    assert sender.wait()
    # MIDI 1.0: Cn program change; the kit on channel 10 gets none.
    assert [message.hex() for message in sink.messages] == ["c000", "c120", "c01a"]
    second = RecordingSink("Attic organ")
    sender.open(second)
    assert sender.wait()
    assert second.messages[-1].hex() == "c01a"
    assert sink.closed
    assert sender.port == "Attic organ"


def test_panic_silences_every_channel(sender):
    sink = opened(sender)
    sender.schedule([(1.0, True, "piano", 60, 80), (1.0, True, "bass", 36, 80)])
    until(lambda: len(sink.messages) == 2)
    sink.messages.clear()
    sender.panic()
    assert sender.wait()
    assert [message.hex() for message in sink.messages[:2]] == ["803c40", "812440"]
    # Sustain 64 off, all notes off 123, all sound off 120 (MIDI 1.0, channel mode messages); their order is
    # common practice, no source.
    assert [message.hex() for message in sink.messages[2:5]] == ["b04000", "b07b00", "b07800"]
    assert len(sink.messages) == 2 + 16 * 3
    assert {message[0] & 15 for message in sink.messages[2:]} == set(range(16))


def test_panic_with_nothing_sounding_is_controllers_only():
    assert {message[0] >> 4 for message in panic_messages([])} == {0xB}


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
    assert lost == ["The MIDI port “Stage piano” is gone; connect it and choose it again."]
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
    names, sentence = list_ports()
    assert sentence.endswith(".")
    with pytest.raises(PortError, match=r"\.$"):
        RtMidiSink("A port that nobody has")
    assert "A port that nobody has" not in names
    assert capfd.readouterr().err == ""
