"""The command line: texts on stdout, errors on stderr, exit 0 good, 1 the input's fault, 2 usage, 3 our own fault."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from importlib import import_module

from core.errors import ChangewrightError

Command = Callable[[argparse.Namespace], int]
MODULES = ("convert", "propose", "chorus", "harmonize", "check", "explain", "analyse", "voice", "line", "fit",
           "techniques", "doctor")  # fmt: skip


class UsageError(Exception):
    """Words on the command line that do not fit together; exit 2."""


def run_command(words: list[str]) -> int:
    """Run one command; errors become one sentence and an exit code, never a traceback."""
    try:
        arguments = _parser(words[0] if words else "").parse_args(words)
    except SystemExit as stop:
        return int(stop.code or 0)
    try:
        command: Command = arguments.command
        return command(arguments)
    except ChangewrightError as error:
        print(error, file=sys.stderr)
        return 1
    except UsageError as error:
        print(f"changewright {words[0]}: {error}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader has gone (head, less); what it wanted it has. Keep Python from complaining when it closes stdout.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return 1
    except Exception as error:
        if os.environ.get("CHANGEWRIGHT_DEBUG"):
            raise
        print(f"This is a fault of the program, not of your file: {type(error).__name__}: {error}. "
              "Set CHANGEWRIGHT_DEBUG=1 to see where.", file=sys.stderr)  # fmt: skip
        return 3


def _parser(command: str) -> argparse.ArgumentParser:
    """A parser for a command; each loads what it needs, and half of the time of a short one would go for the others."""
    parser = argparse.ArgumentParser(prog="changewright")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for name in (command,) if command in MODULES else MODULES:
        import_module(f"app.cli.{name}").add_to(commands)
    return parser
