"""The technique book: the whole catalogue, worked out by the engine, in every key, readable on a terminal."""

from __future__ import annotations

import json

import jsonschema
import pytest

from app.cli import run_command
from core.pitch import chromatic
from core.places import folder
from core.row import check_row, same_chords, span
from core.technique_book import BookEntry, UnknownTechnique, book_entry, entry_named, technique_book
from core.techniques.catalogue import BY_ID, TECHNIQUES

SCHEMA = folder("resources") / "schema" / "techniques.schema.json"


def test_the_book_has_every_row_of_the_catalogue_and_says_what_the_row_says() -> None:
    book = technique_book()
    assert [entry.id for entry in book] == [technique.id for technique in TECHNIQUES]
    for entry in book:
        technique = BY_ID[entry.id]
        assert (entry.title, entry.family, entry.rule) == (technique.title, technique.family, technique.rule_text)
        assert (entry.melody, entry.references) == (technique.melody_text, technique.references)
        assert len(entry.examples) == len(technique.examples)
        assert len(entry.refused) == len(technique.counterexamples)


@pytest.mark.parametrize("tonic", [None, *range(-6, 7)])
def test_examples_are_worked_out_in_every_key(tonic: int | None) -> None:
    for entry, plain in zip(technique_book(tonic), technique_book(), strict=True):
        _proved(entry)
        for example, there in zip(entry.examples, plain.examples, strict=True):
            assert example.after is not None
            assert there.after is not None
            if tonic is not None:
                assert example.key.tonic == tonic
            moved = example.key.tonic_pc - there.key.tonic_pc
            assert [slot.chord and slot.chord.root_pc for slot in example.after] == [
                slot.chord and (slot.chord.root_pc + moved) % 12 for slot in there.after
            ]
            # A tune is moved the short way, so that it can still be sung: half an octave at most.
            for note, other in zip(example.chart.melody, there.chart.melody, strict=True):
                assert -6 <= note.pitch.midi - other.pitch.midi <= 6
                assert (note.pitch.midi - other.pitch.midi - moved) % 12 == 0


def _proved(entry: BookEntry) -> None:
    for example in entry.examples:
        assert example.after is not None
        assert example.why.endswith(".")
        check_row(example.before, example.form.length)
        check_row(example.after, example.form.length)
        # What changes lies inside the span that is named, and something does change there.
        assert same_chords(
            span(example.before, example.start * 0, example.start),
            span(example.after, example.start * 0, example.start),
        )
        assert same_chords(
            span(example.before, example.end, example.form.length),
            span(example.after, example.end, example.form.length),
        )
        assert not same_chords(example.before, example.after)
    for example in entry.refused:
        assert example.after is None
        # Where a note of the melody refuses it the note is said; without a melody nothing was offered.
        assert bool(example.why) == bool(example.chart.melody)


def test_the_reason_is_spelled_in_the_key_of_the_example() -> None:
    assert "F, is D♭7’s third" in entry_named("tritone_substitution").examples[0].why
    assert "A♭, is E7’s third" in entry_named("tritone_substitution", -3).examples[0].why


def test_an_example_that_the_engine_does_not_make_is_a_fault() -> None:
    from dataclasses import replace

    technique = BY_ID["tritone_substitution"]
    false = replace(technique.examples[0], after="Dm7 | E7 | Cmaj7")
    with pytest.raises(LookupError, match="tritone_substitution"):
        book_entry(replace(technique, examples=(false,)))


def test_one_technique_by_id() -> None:
    assert entry_named("backdoor_dominant" if "backdoor_dominant" in BY_ID else TECHNIQUES[0].id).references
    with pytest.raises(UnknownTechnique, match="There is no technique 'sorcery'; known are "):
        entry_named("sorcery")


# --- the command ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["C", "Eb", "F# minor"])
def test_the_document_conforms(key: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["techniques", "--json", "--key", key]) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, json.loads(SCHEMA.read_text(encoding="utf-8")))
    assert [entry["id"] for entry in found["techniques"]] == [technique.id for technique in TECHNIQUES]
    tonics = {example["key"].split()[0] for entry in found["techniques"] for example in entry["examples"]}
    assert tonics == {key.split()[0]}


def test_the_text_fits_a_terminal_and_says_it_all(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["techniques"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    flat = " ".join(out.split())
    for technique in TECHNIQUES:
        assert technique.title in flat
        assert " ".join(technique.rule_text.split()) in flat
        assert all(reference in flat for reference in technique.references)
    assert "Dm7 | D♭7 | Cmaj7" in flat


def test_only_one_is_printed_when_one_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["techniques", "tritone_substitution", "--key", "Eb"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Tritone substitution")
    assert "Fm7 | E7 | E♭maj7" in out
    assert TECHNIQUES[1].rule_text[:30] not in out


@pytest.mark.parametrize(("words", "said"), [(["sorcery"], "no technique 'sorcery'"), (["--key", "H"], "'H' as a key")])
def test_unknown_words_are_said(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_command(["techniques", *words]) == 1
    assert said in capsys.readouterr().err


def test_keys_of_the_book_are_twelve() -> None:
    assert len({chromatic(tonic) for tonic in range(-6, 6)}) == 12
