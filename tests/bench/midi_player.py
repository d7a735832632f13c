"""A player process with a fake MIDI port, for the benchmark of sound: ``python -m tests.bench.midi_player CHART SECONDS``.

Prints one JSON list: by how many seconds each note-on came late at the port.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

from app.player.device import open_output
from app.player.engine import Engine
from app.player.midi_port import NOTE_ON, MidiSender
from app.player.urgent import hurry_process
from core.arrange import arrange
from core.files import load_chart
from core.sound.bank import Bank
from core.sound.mixer import Mixer


class Port:
    """Writes down when each note-on comes."""

    name = "bench"

    def __init__(self) -> None:
        self.came: list[float] = []

    def send(self, message: bytes) -> None:
        """A message has come."""
        if message[0] & 0xF0 == NOTE_ON:
            self.came.append(time.perf_counter())

    def close(self) -> None:
        """Nothing to close."""


def main(chart_path: str, seconds: float) -> None:
    """Play a loop of the whole form into the port for so many seconds."""
    hurry_process()
    chart, _ = load_chart(Path(chart_path))
    tune = arrange(chart, chart.takes[0].name)
    bank = Bank()
    bank.fill(tune)
    engine, port, due = Engine(Mixer(bank, tune)), Port(), list[float]()
    sender = MidiSender(lambda _sentence: None)
    sender.open(port)
    sender.wait()

    def schedule(notes: list[tuple[float, bool, str, int, int]]) -> None:
        due.extend(note[0] for note in notes if note[1])
        sender.schedule(notes)

    engine.on_notes = schedule
    engine.do(lambda mixer: mixer.set_loop((0.0, tune.length)))
    engine.do(lambda mixer: mixer.play())
    output = open_output("null", 20)
    engine.attach(output)
    time.sleep(seconds)
    output.close()
    time.sleep(0.3)
    print(json.dumps([came - at for came, at in zip(port.came, sorted(due), strict=False)]))


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]))
