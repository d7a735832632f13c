"""The player: a process of its own that holds the mixer, the audio device and the MIDI port.

``client`` is the window's side and needs the standard library only; everything else belongs to the player process.
"""
