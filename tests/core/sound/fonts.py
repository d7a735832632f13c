"""Small SoundFonts made for tests: sine waves under presets (SoundFont Technical Specification 2.01, sections 4 to 7)."""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass
from pathlib import Path

RATE = 48_000


@dataclass(frozen=True)
class Sound:
    """A preset with one zone for each velocity range; ``pitch`` is what its sine wave sounds at its own key."""

    name: str
    program: int = 0
    bank: int = 0
    pitch: int = 69
    velocities: tuple[tuple[int, int], ...] = ((0, 127),)
    keys: tuple[int, int] = (0, 127)
    kind: int = 1


def sine(pitch: int, frames: int = RATE // 2, height: int = 12_000) -> bytes:
    """A sine wave, 16 bit."""
    step = 2 * math.pi * 440 * 2 ** ((pitch - 69) / 12) / RATE
    return struct.pack(f"<{frames}h", *(round(height * math.sin(step * frame)) for frame in range(frames)))


def chunk(name: bytes, data: bytes) -> bytes:
    """A RIFF chunk."""
    return name + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2)


def riff(*lists: tuple[bytes, bytes], form: bytes = b"sfbk", claimed: int | None = None) -> bytes:
    """A RIFF file of lists."""
    body = form + b"".join(chunk(b"LIST", name + data) for name, data in lists)
    return b"RIFF" + struct.pack("<I", len(body) if claimed is None else claimed) + body


def tables(sounds: tuple[Sound, ...], frames: int = RATE // 2, first: int = 0) -> dict[str, bytes]:
    """The nine tables; sample n begins at frame ``first + n * (frames + 46)``."""
    phdr = pbag = pgen = inst = ibag = igen = shdr = b""
    bags = zones = 0
    for index, sound in enumerate(sounds):
        phdr += struct.pack("<20sHHHIII", sound.name.encode(), sound.program, sound.bank, index, 0, 0, 0)
        pbag += struct.pack("<HH", index, 0)
        pgen += struct.pack("<HH", 41, index)
        inst += struct.pack("<20sH", sound.name.encode(), zones)
        for low, high in sound.velocities:
            ibag += struct.pack("<HH", bags, 0)
            igen += struct.pack("<HBBHBBHH", 43, *sound.keys, 44, low, high, 53, index)
            bags, zones = bags + 3, zones + 1
        start = first + index * (frames + 46)
        end = start + frames
        shdr += struct.pack(
            "<20s5IBbHH", sound.name.encode(), start, end, start, end, RATE, sound.pitch, 0, 0, sound.kind
        )
    count = len(sounds)
    return {
        "phdr": phdr + struct.pack("<20sHHHIII", b"EOP", 0, 0, count, 0, 0, 0),
        "pbag": pbag + struct.pack("<HH", count, 0), "pmod": bytes(10), "pgen": pgen + bytes(4),
        "inst": inst + struct.pack("<20sH", b"EOI", zones), "ibag": ibag + struct.pack("<HH", bags, 0),
        "imod": bytes(10), "igen": igen + bytes(4), "shdr": shdr + b"EOS".ljust(46, b"\0"),
    }  # fmt: skip


def font_bytes(*sounds: Sound, name: str = "Harbour Keys", **changed: bytes) -> bytes:
    """A whole font; ``changed`` replaces tables."""
    smpl = b"".join(sine(sound.pitch) + bytes(92) for sound in sounds)
    packed = b"".join(chunk(key.encode(), data) for key, data in (tables(sounds) | changed).items())
    info = (
        chunk(b"ifil", struct.pack("<HH", 2, 1)) + chunk(b"isng", b"EMU8000\0") + chunk(b"INAM", name.encode() + b"\0")
    )
    return riff((b"INFO", info), (b"sdta", chunk(b"smpl", smpl)), (b"pdta", packed))


def write_huge_font(path: Path, frames_before: int, sound: Sound) -> None:
    """A font with a hole of so many silent frames before its only sample; the hole takes no room on the disk."""
    smpl_size = 2 * (frames_before + RATE // 2 + 46)
    info = chunk(b"LIST", b"INFO" + chunk(b"ifil", struct.pack("<HH", 2, 1)) + chunk(b"INAM", b"Wide Hall\0"))
    packed = b"".join(chunk(key.encode(), data) for key, data in tables((sound,), first=frames_before).items())
    pdta = chunk(b"LIST", b"pdta" + packed)
    sdta = b"LIST" + struct.pack("<I", 12 + smpl_size) + b"sdta" + b"smpl" + struct.pack("<I", smpl_size)
    with path.open("wb") as file:
        file.write(
            b"RIFF" + struct.pack("<I", 4 + len(info) + len(sdta) + smpl_size + len(pdta)) + b"sfbk" + info + sdta
        )
        file.seek(2 * frames_before, 1)
        file.write(sine(sound.pitch) + bytes(92) + pdta)
