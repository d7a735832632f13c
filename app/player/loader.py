"""Rendering beside playing: a thread that fills the bank note by note and lets a timeline in once it can be heard."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field

from app.player.engine import Command
from core.errors import ChangewrightError
from core.sound.bank import Bank, Note
from core.sound.mixer import Mixer
from core.sound.note_file import NoteKey
from core.sound.placement import Placement
from core.timeline import PARTS, Side, Timeline

DRAFT_SECONDS = 0.8
"""How much of a note is rendered while a command waits for it; the whole of it follows as soon as sound runs."""

Queue = Callable[[Command, str, float], None]
"""Takes a command for the mixer, its name, and when it was asked for."""


@dataclass(slots=True)
class _Job:
    """A timeline on its way in, and the commands that must come after it."""

    placement: Placement
    start: float
    count_in: bool = False
    complete: bool = False
    held: list[tuple[Command, str, float]] = field(default_factory=list)


class Loader:
    """Holds back the commands that depend on notes until the urgent ones are rendered, then renders the rest."""

    def __init__(
        self,
        bank: Bank | EmptyBank,
        queue: Queue,
        progress: Callable[[int, int], None],
        problem: Callable[[str], None],
        *,
        warm: bool = True,
    ) -> None:
        self._bank = bank
        self._problem = problem
        self._spoilt = False
        self._queue = queue
        self._progress = progress
        self._job: _Job | None = None
        self._coming: Placement | None = None
        self._side: Side = "standard"
        self._version = 0
        self._changed = threading.Condition()
        self._quit = False
        self._warms = warm
        self._thread = threading.Thread(target=self._run, name="loader", daemon=True)
        self._thread.start()

    def load(self, placement: Placement, position: float, asked: float, *, playing: bool) -> None:
        """Let a timeline in: at once when nothing plays, else when the notes from ``position`` on are there."""
        with self._changed:
            earlier, job = self._job, _Job(placement, position)
            self._job = job

            def swap(mixer: Mixer) -> None:
                mixer.set_timeline(placement)

            if earlier and earlier.held:
                job.start, job.count_in = earlier.start, earlier.count_in
                job.held = earlier.held
            if job.held or (playing and self._waiting(job)):
                job.held.append((swap, "edit", asked))
            else:
                self._queue(swap, "edit", asked)
            self._wake()

    def prepare(self, placement: Placement) -> None:
        """Render what a timeline needs that will be played later, after everything that is needed now."""
        with self._changed:
            self._coming = placement
            self._wake()

    def after_load(self, command: Command, name: str = "", asked: float = 0.0) -> None:
        """Queue a command behind a timeline that is still on its way."""
        with self._changed:
            if self._job and self._job.held:
                self._job.held.append((command, name, asked))
            else:
                self._queue(command, name, asked)

    def play(self, command: Command, start: float, *, count_in: bool, asked: float) -> None:
        """Queue a command that plays from ``start``, once the first bar from there can be heard."""
        with self._changed:
            if self._job is None:
                self._queue(command, "play", asked)
                return
            job = self._job
            job.start, job.count_in = start, count_in
            if job.held or self._waiting(job):
                job.held.append((command, "play", asked))
                self._wake()
            else:
                self._queue(command, "play", asked)

    def cancel_plays(self) -> bool:
        """Forget plays that have not begun. True if there was one."""
        with self._changed:
            if self._job is None:
                return False
            kept = [item for item in self._job.held if item[1] != "play"]
            found = len(kept) < len(self._job.held)
            self._job.held = kept
            return found

    def set_side(self, side: Side) -> None:
        """The side that is urgent."""
        with self._changed:
            self._side = side

    def close(self) -> None:
        """End the thread after the note it is rendering."""
        with self._changed:
            self._quit = True
            self._wake()
        self._thread.join(2.0)

    def _waiting(self, job: _Job) -> list[NoteKey]:
        """The notes that must be rendered before the job's commands may go on."""
        urgent = self._bank.urgent(job.placement.timeline, self._side, job.start, job.count_in)
        return [key for key in urgent if self._bank.get(key) is None]

    def _wake(self) -> None:
        self._version += 1
        self._changed.notify()

    def _warm(self) -> None:
        """While nothing is asked for, measure the programs that a band is made of."""
        if not self._warms:
            return
        for program in {part.program for part in PARTS.values() if not part.is_drums}:
            if self._version or self._quit:
                return
            with suppress(ChangewrightError):  # a damaged font is said when a note is wanted of it
                self._bank.warm(program)

    def _run(self) -> None:
        self._warm()
        seen = 0
        while True:
            with self._changed:
                while self._version == seen and not self._quit:
                    self._changed.wait()
                if self._quit:
                    return
                seen, job, side = self._version, self._job, self._side
            if job:
                self._render(job, side, seen)
            if self._coming and self._version == seen:
                self._render_coming(self._coming, seen)

    def _render(self, job: _Job, side: Side, version: int) -> None:
        """Render what is missing, the urgent first; leaves as soon as something newer is asked for."""
        timeline = job.placement.timeline
        waiting = self._waiting(job)
        for key in waiting:
            self._render_note(key, DRAFT_SECONDS)
            if self._version != version:
                return
        self._release(job)
        other = self._bank.urgent(timeline, "take" if side == "standard" else "standard", job.start)
        todo = self._bank.missing(timeline, (*waiting, *other))
        for done, (key, seconds) in enumerate(todo.items()):
            self._progress(done, len(todo))
            self._render_note(key, seconds)
            if self._version != version:
                return
        job.complete = True
        self._progress(len(todo), len(todo))

    def _render_coming(self, placement: Placement, version: int) -> None:
        for key, seconds in self._bank.missing(placement.timeline).items():
            self._render_note(key, seconds)
            if self._version != version:
                return
        self._coming = None

    def _render_note(self, key: NoteKey, seconds: float) -> None:
        """Render a note; a font that is damaged inside is said once and leaves silence."""
        if self._spoilt:
            return
        try:
            self._bank.render(key, seconds)
        except ChangewrightError as error:
            self._spoilt = True
            self._problem(str(error))

    def _release(self, job: _Job) -> None:
        with self._changed:
            held, job.held = job.held, []
            for item in held:
                self._queue(*item)


class EmptyBank:
    """Stands in where there is no SoundFont: nothing sounds, MIDI ports and the playhead work."""

    layers: tuple[int, ...] = (127,)
    size = 0

    def warm(self, program: int) -> None:
        """Nothing to measure."""

    def __len__(self) -> int:
        return 0

    def get(self, key: NoteKey) -> Note | None:
        """No note is ever at hand."""
        return None

    def urgent(self, timeline: Timeline, side: Side, start: float, count_in: bool = False) -> list[NoteKey]:
        """Nothing is waited for."""
        return []

    def missing(self, timeline: Timeline, first: Iterable[NoteKey] = ()) -> dict[NoteKey, float]:
        """Nothing is rendered."""
        return {}

    def render(self, key: NoteKey, seconds: float) -> Note:
        """Never asked for, since nothing is missing."""
        raise LookupError(key)
