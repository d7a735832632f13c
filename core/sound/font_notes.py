"""One note's part of a SoundFont as a SoundFont of its own, in memory: what a renderer is given instead of the file.

A renderer reads the whole file for each note. Of a font of a gigabyte a note needs a few samples; of the small one that
is our default, reading the rest is two thirds of the work. The result sounds the same to the bit. Which preset stands
for one that a font does not have is decided here: the nearest of its family, then any.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence

from core.sound.font_file import INSTRUMENT, KIT_BANK, ROM, SAMPLE, FontFile, Preset, Zone
from core.sound.note_file import KIT, NoteKey

FAMILY = 8
"""General MIDI Level 1: programs stand in families of eight."""
GUARD = 46
"""Frames of silence after each sample (SoundFont 2.01, section 6.1)."""
MAX_NOTE_BYTES = 256 * 2**20
_LAST_SAMPLE = b"EOS".ljust(46, b"\0")


class NoteTooLargeError(Exception):
    """A single note of a font needs more memory than a note may take."""


def preset_for(font: FontFile, key: NoteKey) -> Preset | None:
    """The preset that plays a note: the one asked for or the nearest; None for drums where there is no kit."""
    if key.is_drum:
        kits = [one for one in font.presets if one.bank == KIT_BANK]
        wanted = KIT - key.program
        return min(kits, key=lambda one: (one.program != wanted, one.program), default=None)
    program = key.program
    pitched = [one for one in font.presets if one.bank != KIT_BANK]

    def distance(one: Preset) -> tuple[bool, bool, bool, int, int]:
        other_family = one.program // FAMILY != program // FAMILY
        return one.program != program, other_family, one.bank != 0, abs(one.program - program), one.bank

    return min(pitched, key=distance, default=None)


def velocity_steps(font: FontFile, keys: Iterable[NoteKey]) -> int:
    """How many velocity layers the presets of some notes have at most, at their pitch."""
    most = 1
    for key in keys:
        preset = preset_for(font, key)
        if preset is None:
            continue
        edges = {
            zone_range >> 8
            for outer in _sounding(font.preset_zones(preset), key.pitch, None)
            for inner in _sounding(font.instrument_zones(outer.target), key.pitch, None)
            for zone_range in (_velocities(inner) or 127 << 8,)
        }
        most = max(most, len(edges))
    return most


def note_font(font: FontFile, key: NoteKey) -> bytes | None:
    """A SoundFont with just what sounds for one note, under the numbers that were asked for; None where nothing does.

    Raises NoteTooLargeError for a note of more than ``MAX_NOTE_BYTES``.
    """
    preset = preset_for(font, key)
    if preset is None:
        return None
    outer = _with_global(font.preset_zones(preset), key)
    inner = {zone.target: _inner(font, zone.target, key) for zone in outer if zone.target >= 0}
    inner = {index: zones for index, zones in inner.items() if zones}
    samples = list(dict.fromkeys(zone.target for zones in inner.values() for zone in zones if zone.target >= 0))
    if not samples:
        return None
    outer = [zone for zone in outer if zone.target < 0 or zone.target in inner]
    instruments = list(inner)
    sound, headers = _sounds(font, samples)
    bank, program = (KIT_BANK, KIT - key.program) if key.is_drum else (0, key.program)
    name = preset.name.encode("latin-1", "replace")[:19].ljust(20, b"\0")
    phdr = struct.pack("<20sHHHIII", name, program, bank, 0, 0, 0, 0)
    phdr += struct.pack("<20sHHHIII", b"EOP", 0, 0, len(outer), 0, 0, 0)
    heads, zones = b"", list[Zone]()
    for index in instruments:
        heads += font.instrument_name(index) + struct.pack("<H", len(zones))
        zones += inner[index]
    heads += struct.pack("<20sH", b"EOI", len(zones))
    tables = [(b"phdr", phdr), *_packed(outer, b"p", INSTRUMENT, instruments), (b"inst", heads),
              *_packed(zones, b"i", SAMPLE, samples), (b"shdr", headers)]  # fmt: skip
    info = _chunk(b"ifil", struct.pack("<HH", 2, 1)) + _chunk(b"isng", b"EMU8000\0") + _chunk(b"INAM", name)
    body = _list(b"INFO", info) + _list(b"sdta", _chunk(b"smpl", sound))
    return _chunk(b"RIFF", b"sfbk" + body + _list(b"pdta", b"".join(_chunk(*table) for table in tables)))


def _sounding(zones: Sequence[Zone], pitch: int, velocity: int | None) -> list[Zone]:
    """Zones with a target that a note falls into; ``velocity`` None is any."""
    return [zone for zone in zones if zone.target >= 0 and _holds(zone, pitch, velocity)]


def _holds(zone: Zone, pitch: int, velocity: int | None) -> bool:
    return zone.holds(pitch, velocity) if velocity is not None else zone.holds(pitch, (_velocities(zone) or 0) & 0xFF)


def _velocities(zone: Zone) -> int | None:
    return next((amount for number, amount in zone.generators if number == 44), None)


def _inner(font: FontFile, index: int, key: NoteKey) -> list[Zone]:
    """Zones of an instrument that a note falls into, with its global zone; none where no sample of the file sounds."""
    zones = [
        zone for zone in _with_global(font.instrument_zones(index), key)
        if zone.target < 0 or not struct.unpack_from("<H", font.sample_header(zone.target), 44)[0] & ROM
    ]  # fmt: skip
    return zones if any(zone.target >= 0 for zone in zones) else []


def _with_global(zones: Sequence[Zone], key: NoteKey) -> list[Zone]:
    """What a note falls into, after the global zone, which is the first if it points nowhere."""
    leading = [zones[0]] if zones and zones[0].target < 0 else []
    return leading + _sounding(zones, key.pitch, key.layer)


def _sounds(font: FontFile, samples: Sequence[int]) -> tuple[bytes, bytes]:
    """The samples' sound end to end, and their headers moved to it."""
    sound, headers = bytearray(), b""
    for index in samples:
        name, start, end, loop, loop_end, *rest = struct.unpack("<20s5IBbHH", font.sample_header(index))
        if len(sound) + 2 * (end - start) > MAX_NOTE_BYTES:
            raise NoteTooLargeError
        shift = len(sound) // 2 - start
        sound += font.sound(start, end) + bytes(2 * GUARD)
        link = rest[3]
        rest[3] = samples.index(link) if link in samples else 0
        moved = (end + shift, max(0, loop + shift), max(0, loop_end + shift))
        headers += struct.pack("<20s5IBbHH", name, start + shift, *moved, *rest)
    return bytes(sound), headers + _LAST_SAMPLE


def _packed(zones: Sequence[Zone], side: bytes, points: int, targets: Sequence[int]) -> list[tuple[bytes, bytes]]:
    """Bags, modulators and generators of zones whose targets are counted anew."""
    bags, modulators, generators, count = b"", b"", b"", 0
    for zone in zones:
        bags += struct.pack("<HH", count, len(modulators) // 10)
        modulators += b"".join(zone.modulators)
        for number, amount in zone.generators:
            generators += struct.pack("<HH", number, targets.index(amount) if number == points else amount)
        count += len(zone.generators)
    bags += struct.pack("<HH", count, len(modulators) // 10)
    return [(side + b"bag", bags), (side + b"mod", modulators + bytes(10)), (side + b"gen", generators + bytes(4))]


def _chunk(name: bytes, data: bytes) -> bytes:
    return name + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)


def _list(name: bytes, data: bytes) -> bytes:
    return _chunk(b"LIST", name + data)
