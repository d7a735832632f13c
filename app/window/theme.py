"""Colours of the two themes, as plain tables, and the contrast they must keep.

Paper and ink: a page on a desk, black ink for what is printed, a second ink (green) for what is written over it,
and three hues for function. Colour is never the only sign of anything.
Contrast is that of WCAG 2.2, "contrast ratio"; text keeps 4.5 : 1 on every ground it stands on (a test computes it).
"""

from __future__ import annotations

from typing import NamedTuple


class Theme(NamedTuple):
    """Every colour of the window, "#rrggbb"."""

    name: str
    desk: str  # the window behind the page
    foot: str  # the band of the transport and the form strip
    page: str  # paper
    card: str  # a proposal
    card_chosen: str  # the selected proposal
    edge: str  # outlines of page, cards and fields
    hair: str  # staff and bar lines
    ink: str  # print
    label: str  # small words
    pale: str  # what the take leaves as it was
    second: str  # the second ink: the take
    second_wash: str  # ground of a selection
    on_second: str  # text on a field of second ink
    tonic: str
    subdominant: str
    dominant: str
    neutral: str
    good: str
    caution: str
    clash: str
    playhead: str
    thread: str  # guide tones of the take
    thread_pale: str  # guide tones of the standard
    key_black: str
    key_white: str


LIGHT = Theme(
    name="light",
    desk="#EFEBE3",
    foot="#E4E0D4",
    page="#FCF9F2",
    card="#FCF9F2",
    card_chosen="#FFFFFF",
    edge="#D8D2C5",
    hair="#B9B3A6",
    ink="#1D2330",
    label="#5C584F",
    pale="#74706A",
    second="#0B6460",
    second_wash="#E4ECE5",
    on_second="#FFFFFF",
    tonic="#2F5488",
    subdominant="#6C6B12",
    dominant="#A8401F",
    neutral="#6B675F",
    good="#0B6460",
    caution="#85540A",
    clash="#A02B22",
    playhead="#B4451F",
    thread="#0B6460",
    thread_pale="#B7B2A6",
    key_black="#20242E",
    key_white="#FFFDF8",
)

DARK = Theme(
    name="dark",
    desk="#16181C",
    foot="#1C1F24",
    page="#212429",
    card="#25292F",
    card_chosen="#2C3238",
    edge="#3A3F47",
    hair="#5F636A",
    ink="#ECE7DC",
    label="#B4AFA4",
    pale="#949087",
    second="#6CCFBF",
    second_wash="#253836",
    on_second="#10211F",
    tonic="#8FB4EA",
    subdominant="#C9C56A",
    dominant="#F0936F",
    neutral="#A39E94",
    good="#6CCFBF",
    caution="#E3B35C",
    clash="#F5897D",
    playhead="#F0936F",
    thread="#6CCFBF",
    thread_pale="#575C63",
    key_black="#14161A",
    key_white="#E9E4D9",
)

THEMES = {"light": LIGHT, "dark": DARK}

# Which colours are used for text, and the grounds they are used on.
TEXT_PAIRS = tuple(
    (text, ground)
    for text, grounds in (
        ("ink", ("desk", "foot", "page", "card", "card_chosen", "second_wash")),
        ("label", ("desk", "foot", "page", "card", "card_chosen", "second_wash")),
        ("pale", ("page",)),
        ("second", ("desk", "foot", "page", "card", "card_chosen", "second_wash")),
        ("on_second", ("second",)),
        ("good", ("card", "card_chosen")),
        ("caution", ("card", "card_chosen", "desk")),
        ("clash", ("card", "card_chosen", "desk", "page")),
        ("neutral", ("page",)),
        ("dominant", ("page", "desk")),
        ("tonic", ("page",)),
        ("subdominant", ("page",)),
    )
    for ground in grounds
)


def luminance(colour: str) -> float:
    """Relative luminance 0..1 of "#rrggbb" (WCAG 2.2)."""
    channels = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio 1..21 of two colours (WCAG 2.2): ``contrast('#000000', '#ffffff') == 21``."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def colours(theme: Theme) -> dict[str, str]:
    """The theme's colours by name, without the theme's own name."""
    return {name: value for name, value in theme._asdict().items() if name != "name"}
