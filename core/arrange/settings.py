"""What can be chosen about a performance besides the chart: one frozen value for the arranger.

What is left at its default comes from the chart or the take. Window, player and command line read their lists of names
here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from core.errors import ChangewrightError
from core.feel import FEEL_NAMES
from core.voicing_shapes import VOICING_STYLES, VoicingStyle

__all__ = ["BANDS", "FEEL_NAMES", "PLAYERS", "VOICING_STYLES", "Settings", "SettingsError"]

BANDS: Mapping[str, frozenset[str]] = MappingProxyType({
    "whole band": frozenset(("piano", "bass", "drums", "tune")),
    "without the tune": frozenset(("piano", "bass", "drums")),
    "without the piano": frozenset(("bass", "drums", "tune")),
    "without the bass": frozenset(("piano", "drums", "tune")),
    "bass and drums": frozenset(("bass", "drums")),
    "bass only": frozenset(("bass",)),
    "guide tones only": frozenset(("piano",)),
})  # fmt: skip
"""Which parts play, by the name a list of bands shows. "guide tones only" also sets the piano's voicing."""

PLAYERS: Mapping[str, tuple[int, int]] = MappingProxyType({"C": (0, 0), "Bb": (-2, -2), "Eb": (-3, 3), "F": (-1, 5)})
"""How far the band plays from the page, in fifths and in semitones, so that a player of a transposing instrument who
reads the page as it stands is in tune: their written C sounds B\u266d, E\u266d or F."""


class SettingsError(ChangewrightError):
    """A choice that is none; the sentence lists what there is."""

    remedy = "choose one of those"


@dataclass(frozen=True, slots=True)
class Settings:
    """Choices for a performance.

    ``seed`` None is the take's (a standard row alone has 1); ``bpm`` (quarter notes a minute) and ``feel`` (words)
    None are the chart's. ``voicing`` is a row of :data:`VOICING_STYLES`, ``band`` of :data:`BANDS`, ``player`` of
    :data:`PLAYERS`. Raises :class:`SettingsError` for a name that is not there.
    """

    seed: int | None = None
    bpm: float | None = None
    feel: str | None = None
    voicing: VoicingStyle = "rootless"
    band: str = "whole band"
    player: str = "C"

    def __post_init__(self) -> None:
        known = (("voicing", self.voicing, VOICING_STYLES), ("band", self.band, tuple(BANDS)),
                 ("player", self.player, tuple(PLAYERS)))  # fmt: skip
        for what, name, names in known:
            if name not in names:
                raise SettingsError(f"There is no {what} named {name!r}; there are {', '.join(map(repr, names))}.")

    @property
    def parts(self) -> frozenset[str]:
        """The parts that play."""
        return BANDS[self.band]

    @property
    def style(self) -> VoicingStyle:
        """The voicing the piano plays."""
        return "guide tones" if self.band == "guide tones only" else self.voicing
