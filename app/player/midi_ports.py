"""The MIDI ports of this machine through python-rtmidi: what there is, opened by name, and known again when it returns.

One client for looking is kept as long as the process lives: making clients again and again leaks on some systems, and
asking one of them for its list does not.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, Protocol

from app.player.quiet import quiet_stderr

CLIENT_NAME = "Changewright"
NO_SEQUENCER = "MIDI is not available on this machine; sound from the program itself goes on."
NO_PACKAGE = "The package python-rtmidi is missing; install it to use MIDI ports."
_NUMBER = re.compile(r" \d+:\d+$")
"""The address that one system puts after a port's name; it is another one after the plug was pulled."""

OnMessage = Callable[[bytes], None]


class Sink(Protocol):
    """An open port to send to."""

    name: str

    def send(self, message: bytes) -> None:
        """Send one message. Raises OSError when the port is gone."""

    def close(self) -> None:
        """Let the port go."""


class Source(Protocol):
    """An open port to hear from."""

    name: str

    def close(self) -> None:
        """Let the port go; afterwards no message comes."""


class PortError(Exception):
    """A port cannot be used; the text is a sentence for the user."""


class Ports(Protocol):
    """All ports of a machine. Each method may raise PortError."""

    def outs(self) -> list[str]:
        """Names of the ports to send to."""

    def ins(self) -> list[str]:
        """Names of the ports to hear from."""

    def open_out(self, name: str) -> Sink:
        """Open one to send to."""

    def open_in(self, name: str, on_message: OnMessage) -> Source:
        """Open one to hear from; messages come whole, on a thread of the system."""


class RtMidiSink:
    """A port to send to."""

    def __init__(self, name: str) -> None:
        self._out = _client("MidiOut")
        try:
            self.name = _open(self._out, name)
        except PortError:
            self._out.delete()
            raise

    def send(self, message: bytes) -> None:
        """Send one message. Raises OSError when the port is gone."""
        try:
            self._out.send_message(message)
        except Exception as error:  # rtmidi raises classes of its own
            raise OSError(str(error)) from error

    def close(self) -> None:
        """Close the port and its client."""
        self._out.close_port()
        self._out.delete()


class RtMidiSource:
    """A port to hear from. The callback is taken away before the port is closed: a late message would find nobody."""

    def __init__(self, name: str, on_message: OnMessage) -> None:
        self._in = _client("MidiIn")
        try:
            self._in.set_callback(lambda event, _data: on_message(bytes(event[0])))
            self.name = _open(self._in, name)
        except PortError:
            self._in.cancel_callback()
            self._in.delete()
            raise

    def close(self) -> None:
        """Close the port and its client."""
        self._in.cancel_callback()
        self._in.close_port()
        self._in.delete()


class RtMidiPorts:
    """The real ports."""

    def __init__(self) -> None:
        self._clients: dict[str, Any] = {}

    def outs(self) -> list[str]:
        """Names of the ports to send to. Raises PortError where there is no MIDI at all."""
        return self._names("MidiOut")

    def ins(self) -> list[str]:
        """Names of the ports to hear from. Raises PortError where there is no MIDI at all."""
        return self._names("MidiIn")

    def open_out(self, name: str) -> Sink:
        """Open one to send to. Raises PortError."""
        return RtMidiSink(name)

    def open_in(self, name: str, on_message: OnMessage) -> Source:
        """Open one to hear from. Raises PortError."""
        return RtMidiSource(name, on_message)

    def _names(self, kind: str) -> list[str]:
        if kind not in self._clients:
            self._clients[kind] = _client(kind)
        return _names_of(self._clients[kind])


def _names_of(client: Any) -> list[str]:
    """Ports of others: our own would play to itself."""
    with quiet_stderr():
        return [str(name) for name in client.get_ports() if not str(name).startswith(CLIENT_NAME)]


def same_port(wanted: str, names: Sequence[str]) -> str | None:
    """The listed name of a port: itself, or, where only its address has changed, the first such; None if it is gone."""
    if wanted in names:
        return wanted
    bare = _NUMBER.sub("", wanted)
    return next((name for name in names if _NUMBER.sub("", name) == bare), None)


def list_ports(ports: Ports | None = None) -> tuple[list[str], list[str], str]:
    """Names of the ports to send to and to hear from, and a sentence about them."""
    found = ports or RtMidiPorts()
    try:
        outs, ins = found.outs(), found.ins()
    except PortError as error:
        return [], [], str(error)
    return outs, ins, "Choose a MIDI port." if outs or ins else "No MIDI instrument is connected."


def no_such_port(name: str) -> PortError:
    """The error for a name that is not listed."""
    return PortError(f"There is no MIDI port “{name}”; connect it, or choose one of those listed.")


def _open(client: Any, name: str) -> str:
    """Open a port; returns its name as it is listed now."""
    with quiet_stderr():
        names = [str(port) for port in client.get_ports()]
    there = same_port(name, names)
    if there is None:
        raise no_such_port(name)
    try:
        with quiet_stderr():
            client.open_port(names.index(there), name=CLIENT_NAME)
    except Exception as error:  # rtmidi raises classes of its own
        raise PortError(f"The MIDI port “{name}” cannot be opened; another program may hold it.") from error
    return there


def _client(kind: str) -> Any:
    try:
        import rtmidi

        with quiet_stderr():
            return getattr(rtmidi, kind)(name=CLIENT_NAME)
    except ImportError as error:
        raise PortError(NO_PACKAGE) from error
    except Exception as error:  # no sequencer: rtmidi raises a class of its own
        raise PortError(NO_SEQUENCER) from error
