"""One door for every foreign format: which reader a file needs, by what it holds and then by its ending."""

from __future__ import annotations

import re
from pathlib import Path

from core.foreign.xml_stream import Refused
from core.imported import Choices, Imported

XML_ENDINGS = (".musicxml", ".mxl", ".xml")
ABC_ENDINGS = (".abc",)
MIDI_ENDINGS = (".mid", ".midi", ".kar", ".smf", ".rmi")
TEXT_ENDINGS = (".txt",)
OWN = ".json"
MAX_OWN_BARS = 20_000
_ABC = re.compile(rb"(?m)^X:.*[\s\S]*?^K:")
_SNIFFED = 4096


def read_any(path: Path, choices: Choices) -> Imported:
    """Read a file of any format we know; raises :class:`Refused` or a ChangewrightError."""
    name = path.name.split(".")[0] or path.name
    if path.stat().st_size == 0:
        raise Refused("is empty", "export it again")
    with path.open("rb") as file:
        head = file.read(_SNIFFED)
    kind = kind_of(head, path.name.lower())
    if kind == "xml":
        from core.foreign.container import score_chunks
        from core.foreign.musicxml_read import musicxml_reading

        return musicxml_reading(score_chunks(path), name, choices)
    return _read_data(kind, path.read_bytes(), name, choices)


def _read_data(kind: str, data: bytes, name: str, choices: Choices) -> Imported:
    if kind == "midi":
        from core.foreign.midi_read import midi_reading

        return midi_reading(data, name, choices)
    if kind == "abc":
        from core.foreign.abc_read import abc_reading

        return abc_reading(data, name, choices)
    if kind == "own":
        from core.chart_json import chart_from_json

        chart = chart_from_json(_utf8(data))
        if max(len(chart.form_of(take).bars) for take in (None, *chart.takes)) > MAX_OWN_BARS:
            raise Refused(f"has more than {MAX_OWN_BARS} bars", "open a shorter chart")
        return Imported(chart)
    from core.foreign.paste_read import text_reading

    return text_reading(data, name, choices)


def kind_of(head: bytes, name: str) -> str:
    """ "xml", "midi", "abc", "own" or "text", by the first bytes where they are telling, else by the ending."""
    plain = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    if head.startswith(b"PK\x03\x04") or plain.startswith(b"<") or name.endswith(XML_ENDINGS):
        return "xml" if not (name.endswith(MIDI_ENDINGS) or head.startswith(b"MThd")) else "midi"
    if head.startswith(b"MThd") or name.endswith(MIDI_ENDINGS):
        return "midi"
    if name.endswith(ABC_ENDINGS) or _ABC.search(head):
        return "abc"
    return "own" if name.endswith(OWN) or (plain.startswith(b"{\n") and b'"format"' in head) else "text"


def _utf8(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused(f"is not text (byte {error.start} is not UTF-8)", "save it as UTF-8 text") from error
