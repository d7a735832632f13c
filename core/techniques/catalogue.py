"""The catalogue: every technique, a row each.

To add a technique: add a row below with at least one reference, two examples that apply and one that must not; the
tests try it in all twelve keys. Offsets are in fifths from X, the last chord it replaces: −6 is the root a tritone
away (a diminished fifth up), −5 a half step up, 1 a fifth up, −1 a fourth up, −2 a whole step down, −3 a minor third
up, 7 a half step up by the same letter. Root motions are semitones up to the next root: 5 falls a fifth, 11 falls a
half step, 2 rises a whole step.
"""

from __future__ import annotations

from core.chord import in_context
from core.function import acts_as_dominant
from core.techniques.technique import (
    KINDS,
    Example,
    Part,
    Place,
    Rule,
    Technique,
    major_tonic_follows,
    minor_follows,
    no_ii_before,
)

OMT_SUBSTITUTIONS = "M. Lavengood, “Substitutions”, Open Music Theory"
OMT_EMBELLISHING = "M. Lavengood, “Embellishing Chords”, Open Music Theory"
STEEDMAN = "M. Steedman 1984, Music Perception 2(1):52–77, chord rewrite rules"
CATEGORIAL = "M. Granroth-Wilding & M. Steedman 2014, Journal of New Music Research 43(4):355–374"
TEREFENKO = "D. Terefenko 2014, Jazz Theory"
TYMOCZKO = "D. Tymoczko 2011, A Geometry of Music, ch. 10"
COKER_BLUES = "J. Coker 1964, Improvising Jazz (blues variants)"
COKER_BACKDOOR = "J. Coker 1997, Elements of the Jazz Language, p. 82"
ROHRMEIER = "M. Rohrmeier 2020, Music Theory & Analysis 7(1):1–62 (preparation)"
COMMON = "common practice, no source"

# A substitute dominant takes the colours its melody asks for: Lydian flat seven first, altered ninths last.
_SUBSTITUTE = ("7", "7#11", "9", "13", "9#11", "13#11", "7b9", "7#9", "7b13", "13b9", "13#9", "7b9b13", "7alt")
_MINOR_II = ("m7", "m9", "m11", "m13", "mM7")


def _major_ii_fits(place: Place) -> bool:
    return no_ii_before(place) and not minor_follows(place)


def _minor_ii_fits(place: Place) -> bool:
    return no_ii_before(place) and minor_follows(place)


def _goal_is_new(place: Place) -> bool:
    """The goal is another root, in root position and no passing diminished chord, and is not approached already."""
    goal = place.following
    if goal is None or (goal.bass is not None and in_context(goal) is goal) or KINDS["diminished"](goal):
        return False
    motion = (in_context(goal).root_pc - place.anchor.root_pc) % 12
    return motion not in (0, 11) and not (motion == 5 and acts_as_dominant(place.replaced[-1], goal, place.key))


def _planes_into(place: Place) -> bool:
    """From below in the quality of the goal: stable goals only, and not where the bass is there already."""
    if not _goal_is_new(place) or place.following is None:
        return False
    return (in_context(place.following).root_pc - place.anchor.root_pc) % 12 != 1


