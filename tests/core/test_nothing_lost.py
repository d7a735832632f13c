"""Small samples of what ``tests/tools/round_trips.py`` and ``kill_saves.py`` try by the thousand."""

from __future__ import annotations

import os

import pytest

from tests.tools.kill_saves import run
from tests.tools.round_trips import failures


@pytest.mark.parametrize("seed", range(25))
def test_a_random_chart_comes_back_from_every_format(seed: int) -> None:
    assert failures(seed) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and signal 9")
def test_a_save_that_is_killed_leaves_the_old_or_the_new_chart() -> None:
    found = run(20)
    assert found["neither"] == 0
    assert found["one"] + found["other"] == 20
