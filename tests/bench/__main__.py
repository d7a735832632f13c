"""``python -m tests.bench``: every benchmark, each figure beside a reference measured in the same run."""

from __future__ import annotations

import importlib
import sys

BENCHES = ("core", "lines", "arrange", "hands", "line", "sound", "player", "sheet", "files", "window", "takes", "whole")


def main() -> None:
    """Run all benches, or those named on the command line."""
    print(f"{'what':52} {'value':>12}  {'reference':40} {'value':>12}  ratio")
    for name in sys.argv[1:] or BENCHES:
        for what, value, unit, reference, other in importlib.import_module(f"tests.bench.bench_{name}").run():
            ratio = f"{value / other:6.2f}" if other else "     -"
            print(f"{what:52} {value:10.3f} {unit:3} {reference:40} {other:10.3f} {unit:3} {ratio}", flush=True)


if __name__ == "__main__":
    main()
