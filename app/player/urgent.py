"""Threads that must run on time, where the system lets us ask for it.

The thread that feeds the device and the one that sends MIDI sleep nearly all the time and work for less than a
millisecond; a machine that is busy elsewhere must not make them wait for its turn. Where real-time scheduling is
allowed (on Linux to root and to those whom ``ulimit -r`` allows it) they get it, and the whole process may run before
others; where it is not, everything works as before, as well as the system's scheduler does.

Sources: round robin with reset on fork, sched(7); -11 is where sound servers run, common practice, no source.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress

PRIORITY = 5
"""Low among the real-time priorities (1 to 99): above all that is ordinary, below what the system itself needs."""
NICENESS = -11
SWITCH_INTERVAL = 0.0001
"""Seconds a thread may hold the interpreter when another, such as the audio callback, waits for it."""


def hurry_process() -> None:
    """Let this process run before others, and its threads take turns quickly."""
    sys.setswitchinterval(SWITCH_INTERVAL)
    _be_nice(NICENESS)


def calm_process() -> None:
    """Take no turn from anybody, in a process that was started by one that hurries."""
    _be_nice(0)


def hurry_thread() -> bool:
    """Run the calling thread at its time; False where the system does not allow that."""
    if sys.platform != "linux":
        return False
    with suppress(OSError):
        os.sched_setscheduler(0, os.SCHED_RR | os.SCHED_RESET_ON_FORK, os.sched_param(PRIORITY))
        return True
    return False


def _be_nice(niceness: int) -> None:
    if sys.platform != "win32":
        with suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, 0, niceness)
