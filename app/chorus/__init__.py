"""Whole takes for the window: looked for and priced in a process of their own, ``python -m app.chorus``."""
