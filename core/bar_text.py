"""Bar text: a chart as plain text, meant to be typed; lossless both ways.

Header lines ``key: value``, an empty line, then bars between ``|``. In a bar:

============== ===================================================================================
``Dm7 G7``      chords share the bar evenly
``Dm7 / / G7``  with slashes every chord and every ``/`` is one beat
``C7*3/2``      a chord with its length in quarter notes
``%``           the bar before again;  ``~`` the chord before held over the bar line
``N.C.``        no chord;  ``(Db7)`` a chord that may be left out
``1.`` ``1,2.`` the bar is in these endings;  ``|:`` and ``:|`` or ``:|x3`` repeat
``{segno}``     marks and jumps: ``{coda} {fine} {to coda} {da capo al fine}`` …
``{3/4}``       a new metre; ``{key Bb major}`` a new signature; ``{length 2}`` a bar longer or shorter than its
                metre; ``{pickup}``; ``{bar 12a}`` the printed number
============== ===================================================================================

``[A]`` on its own line names a section. ``m:`` under a line of bars holds their melody in ABC note syntax.
``row: NAME`` and ``take: NAME`` begin further rows over the same bars; ``(as played)`` after the name says that the
bars are written in the order they are played, repeats unfolded. Under a take: ``seed:``, ``lock:``, ``note:``,
``step:``, and ``form: own`` with ``key:`` and ``align:`` when it has bars of its own.
``order: 1 2 1 3`` in the header or under a take with bars of its own is the order of play where repeats and jumps do
not say it. ``class:`` in the header keeps what a teacher prepared, as one line of JSON.
"""

from __future__ import annotations

from core.bar_slots import BarError, parse_bar
from core.bar_text_read import BarTextError, chart_from_bar_text, is_ours
from core.bar_text_write import bar_to_text, chart_to_bar_text

__all__ = [
    "BarError",
    "BarTextError",
    "bar_to_text",
    "chart_from_bar_text",
    "chart_to_bar_text",
    "is_ours",
    "parse_bar",
]
