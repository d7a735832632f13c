"""Diminished sevenths: passing, auxiliary, and in place of a dominant."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    CATEGORIAL,
    COKER_BLUES,
    DOMINANT,
    HALF_DIMINISHED,
    OMT_EMBELLISHING,
    STEEDMAN,
    TURNAROUND,
)
from core.techniques.conditions import (
    bass_by_step,
    first_is_third_or_tonic,
    goal_in_root_position,
    goal_is_new,
    in_major,
    stands_for_a_dominant,
)
from core.techniques.technique import Example, Part, Rule, Technique

TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="passing_diminished",
        title="Passing diminished",
        seam="passing diminished",
        family="diminished",
        rule_text="Between chords whose basses lie a whole step apart the diminished seventh on the half step between "
        "them takes the end of the first.",
        melody_text="Over a diminished seventh only its own tones and the notes a whole step above them are free: the "
        "others clash.",
        rules=(
            Rule(("any",), (2,), (Part(7, ("dim7",)),), min_beats=2, tail_beats=2, condition=goal_in_root_position),
            Rule(("any",), (10,), (Part(-7, ("dim7",)),), following="minor", min_beats=2, tail_beats=2,
                 condition=goal_in_root_position, title="Descending passing diminished", boldness=4, cost=1),
            Rule(("major",), (7,), (Part(7, ("dim7",)),), min_beats=2, tail_beats=2, condition=bass_by_step),
            Rule(("any", "any"), (None, 5), (Part(kept=0), Part(-6, ("dim7",))), following="minor",
                 condition=first_is_third_or_tonic, boldness=8, cost=3,
                 title="♭III diminished into ii"),
        ),
        reasons=("rootless_flat_nine", "leading_tone", "bass_line", "bass_into_target"),
        references=(STEEDMAN, OMT_EMBELLISHING, TURNAROUND),
        examples=(
            Example("C major", "Cmaj7 | Dm7 | G7 | Cmaj7", "Cmaj7 C#o7 | Dm7 | G7 | Cmaj7", 1),
            Example("C major", "Em7 | Dm7 | G7 | Cmaj7", "Em7 Ebo7 | Dm7 | G7 | Cmaj7", 1),
            Example("C major", "Fmaj7 | G7 | Cmaj7", "Fmaj7 F#o7 | G7 | Cmaj7", 1),
            Example("C major", "G7 | Am7 | Dm7", "G7 G#o7 | Am7 | Dm7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Fmaj7 | G7 | Cmaj7", "", 1),
            Example("C major", "Cmaj7 | Dm7 | G7 | Cmaj7", "", 1, "z4 B4 | z8 | z8 | z8"),
        ),
        boldness=18,
        cost=8,
    ),
    Technique(
        id="common_tone_diminished",
        title="Common-tone diminished",
        seam="common-tone diminished",
        family="diminished",
        rule_text="A chord that stays is embellished by the diminished seventh on its own root, between two of its "
        "appearances or just before it.",
        melody_text="Over the diminished seventh only its own tones and the notes a whole step above them are free.",
        rules=(
            Rule(("major",), (None,), (Part(kept=0, weight=2), Part(0, ("dim7",)), Part(kept=0)), min_beats=4),
            Rule(("dominant seventh",), (None,), (Part(kept=0, weight=2), Part(0, ("dim7",)), Part(kept=0)),
                 min_beats=4, title="Common-tone diminished on V"),
            Rule(("any",), (None,), (Part(0, ("dim7",), of="following"),), following="major", min_beats=2,
                 tail_beats=2, condition=goal_is_new, boldness=8, cost=2, title="Common-tone diminished into it"),
        ),
        reasons=("keeps_a_root", "common_tones", "bass_into_target"),
        references=(OMT_EMBELLISHING,),
        examples=(
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7", "Cmaj7 | Co7 Cmaj7 | Fmaj7", 1),
            Example("C major", "Dm7 | G7 | G7 | Cmaj7", "Dm7 | G7 | Go7 G7 | Cmaj7", 2),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7 Am7", "", 2),
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7", "", 1, "z8 | E8 | z8"),
        ),
        boldness=25,
        cost=10,
    ),
    Technique(
        id="diminished_for_dominant",
        title="Diminished for a dominant with flat nine",
        seam="diminished for V",
        family="diminished",
        rule_text="A dominant that falls a fifth gives way to the diminished seventh on its third, fifth, seventh or "
        "flat ninth, the same dominant without its root; and the other way round.",
        melody_text="The root of the dominant, and over a major goal its fourth and its flat thirteenth, clash with "
        "the diminished seventh.",
        rules=(
            Rule(("dominant seventh",), (5,), (Part(4, ("dim7",)),)),
            Rule(("dominant seventh",), (5,), (Part(kept=0), Part(4, ("dim7",))), min_beats=2, cost=1,
                 title="Diminished in the second half"),
            Rule(("dominant seventh",), (5,), (Part(-5, ("dim7",)),), boldness=4, cost=2,
                 title="Diminished on the flat nine"),
            Rule(("dominant seventh",), (5,), (Part(1, ("dim7",)),), boldness=6, cost=3,
                 title="Diminished on the fifth"),
            Rule(("dominant seventh",), (5,), (Part(-2, ("dim7",)),), boldness=8, cost=4,
                 title="Diminished on the seventh"),
            Rule(("diminished",), (None,), (Part(1, ("7b9", "7b9b13", "7", "7#9"), of="following"),),
                 condition=stands_for_a_dominant, title="Dominant for its diminished"),
        ),
        reasons=("rootless_flat_nine", "leading_tone", "aims_at", "bass_into_target"),
        references=(CATEGORIAL, "P. Clements 2014, Jazz Theory and Practice, module 4"),
        examples=(
            Example("C major", "Cmaj7 A7 | Dm7 G7 | Cmaj7", "Cmaj7 C#o7 | Dm7 G7 | Cmaj7", 1),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Bo7 | Cmaj7", 2),
            Example("C major", "Cmaj7 C#o7 | Dm7 G7 | Cmaj7", "Cmaj7 A7b9 | Dm7 G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Am7", "", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | G8 | z8"),
        ),
        boldness=20,
        cost=9,
        leaves_out=0,
    ),
    Technique(
        id="raised_four_diminished",
        title="Raised four after IV",
        seam="sharp-four after IV",
        family="diminished",
        rule_text="The subdominant on its way back to the tonic gives its second half to the diminished seventh a half "
        "step above it, or on its way to iii to the half-diminished chord there, with or without its dominant.",
        melody_text="The fourth degree of the key held through forbids it, and the notes a half step above the tones "
        "of the raised chord.",
        rules=(
            Rule(("major",), (7,), (Part(kept=0), Part(7, ("dim7",))), min_beats=2, condition=in_major(5)),
            Rule(("dominant seventh",), (7,), (Part(kept=0), Part(7, ("dim7",))), min_beats=2,
                 condition=in_major(5)),
            Rule(("major",), (11,), (Part(kept=0), Part(7, ("dim7",))), min_beats=2, condition=in_major(5)),
            Rule(("dominant seventh",), (11,), (Part(kept=0), Part(7, ("dim7",))), min_beats=2,
                 condition=in_major(5)),
            Rule(("major",), (11,), (Part(kept=0, weight=2), Part(7, HALF_DIMINISHED), Part(6, DOMINANT)),
                 following="minor", min_bars=1, condition=in_major(5), boldness=6, cost=1,
                 title="Raised four half-diminished and its dominant"),
            Rule(("major",), (11,), (Part(kept=0), Part(7, HALF_DIMINISHED)), min_beats=2, condition=in_major(5),
                 title="Raised four half-diminished"),
        ),
        reasons=("bass_line", "rootless_flat_nine", "common_tones"),
        references=(COKER_BLUES, CATEGORIAL),
        examples=(
            Example("C major", "Fmaj7 | Fmaj7 | C6 | G7", "Fmaj7 | F#o7 | C6 | G7", 1),
            Example("C major", "F7 | F7 | C6 | A7", "F7 | F#o7 | C6 | A7", 1),
            Example("C major", "Fmaj7 | Fmaj7 | Em7 | A7", "Fmaj7 | F#m7b5 B7 | Em7 | A7", 1),
        ),
        counterexamples=(
            Example("C major", "Fmaj7 | Fmaj7 | Dm7 | G7", "", 1),
            Example("C major", "Fmaj7 | Fmaj7 | C6 | G7", "", 1, "z8 | G8 | z8 | z8"),
        ),
        boldness=18,
        cost=8,
    ),
)  # fmt: skip
