"""What to ask next: what is due, then what is new, then what is confused; and now and then anything.

If only what is due were asked, the due list would give the answer away; so one question in three is drawn from all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from random import Random
from types import MappingProxyType

from core.ear.ask import Ask, Ground
from core.ear.dominant_drill import dominant_asks
from core.ear.hearing_drills import sing_asks, stage_asks
from core.ear.progress import Progress, confusions
from core.ear.question import STAGES, Question
from core.ear.row_drills import row_asks, technique_asks

MAKERS: Mapping[str, Callable[[Ground], Iterator[Ask]]] = MappingProxyType(
    {"row": row_asks, "technique": technique_asks, "dominant": dominant_asks, "stages": stage_asks, "sing": sing_asks}
)
"""Lines of work, by name; "stages" hears one chord in the three steps of :data:`core.ear.question.STAGES`."""
WORK_TITLES: Mapping[str, str] = MappingProxyType({"row": "Which row", "technique": "Which technique",
    "dominant": "Which dominant", "stages": "Bass, guide tones, all", "sing": "Sing first"})  # fmt: skip
WHY_NONE: Mapping[str, str] = MappingProxyType({
    "row": "The take is still the standard; change some bars of it first.",
    "technique": "No change in this take has the name of a technique that was taught; take a proposal first.",
    "dominant": "No dominant of two beats leads home here with room for another under the tune.",
    "stages": "No chord lasts two beats; type some that do.",
    "sing": "There is no tune to sing over; write one on the staff first."})  # fmt: skip
ANYTHING = 3
"""One question in so many is drawn from everything."""


def all_asks(ground: Ground, work: str) -> tuple[Ask, ...]:
    """Everything that a line of work can ask of a chart."""
    return tuple(MAKERS[work](ground))


def next_question(
    asks: Sequence[Ask], progress: Progress, today: int, seed: int, last: Question | None = None
) -> Question | None:
    """The next question; the same arguments give the same one. None where nothing can be asked.

    After the bass of a chord come its guide tones and then the whole chord, in the same bar.
    """
    random = Random(seed)
    follows = _next_stage(asks, last)
    if follows is not None:
        return follows.make(random)
    begins = [ask for ask in asks if ask.drill not in STAGES[1:]]
    pool = [ask for ask in begins if last is None or ask.at != last.at or ask.item != last.item] or begins
    if not pool:
        return None
    if random.randrange(ANYTHING):
        pool = _most_wanted(pool, progress, today)
    item = random.choice(sorted({ask.item for ask in pool}))
    return random.choice([ask for ask in pool if ask.item == item]).make(random)


def _next_stage(asks: Sequence[Ask], last: Question | None) -> Ask | None:
    if last is None or last.drill not in STAGES[:-1]:
        return None
    wanted = STAGES[STAGES.index(last.drill) + 1]
    return next((ask for ask in asks if ask.drill == wanted and ask.at == last.at), None)


def _most_wanted(pool: list[Ask], progress: Progress, today: int) -> list[Ask]:
    due = [ask for ask in pool if progress.is_due(ask.item, today)]
    if due:
        return due
    new = [ask for ask in pool if ask.item not in progress.cards]
    return new or _most_confused(pool, progress)


def _most_confused(pool: list[Ask], progress: Progress) -> list[Ask]:
    """Both sides of the worst pair of the drill; everything where nothing was confused."""
    worst = confusions(progress, pool[0].drill).worst()
    confused = [ask for ask in pool if worst is not None and ask.right in worst[:2]]
    return confused or pool
