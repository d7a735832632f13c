"""``changewright``: the window, or one of the commands that need no display."""

from __future__ import annotations

import difflib
import sys
from pathlib import Path

COMMANDS = ("convert", "propose", "chorus", "harmonize", "check", "explain", "analyse", "voice", "line", "fit",
            "techniques", "doctor")  # fmt: skip
HELP = """usage: changewright [FILE]                open the window
       changewright COMMAND … [--help]     run a command without a display

commands:
  convert IN OUT    between .changes.json, .txt, .musicxml, .mxl, and to .mid, .wav and sheets as .pdf, .svg, .png
  propose FILE      substitutions for a bar, checked and explained, and what was refused
  chorus FILE       whole-form takes, the best under a written cost and the next that are unlike it
  harmonize FILE    chords for a tune that has none, or over a typed bass line
  check FILE        every finding for a take against the standard row
  explain FILE      each difference between the rows, and the techniques that produce it
  analyse FILE      numeral, function, role and target of every chord; --lines reads rows on JSON lines
  voice FILE        voicings for piano or guitar, led over a row; scales and upper structures of its chords
  line FILE         a single-note line read against a row: degrees, shapes, a summary; lines to practise
  fit --lines       melody notes against a chord, a JSON line each
  techniques        the technique book: every technique with its rule, examples and sources
  doctor            versions, sound, MIDI ports, SoundFont: what is there, what is missing, what to install
"""


def main(arguments: list[str] | None = None) -> int:
    """Run the program; returns the exit code: 0 good, 1 the input's fault, 2 usage, 3 our own fault."""
    words = sys.argv[1:] if arguments is None else arguments
    if words[:1] in (["-h"], ["--help"]):
        print(HELP, end="")
        return 0
    if words[:1] == ["--version"]:
        from importlib.metadata import version

        print("changewright", version("changewright"))
        return 0
    if words and words[0] in COMMANDS:
        from app.cli import run_command

        return run_command(words)
    return _window(words)


def _window(words: list[str]) -> int:
    if len(words) > 1 or any(word.startswith("-") for word in words):
        print(HELP, end="", file=sys.stderr)
        print(f"changewright: cannot read {' '.join(words)!r}; give one file or a command.", file=sys.stderr)
        return 2
    if words and not Path(words[0]).exists() and "." not in words[0] and "/" not in words[0]:
        close = difflib.get_close_matches(words[0], COMMANDS, n=1)
        hint = f"; did you mean {close[0]!r}?" if close else "; the commands are " + ", ".join(COMMANDS) + "."
        print(f"There is no file or command {words[0]!r}{hint}", file=sys.stderr)
        return 1
    from app.display import display_problem

    problem = display_problem()
    if problem is not None:
        print(problem, file=sys.stderr)
        return 1
    from app.window import run_window

    return int(run_window(words[0] if words else None))


if __name__ == "__main__":
    sys.exit(main())
