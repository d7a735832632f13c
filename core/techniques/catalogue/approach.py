"""Approaches: chords that slide or climb into the next one."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    COKER_BLUES,
    COMMON,
    LYDIAN_DOMINANT,
    MINOR_PLAIN,
    STEEDMAN,
    TEREFENKO,
)
from core.techniques.conditions import (
    first_in_major_tonic,
    goal_is_new,
    in_major,
    leads_to_a_ii,
    planes_into,
)
from core.techniques.technique import Example, Part, Rule, Technique

TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="chromatic_approach_dominant",
        title="Chromatic approach",
        seam="approach",
        family="approach",
        rule_text="The last beats before a chord go to the dominant a half step above it, or to its own quality a half "
        "step below.",
        melody_text="The approach chord carries the melody of its beats or is refused; the chord it leads to does not "
        "move.",
        rules=(
            Rule(("any",), (None,), (Part(-5, LYDIAN_DOMINANT, of="following"),), min_beats=2, condition=goal_is_new,
                 tail_beats=2, title="Chromatic approach from above"),
            Rule(("any",), (None,), (Part(5, (), of="following"),), following="stable", min_beats=2,
                 condition=planes_into, tail_beats=2, title="Chromatic approach from below", boldness=10),
        ),
        reasons=("aims_at", "chromatic_into", "bass_into_target"),
        references=(STEEDMAN, COKER_BLUES, COMMON),
        examples=(
            Example("C major", "Cmaj7 | Dm7 | G7 | Cmaj7", "Cmaj7 | Dm7 Ab7 | G7 | Cmaj7", 2),
            Example("C major", "Cmaj7 | Fmaj7 | Cmaj7 | Cmaj7", "Cmaj7 Emaj7 | Fmaj7 | Cmaj7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Ab7 | G7 | Cmaj7", "", 2),
            Example("C major", "Cmaj7 | Dm7 | G7 | Cmaj7", "", 2, "z8 | z4 G4 | z8 | z8"),
        ),
        boldness=32,
        cost=10,
    ),
    Technique(
        id="chromatic_minor_descent",
        title="Chromatic minor descent",
        seam="minor 7ths down",
        family="approach",
        rule_text="Between minor sevenths a whole step apart the minor seventh on the half step between them passes, "
        "or stands in for the dominant of the second.",
        melody_text="Over the passing chord its major third, flat fifth, flat sixth and flat ninth forbid it; the "
        "tonic of the key over ♭iii is its thirteenth.",
        rules=(
            Rule(("ii", "any"), (5, 5), (Part(kept=0), Part(-6, ("m7", "m9", "m13"))), following="minor"),
            Rule(("minor",), (10,), (Part(kept=0), Part(-7, ("m7", "m9", "m13"))), following="minor", min_beats=2),
            Rule(("major",), (2,), (Part(4, ("m7",)), Part(-3, ("m7", "m9", "m13"))), following="minor", min_beats=4,
                 boldness=8, cost=3, title="iii and ♭iii into ii"),
        ),
        reasons=("chromatic_into", "constant_kind", "bass_line"),
        references=(COKER_BLUES,),
        examples=(
            Example("C major", "Em7 | A7 | Dm7 | G7", "Em7 | Ebm7 | Dm7 | G7", 1),
            Example("C major", "Em7 | Dm7 | G7 | Cmaj7", "Em7 Ebm7 | Dm7 | G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Em7 | Fmaj7 | G7 | Cmaj7", "", 1),
            Example("C major", "Em7 | A7 | Dm7 | G7", "", 1, "z8 | E8 | z8 | z8"),
        ),
        boldness=35,
        cost=12,
    ),
    Technique(
        id="minor_seventh_climb",
        title="Climb in minor sevenths",
        seam="climb ii, iii",
        family="approach",
        rule_text="A major tonic that stays, or leads to iii, climbs by the minor sevenths on ii and iii, with or "
        "without the diminished sevenths between.",
        melody_text="Over ii the third of the key is its ninth and the leading tone clashes; over iii the tonic and "
        "the fourth of the key want care or clash.",
        rules=(
            Rule(("major",), (None,), (Part(kept=0), Part(2, MINOR_PLAIN), Part(4, ("m7", "m11"), 2)), min_bars=2,
                 tail_bars=2, condition=in_major(0)),
            Rule(("major",), (None,), (Part(kept=0), Part(2, MINOR_PLAIN), Part(4, ("m7", "m11"))), min_bars=3,
                 tail_bars=3, condition=in_major(0), title="Climb, a bar each"),
            Rule(("major",), (4,), (Part(kept=0, weight=2), Part(2, MINOR_PLAIN), Part(9, ("dim7",))),
                 following="minor", min_bars=2, tail_bars=2, condition=in_major(0),
                 title="Climb with a passing diminished"),
            Rule(("major", "dominant"), (7, 9), (Part(2, MINOR_PLAIN, of="first"), Part(9, ("dim7",), of="first")),
                 following="minor", condition=first_in_major_tonic, title="ii and ♯II diminished into iii"),
            Rule(("dominant",), (9,), (Part(1, MINOR_PLAIN), Part(8, ("dim7",))), following="minor",
                 condition=in_major(7), title="ii and ♯II diminished for V"),
            Rule(("minor", "dominant"), (5, 9), (Part(kept=0), Part(8, ("dim7",))), following="minor",
                 title="♯II diminished into iii"),
        ),
        reasons=("bass_line", "rootless_flat_nine", "common_tones"),
        references=(STEEDMAN, COKER_BLUES),
        examples=(
            Example("C major", "Cmaj7 | Cmaj7 | Em7 | A7", "Cmaj7 | Dm7 D#o7 | Em7 | A7", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7 | G7", "Cmaj7 Dm7 | Em7 | Fmaj7 | G7", 1),
        ),
        counterexamples=(
            Example("C major", "Fmaj7 | Fmaj7 | Cmaj7 | Cmaj7", "", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7 | G7", "", 1, "z8 | F8 | z8 | z8"),
        ),
        boldness=22,
        cost=10,
    ),
    Technique(
        id="descending_two_fives",
        title="Descending ii–V chain",
        seam="ii–V a half step above",
        family="approach",
        rule_text="Before a ii–V the same ii–V a half step above takes the last bar of the chord that stands there.",
        melody_text="Both new chords are outside the key: chromatic tunes, rests and common tones only.",
        rules=(
            Rule(("any",), (None,), (Part(-5, MINOR_PLAIN, of="following"), Part(-6, LYDIAN_DOMINANT, of="following")),
                 following="minor seventh", condition=leads_to_a_ii, min_bars=2, tail_bars=1),
            Rule(("any",), (None,), (Part(-5, MINOR_PLAIN, of="following"), Part(-6, LYDIAN_DOMINANT, of="following")),
                 following="minor seventh", condition=leads_to_a_ii, min_beats=4, boldness=8, cost=2,
                 title="Descending ii–V all through"),
            Rule(("ii", "dominant seventh"), (5, 5),
                 (Part(-5, MINOR_PLAIN, of="following"), Part(-6, LYDIAN_DOMINANT, of="following")),
                 following="minor seventh", boldness=4),
        ),
        reasons=("ii_of", "ii_slides", "bass_line"),
        references=(COKER_BLUES, TEREFENKO + ", Fig. 19.4"),
        examples=(
            Example("C major", "Em7 A7 | Em7 A7 | Dm7 | G7", "Em7 A7 | Ebm7 Ab7 | Dm7 | G7", 2),
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "Cmaj7 | Ebm7 Ab7 | Dm7 | G7", 2),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7 | G7", "", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "", 1, "z8 | G8 | z8 | z8"),
        ),
        boldness=45,
        cost=13,
    ),
    Technique(
        id="side_step",
        title="Side-step",
        seam="side-step",
        family="approach",
        rule_text="A chord that stays moves a half step up or down, every voice with it, on an unaccented place, and "
        "comes back.",
        melody_text="The tune must rest there, pass quickly, or hold a tone of both chords.",
        rules=(
            Rule(("root position",), (None,), (Part(kept=0, weight=2), Part(-5, ()), Part(kept=0)), min_beats=4),
            Rule(("root position",), (None,), (Part(kept=0, weight=2), Part(7, ()), Part(kept=0)), min_beats=8,
                 condition=in_major(2), title="Side-step, longer"),
            Rule(("root position",), (None,), (Part(kept=0, weight=2), Part(5, ()), Part(kept=0)), min_beats=4,
                 title="Side-step down"),
            Rule(("minor seventh",), (None,),
                 (Part(kept=0, weight=2), Part(-5, ("m7", "m9")), Part(-6, LYDIAN_DOMINANT), Part(kept=0, weight=4)),
                 min_bars=4, boldness=5, title="Side-step with its dominant"),
        ),
        reasons=("steps_aside", "bass_line"),
        references=(TEREFENKO + " (neighbouring ii–V a half step away)", COMMON),
        examples=(
            Example("D minor", "Dm7 | Dm7 | Em7b5 | A7", "Dm7 | Ebm7 Dm7 | Em7b5 | A7", 1),
            Example("D minor", "Dm7 | Dm7 | Dm7 | Dm7 | G7", "Dm7 | Ebm7 Ab7 | Dm7 | Dm7 | G7", 1),
        ),
        counterexamples=(
            Example("C major", "Dm7 G7 | Cmaj7", "", 1),
            Example("D minor", "Dm7 | Dm7 | Em7b5 | A7", "", 1, "z8 | A8 | z8 | z8"),
        ),
        boldness=50,
        cost=13,
    ),
)  # fmt: skip
