"""Keep the texts that C libraries print while they look for devices away from the user's terminal."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def quiet_stderr() -> Iterator[None]:
    """Send file descriptor 2 to nowhere for the length of the block. For probes only: it holds for all threads."""
    try:
        kept = os.dup(2)
    except OSError:  # there is no stderr at all
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nowhere)
