"""Small scores as text: the parts of a MusicXML file that a test is about, and nothing else."""

from __future__ import annotations

from core.chart import Chart
from core.foreign.musicxml_read import read_musicxml

ATTRIBUTES = ("<attributes><divisions>{divisions}</divisions><key><fifths>{fifths}</fifths>{mode}</key>"
              "<time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time></attributes>")  # fmt: skip
WHOLE = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><voice>1</voice></note>"


def attributes(divisions: int = 1, fifths: int = 0, mode: str = "major", meter: str = "4/4") -> str:
    """The ``<attributes>`` of a first measure."""
    beats, beat_type = meter.split("/")
    return ATTRIBUTES.format(divisions=divisions, fifths=fifths, beats=beats, beat_type=beat_type,
                             mode=f"<mode>{mode}</mode>" if mode else "")  # fmt: skip


def note(step: str, duration: int, octave: int = 4, extra: str = "", before: str = "", alter: int = 0) -> str:
    """A note; ``extra`` follows the voice, ``before`` stands before the pitch (``<chord/>``)."""
    altered = f"<alter>{alter}</alter>" if alter else ""
    return (f"<note>{before}<pitch><step>{step}</step>{altered}<octave>{octave}</octave></pitch>"
            f"<duration>{duration}</duration><voice>1</voice>{extra}</note>")  # fmt: skip


def harmony(root: str, kind: str = "major", text: str | None = None, rest: str = "", attribute: str = "") -> str:
    """A chord symbol; ``root`` like "Bb"; ``rest`` follows the kind."""
    alter = {"": "", "b": "<root-alter>-1</root-alter>", "#": "<root-alter>1</root-alter>"}[root[1:]]
    printed = "" if text is None else f' text="{text}"'
    return (f"<harmony{attribute}><root><root-step>{root[0]}</root-step>{alter}</root>"
            f"<kind{printed}>{kind}</kind>{rest}</harmony>")  # fmt: skip


def degree(number: int, alter: int, kind: str) -> str:
    """A ``<degree>``."""
    return (f"<degree><degree-value>{number}</degree-value><degree-alter>{alter}</degree-alter>"
            f"<degree-type>{kind}</degree-type></degree>")  # fmt: skip


def words(text: str, sound: str = "") -> str:
    """A direction with words and the attributes of its sound."""
    told = f"<sound {sound}/>" if sound else ""
    return f"<direction><direction-type><words>{text}</words></direction-type>{told}</direction>"


def sign(name: str, sound: str = "") -> str:
    """A direction with a segno or coda sign."""
    told = f"<sound {sound}/>" if sound else ""
    return f"<direction><direction-type><{name}/></direction-type>{told}</direction>"


def metronome(unit: str, minute: str, dots: int = 0) -> str:
    """A direction with a metronome mark."""
    inside = f"<beat-unit>{unit}</beat-unit>{'<beat-unit-dot/>' * dots}<per-minute>{minute}</per-minute>"
    return f"<direction><direction-type><metronome>{inside}</metronome></direction-type></direction>"


def bar_line(where: str, inside: str) -> str:
    """A ``<barline>``."""
    return f'<barline location="{where}">{inside}</barline>'


START = bar_line("left", '<repeat direction="forward"/>')
END = bar_line("right", '<repeat direction="backward"/>')


def ending(number: str, where: str = "both", repeat: bool = False) -> tuple[str, str]:
    """Left and right bar lines of a bar under an ending; ``where`` is "both", "start" or "stop"."""
    left = bar_line("left", f'<ending number="{number}" type="start"/>') if where != "stop" else ""
    inside = f'<ending number="{number}" type="stop"/>' + ('<repeat direction="backward"/>' if repeat else "")
    return left, bar_line("right", inside) if where != "start" else ""


def score(*measures: str, first: str | None = None, head: str = "", parts: str = "") -> str:
    """A partwise score; ``measures`` are the insides of the bars, the first gets ``first`` (4/4 in C) before it.

    A measure that begins with "<measure" is taken as it stands. ``parts`` are further whole parts.
    """
    body = ""
    for number, inside in enumerate(measures, 1):
        opening = (attributes() if first is None else first) if number == 1 else ""
        if inside.startswith("<measure"):
            tag, rest = inside.split(">", 1)
            body += f"{tag}>{opening}{rest}"
        else:
            body += f'<measure number="{number}">{opening}{inside}</measure>'
    listed = '<score-part id="P1"><part-name>Horn</part-name></score-part>'
    listed += '<score-part id="P2"><part-name>Second</part-name></score-part>' if parts else ""
    return (f'<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
            f"<movement-title>Ebb</movement-title>{head}"
            f'<part-list>{listed}</part-list><part id="P1">{body}</part>{parts}</score-partwise>')  # fmt: skip


def read(text: str) -> tuple[Chart, tuple[str, ...]]:
    """Chart and report of a score's text."""
    return read_musicxml([text.encode()], "untitled")


def slots(chart: Chart) -> list[tuple[str, str]]:
    """Onset and text of every slot of the standard row."""
    return [(str(slot.onset), slot.text) for slot in chart.standard]


def notes(chart: Chart) -> list[tuple[str, str, str]]:
    """Onset, duration and pitch of every melody note."""
    return [(str(note.onset), str(note.duration), str(note.pitch)) for note in chart.melody]
