"""The room around the book: window, command line, audio device, MIDI ports."""
