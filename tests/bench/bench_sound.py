"""How fast and how exact sound is. ``python -m tests.bench.bench_sound`` prints it; it takes two
minutes.

References: action to sound at 10 ms without jitter is rated as good as at once, 20 ms worse (Jack et al., Queen Mary
University of London, abstract); a displaced onset is noticed from about 6 ms in fast sequences (Friberg and Sundberg
1995, Journal of the Acoustical Society of America, abstract). Budgets without a source are our own.
"""

from __future__ import annotations

import dataclasses
import statistics
import threading
import time
from collections.abc import Callable

import numpy as np
import psutil

from app.player.client import PlayerClient
from app.player.midi_port import MidiSender
from app.player.protocol import pack_timeline, unpack_timeline
from core.arrange import arrange
from core.chart import Chart
from core.files import load_chart
from core.places import folder
from core.row import Slot, splice
from core.sound.bank import SAMPLE_RATE, Bank
from core.sound.limiter import LOOK_AHEAD
from core.sound.mixer import Mixer
from core.sound.placement import place
from core.symbol import parse_symbol
from core.timeline import NoteEvent, Timeline
from tests.app.player.helpers import Events, until
from tests.core.sound.fakes import Clicks
from tests.core.sound.tunes import band

Row = tuple[str, float, str, str, float | None]
BUFFER_MS = 20
PERIOD = SAMPLE_RATE * BUFFER_MS // 1000
TUNE = band(32)
DEMO = folder("demo_charts") / "harbour_lamps.changes.json"


def timed(work: Callable[[], object], repeats: int = 1) -> float:
    """The quickest of some runs, in milliseconds."""
    best = float("inf")
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return 1000 * best


def run() -> list[Row]:
    """Name, value, unit, name and value of the reference it is held against."""
    return [*_mixing(), *_demo(), *_accuracy(), _cold(), *_playing(), *_edits(), *_midi()]


def _mixing() -> list[Row]:
    bank = Bank()
    render = timed(lambda: bank.fill(TUNE))
    placing = timed(lambda: place(TUNE), 5)
    message = pack_timeline(TUNE)
    wire = timed(lambda: unpack_timeline(*pack_timeline(TUNE)), 5)
    mixer = Mixer(bank, TUNE)
    mixer.play()
    costs, voices = [], []
    while not mixer.silent:
        costs.append(timed(lambda: mixer.read(PERIOD)))
        voices.append(mixer.voice_count)
    hour = _hour(bank)
    return [
        (f"bank: {len(bank)} notes for {len(TUNE.events)} events", render, "ms", "budget", 1000.0),
        ("bank: memory", bank.size / 2**20, "MB", "budget", 64.0),
        ("placing a 32-bar timeline", placing, "ms", "budget", 20.0),
        (f"timeline to the player and back ({len(message[1]) // 1024} kB)", wire, "ms", "budget", 20.0),
        (
            f"mixer: a 20 ms period, mean of {statistics.mean(voices):.0f} voices",
            statistics.mean(costs),
            "ms",
            "budget",
            5.0,
        ),
        (f"mixer: 99th percentile, up to {max(voices)} voices", float(np.percentile(costs, 99)), "ms", "budget", 5.0),
        ("mixer: an hour of looping, time", hour[0], "s", "an hour", 3600.0),
        ("mixer: an hour of looping, drift", hour[1], "frames", "one frame", 1.0),
        ("mixer: an hour of looping, growth of memory", hour[2], "MB", "budget", 1.0),
    ]


def demo() -> Chart:
    """A demo chart of 32 bars with a take."""
    return load_chart(DEMO)[0]


def _demo() -> list[Row]:
    """A real tune: its notes rendered, and its form placed anew after an edit."""
    chart = demo()
    tune, bank = arrange(chart, chart.takes[0].name), Bank()
    notes = timed(lambda: bank.fill(tune))
    edits = [edited_chart(chart, bar) for bar in range(16)]
    anew = [timed(lambda one=one: place(arrange(one, one.takes[0].name))) for one in edits]
    return [
        (f"bank of a demo tune: {len(bank)} notes", notes, "ms", "limit", 1000.0),
        ("whole form arranged and placed anew after an edit, median", statistics.median(anew), "ms", "limit", 60.0),
        ("whole form arranged and placed anew after an edit, worst of 16", max(anew), "ms", "limit", 60.0),
    ]


