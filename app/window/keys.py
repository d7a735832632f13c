"""Keys as the user wants them: the table of actions with what was changed laid over it. No Qt.

Kept in the settings as "action=key", one a line; "action=" takes a command's key away.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from app.window.actions import ACTIONS, ActionSpec, plain_text

TYPED_ON_THE_PAGE = frozenset((*"ABCDEFGN", "%", "Space", "Tab", "Return", "Enter", "Esc", "Left", "Right", "Up",
                               "Down", "Home", "End", "Del", "Backspace", *"123468.Z"))  # fmt: skip
"""Keys that mean chords, notes and places on the page and cannot be given away, save to the command that has one."""


def read_changes(stored: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Action → its changed keys; lines about actions that are no more are passed over."""
    known = {item.id for item in ACTIONS if item.menu and item.text != "-"}
    pairs = (line.partition("=") for line in stored)
    return {name: (key,) if key else () for name, sign, key in pairs if sign and name in known}


def write_changes(changes: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """What the settings keep."""
    return tuple(f"{name}={keys[0] if keys else ''}" for name, keys in sorted(changes.items()))


def keys_of(item: ActionSpec, changes: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """The keys of a command now."""
    return changes.get(item.id, item.keys)


def why_not(key: str, identifier: str, changes: Mapping[str, tuple[str, ...]]) -> str:
    """Why a key cannot be given to a command, in a sentence; "" where it can."""
    own = next(item for item in ACTIONS if item.id == identifier)
    if key in own.keys:
        return _taken(key, identifier, changes)
    if key in TYPED_ON_THE_PAGE:
        return f"{key} is typed on the page; choose another key."
    return _taken(key, identifier, changes)


def _taken(key: str, identifier: str, changes: Mapping[str, tuple[str, ...]]) -> str:
    for item in ACTIONS:
        if item.menu and item.text != "-" and item.id != identifier and key in keys_of(item, changes):
            return f"{key} belongs to “{plain_text(item)}” already; give that another key first."
    return ""


def found(words: str) -> tuple[ActionSpec, ...]:
    """Commands that have all of some words in their text, help or menu, those that begin with them first."""
    wanted = words.lower().split()
    items = [item for item in ACTIONS if item.menu and item.text != "-"]
    hits = [item for item in items if all(word in searched(item) for word in wanted)]
    first = words.strip().lower()
    return tuple(sorted(hits, key=lambda item: not plain_text(item).lower().startswith(first)))


def searched(item: ActionSpec) -> str:
    """What a search for a command looks through."""
    return f"{plain_text(item)} {item.help} {item.menu.replace('&', '')}".lower()
