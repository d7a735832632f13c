"""From a timeline to samples and files: SoundFont, note bank, mixer, wave file, MIDI file. Opens no device.

Importing the package loads nothing; its modules load numpy, midirenderer or mido where they need them.
"""
