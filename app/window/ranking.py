"""The order of the proposals, and why it is so: points against each, term by term, and one sentence. No Qt."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from core.propose import Proposal

ORDER_WEIGHT = 0.5  # how much the book's own order counts against nearness to the wished boldness

# The book's terms: what a row of the table is called, what is said of fewer points, what of more.
TERM_WORDS = {
    "melody": ("rubs with the tune", "the tune rubs less against it", "the tune rubs more against it"),
    "leading": ("motion of the voices", "its voices move less", "its voices move further"),
    "function": ("change of function", "it keeps the function better", "it bends the function more"),
    "distance": ("way from the standard", "it stays nearer to the standard", "it goes further from the standard"),
    "rhythm": ("chords added", "it adds fewer chords", "it adds more chords"),
}
ORDINALS = ("First", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth", "Ninth", "Tenth")


class RankRow(NamedTuple):
    """One line of the table: points of the proposal in hand and of the one it is weighed against.

    ``decides`` marks the line that the sentence names; ``other`` is None where there is nothing to weigh against.
    """

    name: str
    mine: int
    other: int | None
    decides: bool = False


class Ranking(NamedTuple):
    """Why a proposal stands where it stands; ``against`` is the place (from 0) of the one it is weighed against."""

    sentence: str
    rows: tuple[RankRow, ...]
    against: int | None


def ranked(proposals: Sequence[Proposal], boldness: float) -> tuple[Proposal, ...]:
    """Best first for a wished boldness 0 (safe) to 1 (bold).

    The book's order counts half a point from first to last, the distance from the wish a full point; ties keep the
    book's order.
    """
    scored = [(by_book + by_wish, place) for place, (by_book, by_wish) in enumerate(_scores(proposals, boldness))]
    return tuple(proposals[place] for _, place in sorted(scored))


def _scores(proposals: Sequence[Proposal], boldness: float) -> list[tuple[float, float]]:
    """Points by the book's order and by the distance from the wish; the proposals come in the book's order."""
    last = max(1, len(proposals) - 1)
    return [(ORDER_WEIGHT * place / last, abs(item.boldness - boldness)) for place, item in enumerate(proposals)]


def explain_place(proposals: Sequence[Proposal], boldness: float, place: int, names: Sequence[str]) -> Ranking:
    """Why a proposal stands at a place (from 0) of the ranked list: the first beside the next, others beside the first.

    ``proposals`` come in the book's order; ``names`` are the printed chords in the ranked order.
    """
    order = ranked(proposals, boldness)
    if len(order) == 1:
        return Ranking("The only proposal here.", _rows(order[0], None, ""), None)
    against = 1 if place == 0 else 0
    mine, other = order[place], order[against]
    scores = dict(zip(map(id, proposals), _scores(proposals, boldness), strict=True))
    ahead, behind = (mine, other) if place == 0 else (other, mine)
    (book_ahead, wish_ahead), (book_behind, wish_behind) = scores[id(ahead)], scores[id(behind)]
    by_wish = wish_behind - wish_ahead > max(0.0, book_behind - book_ahead)
    term = "boldness" if by_wish else _deciding_term(ahead, behind)
    lead = f"{_ordinal(place)}{'' if place == 0 else f', behind {names[0]},'}"
    return Ranking(f"{lead} {_reason(mine, other, term, boldness)}", _rows(mine, other, term), against)


def _ordinal(place: int) -> str:
    return ORDINALS[place] if place < len(ORDINALS) else f"Number {place + 1}"


def _deciding_term(ahead: Proposal, behind: Proposal) -> str:
    """The term by which the one ahead gains most; "" where the two weigh the same."""
    won, lost = dict(ahead.terms), dict(behind.terms)
    gains = {name: lost.get(name, 0) - points for name, points in won.items()}
    best = max(gains, key=lambda name: gains[name], default="")
    return best if best and gains[best] > 0 else ""


def _reason(mine: Proposal, other: Proposal, term: str, wish: float) -> str:
    if term == "":
        return "though both weigh the same: the book names them in this order."
    if term == "boldness":
        nearer = "nearer to" if abs(mine.boldness - wish) < abs(other.boldness - wish) else "further from"
        return (f"because its boldness is {nearer} your wish of {percent(wish)}: "
                f"{percent(mine.boldness)} against {percent(other.boldness)}.")  # fmt: skip
    a, b = dict(mine.terms)[term], dict(other.terms)[term]
    _, fewer, more = TERM_WORDS.get(term, (term, f"it has fewer points for {term}", f"it has more points for {term}"))
    return f"because {fewer if a < b else more}: {a} against {b}."


def _rows(mine: Proposal, other: Proposal | None, term: str) -> tuple[RankRow, ...]:
    """The terms in which either has points, what they come to together, and the boldness."""
    there = dict(other.terms) if other else {}
    rows = [RankRow(TERM_WORDS.get(name, (name,))[0], points, there.get(name, 0) if other else None, name == term)
            for name, points in mine.terms if points or there.get(name)]  # fmt: skip
    rows.append(RankRow("together", mine.cost, other.cost if other else None))
    bold = percent(other.boldness) if other else None
    return (*rows, RankRow("boldness", percent(mine.boldness), bold, term == "boldness"))


def percent(boldness: float) -> int:
    """Boldness as a whole number from 0 (safe) to 100 (bold)."""
    return round(100 * boldness)