def _is_flat_seven_of_tonic(place: Place) -> bool:
    return major_tonic_follows(place) and (place.key.tonic_pc - place.anchor.root_pc) % 12 == 2


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
            Rule(("dominant seventh",), (5,), (Part(-6, _SUBSTITUTE),)),
            Rule(("dominant seventh",), (5,), (Part(0, (), kept=0), Part(-6, _SUBSTITUTE)), min_beats=2,
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
            Rule(("dominant seventh",), (5,), (Part(1, _MINOR_II), Part(0, (), kept=0)), min_beats=2,
                 condition=_major_ii_fits),
            Rule(("dominant seventh",), (5,), (Part(1, ("m7b5", "m11b5")), Part(0, (), kept=0)), min_beats=2,
                 condition=_minor_ii_fits, title="Minor ii–V in place of V"),
            Rule(("dominant seventh",), (5,), (Part(1, ("m7b5", "m11b5")), Part(0, ("7b9", "7")),), min_beats=2,
                 condition=_major_ii_fits, title="Minor ii–V in place of V", boldness=12),
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
    ),
    Technique(
        id="related_ii_of_substitute",
        title="Substitute V with its ii",
        seam="tritone sub with its ii",
        family="dominants",
        rule_text="A substitute dominant of two beats or more gives its first half to the minor seventh a fifth above "
        "itself.",
        melody_text="Of the key’s seven notes only the leading tone is plainly good over this ii; it is for held "
        "leading tones, rests and chromatic tunes.",
        rules=(
            Rule(("dominant seventh",), (11,), (Part(1, _MINOR_II), Part(0, (), kept=0)), min_beats=2,
                 condition=no_ii_before),
            Rule(("dominant seventh",), (5,), (Part(-5, _MINOR_II), Part(-6, _SUBSTITUTE)), min_beats=2, boldness=12),
            Rule(("minor seventh", "dominant seventh"), (5, 5), (Part(-5, _MINOR_II), Part(-6, _SUBSTITUTE)),
                 title="ii–V a tritone away", boldness=25),
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
    ),
    Technique(
        id="minor_eleventh_for_half_diminished",
        title="Minor eleventh for half-diminished",
        seam="minor 11 for half-dim.",
        family="colour",
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
            Rule(("dominant seventh",), (None,), (Part(-2, ("maj",), bass_offset=0),)),
            Rule(("dominant seventh",), (None,), (Part(-2, ("maj",), bass_offset=0), Part(0, (), kept=0)), min_beats=2,
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
        leaves_out=4,
    ),
    Technique(
        id="flat_two_major_seventh",
        title="Flat-two major seventh",
        seam="flat-two major 7",
        family="cadences",
        rule_text="The dominant of a major tonic gives way to the major seventh a half step above the tonic, whose "
        "seventh is the tonic itself.",
        melody_text="The third, fifth, thirteenth and major seventh of the old dominant forbid it; the tonic in the "
        "melody, which forbids the plain tritone substitution, is welcome.",
        rules=(Rule(("dominant seventh",), (5,), (Part(-6, ("maj7", "maj9", "maj7#11", "maj9#11", "maj7#5")),),
                    condition=major_tonic_follows),),
        reasons=("holds_the_tonic", "bass_into_target", "common_tones"),
        references=("“Tadd Dameron turnaround”, encyclopedia article (major sevenths for the substitutes)", COMMON),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Dbmaj7 | Cmaj7", 2, "z8 | c8 | z8"),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Dbmaj7 | Cmaj7", 2, "z8 | F8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | B8 | z8"),
            Example("C minor", "Dm7b5 | G7 | Cm6", "", 2),
        ),
        boldness=50,
    ),
    Technique(
        id="backdoor",
        title="Backdoor",
        seam="backdoor",
        family="cadences",
        rule_text="The cadence to a major tonic comes in by the dominant a whole step below it, alone or after the "
        "minor subdominant.",
        melody_text="The leading tone over the flat-seven dominant is its flat ninth; over the minor subdominant the "
        "natural third and sixth of the key clash.",
        rules=(
            Rule(("dominant seventh",), (5,), (Part(-3, ("7", "9", "13", "7#11", "9#11", "13#11", "7b9")),),
                 condition=major_tonic_follows),
            Rule(("ii", "dominant seventh"), (5, 5), (Part(-2, ("m7", "m9", "m6")),
                 Part(-3, ("7", "9", "13", "7#11", "9#11", "7b9"))),
                 condition=major_tonic_follows, title="Backdoor ii–V", boldness=8),
            Rule(("major",), (7,), (Part(0, ("m7", "m9", "m6")),
                 Part(-1, ("7", "9", "13", "7#11", "9#11", "7b9"))), min_beats=2,
                 condition=major_tonic_follows, title="Backdoor ii–V from IV", boldness=4),
            Rule(("dominant seventh",), (2,), (Part(0, ("maj7", "maj9", "maj7#11", "maj13")),),
                 condition=_is_flat_seven_of_tonic, title="Major seventh on flat seven", boldness=5),
            Rule(("dominant seventh",), (5,), (Part(-3, ("maj7", "maj9", "maj7#11", "maj13")),),
                 condition=major_tonic_follows, title="Major seventh on flat seven", boldness=15),
        ),
        reasons=("aims_at", "minor_subdominant", "seventh_resolves", "bass_into_target", "common_tones"),
        references=(COKER_BACKDOOR, CATEGORIAL, ROHRMEIER),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Bb7 | Cmaj7", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "Fm7 | Bb7 | Cmaj7", 1),
            Example("C major", "F7 | Bb7 | Cmaj7", "F7 | Bbmaj7 | Cmaj7", 2),
        ),
        counterexamples=(
            Example("C minor", "Dm7b5 | G7 | Cm6", "", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | A8 | z8"),
        ),
        boldness=38,
    ),
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
            Rule(("any",), (None,), (Part(-5, _SUBSTITUTE, of_following=True),), min_beats=2, condition=_goal_is_new,
                 tail_beats=2, title="Chromatic approach from above"),
            Rule(("any",), (None,), (Part(5, (), of_following=True),), following="stable", min_beats=2,
                 condition=_planes_into, tail_beats=2, title="Chromatic approach from below", boldness=10),
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
    ),
)  # fmt: skip
"""All techniques, in the order in which equals are listed."""

BY_ID = {technique.id: technique for technique in TECHNIQUES}
