"""Techniques of reharmonization: a table of them, what they need, what they put there, and why it works."""
