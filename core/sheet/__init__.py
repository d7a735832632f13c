"""Sheets for the music stand: what stands on one, as plain data, and the tune engraved. No Qt.

A :class:`~core.sheet.content.Sheet` holds everything that is printed of one chart for one purpose and one instrument;
:mod:`core.sheet.engrave` gives the staves as outlines. Where they stand on paper is decided in ``app/sheet``.
"""
