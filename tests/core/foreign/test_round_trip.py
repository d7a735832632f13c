"""What is exported comes back equal, is valid MusicXML 4.0, and is read by two other programs."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from core.chart import STANDARD, Chart, NamedRow
from core.foreign import write_musicxml
from core.foreign.musicxml_read import read_musicxml
from core.row import Slot
from tests.core.foreign.charts import is_foldable, load_schema, random_chart, random_slot


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> etree.XMLSchema:
    return load_schema(tmp_path_factory.mktemp("schema"))


def again(text: str) -> Chart:
    """The chart our reader makes of a text, which must need no guess but those that the format forces."""
    chart, report = read_musicxml([text.encode()], "untitled")
    assert [line for line in report if "than its metre" not in line] == []
    return chart


@settings(max_examples=80, deadline=None)
@given(st.randoms(use_true_random=False), st.booleans())
def test_both_rows_come_back(schema: etree.XMLSchema, random: Random, agreeing: bool) -> None:
    chart = random_chart(random, agreeing)
    text = write_musicxml(chart, "both")
    schema.assertValid(etree.fromstring(text.encode()))
    back = again(text)
    assert back.references == chart.references
    assert back.takes == chart.takes
    assert back.melody == chart.melody
    for name in ("title", "composer", "key", "tempo", "feel", "note"):
        assert getattr(back, name) == getattr(chart, name)
    assert [(bar.start, bar.meter) for bar in back.form.bars] == [(bar.start, bar.meter) for bar in chart.form.bars]
    keys = [[form.key_at(bar.index, chart.key) for bar in form.bars] for form in (back.form, chart.form)]
    assert keys[0] == keys[1]
    assert [section for section in back.form.sections if section.name] == \
        [section for section in chart.form.sections if section.name]  # fmt: skip
    if agreeing and is_foldable(chart):
        assert back == replace(chart, form=replace(chart.form, pickup=back.form.pickup))
        assert back.form.pickup == (chart.form.pickup and len(chart.form.written) > 1)


@settings(max_examples=60, deadline=None)
@given(st.randoms(use_true_random=False))
def test_every_slot_comes_back_as_typed(random: Random) -> None:
    row = tuple(random_slot(random, Fraction(at), Fraction(1)) for at in range(0, 32))
    tune = _tune(row)
    assert again(write_musicxml(tune)).standard == row


def _tune(row: tuple[Slot, ...]) -> Chart:
    from core.form import plain_form
    from core.key import Key
    from core.meter import Meter

    return Chart("Slack Water", Key(-3), plain_form(8, Meter()), (NamedRow(STANDARD, row),))
