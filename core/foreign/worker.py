"""The reading process: limits first, then the file, then one JSON object on standard output.

``{"chart": <our chart JSON>, "report": [...], "questions": [...]}`` or ``{"problem": ..., "advice": ...}``. It needs
no device, no network and no site packages, and writes nothing (but Python's own bytecode, hence the small limit).
"""

from __future__ import annotations

import contextlib
import gc
import json
import signal
import sys
from dataclasses import asdict
from pathlib import Path
from types import FrameType

MAX_MEMORY_BYTES = 288 * 1024 * 1024
MAX_CPU_SECONDS = 1.6
"""Processor time, not time on the clock: a busy machine refuses no more than an idle one."""


class OutOfTime(BaseException):
    """The reader has used its processor time; no handler for mistakes in a file may swallow it."""


def limit_process() -> None:
    """Cap memory and processor time of this process where the system can."""
    try:
        import resource
    except ImportError:  # not a POSIX system: the parent's time limit still holds
        return
    hard = int(MAX_CPU_SECONDS) + 2
    for what, value in ((resource.RLIMIT_AS, MAX_MEMORY_BYTES), (resource.RLIMIT_CPU, hard),
                        (resource.RLIMIT_FSIZE, 4_000_000), (resource.RLIMIT_CORE, 0)):  # fmt: skip
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(what, (value, value))
    signal.signal(signal.SIGPROF, _out_of_time)
    signal.setitimer(signal.ITIMER_PROF, MAX_CPU_SECONDS)


def _out_of_time(_signal: int, _frame: FrameType | None) -> None:
    raise OutOfTime


def answer(path: Path, choices: dict[str, str] | None = None) -> dict[str, object]:
    """Read one file and say what came of it."""
    from core.chart_json import chart_to_json
    from core.errors import ChangewrightError
    from core.foreign.doors import read_any
    from core.foreign.xml_stream import Refused

    try:
        reading = read_any(path, choices or {})
        return {"chart": chart_to_json(reading.chart), "report": reading.report,
                "questions": [asdict(question) for question in reading.questions]}  # fmt: skip
    except Refused as refusal:
        return {"problem": refusal.problem, "advice": refusal.advice}
    except ChangewrightError as error:
        return {"problem": str(error).rstrip("."), "advice": error.remedy}
    except OutOfTime:
        return {"problem": "takes longer to read than any lead sheet", "advice": "open a shorter score"}
    except (MemoryError, RecursionError):
        return {"problem": "needs more memory than any lead sheet", "advice": "open a shorter score"}
    except OSError as error:
        return {"problem": f"cannot be read ({(error.strerror or str(error)).lower()})",
                "advice": "check the name and the rights"}  # fmt: skip


def main() -> None:
    """Read the file named on the command line, with the choices given as a JSON object after it."""
    limit_process()
    gc.disable()  # a short life under a hard limit: what is collected at the end needs no collecting on the way
    choices = json.loads(sys.argv[2]) if len(sys.argv) > 2 else {}
    reply = answer(Path(sys.argv[1]), choices)
    with contextlib.suppress(AttributeError):
        signal.setitimer(signal.ITIMER_PROF, 0)
    sys.stdout.write(json.dumps(reply))
