"""What two hands play: grips on a fretboard, voicings at the keyboard, and what else fits a chord.

``fretboard`` holds tunings and limits, ``fingers`` says which finger stands where, ``tones`` which tones a grip must
hold, ``grips`` finds them all by search, ``guitar`` leads them over a row, ``path`` is the exact search behind that.
"""
