"""How the tune is practised, as one value, and what the window says about it. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from core.arrange import BANDS, VOICING_STYLES, Settings
from core.sound.practice import PARTS_OF_BAND, Click, Practice, Ramp, silent_parts
from core.voicing_shapes import VoicingStyle

KEPT = ("player", "voicing", "click", "at_bar", "drop_on", "drop_off", "ramp_start", "ramp_step", "ramp_passes",
        "ramp_target")  # fmt: skip
"""What is remembered from one evening to the next; a tempo, a mute or a running ramp would only puzzle then."""

BAND_WORDS: Mapping[str, str] = MappingProxyType({name: name for name in BANDS})
PLAYER_WORDS: Mapping[str, str] = MappingProxyType(
    {"C": "concert pitch", "Bb": "B♭ instruments", "Eb": "E♭ instruments", "F": "F instruments"}
)
VOICING_WORDS: Mapping[str, str] = MappingProxyType({name: name for name in VOICING_STYLES})
CLICK_WORDS: Mapping[str, str] = MappingProxyType({"off": "off", "backbeat": "2 and 4", "beats": "every beat"})
SWITCH_WORDS: Mapping[str, str] = MappingProxyType({"now": "at once", "bar": "at the next bar"})
SHOWN_AT_MOST = 2
MAX_BARS = 64


@dataclass(frozen=True, slots=True)
class PracticeState:
    """All that can be set. ``bpm`` None is the chart's tempo; counts are bars and passes, the ramp is in percent."""

    bpm: int | None = None
    band: str = "whole band"
    player: str = "C"
    voicing: VoicingStyle = "rootless"
    click: Click = "off"
    at_bar: bool = False
    drop: bool = False
    drop_on: int = 4
    drop_off: int = 4
    ramp: bool = False
    ramp_start: int = 60
    ramp_step: int = 5
    ramp_passes: int = 2
    ramp_target: int = 100
    muted: frozenset[str] = frozenset()
    soloed: frozenset[str] = frozenset()

    @property
    def practice(self) -> Practice:
        """What the arranger is told."""
        bpm = None if self.bpm is None else float(self.bpm)
        return Practice(Settings(bpm=bpm, band=self.band, player=self.player, voicing=self.voicing), self.click)

    @property
    def ramp_now(self) -> Ramp | None:
        """The slow-down loop, where it runs; its target is never below its start."""
        if not self.ramp:
            return None
        return Ramp(self.ramp_start, self.ramp_step, self.ramp_passes, max(self.ramp_start, self.ramp_target))

    @property
    def drop_outs(self) -> tuple[int, int] | None:
        """Bars on and off, where the band drops out."""
        return (self.drop_on, self.drop_off) if self.drop else None

    @property
    def silent(self) -> frozenset[str]:
        """The parts that are not heard."""
        return silent_parts(self.muted, self.soloed)

    def is_playable(self) -> bool:
        """Whether band, bars and ramp can be played; raises a ChangewrightError for what they refuse by themselves."""
        made = (self.practice, replace(self, ramp=True).ramp_now)
        return None not in made and all(1 <= count <= MAX_BARS for count in (self.drop_on, self.drop_off))

    def with_part(self, name: str, part: str, on: bool) -> PracticeState:
        """A part muted or soloed (``name``), or not."""
        parts: frozenset[str] = getattr(self, name)
        changed: dict[str, Any] = {name: parts | {part} if on else parts - {part}}
        return replace(self, **changed)


def summary(state: PracticeState, tempo: int, ramp_index: int, rests: bool) -> str:
    """The word on the transport: "practice", or what is unlike a plain play-through, at most two things."""
    if rests:
        return "the band drops out"
    said = _differences(state, tempo, ramp_index)
    if not said:
        return "practice"
    return " · ".join(said[:SHOWN_AT_MOST]) + (" …" if len(said) > SHOWN_AT_MOST else "")


def _differences(state: PracticeState, tempo: int, ramp_index: int) -> list[str]:
    said = []
    if (ramp := state.ramp_now) is not None:
        said.append(f"{ramp.percent(ramp_index)} % = {ramp.bpm(ramp_index, state.bpm or tempo):.0f} bpm")
    if state.band != "whole band":
        said.append(BAND_WORDS[state.band])
    if state.soloed:
        said.append("only " + ", ".join(part for part in PARTS_OF_BAND if part in state.soloed))
    elif state.muted:
        said.append("no " + ", ".join(part for part in PARTS_OF_BAND if part in state.muted))
    if state.drop:
        said.append(f"{state.drop_on} on, {state.drop_off} off")
    if state.click != "off":
        said.append("click" if state.click == "beats" else "click 2 and 4")
    if state.player != "C":
        said.append("for " + PLAYER_WORDS[state.player].split()[0])
    return said
