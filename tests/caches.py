"""The caches of the harmony book, emptied: what is worked out anew has to come out as it was."""

from __future__ import annotations

import sys
from functools import _lru_cache_wrapper


def empty_caches() -> None:
    """Empty every cache of every module of ``core`` that is loaded."""
    for name, module in list(sys.modules.items()):
        if name.startswith("core."):
            for cached in vars(module).values():
                if isinstance(cached, _lru_cache_wrapper):
                    cached.cache_clear()
