"""All 1,000 seeded requests of whole-form takes; the suite tries every fortieth. Prints how many held."""

from __future__ import annotations

from collections import Counter

from tests.core.chorus.asked import try_request

if __name__ == "__main__":
    found = Counter(try_request(seed) for seed in range(1000))
    print(f"1000 requests: {found['held']} held, {found['refused']} refused with their bars")
