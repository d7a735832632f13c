"""What the rows of the catalogue share: sources, and the colours a melody may choose from, plainest first."""

from __future__ import annotations

OMT_SUBSTITUTIONS = "M. Lavengood, “Substitutions”, Open Music Theory"
OMT_EMBELLISHING = "M. Lavengood, “Embellishing Chords”, Open Music Theory"
STEEDMAN = "M. Steedman 1984, Music Perception 2(1):52–77, chord rewrite rules"
CATEGORIAL = "M. Granroth-Wilding & M. Steedman 2014, Journal of New Music Research 43(4):355–374"
TEREFENKO = "D. Terefenko 2014, Jazz Theory"
TYMOCZKO = "D. Tymoczko 2011, A Geometry of Music, ch. 10"
COKER_BLUES = "J. Coker 1964, Improvising Jazz (blues variants)"
COKER_BACKDOOR = "J. Coker 1997, Elements of the Jazz Language, p. 82"
ROHRMEIER = "M. Rohrmeier 2020, Music Theory & Analysis 7(1):1–62"
THOMAS = "J. Thomas, Voice Leading for Guitar, ch. 1 (function areas)"
TURNAROUND = "“Turnaround (music)”, encyclopedia article"
DAMERON = "“Tadd Dameron turnaround”, encyclopedia article"
THIRDS = "“Coltrane changes”, encyclopedia article"
CLICHE = "Berklee reharmonization workbook excerpt, figs. 11.1–11.2 (line clichés)"
LEVINE = "M. Levine, The Jazz Piano Book, ch. 14 (upper structures)"
COMMON = "common practice, no source"

DOMINANT = ("7", "9", "13", "7b9", "7b13", "7#9", "7b9b13", "7#9b13", "13b9", "7#11", "7alt")
"""A dominant that leads a fifth down."""
LYDIAN_DOMINANT = ("7", "7#11", "9", "13", "9#11", "13#11", "7b9", "7#9", "7b13", "13b9", "13#9", "7b9b13", "7alt")
"""A substitute dominant, or one that leads nowhere: Lydian flat seven first, altered ninths last."""
BACKDOOR = ("7", "9", "13", "7#11", "9#11", "13#11", "7b9")
MINOR = ("m7", "m9", "m11", "m13")
MINOR_PLAIN = ("m7", "m9", "m11")
HALF_DIMINISHED = ("m7b5", "m11b5")
MAJOR = ("maj7", "maj9", "6", "69", "maj7#11", "maj9#11")
LYDIAN = ("maj7", "maj9", "maj7#11", "maj9#11", "maj13")
"""A major seventh that is no tonic: its fourth is raised."""
MINOR_SUBDOMINANT = ("m7", "m6", "m9", "m69")
