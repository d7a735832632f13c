"""How an excerpt sounds: the band plays it, and only the parts that are asked about are heard."""

from __future__ import annotations

from dataclasses import replace

from core.arrange import Settings, arrange
from core.ear.question import Excerpt
from core.timeline import Timeline


def excerpt_timeline(excerpt: Excerpt) -> Timeline:
    """The notes of an excerpt; guide tones where it asks for them."""
    settings = Settings(voicing="guide tones") if excerpt.guides else Settings()
    timeline = arrange(excerpt.chart, None, settings=settings)
    return replace(timeline, events=tuple(event for event in timeline.events if event.part in excerpt.parts))
