"""The export's own process: ``python -m app.window.export_worker CHART WISH``, the wish as JSON.

Prints ``progress 0.42``, ``written PATH`` and, when something is wrong, ``fault SENTENCE``; ends with 1 then. When its
input is closed, by a wish to stop or because the window is gone, it takes its half-written files away and ends.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from pathlib import Path
from typing import Any, cast

from core.chart import STANDARD, Chart
from core.chart_json import chart_from_json
from core.errors import ChangewrightError

Wish = dict[str, Any]


def main(arguments: list[str]) -> int:
    """Write what is wished; the exit code is 0 or 1."""
    source, words = arguments
    wish: Wish = json.loads(words)
    stopped = threading.Event()
    threading.Thread(target=_listen, args=(stopped,), name="stop", daemon=True).start()
    try:
        chart = chart_from_json(Path(source).read_text(encoding="utf-8"))
        written = _write(chart, wish, stopped)
    except ChangewrightError as error:
        print("fault", error, flush=True)
        return 1
    except MemoryError:
        print("fault", f"{wish['path']}: there is not enough memory to write this tune.", flush=True)
        return 1
    for path in written:
        print("written", path, flush=True)
    return 0


def _listen(stopped: threading.Event) -> None:
    # Read without a buffer: a lock of sys.stdin that is held at the end would bring the process down.
    while os.read(0, 64):
        pass
    stopped.set()


def _write(chart: Chart, wish: Wish, stopped: threading.Event) -> tuple[Path, ...]:
    target = Path(wish["path"])
    if target.suffix.lower() in (".musicxml", ".mxl"):
        _write_score(chart, target, wish["rows"][0])
        return (target,)
    if target.suffix.lower() == ".abc":
        _write_abc(chart, target, wish["rows"][0])
        return (target,)
    from core.sound.files_out import SoundFiles, write_sound

    last = -1

    def progress(share: float) -> None:
        nonlocal last
        if int(share * 100) > last:
            last = int(share * 100)
            print(f"progress {share:.2f}", flush=True)

    font = Path(wish["font"]) if wish["font"] else None
    wanted = SoundFiles(tuple(wish["rows"]), wish["stems"], cast(Any, wish["chords"]), font, wish["levels"])
    return write_sound(chart, target, wanted, progress, stopped.is_set) or ()


def _write_abc(chart: Chart, target: Path, row: str) -> None:
    from core.files import write_text_atomic
    from core.foreign import write_abc

    write_text_atomic(target, write_abc(chart, row or STANDARD))


def _write_score(chart: Chart, target: Path, row: str) -> None:
    """A take that shares the form is written with the standard over it."""
    from core.files import write_text_atomic
    from core.foreign.musicxml_write import BOTH, write_musicxml

    take = next((take for take in chart.takes if take.name == row), None)
    both = take is not None and take.form is None
    text = write_musicxml(chart, BOTH if both else row or STANDARD, row if both else None)
    if target.suffix.lower() == ".mxl":
        from core.foreign.mxl_write import write_mxl

        write_mxl(text, str(target))
    else:
        write_text_atomic(target, text)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
