"""Real-time threads where the system allows them: only the thread that asks, and nothing that it starts."""

from __future__ import annotations

import os
import subprocess
import sys
import threading

import pytest

from app.player.urgent import hurry_thread

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="scheduling classes are looked at on Linux only")
ASK = "import os; print(os.sched_getscheduler(0))"


def test_only_the_thread_that_asks_is_in_a_hurry() -> None:
    seen: dict[str, object] = {}

    def work() -> None:
        seen["granted"] = hurry_thread()
        seen["own"] = os.sched_getscheduler(0) & ~os.SCHED_RESET_ON_FORK
        seen["child"] = int(subprocess.run([sys.executable, "-c", ASK], capture_output=True, check=True).stdout)

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    # sched(7): 0 is the ordinary class, 2 round robin; a child does not inherit it with reset on fork.
    assert seen["own"] == (2 if seen["granted"] else 0)
    assert seen["child"] == 0
    assert os.sched_getscheduler(0) == 0


def test_where_it_is_not_allowed_nothing_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_arguments: object) -> None:
        raise PermissionError("not allowed")

    monkeypatch.setattr(os, "sched_setscheduler", refused)
    assert hurry_thread() is False
