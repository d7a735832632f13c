"""Progress: what counts, what moves a card, and its file."""

from __future__ import annotations

import pytest

from core.ear.progress import Progress, ProgressError, answered, confusions, progress_from_json, progress_to_json

DAY = 740_000


def some_progress() -> Progress:
    progress = Progress()
    for right, given in (("tritone", "backdoor"), ("tritone", "tritone"), ("backdoor", "tritone"),
                         ("tritone", "backdoor"), ("fifth", "fifth")):  # fmt: skip
        progress = answered(progress, "dominant", right, given, 1, DAY)
    return progress


def test_confusions_count_pairs() -> None:
    table = confusions(some_progress(), "dominant")
    assert table.names == ("tritone", "backdoor", "fifth")
    assert table.counts == ((1, 2, 0), (1, 0, 0), (0, 0, 1))
    assert (table.asked, table.right) == (5, 2)
    assert table.worst() == ("tritone", "backdoor", 2)
    assert confusions(some_progress(), "row").worst() is None


def test_a_card_moves_once_a_day_however_often_it_is_known() -> None:
    progress = Progress()
    for _ in range(10):
        progress = answered(progress, "row", "take", "take", 1, DAY)
    assert progress.cards["row:take"].due == DAY + 1
    assert progress.days[DAY] == (10, 10)
    progress = answered(progress, "row", "take", "standard", 1, DAY)
    assert progress.cards["row:take"].due == DAY, "what was not known is asked again today"


def test_a_file_gives_back_what_was_written() -> None:
    progress = some_progress()
    text = progress_to_json(progress)
    again = progress_from_json(text)
    assert again == progress
    assert progress_to_json(again) == text
    assert progress_from_json(progress_to_json(Progress())) == Progress()


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"format": "changewright ear progress", "version": 9}',
     '{"format": "changewright ear progress", "version": 1, "cards": [["x", 2.5, 1, true, 3]]}', "[" * 100_000],
)  # fmt: skip
def test_other_files_are_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(ProgressError, match=r"ear progress .*\.$"):
        progress_from_json(text)
