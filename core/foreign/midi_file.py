"""A Standard MIDI File from its bytes: tracks with notes, programs and texts, and the metas that carry time.

We read the bytes ourselves: the reading process has no packages, and a file from a stranger must be refused with the
reason. Sources: Standard MIDI Files 1.0 (RP-001) for header, chunks, variable-length quantities and meta events; MIDI
1.0 for channel messages and running status. The library in our tests reads the same notes.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from core.foreign.xml_stream import Refused

MAX_MIDI_BYTES = 4_000_000
MAX_EVENTS = 300_000
MAX_QUARTERS = 40_000
HEADER = b"MThd"
_HEAD_BYTES = 14
_META, _SYSEX, _ESCAPE = 0xFF, 0xF0, 0xF7
_TEXT, _TRACK_NAME, _LYRIC, _MARKER, _CUE, _END = 1, 3, 5, 6, 7, 0x2F
_TEMPO, _SMPTE_OFFSET, _METER, _KEY = 0x51, 0x54, 0x58, 0x59
_KINDS = {_TEXT: "text", _LYRIC: "lyric", _MARKER: "marker", _CUE: "text"}
_DATA_BYTES = {0x80: 2, 0x90: 2, 0xA0: 2, 0xB0: 2, 0xC0: 1, 0xD0: 1, 0xE0: 2}
_AGAIN = "export or copy it again"


@dataclass(frozen=True, slots=True)
class MidiNote:
    """A note in ticks, end exclusive."""

    start: int
    end: int
    pitch: int
    channel: int


@dataclass(slots=True)
class MidiTrack:
    """One track: its name, notes, the program of each channel, and its texts as (tick, kind, text)."""

    name: str = ""
    notes: list[MidiNote] = field(default_factory=list)
    programs: dict[int, int] = field(default_factory=dict)
    texts: list[tuple[int, str, str]] = field(default_factory=list)
    end: int = 0


@dataclass(slots=True)
class MidiFile:
    """All tracks, ticks in a quarter note, and the metas of all tracks in order of time."""

    division: int
    tracks: list[MidiTrack] = field(default_factory=list)
    tempos: list[tuple[int, int]] = field(default_factory=list)
    meters: list[tuple[int, int, int]] = field(default_factory=list)
    keys: list[tuple[int, int, bool]] = field(default_factory=list)
    lost_tracks: int = 0
    open_notes: int = 0


def parse_midi(data: bytes) -> MidiFile:
    """Read a file; raises :class:`Refused` with what is wrong with it and what to do."""
    if len(data) > MAX_MIDI_BYTES:
        raise Refused(f"is {len(data) // 1_000_000} MB, more than any MIDI file of a tune", "open a smaller file")
    if data.startswith(b"RIFF") and data[8:12] == b"RMID":
        data = data[20:]
    file, at, tracks = _header(data)
    events = 0
    while at + 8 <= len(data) and len(file.tracks) < tracks:
        kind, length = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "big")
        at += 8
        if kind == b"MTrk":
            if at + length > len(data):
                raise Refused(f"breaks off in track {len(file.tracks) + 1} of {tracks}", f"it is cut short; {_AGAIN}")
            reader = _TrackReader(data[at : at + length], len(file.tracks) + 1, file, MAX_EVENTS - events)
            file.tracks.append(reader.read())
            events += reader.events
        at += length
    if not file.tracks:
        raise Refused("holds no track", f"it is cut short; {_AGAIN}")
    file.lost_tracks = tracks - len(file.tracks)
    for metas in (file.tempos, file.meters, file.keys):
        metas.sort(key=lambda meta: meta[0])
    if max(track.end for track in file.tracks) > MAX_QUARTERS * file.division:
        raise Refused("lasts longer than any tune", "mend its times and open it again")
    return file


def _header(data: bytes) -> tuple[MidiFile, int, int]:
    """The file without its tracks, where they begin, and how many there should be."""
    if not data.startswith(HEADER):
        raise Refused("is not a MIDI file: it does not begin with MThd", "open a Standard MIDI File (.mid)")
    if len(data) < _HEAD_BYTES:
        raise Refused("breaks off in its header", f"it is cut short; {_AGAIN}")
    length = int.from_bytes(data[4:8], "big")
    form, tracks, division = (int.from_bytes(data[at : at + 2], "big") for at in (8, 10, 12))
    if length < 6 or 8 + length > len(data):
        raise Refused(f"has a header of {length} bytes, which no MIDI file has", f"it is damaged; {_AGAIN}")
    if form > 2:
        raise Refused(f"is of format {form}, and there are only 0, 1 and 2", f"it is damaged; {_AGAIN}")
    if form == 2:
        raise Refused("is of format 2, patterns that do not belong to one time", "export it as format 0 or 1")
    if division & 0x8000:
        raise Refused("counts time in SMPTE frames of a film, not in beats", "export it with ticks per quarter note")
    if division == 0:
        raise Refused("counts zero ticks in a quarter note, so it has no time", f"it is damaged; {_AGAIN}")
    if tracks == 0:
        raise Refused("holds no track", "export it again with its tracks")
    return MidiFile(division), 8 + length, tracks


class _TrackReader:
    """Walks through the events of one track."""

    def __init__(self, data: bytes, number: int, file: MidiFile, room: int) -> None:
        self._data, self._number, self._file, self._room = data, number, file, room
        self._at = self._tick = self.events = 0
        self._status = 0
        self._track = MidiTrack()
        self._sounding: dict[tuple[int, int], int] = {}

    def read(self) -> MidiTrack:
        """The whole track."""
        ended = False
        while self._at < len(self._data) and not ended:
            self.events += 1
            if self.events > self._room:
                raise Refused("holds more events than any tune", "open a smaller file")
            self._tick += self._quantity()
            ended = self._event(self._byte())
        self._track.end = self._tick
        for (channel, pitch), start in self._sounding.items():
            self._file.open_notes += 1
            self._keep(start, channel, pitch)
        self._track.notes.sort(key=lambda note: (note.start, note.pitch))
        return self._track

    def _refuse(self, problem: str) -> Refused:
        return Refused(f"{problem} in track {self._number}, byte {self._at}", f"it is damaged; {_AGAIN}")

    def _byte(self) -> int:
        if self._at >= len(self._data):
            raise self._refuse("breaks off")
        self._at += 1
        return self._data[self._at - 1]

    def _quantity(self) -> int:
        """A variable-length quantity: seven bits a byte, at most four bytes."""
        value = 0
        for _ in range(4):
            byte = self._byte()
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value
        raise self._refuse("has a length of more than four bytes")

    def _take(self, length: int) -> bytes:
        if self._at + length > len(self._data):
            raise self._refuse("has an event that reaches beyond its end")
        self._at += length
        return self._data[self._at - length : self._at]

    def _event(self, status: int) -> bool:
        """Read one event; True for the end of the track."""
        if status == _META:
            return self._meta(self._byte(), self._take(self._quantity()))
        if status in (_SYSEX, _ESCAPE):
            self._take(self._quantity())
            self._status = 0
            return False
        if status > _SYSEX:
            raise self._refuse(f"holds the byte {status:02X}, which no file may hold,")
        if status < 0x80:
            if not self._status:
                raise self._refuse("has data where an event should begin (running status without a status)")
            self._at -= 1
            status = self._status
        self._status = status
        data = self._take(_DATA_BYTES[status & 0xF0])
        if max(data) > 0x7F:
            raise self._refuse("has a message that is cut off by another")
        self._message(status & 0xF0, status & 0x0F, data)
        return False

    def _message(self, kind: int, channel: int, data: bytes) -> None:
        if kind in (0x80, 0x90):
            pitch = data[0]
            start = self._sounding.pop((channel, pitch), None)
            if start is not None:
                self._keep(start, channel, pitch)
            if kind == 0x90 and data[1]:
                self._sounding[channel, pitch] = self._tick
        elif kind == 0xC0:
            self._track.programs.setdefault(channel, data[0])

    def _keep(self, start: int, channel: int, pitch: int) -> None:
        if self._tick > start:
            self._track.notes.append(MidiNote(start, self._tick, pitch, channel))

    def _meta(self, kind: int, data: bytes) -> bool:
        file = self._file
        if kind == _END:
            return True
        if kind == _TEMPO and len(data) == 3 and any(data):
            file.tempos.append((self._tick, int.from_bytes(data, "big")))
        elif kind == _METER and len(data) >= 2:
            file.meters.append((self._tick, data[0], data[1]))
        elif kind == _KEY and len(data) == 2:
            sharps = data[0] - 256 if data[0] > 127 else data[0]
            if -7 <= sharps <= 7:
                file.keys.append((self._tick, sharps, data[1] == 1))
        elif kind == _TRACK_NAME and not self._track.name:
            self._track.name = text_in(data)
        elif kind in _KINDS:
            self._track.texts.append((self._tick, _KINDS[kind], text_in(data)))
        return False


def text_in(data: bytes) -> str:
    """Text of a meta event: UTF-8 where it is, else Western European, without anything that does not print."""
    try:
        text = data[:400].decode("utf-8")
    except UnicodeDecodeError:
        text = data[:400].decode("cp1252", errors="replace")
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
