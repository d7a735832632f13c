"""Colour: the same root, or the same work, with other tones."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    CATEGORIAL,
    COKER_BLUES,
    COMMON,
    LEVINE,
    TYMOCZKO,
)
from core.techniques.conditions import (
    first_is_tonic,
    in_major,
    in_minor,
    leads_or_is_five,
    tonic_follows,
)
from core.techniques.technique import Example, Part, Rule, Technique

TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="minor_eleventh_for_half_diminished",
        title="Minor eleventh for half-diminished",
        seam="minor 11 for half-dim.",
        family="same root",
        rule_text="A half-diminished chord gives way to the minor eleventh on the same root: third and seventh stay, "
        "the fifth is natural or left out.",
        melody_text="The flat ninth, the flat fifth and the flat thirteenth of the old chord forbid it.",
        rules=(Rule(("half-diminished",), (None,), (Part(0, ("m11",)),)),),
        reasons=("natural_fifth", "bass_into_target"),
        references=(COMMON,),
        examples=(
            Example("A minor", "Bm7b5 | E7 | Am6", "Bm11 | E7 | Am6", 1),
            Example("A minor", "Bm7b5 | E7 | Am6", "Bm11 | E7 | Am6", 1, "e8 | z8 | z8"),
        ),
        counterexamples=(
            Example("A minor", "Bm7 | E7 | Am6", "", 1),
            Example("A minor", "Bm7b5 | E7 | Am6", "", 1, "f8 | z8 | z8"),
        ),
        boldness=22,
        cost=9,
    ),
    Technique(
        id="slash_chord_eleventh",
        title="Slash-chord eleventh",
        seam="slash eleventh",
        family="colour",
        rule_text="A dominant gives way to the major triad a whole step below its root over the same bass; it may "
        "bring its third back in the second half.",
        melody_text="The third of the dominant forbids it, being the note that is held back.",
        rules=(
            Rule(("dominant seventh",), (None,), (Part(-2, ("maj",), bass_offset=0),), condition=leads_or_is_five),
            Rule(("dominant seventh",), (None,), (Part(-2, ("maj",), bass_offset=0), Part(0, (), kept=0)),
                 min_beats=2, condition=leads_or_is_five,
                 title="Slash-chord eleventh, resolved"),
        ),
        reasons=("fourth_for_third", "third_arrives", "bass_into_target"),
        references=(TYMOCZKO + " (suspended dominant)", CATEGORIAL),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | F/G | Cmaj7", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | F/G G7 | Cmaj7", 2, "z8 | c4 B4 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | B8 | z8"),
            Example("C major", "Dm7 | Gm7 | Cmaj7", "", 2),
        ),
        boldness=15,
        cost=5,
        leaves_out=4,
    ),
    Technique(
        id="upper_structure",
        title="Upper-structure triad",
        seam="upper structure",
        family="colour",
        rule_text="Over third and seventh of a dominant stands a triad that brings its tensions and holds the melody.",
        melody_text="The tune must hold tones of the triad; over a dominant to a major chord the altered triads want "
        "care.",
        rules=(
            Rule(("dominant seventh",), (None,),
                 (Part(0, ("7",), triads=((2, "maj"), (3, "maj"), (-3, "maj"), (0, "m"))),)),
            Rule(("dominant seventh",), (None,),
                 (Part(0, ("7",), triads=((-4, "maj"), (-6, "maj"), (6, "m"), (-3, "m"), (-5, "m"))),),
                 condition=leads_or_is_five, title="Altered upper structure", boldness=10),
        ),
        reasons=("triad_tensions", "bass_into_target"),
        references=(LEVINE,),
        examples=(
            Example("F major", "Gm7 | C7 | Fmaj7", r"Gm7 | A\C7 | Fmaj7", 2, "z8 | A4 ^c4 | z8"),
            Example("F major", "Gm7 | C7 | Fmaj7", r"Gm7 | D\C7 | Fmaj7", 2, "z8 | d8 | z8"),
        ),
        counterexamples=(
            Example("F major", "Gm7 | C7 | Fmaj7", "", 2, "z8 | F8 | z8"),
            Example("F major", "Gm7 | Cm7 | Fmaj7", "", 2),
        ),
        boldness=22,
        cost=6,
        melody_law="in_the_triad",
    ),
    Technique(
        id="minor_tonic_colour",
        title="Minor tonic colour",
        seam="minor tonic colour",
        family="colour",
        rule_text="A minor tonic takes the sixth, the major seventh or the six-nine in place of its flat seventh.",
        melody_text="The flat seventh held in the tune wants care and the flat sixth clashes.",
        rules=(
            Rule(("minor",), (None,), (Part(0, ("m6", "mM7", "m69", "mM9")),), condition=in_minor(0)),
            Rule(("minor",), (None,), (Part(0, ("m69", "mM9")),), condition=in_minor(0), title="Minor six-nine",
                 boldness=4),
            Rule(("minor",), (None,), (Part(0, ("mM7", "mM9")),), condition=in_minor(0), title="Minor-major seventh",
                 boldness=8),
        ),
        reasons=("altered_tones", "adds_colour", "common_tones", "bass_into_target"),
        references=(COKER_BLUES + ", minor blues", COMMON),
        examples=(
            Example("C minor", "Cm7 | Dm7b5 | G7 | Cm7", "Cm6 | Dm7b5 | G7 | Cm7", 1),
            Example("C minor", "Cm7 | Dm7b5 | G7 | Cm7", "CmM7 | Dm7b5 | G7 | Cm7", 1, "=B8 | z8 | z8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 1),
            Example("C minor", "Cm7 | Dm7b5 | G7 | Cm7", "", 1, "_A8 | z8 | z8 | z8"),
        ),
        boldness=10,
        cost=3,
    ),
    Technique(
        id="quartal_minor_eleventh",
        title="Minor eleventh in fourths",
        seam="minor 11 in fourths",
        family="colour",
        rule_text="A minor seventh becomes the minor eleventh that can be stacked in fourths from its root, a major "
        "third on top.",
        melody_text="The tune is best on the fifth of the chord, which then stands on top; the flat sixth and the "
        "major third clash.",
        rules=(Rule(("minor seventh",), (None,), (Part(0, ("m11",)),)),),
        reasons=("stacked_fourths", "bass_into_target"),
        references=(COMMON,),
        examples=(
            Example("D minor", "Dm7 | Em7b5 | A7 | Dm7", "Dm11 | Em7b5 | A7 | Dm7", 1, "A8 | z8 | z8 | z8"),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm11 | G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | G7 | Cmaj7", "", 1),
            Example("C major", "Dm7 | G7 | Cmaj7", "", 1, "^F8 | z8 | z8"),
        ),
        boldness=8,
        cost=3,
    ),
    Technique(
        id="blues_seventh",
        title="Blues seventh on I or IV",
        seam="blues seventh",
        family="same root",
        rule_text="A major chord on the first or fourth degree takes a flat seventh and stays at rest, as in a blues; "
        "or gives it back.",
        melody_text="The major seventh in the tune clashes with the flat one, and the fourth over the root.",
        rules=(
            Rule(("major",), (None,), (Part(0, ("7", "9", "13", "7#9", "9#11")),), condition=in_major(0, 5)),
            Rule(("dominant seventh",), (None,), (Part(0, ("maj7", "6", "maj9", "69")),), condition=in_major(0, 5),
                 title="Major seventh for the blues seventh"),
            Rule(("dominant seventh",), (None,), (Part(0, ("maj7", "6", "maj9", "69")), Part(kept=0)), min_beats=2,
                 condition=in_major(0), title="Major seventh before the seventh"),
            Rule(("major",), (5,), (Part(kept=0), Part(0, ("7", "9", "7b9", "13", "7#9"))), min_beats=2,
                 condition=in_major(0), title="Seventh into IV"),
            Rule(("dominant seventh",), (None,), (Part(0, ("m6", "m7", "m69")), Part(kept=0)), min_beats=2,
                 condition=in_minor(0), title="Minor tonic before its seventh"),
            Rule(("dominant seventh",), (None,), (Part(0, ("m6", "m7", "m69")),), condition=in_minor(0), cost=1,
                 title="Minor tonic for its seventh"),
            Rule(("minor",), (5,), (Part(0, ("7", "7b9", "7b13", "7b9b13")),), condition=in_minor(0), cost=1,
                 title="Seventh on the minor tonic"),
        ),
        reasons=("altered_tones", "adds_colour", "common_tones", "bass_into_target"),
        references=(COKER_BLUES, "“Twelve-bar blues”, encyclopedia article"),
        examples=(
            Example("C major", "Cmaj7 | F6 | Cmaj7 | G7", "C7 | F6 | Cmaj7 | G7", 1),
            Example("C major", "C7 | F7 | C7 | G7", "Cmaj7 | F7 | C7 | G7", 1),
        ),
        counterexamples=(
            Example("C major", "Dbmaj7 | G7 | Cmaj7", "", 1),
            Example("C major", "Cmaj7 | F6 | Cmaj7 | G7", "", 1, "B8 | z8 | z8 | z8"),
        ),
        boldness=14,
        cost=6,
    ),
    Technique(
        id="simplification",
        title="Simplification",
        seam="simplified",
        family="same root",
        rule_text="Of two chords that do one piece of work only one is kept: the dominant of a ii–V, or the tonic "
        "beside its relative.",
        melody_text="The chord that stays must carry the melody of both.",
        rules=(
            Rule(("ii", "dominant seventh"), (5, None), (Part(kept=1),)),
            Rule(("major", "minor"), (9, None), (Part(kept=0),), condition=first_is_tonic),
            Rule(("major", "minor"), (4, None), (Part(kept=0),), condition=first_is_tonic),
            Rule(("any", "diminished"), (1, None), (Part(kept=0),), title="Passing diminished left out"),
            Rule(("ii", "dominant seventh"), (5, None), (Part(kept=0),), boldness=14, cost=5,
                 condition=tonic_follows, title="ii alone"),
        ),
        reasons=("left_out", "aims_at", "seventh_resolves", "bass_into_target"),
        references=(COMMON,),
        examples=(
            Example("C major", "Cmaj7 | Dm7 G7 | Cmaj7", "Cmaj7 | G7 | Cmaj7", 2),
            Example("C major", "Cmaj7 Am7 | Dm7 | G7 | Cmaj7", "Cmaj7 | Dm7 | G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Dm7 Fm7 | Cmaj7", "", 2),
            Example("C major", "Cmaj7 | Dm7 G7 | Cmaj7", "", 2, "z8 | c4 z4 | z8"),
        ),
        boldness=8,
        cost=7,
    ),
)  # fmt: skip
