"""XML from strangers: a streaming reader that refuses what could harm before it can.

Entity declarations, an internal document type, deep nesting, very long texts and very many elements are refused as
they appear; external document types are never fetched. The score is handed out measure by measure as small element
trees, so memory does not grow with the file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from xml.etree.ElementTree import Element
from xml.parsers import expat

MAX_XML_BYTES = 32_000_000
MAX_DEPTH = 40
MAX_ELEMENTS = 800_000
MAX_HEADER_ELEMENTS = 20_000
MAX_TOKEN_BYTES = 1_000_000
MAX_ATTRIBUTES = 60
MAX_TEXT = 20_000
MAX_MEASURE_ELEMENTS = 60_000
HINT = "{changewright}"
"""Attribute under which our own processing instruction inside an element is kept."""

# Parts of a note or a page that never reach a chart; their insides are not even built.
SKIPPED = frozenset({"lyric", "print", "beam", "stem", "accidental", "appearance", "frame", "figured-bass"})


class Refused(Exception):
    """A file that is not read: the problem and what to do, both without a full stop."""

    def __init__(self, problem: str, advice: str) -> None:
        self.problem, self.advice = problem, advice
        super().__init__(f"{problem}; {advice}")


class ScoreStream:
    """Feeds XML and calls back for every piece of a score.

    ``on_header(element)`` gets each child of the root that is not a part; ``on_measure(part_id, element)`` each
    measure of each part, whether the score is partwise or timewise.
    """

    def __init__(
        self, on_header: Callable[[Element], None], on_measure: Callable[[str, Element], None], roots: frozenset[str]
    ) -> None:
        self._on_header, self._on_measure, self._roots = on_header, on_measure, roots
        self._tags: list[str] = []
        self._open: list[Element] = []
        self._outer: Element | None = None
        self._elements = self._headers = self._built = self._skip_from = 0
        self._parser = expat.ParserCreate()
        self._parser.buffer_text = True
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._text
        self._parser.ProcessingInstructionHandler = self._instruction
        self._parser.StartDoctypeDeclHandler = self._doctype
        self._parser.EntityDeclHandler = self._entity
        self._parser.ExternalEntityRefHandler = self._external

    def read(self, chunks: Iterable[bytes]) -> None:
        """Read all of it; raises :class:`Refused`."""
        try:
            fed = 0
            for chunk in chunks:
                self._parser.Parse(chunk, False)
                fed += len(chunk)
                if fed - self._parser.CurrentByteIndex > MAX_TOKEN_BYTES:  # a tag or comment that does not end
                    raise Refused("holds a text longer than any score needs", "do not open it; it may be hostile")
            self._parser.Parse(b"", True)
        except expat.ExpatError as error:
            raise self._syntax_refusal(error) from error
        except (LookupError, ValueError) as error:
            if self._elements:
                raise
            raise Refused(f"cannot be decoded ({error})", "save it as UTF-8") from error

    def _syntax_refusal(self, error: expat.ExpatError) -> Refused:
        if not self._elements:
            return Refused("is not XML, so it is not a MusicXML score", "open a .musicxml, .xml or .mxl file")
        if error.code in (expat.errors.codes[expat.errors.XML_ERROR_NO_ELEMENTS],
                          expat.errors.codes[expat.errors.XML_ERROR_UNCLOSED_TOKEN]):  # fmt: skip
            return Refused(f"breaks off in line {error.lineno}", "the file is cut short; export or copy it again")
        return Refused(f"is broken XML in line {error.lineno}, column {error.offset + 1}", "export the score again")

    def _doctype(self, _name: str, _system: str | None, _public: str | None, has_internal_subset: bool) -> None:
        if has_internal_subset:
            raise Refused("declares its own document type or entities, which no score needs",
                          "do not open it; it may be hostile")  # fmt: skip

    def _entity(self, *_declaration: object) -> None:
        raise Refused("declares entities, which no score needs", "do not open it; it may be hostile")

    def _external(self, *_reference: object) -> int:
        raise Refused("refers to something outside itself", "do not open it; it may be hostile")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        depth = len(self._tags)
        self._elements += 1
        if depth >= MAX_DEPTH:
            raise Refused(f"is nested more than {MAX_DEPTH} levels deep", "do not open it; it may be hostile")
        if self._elements > MAX_ELEMENTS or len(attributes) > MAX_ATTRIBUTES:
            raise Refused("holds more than any lead sheet", "open a shorter score")
        if depth == 0 and tag not in self._roots:
            raise Refused(f"is XML but not a MusicXML score (it begins with <{tag[:40]}>)",
                          "open a .musicxml, .xml or .mxl file")  # fmt: skip
        self._tags.append(tag)
        if depth == 0 or self._skip_from:
            return
        if depth == 1 and tag in ("part", "measure"):
            self._outer = Element(tag, attributes)
            return
        self._build(tag, attributes, depth)

    def _build(self, tag: str, attributes: dict[str, str], depth: int) -> None:
        self._built += 1
        if self._built > MAX_MEASURE_ELEMENTS:
            raise Refused("holds a piece larger than any lead sheet's bar", "open a shorter score")
        element = Element(tag, attributes)
        if self._open:
            self._open[-1].append(element)
        self._open.append(element)
        if self._outer is None:
            self._headers += 1
            if self._headers > MAX_HEADER_ELEMENTS:
                raise Refused("holds more before its first bar than any lead sheet", "open a shorter score")
        if tag in SKIPPED:
            self._skip_from = depth

    def _end(self, _tag: str) -> None:
        self._tags.pop()
        depth = len(self._tags)
        if self._skip_from and depth > self._skip_from:
            return
        self._skip_from = 0
        if depth == 0:
            return
        if depth == 1 and self._outer is not None and not self._open:
            self._outer = None
            return
        element = self._open.pop()
        if not self._open:
            self._built = 0
            self._hand_out(element, depth)

    def _hand_out(self, element: Element, depth: int) -> None:
        if self._outer is None:
            self._on_header(element)
        elif depth == 2 and self._outer.tag == "part" and element.tag == "measure":
            self._on_measure(self._outer.get("id", ""), element)
        elif depth == 2 and self._outer.tag == "measure" and element.tag == "part":
            measure = Element("measure", self._outer.attrib)
            measure.extend(element)
            self._on_measure(element.get("id", ""), measure)

    def _text(self, text: str) -> None:
        if not self._open or self._skip_from:
            return
        element = self._open[-1]
        joined = (element.text or "") + text if len(element) == 0 else element.text
        if joined is not None and len(joined) > MAX_TEXT:
            raise Refused("holds a text longer than any score needs", "do not open it; it may be hostile")
        element.text = joined

    def _instruction(self, target: str, data: str) -> None:
        if target == "changewright" and self._open:
            self._open[-1].set(HINT, data)


def root_files(chunks: Iterable[bytes]) -> list[str]:
    """Paths of the scores that a container names, the MusicXML ones first; raises :class:`Refused`."""
    found: list[tuple[bool, str]] = []

    def on_header(element: Element) -> None:
        for rootfile in element.iter("rootfile"):
            media = rootfile.get("media-type", "")
            found.append((bool(media) and "musicxml" not in media, rootfile.get("full-path", "")))

    ScoreStream(on_header, lambda _part, _measure: None, frozenset({"container"})).read(chunks)
    return [path for _, path in sorted(found, key=lambda pair: pair[0])]
