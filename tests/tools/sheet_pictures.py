"""Pictures of every sheet for every part, for looking at: ``python -m tests.tools.sheet_pictures [CHART…]``.

They go to tests/output/sheets/, a PNG for each page. Nothing is asserted here; the eye decides.
"""

from __future__ import annotations

import sys
from pathlib import Path

from app.sheet.batch import make_pages
from app.sheet.drawing import Page
from app.sheet.files import image_of, make_ready
from core.files import load_chart
from core.places import folder
from core.sheet.kinds import KINDS, SheetOptions
from core.sheet.part import PARTS

OUTPUT = Path(__file__).parents[1] / "output" / "sheets"
DPI = 110


def main(arguments: list[str]) -> int:
    """All pictures of the charts named, or of the demo charts."""
    make_ready()
    OUTPUT.mkdir(parents=True, exist_ok=True)
    for path in [Path(word) for word in arguments] or sorted(folder("demo_charts").glob("*.changes.json")):
        chart, _ = load_chart(path)
        stem = path.name.partition(".")[0]
        for kind in KINDS:
            if KINDS[kind].take and not chart.takes:
                continue
            for part in PARTS:
                save(f"{stem}-{kind}-{part}", make_pages(chart, SheetOptions(kind, part)))
            save(f"{stem}-{kind}-chart", make_pages(chart, SheetOptions(kind, melody=False)))
    print(OUTPUT)
    return 0


def save(name: str, pages: tuple[Page, ...]) -> None:
    """One picture a page."""
    for number, page in enumerate(pages, 1):
        image_of(page, DPI).save(str(OUTPUT / f"{name}-{number}.png"))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
