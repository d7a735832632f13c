"""What can be chosen: bands, voicing styles, who reads the page; what is refused; a take's seed in the file."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.arrange import BANDS, PLAYERS, VOICING_STYLES, Settings, SettingsError, arrange
from core.chart_json import chart_from_json, chart_to_json
from core.timeline import Timeline
from tests.core.arrange.charts import ONE_A_BAR, TWO_A_BAR, TWO_SUBSTITUTED, chart, tune

MELODY = tune(("0", "2", 72), ("4", "3", 74), ("8", "2", 71), ("12", "4", 72))


def with_tune() -> Timeline:
    return arrange(chart(ONE_A_BAR, melody=MELODY), None)


@pytest.mark.parametrize("band", BANDS)
def test_only_the_chosen_parts_play_and_they_play_the_same(band: str) -> None:
    built = chart(TWO_A_BAR, TWO_SUBSTITUTED, melody=MELODY)
    whole, some = arrange(built, "sub"), arrange(built, "sub", settings=Settings(band=band))
    assert {event.part for event in some.events} == BANDS[band]
    for part in BANDS[band] - {"piano"}:  # without the tune the piano need not keep below it
        assert [e for e in some.events if e.part == part] == [e for e in whole.events if e.part == part]


def test_guide_tones_only_are_two_voices() -> None:
    events = arrange(chart("Dm7 | G7 | Cmaj7 | A7"), None, settings=Settings(band="guide tones only")).events
    struck: dict[float, list[int]] = {}
    for event in events:
        struck.setdefault(event.onset, []).append(event.pitch % 12)
    assert {len(notes) for notes in struck.values()} == {2}
    assert sorted(struck[min(struck)]) == [0, 5]


# A written C sounds B flat, E flat, F on instruments in those keys: common practice, no source.
@pytest.mark.parametrize(("player", "sounds"), [("C", 0), ("Bb", 10), ("Eb", 3), ("F", 5)])
def test_a_transposing_player_reads_the_page_as_it_stands(player: str, sounds: int) -> None:
    built = chart("Cmaj7 | G7", melody=tune(("0", "4", 72), ("4", "4", 74)))
    page, moved = arrange(built, None), arrange(built, None, settings=Settings(player=player))
    tunes = [[event.pitch for event in timeline.events if event.part == "tune"] for timeline in (page, moved)]
    assert {(other - one) % 12 for one, other in zip(*tunes, strict=True)} == {sounds}
    roots = [next(event.pitch % 12 for event in timeline.events if event.part == "bass") for timeline in (page, moved)]
    assert (roots[1] - roots[0]) % 12 == sounds
    assert moved.markers == page.markers
    assert set(PLAYERS) == {"C", "Bb", "Eb", "F"}


@pytest.mark.parametrize(
    ("settings", "sentence"),
    [
        ({"voicing": "lumps"}, "There is no voicing named 'lumps'; there are 'rootless', 'shell'"),
        ({"band": "choir"}, "There is no band named 'choir'"),
        ({"player": "G"}, "There is no player named 'G'; there are 'C', 'Bb', 'Eb', 'F'."),
    ],
)
def test_a_choice_that_is_none_is_refused_with_the_list(settings: dict[str, str], sentence: str) -> None:
    with pytest.raises(SettingsError, match=f"^{sentence}"):
        Settings(**settings)  # type: ignore[arg-type]


def test_a_style_changes_the_chords_and_nothing_else() -> None:
    built = chart(TWO_A_BAR, TWO_SUBSTITUTED, melody=MELODY)
    plain = arrange(built, "sub")
    heard = set()
    for style in VOICING_STYLES:
        timeline = arrange(built, "sub", settings=Settings(voicing=style))
        assert [e for e in timeline.events if e.part != "piano"] == [e for e in plain.events if e.part != "piano"]
        piano = [event for event in timeline.events if event.part == "piano"]
        assert {e.onset for e in piano} == {e.onset for e in plain.events if e.part == "piano"}
        heard.add(tuple(event.pitch for event in piano))
    assert len(heard) == len(VOICING_STYLES)


def test_the_seed_of_a_take_is_in_its_file_and_gives_the_same_performance_again() -> None:
    built = chart(TWO_A_BAR, TWO_SUBSTITUTED, seed=41)
    back = chart_from_json(chart_to_json(built))
    assert back.takes[0].seed == 41
    assert arrange(back, "sub") == arrange(built, "sub")
    other = replace(built, takes=(replace(built.takes[0], seed=42),))
    assert arrange(other, "sub").events != arrange(built, "sub").events


def test_the_pianos_hand_is_free_where_no_tune_is_heard() -> None:
    built = chart("Cm7 | Cm7", melody=tune(("0", "8", 60)))
    tops = [max(event.pitch for event in arrange(built, None, settings=Settings(band=band)).events
                if event.part == "piano") for band in ("whole band", "without the tune")]  # fmt: skip
    assert tops[0] <= 58 < tops[1]


def test_practised_slowly_it_is_the_same_performance() -> None:
    built = chart(TWO_A_BAR, TWO_SUBSTITUTED, tempo=220, feel="swing", melody=MELODY)
    fast, slow = arrange(built, "sub"), arrange(built, "sub", settings=Settings(bpm=70))
    for part in ("piano", "bass", "drums", "tune"):
        one, other = ([(event.side, event.pitch, event.velocity, int(event.onset + 0.01)) for event in timeline.events
                       if event.part == part] for timeline in (fast, slow))  # fmt: skip
        assert sorted(one) == sorted(other)
