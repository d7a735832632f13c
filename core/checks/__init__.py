"""The three checks of a change: melody, voice leading, function."""