def edited_chart(chart: Chart, bar: int) -> Chart:
    """The chart with a chord of its take typed over."""
    bars, take = chart.form.bars, chart.takes[0]
    text = ("Gb7", "Am7b5", "Dbmaj7", "B7")[bar % 4]
    slot = Slot(bars[bar].start, bars[bar].length, parse_symbol(text))
    row = splice(take.row, bars[bar].start, bars[bar].end, (slot,))
    return dataclasses.replace(chart, takes=(dataclasses.replace(take, row=row), *chart.takes[1:]))


def _hour(bank: Bank) -> tuple[float, float, float]:
    """Seconds for an hour of a one-bar loop, how far a pass begins from where it should, and MB grown after a minute."""
    tune = band(1, 137.3)
    bank.fill(tune)
    mixer = Mixer(bank, tune)
    mixer.changes = []
    mixer.set_loop((0.0, 4.0))
    mixer.play()
    exact, worst, passes = 4 * 60 / 137.3 * SAMPLE_RATE, 0.0, 0
    start, process, early = time.perf_counter(), psutil.Process(), 0
    while mixer.clock < 3600 * SAMPLE_RATE:
        mixer.read(SAMPLE_RATE)
        early = early or (process.memory_info().rss if mixer.clock >= 60 * SAMPLE_RATE else 0)
        for change in mixer.changes:
            if change.on and change.part == "bass" and change.pitch == 36:
                worst = max(worst, abs(change.frame - passes * exact))
                passes += 1
        mixer.changes.clear()
    return time.perf_counter() - start, worst, (process.memory_info().rss - early) / 2**20


