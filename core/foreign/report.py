"""What an import guessed or dropped: sentences, each with the bars it is about, said once."""

from __future__ import annotations

from dataclasses import dataclass, field

MAX_SENTENCES = 60
MAX_STRETCHES = 12


@dataclass(slots=True)
class Report:
    """Collects sentences; the same sentence about several bars becomes one sentence with a list of bars."""

    _bars: dict[str, list[int | None]] = field(default_factory=dict)

    def add(self, sentence: str, bar: int | None = None) -> None:
        """Note a guess or a loss; ``sentence`` starts small and has no full stop; ``bar`` is a written bar's index."""
        bars = self._bars.setdefault(sentence, [])
        if not bars or bars[-1] != bar:
            bars.append(bar)

    def sentences(self, numbers: list[str]) -> tuple[str, ...]:
        """Finished sentences in the order they were noted; ``numbers`` are the printed numbers of the written bars."""
        lines = [_line(text, sorted({bar for bar in bars if bar is not None}), numbers)
                 for text, bars in self._bars.items()]  # fmt: skip
        if len(lines) > MAX_SENTENCES:
            return (*lines[:MAX_SENTENCES], f"{len(lines) - MAX_SENTENCES} more guesses are not listed.")
        return tuple(lines)


def _line(text: str, bars: list[int], numbers: list[str]) -> str:
    if not bars:
        return f"{text[0].upper()}{text[1:]}."
    return f"{'Bar' if len(bars) == 1 else 'Bars'} {_stretches(bars, numbers)}: {text}."


def _stretches(bars: list[int], numbers: list[str]) -> str:
    """``[0, 1, 2, 5]`` as ``1–3, 6`` in printed numbers."""
    runs: list[list[int]] = []
    for bar in bars:
        if runs and runs[-1][-1] == bar - 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])

    def name(bar: int) -> str:
        return numbers[bar] if bar < len(numbers) else str(bar + 1)

    texts = [name(run[0]) if len(run) == 1 else f"{name(run[0])}–{name(run[-1])}" for run in runs]
    return ", ".join(texts[:MAX_STRETCHES]) + (" and more" if len(texts) > MAX_STRETCHES else "")
