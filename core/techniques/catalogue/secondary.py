"""Secondary dominants: every chord may have its own V, its own ii–V, and a chain of them."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    COKER_BLUES,
    DOMINANT,
    HALF_DIMINISHED,
    LYDIAN_DOMINANT,
    MINOR_PLAIN,
    OMT_EMBELLISHING,
    OMT_SUBSTITUTIONS,
    STEEDMAN,
    TEREFENKO,
    TURNAROUND,
)
from core.techniques.conditions import (
    all_of,
    goal_is_in_key,
    goal_is_new,
    goal_is_not_at_rest,
    in_major,
    in_minor,
    leaves_the_tonic,
    minor_follows,
    no_ii_yet,
    not_falling_already,
)
from core.techniques.technique import Example, Part, Rule, Technique

_MINOR_V = ("7b9", "7", "7b13", "7alt", "7b9b13", "7#9")
_wants_a_dominant = all_of(goal_is_in_key, not_falling_already)
_wants_a_ii = all_of(goal_is_new, no_ii_yet, goal_is_not_at_rest, leaves_the_tonic)

TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="secondary_dominant",
        title="Secondary dominant",
        seam="secondary dominant",
        family="dominants",
        rule_text="A chord gets its own dominant before it: a minor seventh that falls a fifth becomes a dominant, or "
        "the dominant a fifth above the next chord takes the end of the chord that stands before it.",
        melody_text="The fourth and the major seventh over the new dominant forbid it; over a minor seventh made "
        "dominant the old flat third is its sharp ninth.",
        rules=(
            Rule(("minor seventh",), (5,), (Part(0, DOMINANT),)),
            Rule(("half-diminished",), (5,), (Part(0, ("7b9", "7b9b13", "7b13", "7alt", "7")),)),
            Rule(("any",), (None,), (Part(1, DOMINANT, of="following"),), condition=_wants_a_dominant, min_beats=2,
                 tail_beats=2, title="Secondary dominant at the end"),
            Rule(("any",), (None,), (Part(1, DOMINANT, of="following"),),
                 condition=_wants_a_dominant, boldness=14, cost=3,
                 title="Secondary dominant all through"),
        ),
        reasons=("aims_at", "leading_tone", "seventh_resolves", "bass_into_target"),
        references=(OMT_SUBSTITUTIONS, OMT_EMBELLISHING, TURNAROUND),
        examples=(
            Example("C major", "Cmaj7 Am7 | Dm7 G7 | Cmaj7", "Cmaj7 A7 | Dm7 G7 | Cmaj7", 1),
            Example("C major", "Cmaj7 | Fmaj7 | Cmaj7", "Cmaj7 C7 | Fmaj7 | Cmaj7", 1),
            Example("C major", "Cmaj7 | Am7 | Dm7", "Cmaj7 E7 | Am7 | Dm7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Dbmaj7 | Cmaj7", "", 1),
            Example("C major", "Em7 | Am7 | Dm7", "", 1, "A8 | z8 | z8"),
        ),
        boldness=18,
        cost=8,
    ),
    Technique(
        id="secondary_two_five",
        title="Secondary ii–V",
        seam="ii–V into the next",
        family="dominants",
        rule_text="A chord gets its own ii and V before it, half-diminished and minor where it is minor; they take the "
        "last bar of the chord that stands before it, or half of it.",
        melody_text="Both new chords must carry the melody of their beats: over the ii its natural third, over the V "
        "its fourth forbid it.",
        rules=(
            Rule(("any",), (None,), (Part(2, MINOR_PLAIN, of="following"), Part(1, DOMINANT, of="following")),
                 condition=goal_is_in_key, min_bars=2, tail_bars=1),
            Rule(("any",), (None,), (Part(2, HALF_DIMINISHED, of="following"),
                                     Part(1, _MINOR_V, of="following")),
                 condition=all_of(goal_is_in_key, minor_follows), min_bars=2, tail_bars=1),
            Rule(("any",), (None,), (Part(2, MINOR_PLAIN, of="following"), Part(1, DOMINANT, of="following")),
                 condition=goal_is_in_key, min_beats=4, boldness=10, cost=2, title="Secondary ii–V all through"),
            Rule(("any",), (None,), (Part(2, HALF_DIMINISHED, of="following"),
                                     Part(1, _MINOR_V, of="following")),
                 condition=all_of(goal_is_in_key, minor_follows), min_beats=4, boldness=10, cost=2,
                 title="Secondary minor ii–V all through"),
            Rule(("any",), (None,), (Part(2, MINOR_PLAIN, of="following"), Part(1, DOMINANT, of="following")),
                 condition=goal_is_in_key, min_beats=4, tail_beats=2, boldness=14, cost=2,
                 title="Secondary ii–V at the end"),
            Rule(("major",), (0,), (Part(2, MINOR_PLAIN), Part(1, DOMINANT)), min_bars=2, tail_bars=1,
                 condition=in_major(0), title="ii–V back to the tonic"),
            Rule(("minor",), (0,), (Part(2, HALF_DIMINISHED), Part(1, _MINOR_V)), min_bars=2,
                 tail_bars=1, condition=in_minor(0), title="ii–V back to the minor tonic"),
            Rule(("major",), (None,), (Part(kept=0, weight=2), Part(2, MINOR_PLAIN), Part(1, DOMINANT),
                                       Part(kept=0, weight=2)), min_bars=3, tail_bars=3, condition=in_major(0),
                 title="ii–V inside the tonic"),
            Rule(("minor",), (None,), (Part(kept=0, weight=2), Part(2, HALF_DIMINISHED), Part(1, _MINOR_V),
                                       Part(kept=0, weight=2)), min_bars=3, tail_bars=3, condition=in_minor(0),
                 title="ii–V inside the minor tonic"),
        ),
        reasons=("ii_of", "guide_tone_step", "aims_at", "bass_into_target"),
        references=(STEEDMAN, TEREFENKO),
        examples=(
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7 | Cmaj7", "Cmaj7 | Gm7 C7 | Fmaj7 | Cmaj7", 2),
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "Cmaj7 | Em7b5 A7b9 | Dm7 | G7", 2),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Cmaj7 | Dbmaj7 | Cmaj7", "", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Fmaj7 | Cmaj7", "", 1, "z8 | F8 | z8 | z8"),
        ),
        boldness=22,
        cost=10,
    ),
    Technique(
        id="related_two",
        title="Related ii",
        seam="related ii",
        family="dominants",
        rule_text="The chord before a dominant gives way to the ii of that dominant, so that the pair becomes a ii–V.",
        melody_text="Over the new ii the natural third and the major seventh clash, and its flat ninth and flat "
        "thirteenth.",
        rules=(
            Rule(("any",), (None,), (Part(1, MINOR_PLAIN, of="following"),), following="dominant seventh",
                 condition=_wants_a_ii),
            Rule(("any",), (None,), (Part(1, MINOR_PLAIN, of="following"),), following="dominant seventh",
                 condition=_wants_a_ii, min_beats=2, tail_beats=2,
                 title="Related ii at the end"),
            Rule(("dominant seventh",), (5,), (Part(0, MINOR_PLAIN),), following="dominant seventh"),
            Rule(("any",), (None,), (Part(1, HALF_DIMINISHED, of="following"),), following="dominant seventh",
                 condition=_wants_a_ii, boldness=6, cost=3,
                 title="Half-diminished related ii"),
        ),
        reasons=("leads_as_ii", "altered_tones", "common_tones", "bass_into_target"),
        references=(STEEDMAN, COKER_BLUES),
        examples=(
            Example("C major", "Cmaj7 | A7 | Dm7", "Em7 | A7 | Dm7", 1),
            Example("C major", "D7 | G7 | Cmaj7", "Dm7 | G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Am7 | Dm7", "", 1),
            Example("C major", "Cmaj7 | A7 | Dm7", "", 1, "^G8 | z8 | z8"),
        ),
        boldness=18,
        cost=9,
    ),
    Technique(
        id="extended_dominants",
        title="Extended dominants",
        seam="chain of dominants",
        family="dominants",
        rule_text="Chords whose roots fall by fifths to a goal all become dominants, each the dominant of the next.",
        melody_text="Every link is tested alone: over each dominant its fourth and its major seventh forbid it.",
        rules=(
            Rule(("ii", "ii", "dominant seventh"), (5, 5, 5),
                 (Part(2, DOMINANT), Part(1, DOMINANT), Part(kept=2))),
            Rule(("ii", "ii", "ii", "dominant seventh"), (5, 5, 5, 5),
                 (Part(3, DOMINANT), Part(2, DOMINANT), Part(1, DOMINANT), Part(kept=3))),
            Rule(("ii", "dominant seventh", "ii", "dominant seventh"), (5, 5, 5, 5),
                 (Part(3, DOMINANT), Part(kept=1), Part(1, DOMINANT), Part(kept=3))),
            Rule(("any",), (None,), (Part(2, DOMINANT, of="following"), Part(1, DOMINANT, of="following")),
                 condition=goal_is_in_key, min_bars=2, tail_bars=1, boldness=6, cost=2,
                 title="Two dominants into the next"),
            Rule(("any",), (None,), (Part(2, DOMINANT, of="following"), Part(1, DOMINANT, of="following")),
                 condition=goal_is_in_key, min_bars=1, boldness=16, cost=4,
                 title="Two dominants all through"),
        ),
        reasons=("roots_by_fifths", "leading_tone", "seventh_resolves", "bass_into_target"),
        references=(STEEDMAN, COKER_BLUES, TURNAROUND),
        examples=(
            Example("C major", "Em7 Am7 | Dm7 G7 | Cmaj7", "E7 A7 | D7 G7 | Cmaj7", 1),
            Example("C major", "Am7 | Dm7 | G7 | Cmaj7", "A7 | D7 | G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Dbmaj7 | Cmaj7 | Cmaj7", "", 1),
            Example("C major", "Am7 | Dm7 | G7 | Cmaj7", "", 1, "z8 | G8 | z8 | z8"),
        ),
        boldness=30,
        cost=10,
    ),
    Technique(
        id="mixed_chain",
        title="Chain with tritone substitutes",
        seam="chain with tritone subs",
        family="dominants",
        rule_text="In a chain of dominants every second one, or every one, gives way to its tritone substitute, so "
        "that the bass falls by half steps.",
        melody_text="Every substitute refuses the fourth and the major seventh of the dominant it stands for.",
        rules=(
            Rule(("dominant seventh",) * 3, (5, 5, 5),
                 (Part(-4, LYDIAN_DOMINANT), Part(kept=1), Part(-6, LYDIAN_DOMINANT))),
            Rule(("dominant seventh",) * 4, (5, 5, 5, 5),
                 (Part(kept=0), Part(-4, LYDIAN_DOMINANT), Part(kept=2), Part(-6, LYDIAN_DOMINANT))),
            Rule(("dominant seventh",) * 3, (5, 5, 5),
                 (Part(-4, LYDIAN_DOMINANT), Part(-5, LYDIAN_DOMINANT), Part(-6, LYDIAN_DOMINANT)), boldness=15,
                 title="Chain of tritone substitutes"),
        ),
        reasons=("bass_line", "aims_at", "bass_into_target"),
        references=(COKER_BLUES, TEREFENKO),
        examples=(
            Example("C major", "E7 A7 | D7 G7 | Cmaj7", "E7 Eb7 | D7 Db7 | Cmaj7", 1),
            Example("C major", "A7 | D7 | G7 | Cmaj7", "Eb7 | D7 | Db7 | Cmaj7", 1),
            Example("C major", "A7 | D7 | G7 | Cmaj7", "Eb7 | Ab7 | Db7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("C major", "A7 | D7 | G7 | Am7", "", 1),
            Example("C major", "A7 | D7 | G7 | Cmaj7", "", 1, "d8 | z8 | c8 | z8"),
        ),
        boldness=45,
        cost=12,
    ),
)  # fmt: skip
