"""The band: two rows over one form as one timeline, so that switching sides changes nothing but the harmony.

Drums and tune are shared; piano and bass play each row with the same rhythm, density, register and seed. A take with
a form of its own cannot share a clock with the standard: it is arranged alone and sounds on both sides.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from core.arrange import bass, comping, drums, tune
from core.arrange.comping import CompAttack
from core.arrange.count_in import count_in
from core.arrange.grid import TICKS, GridBar, TickRow, grid_of
from core.arrange.settings import BANDS, PLAYERS, Settings, SettingsError
from core.chart import Chart, Melody
from core.feel import FEEL_NAMES, Feel, choose_feel
from core.form import Form
from core.row import ZERO, Row
from core.swing import swing_of
from core.timeline import MAX_BPM, MIN_BPM, PARTS, Marker, MarkerKind, NoteEvent, Side, Timeline, sort_events
from core.voicing import VOICING_STYLES

__all__ = ["BANDS", "FEEL_NAMES", "PLAYERS", "VOICING_STYLES", "Feel", "Settings", "SettingsError", "arrange",
           "arrange_rows", "audition", "choose_feel", "count_in"]  # fmt: skip

RESTRIKE = 0.25
"""Quarter notes that must be left of a note for an excerpt to strike it again at its start."""
DEFAULT = Settings()
ON_DRUM_CHANNEL = tuple(name for name, part in PARTS.items() if part.is_drums)
"""They share a channel, so they have to share its kit."""


def arrange(
    chart: Chart, take_name: str | None, *, reference: str | None = None, settings: Settings = DEFAULT
) -> Timeline:  # fmt: skip
    """The chart's standard row against a take, or alone with ``take_name`` None; both sides in one timeline.

    ``reference`` names another reference row. A take with a form of its own sounds alone on both sides. Raises
    :class:`core.chart.ChartError` for an unknown name.
    """
    standard = chart.standard if reference is None else chart.reference_named(reference).row
    if take_name is None:
        return arrange_rows(chart, standard, None, settings=settings)
    take = chart.take_named(take_name)
    if settings.seed is None:
        settings = replace(settings, seed=take.seed)
    if take.form is not None:
        return arrange_rows(chart, None, take.row, form=take.form, melody=chart.melody_of(take), settings=settings)
    return arrange_rows(chart, standard, take.row, take_melody=take.melody, settings=settings)


def arrange_rows(
    chart: Chart, standard_row: Row | None, take_row: Row | None, *, form: Form | None = None,
    melody: Melody | None = None, take_melody: Melody | None = None, settings: Settings = DEFAULT
) -> Timeline:  # fmt: skip
    """Two rows over one form; with one of them None the other sounds on both sides.

    ``form`` and ``melody`` are the chart's unless given; ``take_melody`` is the take's own where it differs. The tempo
    is held to what a timeline can play. Pure and deterministic: same arguments, same timeline.
    """
    form = chart.form if form is None else form
    melody = chart.melody if melody is None else melody
    bpm = float(min(max(chart.tempo if settings.bpm is None else settings.bpm, MIN_BPM), MAX_BPM))
    meter = form.written[form.order[1 if form.pickup and len(form.order) > 1 else 0]].meter
    feel = choose_feel(chart.feel if settings.feel is None else settings.feel, meter, chart.tempo)
    band = _Band(grid_of(form), feel, bpm, chart.tempo, 1 if settings.seed is None else settings.seed, settings)
    sides = _sides(standard_row, take_row)
    comp = band.comp(sides, melody)
    events = [*band.drums(comp), *band.tunes(melody, take_melody), *band.harmony(sides, comp, melody, take_melody)]
    pickup = band.grid[0].length if band.grid and band.grid[0].silent else 0
    clicks, lead_in = count_in(feel, meter, form.bars[0].length if pickup else ZERO)
    length = float(form.length)
    return Timeline(
        bpm=bpm, length=length, lead_in=lead_in, count_in=clicks,
        events=sort_events(event for event in events if event.onset < length),
        bars=tuple(float(bar.start) for bar in form.bars), meters=_meters(form),
        markers=_markers(form, standard_row, take_row), title=chart.title,
        programs=tuple((part, feel.kit) for part in ON_DRUM_CHANNEL) if feel.kit else (),
    )  # fmt: skip


def _sides(standard_row: Row | None, take_row: Row | None) -> list[tuple[Row, Side]]:
    if standard_row is None or take_row is None:
        alone = standard_row if take_row is None else take_row
        return [] if alone is None else [(alone, "both")]
    return [(standard_row, "standard"), (take_row, "take")]


class _Band:
    """The players of one performance, with the page moved to where they play.

    Swing goes by the tempo that is played (``bpm``), what is played by the tune's own: practised slowly it is the same.
    """

    def __init__(
        self, grid: tuple[GridBar, ...], feel: Feel, bpm: float, own_tempo: float, seed: int, settings: Settings
    ) -> None:  # fmt: skip
        self.grid, self._feel, self._bpm, self._own_tempo = grid, feel, bpm, own_tempo
        self._seed, self._settings = seed, settings

    def comp(self, sides: list[tuple[Row, Side]], melody: Melody) -> tuple[CompAttack, ...]:
        """The piano's rhythm; the drums know it where the piano is left out, too, so that they play the same."""
        if not self._settings.parts & {"piano", "drums"}:
            return ()
        return comping.rhythm(self.grid, self._feel, _changes(sides), melody, self._own_tempo, self._seed)

    def drums(self, comp: tuple[CompAttack, ...]) -> list[NoteEvent]:
        """The drums, which catch some of what the piano anticipates."""
        if "drums" not in self._settings.parts:
            return []
        pushes = tuple(attack.tick for attack in comp if attack.anticipates)
        return drums.play(self.grid, self._feel, swing_of("drums", self._bpm, self._feel.swing), self._seed, pushes)

    def tunes(self, melody: Melody, take_melody: Melody | None) -> tuple[NoteEvent, ...]:
        if "tune" not in self._settings.parts:
            return ()
        if take_melody is None or take_melody == melody:
            return self._tune(melody, "both")
        return self._tune(melody, "standard") + self._tune(take_melody, "take")

    def _tune(self, melody: Melody, side: Side) -> tuple[NoteEvent, ...]:
        swing = swing_of("tune", self._bpm, self._feel.swing)
        return tune.play(self._moved_melody(melody), self.grid, swing, side, self._seed, self._feel.loudness)

    def harmony(
        self, sides: list[tuple[Row, Side]], comp: tuple[CompAttack, ...], melody: Melody, take_melody: Melody | None
    ) -> list[NoteEvent]:  # fmt: skip
        """Piano and bass of every side over one common rhythm; the second side follows the first where they agree."""
        parts, feel, seed = self._settings.parts, self._feel, self._seed
        sides = [(self._moved_row(row), side) for row, side in sides]
        rows = [TickRow(row) for row, _ in sides]
        walk = bass.rhythm(self.grid, feel, _changes(sides), seed) if "bass" in parts else ()
        comp = comp if "piano" in parts else ()
        swing = swing_of("piano", self._bpm, feel.swing)
        heard = "tune" in parts
        events: list[NoteEvent] = []
        model: dict[float, tuple[int, ...]] = {}
        beside: bass.Beside | None = None
        for (row, side), ticks in zip(sides, rows, strict=True):
            own_tune = take_melody if side == "take" and take_melody is not None else melody
            voicings = comping.voice(comp, row, ticks, self._moved_melody(own_tune) if heard else (),
                                     self._settings.style, model)  # fmt: skip
            model = {attack.tick / TICKS: voicing.notes
                     for attack, voicing in zip(comp, voicings, strict=True) if voicing is not None}  # fmt: skip
            line = bass.play(walk, ticks, swing, side, seed, beside, feel.loudness)
            beside = (ticks, {note.onset: note.pitch for note in line})
            events += line + comping.play(comp, voicings, swing, side)
        return events

    def _moved_row(self, row: Row) -> Row:
        fifths, semitones = PLAYERS[self._settings.player]
        if not semitones:
            return row
        return tuple(replace(slot, chord=slot.chord and slot.chord.transposed(fifths)) for slot in row)

    def _moved_melody(self, melody: Melody) -> Melody:
        fifths, semitones = PLAYERS[self._settings.player]
        if not semitones:
            return melody
        return tuple(replace(note, pitch=note.pitch.transposed(fifths, semitones)) for note in melody)


