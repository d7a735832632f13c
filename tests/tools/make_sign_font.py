"""Draw resources/fonts/ChangewrightSigns.ttf: the few signs that the text types lack, in outlines of our own.

Run ``python -m tests.tools.make_sign_font`` after changing an outline; it needs fontTools, which comes with the
development packages. 1000 units to the em; contours run clockwise for ink and the other way for holes.
"""

from __future__ import annotations

import math
from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

TARGET = Path(__file__).parents[2] / "resources" / "fonts" / "ChangewrightSigns.ttf"
ASCENT, DESCENT = 984, -273
Point = tuple[float, float]


def polygon(pen: TTGlyphPen, *points: Point) -> None:
    """A closed contour of straight lines."""
    pen.moveTo(points[0])
    for point in points[1:]:
        pen.lineTo(point)
    pen.closePath()


def circle(pen: TTGlyphPen, x: float, y: float, radius: float, start: float = 90, sweep: float = -360) -> None:
    """An arc as sixteen quadratic pieces; a positive sweep runs the other way, which makes a hole."""
    pieces = 16
    half = math.radians(sweep / pieces) / 2

    def at(angle: float, r: float) -> Point:
        return x + r * math.cos(angle), y + r * math.sin(angle)

    angle = math.radians(start)
    pen.moveTo(at(angle, radius))
    for _ in range(pieces):
        pen.qCurveTo(at(angle + half, radius / math.cos(half)), at(angle + 2 * half, radius))
        angle += 2 * half
    pen.closePath()


def flat(pen: TTGlyphPen) -> int:
    """♭: a stem and a bowl that thins towards its foot."""
    pen.moveTo((46, 752))
    pen.lineTo((96, 752))
    pen.lineTo((96, 366))
    pen.qCurveTo((140, 420), (196, 420))
    pen.qCurveTo((288, 420), (288, 326))
    pen.qCurveTo((288, 232), (176, 126))
    pen.qCurveTo((112, 66), (46, -14))
    pen.closePath()
    pen.moveTo((96, 302))
    pen.lineTo((96, 84))
    pen.qCurveTo((200, 192), (200, 294))
    pen.qCurveTo((200, 352), (162, 352))
    pen.qCurveTo((128, 350), (96, 302))
    pen.closePath()
    return 306


def sharp(pen: TTGlyphPen) -> int:
    """♯: two stems, two heavier rising bars."""
    polygon(pen, (84, 632), (128, 632), (128, -96), (84, -96))
    polygon(pen, (204, 704), (248, 704), (248, -24), (204, -24))
    for low in (108, 346):
        polygon(pen, (30, low + 90), (302, low + 178), (302, low + 88), (30, low))
    return 332


def natural(pen: TTGlyphPen) -> int:
    """♮: two stems that pass each other, two rising bars."""
    polygon(pen, (48, 720), (94, 720), (94, 60), (48, 60))
    polygon(pen, (206, 560), (252, 560), (252, -100), (206, -100))
    for low in (76, 366):
        polygon(pen, (48, low + 86), (252, low + 152), (252, low + 64), (48, low - 2))
    return 300


def full_moon(pen: TTGlyphPen) -> int:
    """● good."""
    circle(pen, 330, 330, 235)
    return 660


def half_moon(pen: TTGlyphPen) -> int:
    """◐ caution."""
    circle(pen, 330, 330, 250)
    circle(pen, 330, 330, 190, sweep=360)
    circle(pen, 330, 330, 205, start=270, sweep=-180)
    return 660


def cross(pen: TTGlyphPen) -> int:
    """✕ clash."""
    for direction in (1, -1):
        points = [(-230, -150), (150, 230), (230, 150), (-150, -230)]
        moved = [(330 + direction * x, 330 + y) for x, y in points]
        polygon(pen, *(moved if direction > 0 else reversed(moved)))
    return 660


def chevron(pen: TTGlyphPen) -> int:
    """▾ more below."""
    polygon(pen, (60, 440), (440, 440), (250, 160))
    return 500


def chevron_up(pen: TTGlyphPen) -> int:
    """▴ less below."""
    polygon(pen, (60, 160), (250, 440), (440, 160))
    return 500


def pointer(pen: TTGlyphPen) -> int:
    """▸ here is the fault."""
    polygon(pen, (90, 500), (380, 310), (90, 120))
    return 440


SIGNS = {"♭": flat, "♯": sharp, "♮": natural, "●": full_moon, "◐": half_moon, "✕": cross, "▾": chevron, "▴": chevron_up,
         "▸": pointer}  # fmt: skip


def build() -> Path:
    """Write the font file and return its path."""
    names = [".notdef", "space", *(f"uni{ord(sign):04X}" for sign in SIGNS)]
    empty = TTGlyphPen(None).glyph()
    glyphs, advances = {".notdef": empty, "space": empty}, {".notdef": (500, 0), "space": (250, 0)}
    for sign, draw in SIGNS.items():
        pen = TTGlyphPen(None)
        name = f"uni{ord(sign):04X}"
        advance = draw(pen)
        glyphs[name] = pen.glyph()
        advances[name] = (advance, 0)
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({32: "space", **{ord(sign): f"uni{ord(sign):04X}" for sign in SIGNS}})
    builder.setupGlyf(glyphs)
    metrics = {name: (advance, glyphs[name].xMin if glyphs[name].numberOfContours else 0)
               for name, (advance, _) in advances.items()}  # fmt: skip
    builder.setupHorizontalMetrics(metrics)
    builder.setupHorizontalHeader(ascent=ASCENT, descent=DESCENT)
    builder.setupNameTable({"familyName": "Changewright Signs", "styleName": "Regular",
                            "psName": "ChangewrightSigns-Regular"})  # fmt: skip
    builder.setupOS2(sTypoAscender=ASCENT, sTypoDescender=DESCENT, usWinAscent=ASCENT, usWinDescent=-DESCENT)
    builder.setupPost()
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    builder.save(TARGET)
    return TARGET


if __name__ == "__main__":
    print(build())
