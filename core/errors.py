"""Errors that a user can read. Each takes facts and builds one finished sentence."""

from __future__ import annotations


class ChangewrightError(Exception):
    """Base of every error that is the input's fault; ``str(error)`` is one sentence: what, where, what to do."""


class FileError(ChangewrightError):
    """A file cannot be read or written."""

    def __init__(self, path: object, problem: str, advice: str) -> None:
        self.path = str(path)
        super().__init__(f"{self.path}: {problem}; {advice}.")