def _changes(sides: list[tuple[Row, Side]]) -> tuple[int, ...]:
    """Ticks at which a chord of either row begins."""
    return tuple(sorted(set[int]().union(*(TickRow(row).changes() for row, _ in sides))))


def _meters(form: Form) -> tuple[tuple[float, int, int], ...]:
    meters: list[tuple[float, int, int]] = []
    for bar in form.bars:
        entry = (float(bar.start), bar.meter.numerator, bar.meter.denominator)
        if not meters or meters[-1][1:] != entry[1:]:
            meters.append(entry)
    return tuple(meters)


def _markers(form: Form, standard_row: Row | None, take_row: Row | None) -> tuple[Marker, ...]:
    sections = [
        Marker(float(form.bars[section.first].start), section.name) for section in form.sections if section.name
    ]
    kinds: tuple[tuple[Row | None, MarkerKind], ...] = ((standard_row, "chord_standard"), (take_row, "chord_take"))
    chords = [Marker(float(slot.onset), slot.text, kind) for row, kind in kinds for slot in row or ()]
    return tuple(sorted((*sections, *chords), key=lambda marker: marker.onset))


# --- excerpts -----------------------------------------------------------------------------------------------------


def audition(
    chart: Chart, standard_row: Row, take_row: Row, start: Fraction, end: Fraction, *, melody: Melody | None = None,
    form: Form | None = None, settings: Settings = DEFAULT
) -> Timeline:  # fmt: skip
    """The bars from ``start`` to ``end`` (quarter notes) of two complete rows, played just as within the whole.

    A proposal is heard in its context: ``take_row`` is the whole row with the proposal in place. Notes that ring
    across the start are struck there; what comes after the end is cut off.
    """
    whole = arrange_rows(chart, standard_row, take_row, form=form, melody=melody, settings=settings)
    return excerpt(whole, float(start), float(end))


