"""``changewright voice FILE``: voicings for piano or guitar, led over a row, and what else fits each chord."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from app.cli import UsageError, document
from app.cli.reading import read_chart
from app.cli.voice_document import guitar_document, piano_document
from app.cli.voice_text import print_guitar, print_piano
from core.chart import STANDARD
from core.files import ending_of
from core.form import Form
from core.hands import guitar, piano
from core.hands.fretboard import TUNINGS, Fretboard, Limits, parse_tuning
from core.hands.grips import Player
from core.hands.guitar import GripError
from core.hands.keyboard import SPAN, WIDE_SPAN
from core.hands.piano import HandError, PianoPlayer
from core.hands.tones import GUITAR_STYLES
from core.hands.voiced_row import VoicedRow
from core.row import Row, exact, slot_index
from core.voicing_shapes import PIANO_STYLES

FORMS = ("rootless A", "rootless B")
STYLES = {"piano": (*PIANO_STYLES, *FORMS), "guitar": GUITAR_STYLES}
FRETS = 20


def add_to(commands: Any) -> None:
    """Add the command's words."""
    parser = commands.add_parser("voice", help="voicings for piano or guitar, led over a row")
    parser.add_argument("file", help="a chart, or - for stdin")
    parser.add_argument("--row", metavar="R", default=STANDARD, help="standard, another reference row or a take")
    parser.add_argument("--instrument", choices=("piano", "guitar"), default="piano")
    parser.add_argument("--style", metavar="NAME", help=f"piano: {', '.join(STYLES['piano'])}; "
                                                        f"guitar: {', '.join(STYLES['guitar'])}")  # fmt: skip
    parser.add_argument("--tune", choices=("below", "top", "off"), default="below",
                        help="keep below the tune, have it on top, or leave it out of account")  # fmt: skip
    parser.add_argument("--lock", metavar="BAR[:BEAT]=VOICING", action="append", default=[],
                        help="fix a voicing ('3=x 3 2 4 1 x', '3:2=53 57 60') and plan around it")  # fmt: skip
    parser.add_argument("--others", metavar="N", type=int, default=3, help="more voicings for each chord (3)")
    parser.add_argument("--colours", action="store_true", help="scales, tensions and upper structures of each chord")
    parser.add_argument("--json", action="store_true", help="one JSON document")
    parser.add_argument("--pictures", metavar="OUT", help="pictures of all voicings as .pdf, .svg or .png, a page each")
    parser.add_argument("--labels", choices=("degrees", "notes"), default="degrees", help="what stands in the pictures")
    hands = parser.add_argument_group("piano")
    hands.add_argument("--wide", action="store_true", help="hands that span a tenth")
    board = parser.add_argument_group("guitar")
    board.add_argument("--tuning", metavar="T", default="standard",
                       help=f"{', '.join(TUNINGS)}, or open strings from the lowest: 'E2 A2 D3 G3 B3 E4'")  # fmt: skip
    board.add_argument("--frets", metavar="N", type=int, default=FRETS)
    board.add_argument("--capo", metavar="N", type=int, default=0, help="fret of the capo; frets are counted from it")
    board.add_argument("--span", metavar="N", type=int, help="frets that a hand spans (4, and 5 above the seventh)")
    board.add_argument("--fingers", metavar="N", type=int, default=4, help="fingers that may be used, 2 to 4")
    board.add_argument("--root", action="store_true", help="nobody else plays the bass: the chord's own lies lowest")
    parser.set_defaults(command=run)


def run(arguments: argparse.Namespace) -> int:
    """Plan, and print."""
    style = _style(arguments)
    chart = read_chart(arguments.file)
    row = chart.row_named(arguments.row)
    take = next((take for take in chart.takes if take.name == arguments.row), None)
    voiced = VoicedRow(chart.title, arguments.row, row, chart.form_of(take), chart.key_of(take))
    melody = () if arguments.tune == "off" else chart.melody_of(take)
    locks = [_lock(text, row, voiced.form) for text in arguments.lock]
    others, on_top = max(0, arguments.others), arguments.tune == "top"
    if arguments.instrument == "guitar":
        player = _guitarist(arguments, style)
        plan = guitar.plan_row(row, player, melody, on_top=on_top, others=others,
                               locked={index: _frets(text) for index, text in locks})  # fmt: skip
        if arguments.pictures:
            _draw(arguments, lambda pages: pages.guitar_pages(voiced, player, plan, arguments.labels), voiced)
        elif arguments.json:
            document.write(guitar_document(voiced, player, plan))
        else:
            print_guitar(voiced, player, plan, arguments.colours)
    else:
        pianist = _pianist(arguments, style)
        hands = piano.plan_row(row, pianist, melody, on_top=on_top, others=others,
                               locked={index: _notes(text) for index, text in locks})  # fmt: skip
        if arguments.pictures:
            _draw(arguments, lambda pages: pages.piano_pages(voiced, pianist, hands, arguments.labels), voiced)
        elif arguments.json:
            document.write(piano_document(voiced, pianist, hands))
        else:
            print_piano(voiced, pianist, hands, arguments.colours)
    return 0


