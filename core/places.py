"""Where the program's own data is: beside the code in a checkout, under the environment when installed."""

from __future__ import annotations

import sysconfig
from pathlib import Path

_CHECKOUT = Path(__file__).resolve().parents[1]
_INSTALLED = Path(sysconfig.get_path("data")) / "share" / "changewright"


def folder(name: str) -> Path:
    """A folder of data: ``"resources"`` or ``"demo_charts"``."""
    return next((root / name for root in (_CHECKOUT, _INSTALLED) if (root / name).is_dir()), _INSTALLED / name)
