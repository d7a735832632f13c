"""Lines: a single-note line over the changes, read note by note and by its shapes."""