def excerpt(timeline: Timeline, start: float, end: float) -> Timeline:
    """A stretch of a timeline in quarter notes, moved to zero; it sounds at once, without a count-in."""
    end = min(end, timeline.length)
    meter = [entry for entry in timeline.meters if entry[0] <= start][-1:]
    return replace(
        timeline,
        length=max(0.0, end - start),
        lead_in=0.0,
        count_in=(),
        events=sort_events(_cut(timeline.events, start, end)),
        bars=(0.0, *(bar - start for bar in timeline.bars if start < bar < end)),
        meters=(*((0.0, *entry[1:]) for entry in meter),
                *((entry[0] - start, *entry[1:]) for entry in timeline.meters if start < entry[0] < end)),
        markers=tuple(replace(marker, onset=max(0.0, marker.onset - start))
                      for marker in _markers_in(timeline, start, end)),
    )  # fmt: skip


def _cut(events: Iterable[NoteEvent], start: float, end: float) -> Iterable[NoteEvent]:
    for event in events:
        if event.onset >= end or event.end <= start:
            continue
        if event.onset >= start:
            yield replace(event, onset=event.onset - start, duration=min(event.duration, end - event.onset))
        elif event.part != "drums" and event.end - start >= RESTRIKE:
            yield replace(event, onset=0.0, duration=min(event.end, end) - start)


def _markers_in(timeline: Timeline, start: float, end: float) -> list[Marker]:
    """The markers of a stretch, and of each kind the one in force where it starts."""
    in_force: dict[str, Marker] = {marker.kind: marker for marker in timeline.markers if marker.onset <= start}
    return [*in_force.values(), *(marker for marker in timeline.markers if start < marker.onset < end)]
