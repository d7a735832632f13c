"""Dominants and what stands for them: a tritone away, a third away, with another ii."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    CATEGORIAL,
    COKER_BLUES,
    COMMON,
    DOMINANT,
    LYDIAN_DOMINANT,
    MINOR,
    OMT_EMBELLISHING,
    OMT_SUBSTITUTIONS,
    STEEDMAN,
    TEREFENKO,
)
from core.techniques.conditions import (
    all_of,
    in_major,
    major_ii_fits,
    major_tonic_follows,
    minor_ii_fits,
    no_ii_before,
)
from core.techniques.technique import Example, Part, Rule, Technique

TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="tritone_substitution",
        title="Tritone substitution",
        seam="tritone sub",
        family="dominants",
        rule_text="A dominant seventh that falls a fifth gives way to the dominant seventh a tritone away, which falls "
        "a half step to the same chord.",
        melody_text="The fourth and the major seventh of the old dominant forbid it: they would be the major seventh "
        "and the natural eleventh of the new one.",
        rules=(
            Rule(("dominant seventh",), (5,), (Part(-6, LYDIAN_DOMINANT),)),
            Rule(("dominant seventh",), (5,), (Part(0, (), kept=0), Part(-6, LYDIAN_DOMINANT)), min_beats=2,
                 title="Tritone substitution in the second half"),
        ),
        reasons=("shared_tritone", "bass_into_target"),
        references=(OMT_SUBSTITUTIONS, STEEDMAN, CATEGORIAL, TEREFENKO),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Db7 | Cmaj7", 2),
            Example("C major", "A7 | Dm7 | G7 | Cmaj7", "Eb7 | Dm7 | G7 | Cmaj7", 1),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Db7#11 | Cmaj7", 2, "z8 | G8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Am7", "", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | c8 | z8"),
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | ^F8 | z8"),
        ),
        boldness=35,
        cost=8,
    ),
    Technique(
        id="two_five_interpolation",
        title="ii–V in place of V",
        seam="its ii before it",
        family="dominants",
        rule_text="A dominant of two beats or more gives its first half to the minor seventh a fifth above it; to the "
        "half-diminished one when it leads to minor.",
        melody_text="Over the first half the old third spends the leading tone early and wants care; the old flat "
        "thirteenth clashes with the ii and the major seventh with both.",
        rules=(
            Rule(("dominant seventh",), (5,), (Part(1, MINOR), Part(0, (), kept=0)), min_beats=2,
                 condition=major_ii_fits),
            Rule(("dominant seventh",), (5,), (Part(1, ("m7b5", "m11b5")), Part(0, (), kept=0)), min_beats=2,
                 condition=minor_ii_fits, title="Minor ii–V in place of V"),
            Rule(("dominant seventh",), (5,), (Part(1, ("m7b5", "m11b5")), Part(0, ("7b9", "7")),), min_beats=2,
                 condition=major_ii_fits, title="Minor ii–V in place of V", boldness=12),
            Rule(("dominant seventh",), (None,), (Part(1, MINOR), Part(0, (), kept=0)), min_beats=2, cost=2,
                 condition=all_of(in_major(7), no_ii_before), title="ii–V in place of V, left open", boldness=4),
            Rule(("dominant seventh", "dominant seventh"), (10, 7), (Part(3, MINOR), Part(2, DOMINANT)), cost=2,
                 condition=in_major(5), title="ii–V for V and IV", boldness=4),
        ),
        reasons=("ii_of", "guide_tone_step"),
        references=(OMT_EMBELLISHING, STEEDMAN, TEREFENKO),
        examples=(
            Example("C major", "Cmaj7 | G7 | Cmaj7", "Cmaj7 | Dm7 G7 | Cmaj7", 2),
            Example("C minor", "Cm6 | G7 | Cm6", "Cm6 | Dm7b5 G7 | Cm6", 2),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2),
            Example("C major", "Cmaj7 | G7 | Cmaj7", "", 2, "z8 | ^F8 | z8"),
        ),
        boldness=12,
        cost=7,
    ),
    Technique(
        id="related_ii_of_substitute",
        title="Tritone substitution with its ii",
        seam="tritone sub with its ii",
        family="dominants",
        rule_text="A substitute dominant of two beats or more gives its first half to the minor seventh a fifth above "
        "itself.",
        melody_text="Of the key’s seven notes only the leading tone is plainly good over this ii; it is for held "
        "leading tones, rests and chromatic tunes.",
        rules=(
            Rule(("dominant seventh",), (11,), (Part(1, MINOR), Part(0, (), kept=0)), min_beats=2,
                 condition=no_ii_before),
            Rule(("dominant seventh",), (5,), (Part(-5, MINOR), Part(-6, LYDIAN_DOMINANT)), min_beats=2, boldness=12),
            Rule(("minor seventh", "dominant seventh"), (5, 5), (Part(-5, MINOR), Part(-6, LYDIAN_DOMINANT)),
                 title="ii–V a tritone away", boldness=25),
            Rule(("dominant seventh",), (5,),
                 (Part(1, MINOR), Part(kept=0), Part(-5, MINOR), Part(-6, LYDIAN_DOMINANT)), min_bars=2, boldness=15,
                 cost=3, title="ii–V, then the ii–V a tritone away"),
        ),
        reasons=("ii_of", "holds_through", "bass_line"),
        references=(COKER_BLUES + ", bar 10", TEREFENKO + ", Fig. 19.4"),
        examples=(
            Example("C major", "Dm7 | Db7 | Cmaj7", "Dm7 | Abm7 Db7 | Cmaj7", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Abm7 Db7 | Cmaj7", 2, "z8 | B8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | E8 | z8"),
            Example("C major", "Dm7 | Db7 | Am7", "", 2),
        ),
        boldness=40,
        cost=10,
    ),
    Technique(
        id="mixed_two_five",
        title="Tritone ii before V",
        seam="substitute’s ii before V",
        family="dominants",
        rule_text="The ii of a ii–V gives way to the ii of the substitute dominant, a tritone away, and the V stays.",
        melody_text="Of the key’s seven notes only the leading tone is plainly good over this ii.",
        rules=(
            Rule(("ii", "dominant seventh"), (5, 5), (Part(-5, MINOR), Part(kept=1))),
            Rule(("dominant seventh",), (5,), (Part(-5, MINOR), Part(kept=0)), min_beats=2, condition=no_ii_before,
                 boldness=5),
        ),
        reasons=("bass_line", "holds_through", "bass_into_target"),
        references=(COMMON,),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Abm7 | G7 | Cmaj7", 1),
            Example("C major", "Cmaj7 | G7 | Cmaj7", "Cmaj7 | Abm7 G7 | Cmaj7", 2, "z8 | B8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 1, "E8 | z8 | z8"),
            Example("C major", "Dm7 | G7 | Am7", "", 1),
        ),
        boldness=48,
        cost=14,
    ),
    Technique(
        id="dominant_a_third_away",
        title="Dominant on III",
        seam="dominant a third away",
        family="dominants",
        rule_text="Before a major tonic the dominant on V gives way to the one on III: the four dominants a minor "
        "third apart share a diminished seventh and may stand for one another.",
        melody_text="The fourth and the major seventh over the new dominant forbid it: in C major over E7 the notes A "
        "and E♭; C is its flat thirteenth and wants care.",
        rules=(
            Rule(("dominant seventh",), (5,), (Part(3, ("7", "7b9", "7b13", "7b9b13", "7alt", "7#9")),),
                 condition=major_tonic_follows),
        ),
        reasons=("aims_at", "common_tones", "bass_into_target"),
        references=(CATEGORIAL, "D. Harasim et al. 2020, ISMIR, 207–215 (octatonic class of dominants)"),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | E7 | Cmaj7", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | E7 | Cmaj7", 2, "z8 | B8 | z8"),
        ),
        counterexamples=(
            Example("C minor", "Dm7b5 | G7 | Cm6", "", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | A8 | z8"),
        ),
        boldness=55,
        cost=15,
    ),
)  # fmt: skip
