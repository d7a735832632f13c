"""``python -m app.player``: the player process, or with ``--probe`` what it finds, as one JSON document."""

from __future__ import annotations

import argparse
import json
import os
import shutil
import signal
import sys
import threading
from pathlib import Path
from typing import BinaryIO

from app.player.protocol import Header, ProtocolError, read_message, write_message
from app.player.urgent import calm_process, hurry_process


def main(arguments: list[str] | None = None) -> int:
    """Run until the window closes the pipe or says quit; 0 then, 3 for bytes that are no message."""
    options = _parse(arguments)
    if options.probe:
        from app.player.probe import probe

        print(json.dumps(probe(options.font), ensure_ascii=False, indent=2))
        return 0
    if options.render:
        from app.player.rendering import serve_notes

        signal.signal(signal.SIGINT, signal.SIG_IGN)
        calm_process()
        serve_notes(options.font, sys.stdin.buffer, _own_stdout())
        return 0
    # A Ctrl-C in the terminal reaches both processes; the window decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    hurry_process()
    return _serve(options, sys.stdin.buffer, _own_stdout())


def _parse(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="app.player", description="Plays what the window sends.")
    parser.add_argument("--probe", action="store_true", help="print devices, ports and SoundFont as JSON and end")
    parser.add_argument("--render", action="store_true", help="render notes for a player")
    parser.add_argument("--device", default="default", help="default, null, or a device by name")
    parser.add_argument("--buffer", type=int, default=20, help="milliseconds a block (default 20)")
    parser.add_argument("--font", type=Path, default=None, help="a SoundFont to use instead of the default")
    parser.add_argument("--notes", type=Path, default=None, help="a folder that keeps rendered notes for a session")
    parser.add_argument("--standby", action="store_true", help="load everything, open no device until told to begin")
    return parser.parse_args(arguments)


def _own_stdout() -> BinaryIO:
    """The pipe to the window, taken away from everyone else: a library that prints must not break a message."""
    pipe = os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return pipe


def _serve(options: argparse.Namespace, commands: BinaryIO, events: BinaryIO) -> int:
    lock = threading.Lock()

    def send(header: Header) -> None:
        try:
            with lock:
                write_message(events, header)
        except (OSError, ValueError):
            # The window is gone; the end of stdin ends this process too.
            return

    send({"event": "started", "pid": os.getpid()})
    from app.player.process import Player

    player = Player(send, font=options.font, notes=options.notes, standby=options.standby)
    if not options.standby:
        player.start(options.device, options.buffer)
    try:
        while (message := read_message(commands)) is not None:
            if message[0].get("do") == "quit":
                return 0
            player.handle(*message)
        if options.notes:  # the window is gone without a word: nobody else will clear up
            shutil.rmtree(options.notes, ignore_errors=True)
        return 0
    except ProtocolError:
        return 3
    finally:
        player.close()


if __name__ == "__main__":
    # Device threads of foreign libraries must not keep a closed player alive.
    code = main()
    sys.stdout.flush()
    os._exit(code)
