"""What the choices of the settings are called, for menus and preferences. "&" marks the mnemonic in a menu."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

CHOICE_WORDS: Mapping[str, Mapping[Any, str]] = MappingProxyType({
    "chord_style": {"plain": "As typed: Cm7  Cm7♭5  Cmaj7", "signs": "Signs: C–7  Cø7  CΔ7",
                    "words": "Words: Cmin7  Cmin7(♭5)  Cmaj7", "capitals": "Capitals: CMI7  CMI7(♭5)  CMA7"},
    "theme": {"system": "As the &system", "light": "&Paper", "dark": "&Night"},
    "rows": {"both": "&Both, one over the other", "standard": "The &standard alone", "take": "The &take alone"},
    "bars_per_line": {0: "As many as &suit the width"} | {count: f"&{count}" for count in (2, 3, 4, 5, 6, 8)},
    "paper": {"A4": "A4", "letter": "Letter"},
})  # fmt: skip


def plain_words(key: str, value: object) -> str:
    """A choice without its mnemonic."""
    return CHOICE_WORDS[key][value].replace("&", "")
