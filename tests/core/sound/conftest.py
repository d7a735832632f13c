"""One bank for all tests of sound: rendering a note costs milliseconds, and a note is always the same."""

from __future__ import annotations

import pytest

from core.sound.bank import Bank
from core.timeline import Timeline


@pytest.fixture(scope="session")
def shared_bank() -> Bank:
    return Bank()


@pytest.fixture
def bank_for(shared_bank: Bank):
    """The bank, with what the given timelines need."""

    def fill(*timelines: Timeline) -> Bank:
        for timeline in timelines:
            shared_bank.fill(timeline)
        return shared_bank

    return fill
