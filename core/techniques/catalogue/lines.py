"""Lines and pedals: one voice moves, or one stays."""

from __future__ import annotations

from core.techniques.catalogue.shared import (
    CLICHE,
    COMMON,
)
from core.techniques.conditions import (
    first_is_tonic,
    not_into_the_end,
    stays_on_the_tonic,
    tonic_follows,
)
from core.techniques.technique import Example, Part, Rule, Technique

TECHNIQUES: tuple[Technique, ...] = (
    Technique(
        id="line_cliche",
        title="Line cliché",
        seam="line cliché",
        family="lines and pedals",
        rule_text="Over a chord that stays two bars one voice moves by half steps: down from the root of a minor "
        "or major chord, up from its fifth, or up from the fifth of a major one.",
        melody_text="The tune must not sit a half step from the moving voice in the same octave.",
        rules=(
            Rule(("minor",), (None,), tuple(Part(0, (kind,)) for kind in ("m", "mM7", "m7", "m6")), min_bars=2,
                 tail_bars=2),
            Rule(("minor",), (None,), tuple(Part(0, (kind,)) for kind in ("m", "m#5", "m6", "m7")), min_bars=2,
                 tail_bars=2, title="Rising line cliché"),
            Rule(("major",), (None,), tuple(Part(0, (kind,)) for kind in ("maj", "aug", "6", "7")), min_bars=2,
                 tail_bars=2, title="Rising line cliché in major"),
            Rule(("major",), (None,), tuple(Part(0, (kind,)) for kind in ("maj", "maj7", "7", "6")), min_bars=2,
                 tail_bars=2, title="Falling line cliché in major"),
            Rule(("minor", "dominant seventh"), (5, None),
                 (Part(1, ("m",)), Part(1, ("mM7",)), Part(1, ("m7",)), Part(kept=1)), min_bars=2,
                 title="Line cliché through ii–V"),
        ),
        reasons=("moving_voice", "bass_into_target"),
        references=(CLICHE, COMMON),
        examples=(
            Example("A minor", "Am7 | Am7 | Dm7 | E7", "Am AmM7 | Am7 Am6 | Dm7 | E7", 1),
            Example("C major", "Cmaj7 | Cmaj7 | Dm7 | G7", "C C+ | C6 C7 | Dm7 | G7", 1),
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm DmM7 | Dm7 G7 | Cmaj7", 1),
        ),
        counterexamples=(
            Example("A minor", "Am7 | Dm7 | E7 | Am6", "", 1),
            Example("A minor", "Am7 | Am7 | Dm7 | E7", "", 1, "_A8 | _B8 | z8 | z8"),
        ),
        boldness=22,
        cost=10,
        melody_law="beside_the_line",
    ),
    Technique(
        id="pedal_point",
        title="Pedal point",
        seam="pedal",
        family="lines and pedals",
        rule_text="One note stays in the bass, the fifth of the key before a cadence or the tonic through a vamp; the "
        "chords above it go on as before.",
        melody_text="The tune is as it was; a note a half step above the pedal wants care.",
        rules=(
            Rule(("ii", "dominant seventh"), (5, 5), (Part(kept=0, bass_offset=0), Part(kept=1)),
                 condition=tonic_follows),
            Rule(("major", "dominant seventh"), (2, 5), (Part(kept=0, bass_offset=0), Part(kept=1)),
                 condition=tonic_follows),
            Rule(("any", "ii", "dominant seventh"), (None, 5, 5),
                 (Part(kept=0, bass_offset=0), Part(kept=1, bass_offset=0), Part(kept=2)), condition=tonic_follows,
                 boldness=6, title="Dominant pedal, longer"),
            Rule(("dominant seventh",), (5,),
                 (Part(kept=0, weight=2), Part(-5, ("dim7",), bass_offset=0), Part(kept=0)), min_bars=1,
                 condition=tonic_follows, boldness=10, title="Diminished over the dominant pedal"),
            Rule(("stable", "any", "stable"), (None, None, None),
                 (Part(kept=0), Part(kept=1, bass_offset=0, of="tonic"), Part(kept=2)),
                 condition=stays_on_the_tonic, title="Tonic pedal"),
            Rule(("stable", "ii", "dominant seventh", "stable"), (2, 5, 5, None),
                 (Part(kept=0), Part(kept=1, bass_offset=0, of="first"), Part(kept=2, bass_offset=0, of="first"),
                  Part(kept=3)), condition=first_is_tonic, boldness=6, title="Tonic pedal under ii–V"),
        ),
        reasons=("held_bass", "bass_into_target"),
        references=(COMMON,),
        examples=(
            Example("C major", "Dm7 | G7 | Cmaj7", "Dm7/G | G7 | Cmaj7", 1),
            Example("C major", "Cmaj7 | Fmaj7 | Cmaj7 | G7", "Cmaj7 | Fmaj7/C | Cmaj7 | G7", 1),
            Example("C major", "Dm7 | G7 | G7 | Cmaj7", "Dm7 | G7 | Abo7/G G7 | Cmaj7", 2),
        ),
        counterexamples=(
            Example("C major", "Dm7 | G7 | Am7", "", 1),
            Example("C major", "Cmaj7 | Fmaj7 | Dm7 | G7", "", 1),
        ),
        boldness=20,
        cost=6,
    ),
    Technique(
        id="stepwise_bass",
        title="Inversion for a stepwise bass",
        seam="inversion",
        family="colour",
        rule_text="The same chord stands over its third, fifth or seventh, so that the bass moves by step into the "
        "next one.",
        melody_text="Nothing changes but the bass; the tune is as free as it was.",
        rules=(
            Rule(("major",), (9,), (Part(kept=0), Part(0, ("maj",), bass_offset=5)), following="minor", min_beats=2),
            Rule(("major",), (5,), (Part(kept=0), Part(kept=0, bass_offset=4)), min_beats=2,
                 title="Over its third into the fourth"),
            Rule(("dominant seventh",), (5,), (Part(kept=0, bass_offset=4),), condition=not_into_the_end, boldness=12,
                 title="V over its third"),
            Rule(("major",), (2,), (Part(kept=0), Part(kept=0, bass_offset=4)), min_beats=2, cost=1,
                 title="Over its third into ii"),
        ),
        reasons=("bass_line",),
        references=(COMMON,),
        examples=(
            Example("C major", "C6 | Fmaj7 | G7 | C6", "C6 C6/E | Fmaj7 | G7 | C6", 1),
            Example("C major", "C6 | Am7 | Dm7 | G7", "C6 C/B | Am7 | Dm7 | G7", 1),
        ),
        counterexamples=(
            Example("C major", "C6 | Ebmaj7 | Dm7 | G7", "", 1),
            Example("C major", "Cmaj7 | Ab7 | G7 | C6", "", 1),
        ),
        boldness=8,
        cost=4,
    ),
)  # fmt: skip
