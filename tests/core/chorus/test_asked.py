"""Whatever is asked of a take holds in it, or is refused with the bars that are in the way."""

from __future__ import annotations

import pytest

from tests.core.chorus.asked import try_request

SEEDS = range(0, 1000, 40)  # `python -m tests.tools.requests_all` tries all 1,000


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_asked_holds_or_is_refused_with_its_bars(seed: int) -> None:
    assert try_request(seed) in ("held", "refused")
