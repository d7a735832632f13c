"""All 500 seeded forms of the search against brute force; the suite tries every twentieth. Prints one line."""

from __future__ import annotations

from tests.core.chorus.test_search import compare

if __name__ == "__main__":
    compare(range(500))
    print("500 forms: search and brute force agree")
