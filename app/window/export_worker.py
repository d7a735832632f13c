"""The export's own process: ``python -m app.window.export_worker CHART TARGET TAKE``.

Prints ``progress 0.42`` and, when something is wrong, ``fault SENTENCE``; ends with 1 then.
"""

from __future__ import annotations

import sys
from pathlib import Path

from core.chart import Chart
from core.chart_json import chart_from_json
from core.errors import ChangewrightError


def main(arguments: list[str]) -> int:
    """Write one file; the exit code is 0 or 1."""
    source, target, take_name = arguments
    try:
        chart = chart_from_json(Path(source).read_text(encoding="utf-8"))
        _write(chart, Path(target), take_name or None)
    except ChangewrightError as error:
        print("fault", error, flush=True)
        return 1
    except MemoryError:
        print("fault", f"{target}: there is not enough memory to write this tune.", flush=True)
        return 1
    return 0


def _write(chart: Chart, target: Path, take_name: str | None) -> None:
    ending = target.suffix.lower()
    if ending in (".musicxml", ".mxl"):
        _write_score(chart, target, take_name)
        return
    from core.arrange import arrange

    timeline, side = arrange(chart, take_name), "take" if take_name else "standard"
    if ending == ".mid":
        from core.sound.midi_file import write_midi

        write_midi(timeline, side, target)  # type: ignore[arg-type]
        return
    from core.sound.wav import render_wav

    last = -1

    def progress(share: float) -> None:
        nonlocal last
        if int(share * 100) > last:
            last = int(share * 100)
            print(f"progress {share:.2f}", flush=True)

    render_wav(timeline, side, target, progress=progress)  # type: ignore[arg-type]


def _write_score(chart: Chart, target: Path, take_name: str | None) -> None:
    from core.files import write_text_atomic
    from core.foreign.musicxml_write import write_musicxml

    shares_form = take_name is not None and chart.take_named(take_name).form is None
    row = "both" if shares_form else take_name or "standard"
    text = write_musicxml(chart, row, take_name if shares_form else None)
    if target.suffix.lower() == ".mxl":
        from core.foreign.mxl_write import write_mxl

        write_mxl(text, str(target))
    else:
        write_text_atomic(target, text)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
