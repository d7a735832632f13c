"""The one check command: ``python -m tests.check``. Format, lint, types, then the whole suite; the first fault stops it."""

from __future__ import annotations

import subprocess
import sys

STEPS = (
    ("ruff", "format", "--check", "."),
    ("ruff", "check", "."),
    ("mypy",),
    ("pytest",),
)


def main() -> int:
    """Run every step with this Python; extra words go to pytest."""
    for step in STEPS:
        words = [sys.executable, "-m", *step, *(sys.argv[1:] if step == ("pytest",) else [])]
        print("·", *step, flush=True)
        code = subprocess.run(words, check=False).returncode
        if code:
            return code
    return 0


if __name__ == "__main__":
    sys.exit(main())