def _style(arguments: argparse.Namespace) -> str:
    known = STYLES[arguments.instrument]
    style = arguments.style or known[0]
    if style not in known:
        raise UsageError(f"there is no {arguments.instrument} style {style!r}; known are {', '.join(known)}")
    return str(style)


def _guitarist(arguments: argparse.Namespace, style: str) -> Player:
    board = Fretboard(parse_tuning(arguments.tuning), arguments.frets, arguments.capo)
    span = Limits().span if arguments.span is None else arguments.span
    limits = Limits(fingers=arguments.fingers, span=span, high_span=span + 1)
    return Player(board, next(name for name in GUITAR_STYLES if name == style), not arguments.root, limits)


def _pianist(arguments: argparse.Namespace, style: str) -> PianoPlayer:
    span = WIDE_SPAN if arguments.wide else SPAN
    if style in FORMS:
        return PianoPlayer("rootless", span, "A" if style.endswith("A") else "B")
    return PianoPlayer(next(name for name in PIANO_STYLES if name == style), span)


def _draw(arguments: argparse.Namespace, drawn: Callable[[Any], Any], voiced: VoicedRow) -> None:
    """Write pages of pictures; Qt is loaded for this alone."""
    from app.sheet import voicing_pages
    from app.sheet.files import SHEET_ENDINGS, make_ready, write_pages

    if ending_of(arguments.pictures) not in SHEET_ENDINGS:
        raise UsageError(f"--pictures writes {', '.join(SHEET_ENDINGS)}, and {arguments.pictures!r} ends otherwise")
    make_ready()
    for path in write_pages(drawn(voicing_pages), arguments.pictures, voiced.title):
        print(path)


# --- locks -----------------------------------------------------------------------------------------------------------


def _lock(text: str, row: Row, form: Form) -> tuple[int, str]:
    """The slot and the voicing of "3:2=x 3 2 4 1 x"."""
    place, sign, voicing = text.partition("=")
    number, _, beat = place.partition(":")
    try:
        at = exact(beat.strip() or "1")
        bar = next(bar for bar in form.bars if bar.number == int(number))
    except (ValueError, StopIteration):
        raise UsageError(f"cannot read {text!r} as a lock; write a bar that is there, its beat if need be, and the "
                         "voicing, like '3=x 3 2 4 1 x' or '3:2=53 57 60'") from None  # fmt: skip
    onset = bar.start + at - Fraction(1)
    index = slot_index(row, onset)
    if not sign:
        raise UsageError(f"{text!r} names no voicing; write it behind the bar, like '3=x 3 2 4 1 x'")
    if not bar.start <= onset < bar.end or row[index].onset != onset or row[index].chord is None:
        raise UsageError(f"no chord begins at beat {at} of bar {bar.number}; name the bar and beat of one")
    return index, voicing.strip()


def _frets(text: str) -> tuple[int | None, ...]:
    words = text.replace(",", " ").split()
    if not all(word in ("x", "X") or (word.isdecimal() and len(word) < 4) for word in words):
        raise GripError(f"Cannot read {text[:40]!r} as a grip; give a fret, 0 or x for each string, lowest first.")
    return tuple(None if word in ("x", "X") else int(word) for word in words)


def _notes(text: str) -> tuple[int, ...]:
    words = text.replace(",", " ").split()
    if not words or not all(word.isdecimal() and len(word) < 4 for word in words):
        raise HandError(f"Cannot read {text[:40]!r} as a voicing; give MIDI numbers, lowest first, like 53 57 60 64.")
    return tuple(int(word) for word in words)
