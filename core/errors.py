"""Errors that a user can read. Each takes facts and builds one finished sentence."""

from __future__ import annotations


class ChangewrightError(Exception):
    """Base of every error that is the input's fault; ``str(error)`` is one sentence: what, where, what to do.

    ``remedy`` is what to do about it where the error is told of a whole file.
    """

    remedy = "mend that place and open it again"


class FileError(ChangewrightError):
    """A file cannot be read or written."""

    def __init__(self, path: object, problem: str, advice: str) -> None:
        self.path, self.problem, self.advice = str(path), problem, advice
        super().__init__(f"{self.path}: {problem}; {advice}.")
