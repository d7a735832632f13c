"""Write demo_charts/: three tunes of ours, each with a take made by taking proposals bar by bar.

Run ``python -m tests.tools.make_demo_charts`` after a change of the catalogue; the takes keep their steps.
"""

from __future__ import annotations

from pathlib import Path

from core.assignment import parse_assignment
from core.bar_text import chart_from_bar_text
from core.chart import Chart
from core.chart_json import chart_to_json
from core.class_edit import add_assignment, add_step, set_bar_note, set_taught
from core.class_notes import PreparedStep
from core.edit import add_take
from core.files import write_text_atomic
from core.propose import propose, take_proposal

FOLDER = Path(__file__).parents[2] / "demo_charts"
NOTE = "Written for the Thursday evening class of the harbour music school."

HARBOUR_LAMPS = """title: Harbour Lamps
composer: Thursday evening class
key: Eb major
meter: 4/4
tempo: 132
feel: medium swing

[A]
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
m: z2 G2 B2 c2 | B8 | A2 c4 B2 | d4 B4 |
| Ebmaj7 | C7 | Fm7 | Bb7 |
m: G6 F2 | B4 =E4 | A6 B2 | F4 B4 |
[A]
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
m: z2 G2 B2 c2 | B8 | A2 c4 B2 | d4 B4 |
| Gm7b5 | C7 | Fm7 Bb7 | Eb6 |
m: B4 c4 | B4 =E4 | G2 F2 A4 | G8 |
[B]
| Bbm7 | Eb7 | Abmaj7 | Abmaj7 |
m: _d4 B2 c2 | _d4 G4 | c6 B2 | c4 G4 |
| Am7b5 | D7 | Gm7 C7 | Fm7 Bb7 |
m: c4 d4 | ^F4 c4 | B2 d2 =E2 G2 | A4 B4 |
[A]
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
m: z2 G2 B2 c2 | B8 | A2 c4 B2 | d4 B4 |
| Gm7b5 | C7 | Fm7 Bb7 | Eb6 |
m: B4 c4 | B4 =E4 | A2 G2 F2 D2 | E8 |
"""

LOW_WATER_BLUES = """title: Low Water Blues
composer: Thursday evening class
key: C minor
meter: 4/4
tempo: 108
feel: medium swing

[Chorus]
| Cm7 | Dm7b5 G7 | Cm7 | C7 |
m: G2 E2 C4 | F4 D2 =B,2 | G2 E2 C4 | B8 |
| Fm7 | Fm7 | Cm7 | Cm7 |
m: A2 F2 C4 | A4 G4 | G2 E2 C4 | z4 G2 c2 |
| Dm7b5 | G7 | Cm7 | Dm7b5 G7 |
m: d4 c4 | F4 =B4 | c6 G2 | C4 D4 |
"""

FERRY_STEPS = """title: Ferry Steps
composer: Thursday evening class
key: F major
meter: 3/4
tempo: 150
feel: jazz waltz

[A]
|: Fmaj7 | D7 | Gm7 | C7 |
m: A4 c2 | c4 ^F2 | B4 A2 | B4 c2 |
| Fmaj7 | Dm7 | 1. Gm7 | 1. C7 :|
m: c4 G2 | A4 F2 | B4 d2 | c4 B2 |
| 2. Gm7 / C7 | 2. F6 |
m: B2 d2 E2 | F6 |
[B]
| Cm7 | F7 | Bbmaj7 | D7 |
m: G4 _e2 | _e4 A2 | d4 F2 | c4 ^F2 |
| Gm7 | C7 | F6 | F6 |
m: B4 G2 | B4 G2 | F6 | A4 c2 |
"""

# Tune, name of the take, and (played bar, technique, title or "" for any) in the order they are taken.
TAKES = (
    (HARBOUR_LAMPS, "Second evening", (
        (2, "chromatic_approach_dominant", ""), (4, "related_ii_of_substitute", "Tritone substitution with its ii"),
        (6, "two_five_interpolation", ""), (7, "backdoor", "Backdoor ii–V"),
        (13, "minor_eleventh_for_half_diminished", ""), (14, "tritone_substitution", ""),
        (15, "flat_two_major_seventh", ""), (18, "tritone_substitution", ""),
        (20, "chromatic_approach_dominant", "Chromatic approach from above"),
        (21, "minor_eleventh_for_half_diminished", ""), (22, "tritone_substitution", ""),
        (24, "slash_chord_eleventh", "Slash-chord eleventh"),
        (29, "minor_eleventh_for_half_diminished", ""), (30, "related_ii_of_substitute", ""))),
    (LOW_WATER_BLUES, "Storm door", (
        (4, "tritone_substitution", ""), (6, "chromatic_approach_dominant", "Chromatic approach from above"),
        (8, "chromatic_approach_dominant", "Chromatic approach from above"),
        (9, "minor_eleventh_for_half_diminished", ""), (10, "tritone_substitution", ""),
        (12, "slash_chord_eleventh", "Slash-chord eleventh"))),
    (FERRY_STEPS, "Second ferry", (
        (2, "tritone_substitution", ""), (4, "tritone_substitution", ""), (8, "slash_chord_eleventh", "Slash-chord eleventh"),
        (10, "tritone_substitution", ""), (18, "tritone_substitution", ""), (20, "two_five_interpolation", ""),
        (22, "backdoor", "Backdoor"))),
)  # fmt: skip


LESSON = (
    PreparedStep("The tune over its own changes; sing the bass", 0, 7, "standard"),
    PreparedStep("Bar 4: a tritone away, with its own ii before it", 3, 3),
    PreparedStep("Bars 7 and 8: home by the backdoor", 6, 7),
    PreparedStep("Bars 13 to 15: three tritones in a row, the bass walks home", 12, 14),
)
"""The Thursday lesson on the first tune."""
HOMEWORK = "two tritone substitutions, keep bars 31-32, no clashes"


def with_lesson(chart: Chart) -> Chart:
    """The first tune as the class gets it."""
    for step in LESSON:
        chart = add_step(chart, step)
    for technique in ("tritone_substitution", "related_ii_of_substitute", "backdoor"):
        chart = set_taught(chart, technique, True)
    chart = set_bar_note(chart, 6, "The dominant a whole step under home: listen to its third")
    return add_assignment(chart, parse_assignment(HOMEWORK, chart.form))


def build(text: str, take: str, plan: tuple[tuple[int, str, str], ...]) -> Chart:
    """The tune with its take; a planned technique that is not proposed there is an error."""
    chart = add_take(chart_from_bar_text(text), take)
    for number, technique, title in plan:
        bar = chart.form.bar_numbered(number)
        found = propose(chart, take, bar.start, bar.end)
        chosen = next((p for p in found.proposals if p.technique == technique and title in ("", p.title)), None)
        if chosen is None:
            refused = [(r.title, r.why) for r in found.refused if r.technique == technique]
            raise SystemExit(f"{chart.title}, bar {number}: {technique} is not proposed; {refused}")
        chart = take_proposal(chart, take, chosen)
    return chart


def main() -> None:
    """Write the three files."""
    FOLDER.mkdir(exist_ok=True)
    for text, take, plan in TAKES:
        chart = build(text, take, plan)
        chart = with_lesson(chart) if text == HARBOUR_LAMPS else chart
        name = chart.title.lower().replace(" ", "_") + ".changes.json"
        write_text_atomic(FOLDER / name, chart_to_json(chart))
        print(FOLDER / name)


if __name__ == "__main__":
    main()
