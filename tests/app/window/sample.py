"""An invented 32-bar tune with a melody and one take, for the window's tests and pictures."""

from __future__ import annotations

from functools import lru_cache

from core.bar_text import chart_from_bar_text
from core.chart import Chart

TUNE = """title: Lantern Steps
composer: Thursday class
key: Eb major
meter: 4/4
tempo: 132
feel: medium swing

[A]
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
m: G4 B4 | c4 G2 B2 | c6 A2 | B4 F4 |
| Gm7 | C7 | Fm7 | Bb7 |
m: d2 B2 G4 | e3 d c2 B2 | A2 c2 e2 c2 | d4 z4 |
[A]
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
m: G4 B4 | c4 G2 B2 | c6 A2 | B4 F4 |
| Gm7 C7 | Fm7 Bb7 | Ebmaj7 | Bbm7 Eb7 |
m: d2 B2 G2 e2 | (3c2d2c2 A2 F2 | E8- | E4 z2 =A2 |
[B]
| Abmaj7 | Abmaj7 | Abm7 | Db7 |
m: c4 e4- | e4 c2 A2 | _c6 A2 | B4 F4 |
| Gm7b5 | C7b9 | Fm7 | Bb7sus Bb7 |
m: _d4 B4 | =e4 _d2 c2 | f3 e c2 A2 | B2 c2 d2 f2 |
[A]
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
m: G4 B4 | c4 G2 B2 | c6 A2 | B4 F4 |
| Gm7 C7 | Fm7 Bb7 | Eb6 | Bb7 |
m: g3 e c2 _d2 | c3 A F2 D2 | E8- | E4 z4 |

take: Second evening
| Ebmaj7 | Gb7#11 | Fm9 | Bm7 E7#11 |
| Gm7 | C7#9 | Fm7 | Ab/Bb |
| Ebmaj7 | Cm7 | Fm7 | E7#11 |
| Gm7 Gb7 | Fm7 E7 | Ebmaj7 | Bbm7 A7#11 |
| Abmaj7 | Abmaj7 | Abm7 | Db9 |
| Gm11 | C7b9 | Fm7 | Ab/Bb Bb7 |
| Ebmaj7 | Cm7 | Fm7 | Bb7 |
| Gm7 C7 | Fm7 Bb7 | Eb6 | Bb7 |
lock: 17 18
"""


@lru_cache(maxsize=1)
def sample_chart() -> Chart:
    """The tune as a chart."""
    return chart_from_bar_text(TUNE)
