"""Text from strangers: bytes to text, and strings with the accents that old formats write in ASCII."""

from __future__ import annotations

import html
import re
import unicodedata

from core.foreign.xml_stream import Refused

MAX_TEXT_FILE_BYTES = 8_000_000
_SAMPLE = 20_000
_ACCENTS = {"`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", "c": "\u0327", "v": "\u030c",
            "u": "\u0306", "o": "\u030a", "H": "\u030b"}  # fmt: skip
_LIGATURES = {"ss": "ß", "ae": "æ", "AE": "Æ", "oe": "œ", "OE": "Œ", "aa": "å", "AA": "Å", "/o": "ø", "/O": "Ø",
              "&": "&", "%": "%", "\\": "\\"}  # fmt: skip
# In one pass, so that what an escape gives is not read as the beginning of another.
_ESCAPE = re.compile(r"\\(?:(?P<letter>" + "|".join(map(re.escape, _LIGATURES)) + r")|(?P<accent>[`'^~\"cvuoH])"
                     r"(?P<base>[A-Za-z])|u(?P<code>[0-9a-fA-F]{4}))|(?P<entity>&#?\w{1,31};?)")  # fmt: skip
LONGEST_STRING, LONGEST_NOTE = 200, 4000
_LONGEST_ESCAPE = 33


def text_of(data: bytes) -> tuple[str, bool]:
    """The text of a file and whether its encoding had to be guessed. Raises :class:`Refused`."""
    if len(data) > MAX_TEXT_FILE_BYTES:
        raise Refused(f"holds {len(data) // 1_000_000} MB of text, more than any tune",
                      f"open a file below {MAX_TEXT_FILE_BYTES // 1_000_000} MB")  # fmt: skip
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16"), False
        except UnicodeDecodeError as error:
            raise Refused("is not UTF-8, and not whole as UTF-16 either", "save it as UTF-8 text") from error
    if b"\0" in data:
        raise Refused("is not text", "open a file of text, saved as UTF-8")
    try:
        return data.decode("utf-8-sig"), False
    except UnicodeDecodeError:
        sample = data[:_SAMPLE]
        odd = sum(byte < 32 and byte not in b"\t\n\r\f\v\x1a" for byte in sample)
        if odd * 50 > len(sample):
            raise Refused("is not text", "open a file of text, saved as UTF-8") from None
        return data.decode("cp1252", errors="replace"), True


def plain_text(text: str, longest: int = LONGEST_STRING) -> str:
    """A string with its TeX-like accents and HTML entities written out, without anything that does not print.

    Source: the ABC standard, version 2.1, section 8.2 (text strings: accents and entities).
    """
    text = _ESCAPE.sub(_written_out, text[: _LONGEST_ESCAPE * longest])
    printable = "".join(letter for letter in text if letter.isprintable() or letter == " ")
    return " ".join(printable.split())[:longest]


def _written_out(match: re.Match[str]) -> str:
    if match["letter"]:
        return _LIGATURES[match["letter"]]
    if match["accent"]:
        return unicodedata.normalize("NFC", match["base"] + _ACCENTS[match["accent"]])
    return chr(int(match["code"], 16)) if match["code"] else html.unescape(match["entity"])


def escaped(text: str) -> str:
    """A string on one line, as :func:`plain_text` takes it back."""
    return re.sub(r"[\\%&]", lambda match: "\\" + match[0], " ".join(text.split()))
