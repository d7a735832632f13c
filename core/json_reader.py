"""Reading a JSON document so that every error says where it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from core.errors import ChangewrightError


class ChartFileError(ChangewrightError):
    """A JSON document that is not a chart we can read; the sentence says where."""

    def __init__(self, where: str, problem: str, remedy: str = "") -> None:
        self.where = where
        self.remedy = remedy or ChangewrightError.remedy
        super().__init__(f"At {where}: {problem}." if where else f"{problem}.")


class Reader:
    """A value of the document with its path."""

    __slots__ = ("path", "value")

    def __init__(self, value: Any, path: str) -> None:
        self.value, self.path = value, path

    def fail(self, problem: str) -> ChartFileError:
        """The error for something wrong here."""
        return ChartFileError(self.path, problem)

    def get(self, name: str, kind: type | tuple[type, ...], default: Any = ...) -> Reader:
        """A member of an object; raises :class:`ChartFileError` where it is missing or of another kind."""
        if not isinstance(self.value, dict):
            raise self.fail("an object is expected here")
        if name not in self.value and default is not ...:
            return Reader(default, f"{self.path}.{name}")
        if name not in self.value:
            raise self.fail(f"{name!r} is missing")
        found = Reader(self.value[name], f"{self.path}.{name}".lstrip("."))
        if not isinstance(found.value, kind) or (kind is int and isinstance(found.value, bool)):
            expected = kind.__name__ if isinstance(kind, type) else " or ".join(k.__name__ for k in kind)
            raise found.fail(f"expected {_KINDS.get(expected, expected)}, found {found.value!r:.40}")
        return found

    def text(self, name: str, default: Any = ...) -> str:
        """A member that is text."""
        return str(self.get(name, str, default).value)

    def items(self, name: str, default: Any = ...) -> list[Reader]:
        """The items of a member that is a list."""
        found = self.get(name, list, default)
        return [Reader(item, f"{found.path}[{index}]") for index, item in enumerate(found.value)]

    def parsed(self, parse: Callable[[str], Any]) -> Any:
        """The text here as what a parser makes of it."""
        if not isinstance(self.value, str):
            raise self.fail(f"expected text, found {self.value!r:.40}")
        try:
            return parse(self.value)
        except (ChangewrightError, ValueError, ZeroDivisionError) as error:
            raise self.fail(str(error).rstrip(".")) from error


_KINDS = {"str": "text", "int": "a whole number", "list": "a list", "dict": "an object", "bool": "true or false"}
