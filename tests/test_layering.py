"""One direction: every import in core/ and app/ goes to a layer below, and core/ never meets Qt or a device."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

# Layers of the harmony book, lowest first. A module may import its own layer and those above this line of its own;
# a package stands for all its modules.
LAYERS: tuple[tuple[str, ...], ...] = (
    ("core.errors", "core.file_stamp", "core.places", "core.class_notes"),
    ("core.json_reader",),
    ("core.class_json",),
    ("core.pitch", "core.meter"),
    ("core.quality", "core.key", "core.feel"),
    ("core.chord",),
    ("core.symbol", "core.row"),
    ("core.spelling", "core.form"),
    ("core.chart",),
    ("core.imported",),
    ("core.abc_notes", "core.bar_slots", "core.chart_json", "core.class_edit", "core.edit"),
    ("core.bar_text_blocks", "core.merge"),
    ("core.bar_text_read", "core.bar_text_write"),
    ("core.bar_text",),
    ("core.files",),
    ("core.recovery",),
    ("core.roman", "core.finding", "core.chord_naming"),
    ("core.function",),
    ("core.key_areas", "core.key_path", "core.roles"),
    ("core.analysis", "core.home_key"),
    ("core.foreign",),
    ("core.checks",),
    ("core.tension", "core.techniques"),
    ("core.derivation",),
    ("core.propose", "core.seam", "core.explain"),
    ("core.take_check", "core.technique_book", "core.technique_map", "core.refit"),
    ("core.assignment", "core.singer_key", "core.revealing"),
    ("core.guide_line", "core.voicing_sets", "core.chord_scales", "core.upper_triads"),
    ("core.voicing_shapes",),
    ("core.voicing_choice", "core.voicing_top"),
    ("core.voicing_motion",),
    ("core.voicing",),
    ("core.hands",),
    ("core.line",),
    ("core.chorus",),
    ("core.harmonize",),
    ("core.swing", "core.timeline"),
    ("core.take_down",),
    ("core.arrange",),
    ("core.sound",),
    ("core.sheet",),
    ("core.ear",),
)
# Reading a file of ours needs no more than the chart; foreign files, saving and exporting reach up to what they need.
LATE_IMPORTS = {("core.files", "core.foreign"), ("core.foreign", "core.files"), ("core.timeline", "core.files"),
                ("core.sound", "core.files")}  # fmt: skip
FORBIDDEN_IN_CORE = ("PySide6", "app", "rtmidi", "miniaudio")
WINDOW_STAYS_LIGHT = ("numpy", "music21", "mido", "miniaudio", "rtmidi", "midirenderer", "pretty_midi", "verovio")


def modules(package: str) -> Iterator[tuple[str, Path]]:
    for path in sorted((ROOT / package).rglob("*.py")):
        yield ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"), path


def imports(path: Path) -> Iterator[str]:
    """Every module that a file imports, at the top or inside a function."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports name the whole module"
            yield node.module or ""


def layer(module: str) -> int:
    for index, names in enumerate(LAYERS):
        if any(module == name or module.startswith(name + ".") for name in names):
            return index
    raise AssertionError(f"{module} has no layer; add it to LAYERS in tests/test_layering.py")


def unit(module: str) -> str:
    return ".".join(module.split(".")[:2])


@pytest.mark.parametrize(
    ("module", "path"), list(modules("core")), ids=lambda value: value if isinstance(value, str) else ""
)
def test_core_goes_one_way(module: str, path: Path) -> None:
    if module == "core":
        return
    for imported in imports(path):
        assert imported.split(".")[0] not in FORBIDDEN_IN_CORE, f"{module} imports {imported}"
        if imported.startswith("core.") and (unit(module), unit(imported)) not in LATE_IMPORTS:
            assert layer(imported) <= layer(module), f"{module} imports {imported}, which lies above it"


@pytest.mark.parametrize("module", [name for names in LAYERS for name in names])
def test_layers_name_modules_that_exist(module: str) -> None:
    path = ROOT / Path(*module.split("."))
    assert path.with_suffix(".py").exists() or (path / "__init__.py").exists()


def test_the_window_imports_nothing_heavy_even_inside_functions() -> None:
    for module, path in modules("app"):
        if module.startswith("app.window") and module != "app.window.export_worker":
            heavy = {name.split(".")[0] for name in imports(path)} & set(WINDOW_STAYS_LIGHT)
            assert not heavy, f"{module} imports {heavy}"


def test_the_window_paints_sheets_and_leaves_making_them_to_another_process() -> None:
    for module, path in modules("app"):
        if module.startswith("app.window"):
            made = {name for name in imports(path) if name in ("app.sheet.pages", "core.sheet.engrave")}
            assert not made, f"{module} imports {made}"


def test_only_the_window_and_the_sheets_know_qt() -> None:
    for module, path in modules("app"):
        knows = any(name.startswith("PySide6") for name in imports(path))
        assert not knows or module.startswith(("app.window", "app.sheet")), f"{module} imports Qt"
