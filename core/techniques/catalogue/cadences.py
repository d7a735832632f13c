"""Cadences: other ways into the tonic, past it, and late to it."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    CATEGORIAL,
    COKER_BACKDOOR,
    COKER_BLUES,
    COMMON,
    HALF_DIMINISHED,
    LYDIAN,
    MINOR_PLAIN,
    MINOR_SUBDOMINANT,
    ROHRMEIER,
    STEEDMAN,
)
from core.techniques.conditions import (
    after_its_dominant,
    all_of,
    in_major,
    in_minor,
    is_flat_seven_of_tonic,
    major_tonic_follows,
    not_already_four,
    not_last,
)
from core.techniques.technique import Example, Part, Place, Rule, Technique


def _deceived(place: Place) -> bool:
    """A major tonic after its own dominant, and not the last chord of the chorus."""
    return in_major(0)(place) and after_its_dominant(place) and not_last(place)


TECHNIQUES: tuple[Technique, ...] = (
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
        cost=11,
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
                 condition=is_flat_seven_of_tonic, title="Major seventh on flat seven", boldness=5),
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
        cost=10,
    ),
    Technique(
        id="flat_six_flat_seven",
        title="Major sevenths on flat six and flat seven",
        seam="flat six, flat seven",
        family="cadences",
        rule_text="The last two chords before a major tonic give way to the major sevenths on the flat sixth and the "
        "flat seventh of the key, which climb into it by whole steps.",
        melody_text="Over the flat seven the natural seventh, flat sixth and flat third of the key forbid it; over "
        "the flat six the natural second, sixth and leading tone want care or forbid it.",
        rules=(
            Rule(("ii", "dominant seventh"), (5, 5), (Part(-5, LYDIAN), Part(-3, LYDIAN)),
                 condition=major_tonic_follows),
            Rule(("major", "minor"), (0, 7), (Part(-3, LYDIAN), Part(-1, LYDIAN)), condition=major_tonic_follows),
            Rule(("dominant seventh",), (5,), (Part(-5, LYDIAN), Part(-3, LYDIAN)), min_beats=4,
                 condition=major_tonic_follows, boldness=5),
        ),
        reasons=("parallel_minor", "bass_line", "bass_into_target"),
        references=("“bVI–bVII–I” in encyclopedia articles on modal cadences, after Open Music Theory, Modal Schemas",),
        examples=(
            Example("C major", "Fmaj7 | Fm6 | Cmaj7", "Abmaj7 | Bbmaj7 | Cmaj7", 1),
            Example("C major", "Dm7 | G7 | Cmaj7", "Abmaj7 | Bbmaj7 | Cmaj7", 1, "z8 | F8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Fmaj7 | Fm6 | Cmaj7", "", 1, "z8 | _E8 | z8"),
            Example("C minor", "Dm7b5 | G7 | Cm6", "", 1),
        ),
        boldness=45,
        cost=13,
    ),
    Technique(
        id="minor_plagal",
        title="Minor plagal cadence",
        seam="minor IV for V",
        family="cadences",
        rule_text="The dominant of a major tonic gives way to the minor chord on the fourth degree, whose flat sixth "
        "falls to the fifth.",
        melody_text="The natural sixth and the leading tone of the key clash with the minor subdominant.",
        rules=(
            Rule(("dominant seventh",), (5,), (Part(-2, ("m6", "m69", "m7", "m9")),), condition=major_tonic_follows),
        ),
        reasons=("parallel_minor", "flat_six_falls", "bass_into_target"),
        references=(CATEGORIAL, COMMON),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Fm6 | Cmaj7", 2),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7 | Fm6 | Cmaj7", 2, "z8 | D8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 2, "z8 | A8 | z8"),
            Example("C major", "Dm7 | G7 | Am7", "", 2),
        ),
        boldness=40,
        cost=13,
    ),
    Technique(
        id="deceptive_resolution",
        title="Deceptive resolution",
        seam="deceptive resolution",
        family="cadences",
        rule_text="A dominant arrives somewhere else: the tonic after it gives way to a chord that holds the melody, "
        "on the sixth, the third, the flat sixth, the fourth, the raised fourth or the flat second degree.",
        melody_text="The new chord must carry the melody: the tonic in the tune forbids the third degree, the leading "
        "tone most of the others.",
        rules=(
            Rule(("major",), (None,), (Part(3, MINOR_PLAIN),), condition=_deceived, title="Deceptive: to vi"),
            Rule(("major",), (None,), (Part(4, ("m7", "m11")),), condition=_deceived, title="Deceptive: to iii",
                 cost=1),
            Rule(("major",), (None,), (Part(-4, LYDIAN),), condition=_deceived, boldness=15, cost=2,
                 title="Deceptive: to ♭VI"),
            Rule(("major",), (None,), (Part(-1, LYDIAN),), condition=_deceived, title="Deceptive: to IV", cost=2),
            Rule(("major",), (None,), (Part(6, HALF_DIMINISHED),), condition=_deceived, boldness=8, cost=2,
                 title="Deceptive: to ♯IV half-diminished"),
            Rule(("major",), (None,), (Part(-5, LYDIAN),), condition=_deceived, boldness=25, cost=4,
                 title="Deceptive: to ♭II"),
            Rule(("minor",), (None,), (Part(-4, LYDIAN),), condition=all_of(after_its_dominant, not_last, in_minor(0)),
                 title="Deceptive: to ♭VI in minor"),
        ),
        reasons=("arrives_elsewhere", "common_tones", "bass_into_target"),
        references=(COMMON,),
        examples=(
            Example("C major", "G7 | Cmaj7 | Fm6 | Cmaj7", "G7 | F#m7b5 | Fm6 | Cmaj7", 2),
            Example("C major", "G7 | Cmaj7 | Dm7 | G7", "G7 | Am7 | Dm7 | G7", 2),
            Example("C major", "G7 | Cmaj7 | Dm7 | G7", "G7 | Abmaj7 | Dm7 | G7", 2, "z8 | c8 | z8 | z8"),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "", 3),
            Example("C major", "Fmaj7 | Cmaj7 | Dm7 | G7", "", 2),
            Example("C major", "G7 | Cmaj7 | Dm7 | G7", "", 2, "z8 | ^c8 | z8 | z8"),
        ),
        boldness=35,
        cost=11,
    ),
    Technique(
        id="delayed_tonic",
        title="Delayed tonic",
        seam="tonic delayed",
        family="cadences",
        rule_text="A tonic of two bars or more comes late: its first half goes to the major seventh a half step above, "
        "to the diminished seventh on the tonic itself, or to the suspended dominant.",
        melody_text="What is held in the tune over the first half must fit the chord that delays.",
        rules=(
            Rule(("major",), (None,), (Part(-5, LYDIAN), Part(kept=0)), min_bars=2, condition=in_major(0)),
            Rule(("major",), (None,), (Part(0, ("dim7",)), Part(kept=0)), min_bars=2, condition=in_major(0),
                 title="Tonic delayed by its diminished"),
            Rule(("major",), (None,), (Part(1, ("9sus", "7sus", "13sus")), Part(kept=0)), min_bars=2,
                 condition=in_major(0), title="Tonic delayed by the suspended V"),
            Rule(("major",), (None,), (Part(-5, LYDIAN), Part(kept=0)), min_beats=4,
                 condition=all_of(in_major(0), after_its_dominant), boldness=8, cost=2,
                 title="Tonic delayed inside the bar"),
        ),
        reasons=("held_back", "keeps_a_root", "bass_line", "common_tones"),
        references=(COMMON,),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7 | Cmaj7", "Dm7 | G7 | Dbmaj7 | Cmaj7", 3),
            Example("C major", "Dm7 | G7 | Cmaj7 | Cmaj7", "Dm7 | G7 | Co7 | Cmaj7", 3),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Fmaj7 | Fmaj7", "", 3),
            Example("C major", "Dm7 | G7 | Cmaj7 | Cmaj7", "", 3, "z8 | z8 | E8 | z8"),
        ),
        boldness=38,
        cost=12,
    ),
    Technique(
        id="subdominant_addition",
        title="Added IV",
        seam="IV added",
        family="cadences",
        rule_text="A chord that stays for two bars gives its second half to the chord a fourth above it.",
        melody_text="The row of the added chord decides: over a dominant on four the leading tone of the old chord is "
        "its sharp eleventh, the fourth above the new root clashes.",
        rules=(
            Rule(("major",), (None,), (Part(kept=0), Part(-1, ("7", "9", "13", "7#11", "9#11"))), min_bars=1,
                 condition=not_already_four, cost=1),
            Rule(("major",), (None,), (Part(kept=0), Part(-1, ("maj7", "6", "maj9", "69", "maj7#11"))), min_bars=1,
                 condition=not_already_four, title="Major subdominant added"),
            Rule(("major",), (None,), (Part(kept=0), Part(-1, MINOR_SUBDOMINANT)), min_bars=1, boldness=14, cost=1,
                 condition=not_already_four, title="Minor subdominant added"),
            Rule(("dominant seventh",), (None,), (Part(kept=0), Part(-1, ("7", "9", "13", "7#11"))), min_bars=2,
                 condition=not_already_four, title="IV7 added"),
            Rule(("dominant seventh",), (None,),
                 (Part(kept=0), Part(-1, ("7", "9", "13", "7#11")), Part(kept=0, weight=2)), min_bars=4,
                 tail_bars=4, condition=in_major(0), title="Quick change"),
            Rule(("major",), (None,), (Part(kept=0), Part(-1, ("maj7", "6", "maj9", "69")), Part(kept=0, weight=2)),
                 min_bars=4, tail_bars=4, condition=in_major(0), title="Subdominant and back"),
            Rule(("minor",), (None,), (Part(kept=0), Part(-1, ("m7", "m6", "m9"))), min_bars=1,
                 condition=not_already_four, title="Minor subdominant added in minor"),
        ),
        reasons=("common_tones", "guide_tone_step", "parallel_minor", "bass_line"),
        references=(STEEDMAN, COKER_BLUES),
        examples=(
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "Cmaj7 | F7 | Dm7 | G7", 1),
            Example("C major", "C7 | C7 | Dm7 | G7", "C7 | F7 | Dm7 | G7", 1),
            Example("C minor", "Cm6 | Cm6 | G7 | Cm6", "Cm6 | Fm7 | G7 | Cm6", 1),
        ),
        counterexamples=(
            Example("C major", "Cmaj7 | Fmaj7 | G7 | Cmaj7", "", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "", 1, "z8 | _B8 | z8 | z8"),
        ),
        boldness=20,
        cost=8,
    ),
)  # fmt: skip