def _accuracy() -> list[Row]:
    """Where clicks stand in the mixed sound, against where the timeline has them."""
    places = [0.0, *(k * 0.6187 + k * k * 0.0013 for k in range(1, 60))]
    events = tuple(NoteEvent("drums", "both", place, 0.1, 37, 127) for place in places)
    tune = Timeline(173.7, 64.0, events=events)
    mixer = Mixer(Clicks(), tune)
    mixer.play()
    sound = np.concatenate([mixer.read(PERIOD) for _ in range(int(tune.seconds_at(64.0) * SAMPLE_RATE) // PERIOD)])
    found = (np.flatnonzero(np.abs(sound[:, 0]) > 1e-4) - LOOK_AHEAD) / SAMPLE_RATE
    worst = max(abs(a - tune.seconds_at(b)) for a, b in zip(found, places, strict=True))
    return [("onset error in the mix, worst of 60", 1000 * worst, "ms", "noticed from", 6.0)]


def _edited(number: int) -> Timeline:
    """The tune with other piano chords that are in the bank already: a chord exchanged."""
    swap = {60: 62, 62: 60, 64: 65, 65: 64}
    events = tuple(
        dataclasses.replace(event, pitch=swap.get(event.pitch, event.pitch))
        if event.part == "piano" and number % 2
        else event
        for event in TUNE.events
    )
    return dataclasses.replace(TUNE, events=tuple(sorted(events, key=lambda event: event.onset)))


def _cold() -> Row:
    """The player is up, as it is when the window has been open for a moment, and not one note is rendered."""
    events = Events()
    client = PlayerClient(events, device="null", buffer_ms=BUFFER_MS)
    events.wait("ready", seconds=20)
    time.sleep(0.3)
    client.load(TUNE)
    client.play()
    events.wait("playing", seconds=20)
    taken = stats(client, events)["latencies_ms"]["play"]
    client.close()
    return ("play to sound, cold: player up, nothing rendered", taken, "ms", "wanted at most", 250.0)


def _playing() -> list[Row]:
    events = Events()
    begun = time.perf_counter()
    client = PlayerClient(events, device="null", buffer_ms=BUFFER_MS)
    client.load(TUNE)
    client.play()
    events.wait("playing", seconds=20)
    cold = time.perf_counter() - begun
    started = stats(client, events)["latencies_ms"]["play"]
    until(
        lambda: (events.last("preparing") or {"done": 0, "total": 1})["done"] == events.last("preparing")["total"], 20
    )
    for number in (1, 2):
        client.load(_edited(number))
        time.sleep(0.5)
    client.ask_stats(reset=True)
    measured: dict[str, list[float]] = {"play": [], "edit": [], "side": [], "stop": []}
    for number in range(20):
        _one_round(client, events, number, measured)
    end = stats(client, events)
    memory = psutil.Process(client.pid).memory_info().rss / 2**20
    client.close()
    rows: list[Row] = [
        ("start of the process to sound, nothing rendered", 1000 * cold, "ms", "budget", 1500.0),
        ("play to sound, asked while the process starts", started, "ms", "budget", 1500.0),
    ]
    names = {"play": "play to sound, warm", "edit": "edited timeline to sound", "side": "switch of sides to sound"}
    for name, title in names.items():
        limit = ("a period", float(BUFFER_MS)) if name == "side" else ("a period and 10 ms", BUFFER_MS + 10.0)
        rows.append((f"{title}, median", statistics.median(measured[name]), "ms", *limit))
        rows.append((f"{title}, worst of 20", max(measured[name]), "ms", *limit))
    return [
        *rows,
        ("late periods while editing and switching", float(end["late"]), f"of {end['blocks']}", "none", 0.0),
        ("longest block of the mixer in the player", end["longest_ms"], "ms", "a period", float(BUFFER_MS)),
        ("memory of the player after playing", memory, "MB", "budget", 150.0),
    ]


def _one_round(client: PlayerClient, events: Events, number: int, measured: dict[str, list[float]]) -> None:
    """Play, edit, switch and stop, each at another phase of the period."""
    client.play(4.0 * (number % 8))
    time.sleep(0.1 + 0.0013 * number)
    client.load(_edited(number))
    time.sleep(0.1)
    client.set_side("take" if number % 2 else "standard")
    time.sleep(0.06)
    found = stats(client, events)["latencies_ms"]
    client.stop()
    time.sleep(0.06)
    for name in ("play", "edit", "side"):
        measured[name].append(found[name])


def _edits() -> list[Row]:
    """From the edit of a chord in this process to the block that sounds it, the device's own latency not counted."""
    chart, events = demo(), Events()
    arrange(chart, chart.takes[0].name)
    client = PlayerClient(events, device="null", buffer_ms=BUFFER_MS)
    client.load(arrange(chart, chart.takes[0].name))
    client.play(0.0, side="take")
    until(lambda: (last := events.last("preparing")) and last["done"] == last["total"], 30)
    taken = []
    for number in range(12):
        time.sleep(0.15 + 0.0017 * number)
        start = time.perf_counter()
        tune = arrange(edited := edited_chart(chart, number), edited.takes[0].name)
        asked = time.perf_counter()
        client.load(tune)
        time.sleep(0.3)
        taken.append(1000 * (asked - start) + stats(client, events)["latencies_ms"]["edit"])
    client.close()
    return [
        ("edited chord to sound, arranged here, median", statistics.median(taken), "ms", "limit", 60.0),
        ("edited chord to sound, arranged here, worst of 12", max(taken), "ms", "limit", 60.0),
    ]


def stats(client: PlayerClient, events: Events) -> dict:
    count = len(events.of("stats"))
    client.ask_stats()
    return events.wait("stats", count + 1)


def _midi() -> list[Row]:
    """How late notes reach a sink: beside nothing, and beside two threads that work in Python (not in the player)."""
    rows: list[Row] = []
    for busy in (0, 2):
        late = np.array(_lateness(busy)) * 1000
        title = "MIDI note late at the sink, 99th percentile" + (", beside 2 busy threads" if busy else "")
        rows.append((title, float(np.percentile(late, 99)), "ms", "noticed from", 6.0))
    return rows


def _lateness(busy: int) -> list[float]:
    stop = threading.Event()
    late: list[float] = []

    class Sink:
        name = "bench"

        def send(self, message: bytes) -> None:
            if message[0] & 0xF0 == 0x90:
                late.append(time.perf_counter() - due[len(late)])

        def close(self) -> None:
            pass

    def work() -> None:
        while not stop.is_set():
            sum(range(1000))

    threads = [threading.Thread(target=work, daemon=True) for _ in range(busy)]
    for thread in threads:
        thread.start()
    sender = MidiSender(lambda _sentence: None)
    sender.open(Sink())
    sender.wait()
    start = time.perf_counter() + 0.05
    due = [start + 0.01 * k for k in range(200)]
    sender.schedule([(at, True, "piano", 60, 80) for at in due])
    until(lambda: len(late) == len(due))
    stop.set()
    sender.close()
    return late


if __name__ == "__main__":
    for name, value, unit, reference, bound in run():
        print(f"{name:<58} {value:>10.3f} {unit:<10} {reference} {'' if bound is None else f'{bound:g}'}")
