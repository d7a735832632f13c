"""The harmony book: pitch, chord, chart, analysis, techniques, checks, voicing, arrangement, sound.

Nothing here imports Qt or opens a device.
"""
