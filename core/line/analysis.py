"""A line read as a whole: every note against a row, and everything it does."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace

from core.chart import STANDARD, Chart
from core.key import Key
from core.line.approaches import anticipations, delays, double_chromatics, enclosures, guide_tones
from core.line.degrees import is_chord_tone
from core.line.motifs import motifs
from core.line.reading import Heard, heard_over, kinds_of, respelled
from core.line.scene import Feature, Scene, scene_of
from core.line.shapes import arpeggios, cells, outside, phrases, scale_runs, wide_leaps
from core.line.solo import Choruses, Place, Solo, fit_notes, over_form
from core.meter import Meter
from core.row import Row


@dataclass(frozen=True, slots=True)
class LineReading:
    """A line over a row: its notes with chords and degrees, the kind of each, the features in order, what to know."""

    solo: Solo
    row_name: str
    choruses: Choruses
    scene: Scene
    kinds: tuple[str, ...]
    features: tuple[Feature, ...]
    notes: tuple[str, ...]

    @property
    def heard(self) -> tuple[Heard, ...]:
        """The notes over their chords."""
        return self.scene.heard

    def place(self, index: int) -> Place:
        """Where a note stands in the form."""
        return self.choruses.place(self.heard[index].note.onset)

    def of(self, feature: str) -> tuple[Feature, ...]:
        """All features with an id."""
        return tuple(found for found in self.features if found.id == feature)


def read_line(solo: Solo, chart: Chart, row_name: str = STANDARD, at_bar: int | None = None) -> LineReading:
    """Read a line against a named row of a chart, its first full bar on ``at_bar`` (the first one where None).

    Raises :class:`core.line.solo.LineError` and :class:`core.chart.ChartError`.
    """
    take = next((take for take in chart.takes if take.name == row_name), None)
    form, key = chart.form_of(take), chart.key_of(take)
    choruses = over_form(solo, form, at_bar)
    return _read(solo, row_name, choruses, chart.row_named(row_name), key, chart.meter,
                 fit_notes(solo, chart, choruses))  # fmt: skip


def _read(solo: Solo, name: str, choruses: Choruses, row: Row, key: Key, meter: Meter,
          told: tuple[str, ...]) -> LineReading:  # fmt: skip
    spans = choruses.spans(row, solo.notes[0].onset, solo.notes[-1].end)
    heard = heard_over(solo.notes, spans, key)
    if not solo.spelled:
        solo = replace(solo, notes=tuple(map(respelled, heard)))
        heard = heard_over(solo.notes, spans, key)
    scene = scene_of(heard, spans, meter, choruses.origin)
    runs = tuple(scale_runs(scene))
    leading = (*enclosures(scene), *double_chromatics(scene))
    approaching = frozenset(at for shape in leading for at in range(shape.first, shape.last) if not heard[at].fits)
    kinds = kinds_of(heard, approaching)
    features = (*phrases(scene), *guide_tones(scene), *leading, *anticipations(scene), *delays(scene),
                *arpeggios(scene), *runs, *cells(scene, runs), *wide_leaps(scene), *motifs(scene),
                *outside(scene, kinds))  # fmt: skip
    ordered = tuple(sorted(features, key=lambda found: (found.first, -found.last, found.id)))
    return LineReading(solo, name, choruses, scene, kinds, ordered, (*solo.report, *told))


def chord_tones_from(solo: Solo, chart: Chart, row_name: str, at_bar: int) -> int:
    """Hundredths of the notes that are chord tones with the line laid from a bar of the form; all notes, no shapes."""
    take = next((take for take in chart.takes if take.name == row_name), None)
    choruses = over_form(solo, chart.form_of(take), at_bar)
    spans = choruses.spans(chart.row_named(row_name), solo.notes[0].onset, solo.notes[-1].end)
    starts = [float(span.start) for span in spans]
    hits = 0
    for note in solo.notes:
        chord = spans[max(0, bisect_right(starts, float(note.onset)) - 1)].chord
        hits += chord is not None and is_chord_tone(chord, note.pitch.midi % 12)
    return round(100 * hits / len(solo.notes))
