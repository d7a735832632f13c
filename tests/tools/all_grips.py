"""Every grip of every chord quality on every root, in every style, on every tuning, judged by an independent hand.

``python -m tests.tools.all_grips`` prints how many grips there were and those that cannot be held; it takes minutes.
"""

from __future__ import annotations

from core.chord import chord
from core.hands.fretboard import TUNINGS, Fretboard
from core.hands.grips import Player, grips_of
from core.hands.tones import GUITAR_STYLES
from core.quality import QUALITIES
from core.voicing_sets import kind_of
from tests.core.hands.hand import can_be_held, is_possible


def main() -> None:
    """Try them all."""
    tried, wrong, empty = 0, [], []
    for name, strings in TUNINGS.items():
        for style in GUITAR_STYLES if name == "standard" else ("grips",):
            for bass in (True, False):
                player = Player(Fretboard(strings), style, bass)
                for identifier in QUALITIES:
                    for root in range(-6, 6) if name == "standard" else (-3, 0, 4):
                        item = chord(root, identifier)
                        grips = grips_of(item, kind_of(item, None, None), player)
                        if not grips:
                            empty.append((name, style, item.canonical))
                        for grip in grips:
                            tried += 1
                            fingers = {string: finger for string, finger in enumerate(grip.fingers) if finger}
                            if not (can_be_held(grip.frets) and is_possible(grip.frets, fingers)):
                                wrong.append((name, style, item.canonical, grip.text))
            print(f"{name:20} {style:10} {tried} grips so far, {len(wrong)} that no hand holds", flush=True)
    print(*wrong, sep="\n")
    print(f"{tried} grips, {len(wrong)} that no hand holds, {len(empty)} chords without one: {empty[:20]}")


if __name__ == "__main__":
    main()
