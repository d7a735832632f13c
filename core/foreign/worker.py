"""The reading process: limits first, then the file, then one JSON object on standard output.

``{"chart": <our chart JSON>, "report": [...]}`` or ``{"problem": ..., "advice": ...}``. It needs no device, no
network and no site packages, and writes nothing (but Python's own bytecode, hence the small limit).
"""

from __future__ import annotations

import contextlib
import json
import sys
from pathlib import Path

MAX_MEMORY_BYTES = 288 * 1024 * 1024
MAX_CPU_SECONDS = 20


def limit_process() -> None:
    """Cap memory and processor time of this process where the system can."""
    try:
        import resource
    except ImportError:  # not a POSIX system: the parent's time limit still holds
        return
    for what, value in ((resource.RLIMIT_AS, MAX_MEMORY_BYTES), (resource.RLIMIT_CPU, MAX_CPU_SECONDS),
                        (resource.RLIMIT_FSIZE, 4_000_000), (resource.RLIMIT_CORE, 0)):  # fmt: skip
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(what, (value, value))


def answer(path: Path) -> dict[str, object]:
    """Read one file and say what came of it."""
    from core.chart_json import chart_to_json
    from core.errors import ChangewrightError
    from core.foreign.container import score_chunks
    from core.foreign.musicxml_read import read_musicxml
    from core.foreign.xml_stream import Refused

    try:
        chart, report = read_musicxml(score_chunks(path), path.name.split(".")[0] or path.name)
        return {"chart": chart_to_json(chart), "report": report}
    except Refused as refusal:
        return {"problem": refusal.problem, "advice": refusal.advice}
    except ChangewrightError as error:
        return {"problem": str(error).rstrip("."), "advice": "mend the score and open it again"}
    except (MemoryError, RecursionError):
        return {"problem": "needs more memory than any lead sheet", "advice": "open a shorter score"}
    except OSError as error:
        return {"problem": f"cannot be read ({(error.strerror or str(error)).lower()})",
                "advice": "check the name and the rights"}  # fmt: skip


def main() -> None:
    """Read the file named on the command line."""
    limit_process()
    sys.stdout.write(json.dumps(answer(Path(sys.argv[1]))))
