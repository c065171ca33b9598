"""Two small invented files read whole, against keys written by hand (`data/*.key.txt`)."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from reading_checks import everything, heard_of, lexicon, lines_of, present, short

from tastevocab.reading.intake.files import read_turns
from tastevocab.reading.read import read_file
from tastevocab.reading.records import Reading

DATA = Path(__file__).with_name("data")
SPEAKERS = frozenset({"Ines", "Tomas", "Ruth"})
LEAST = {"table.vtt": 0.7, "sheet.md": 0.9}  # house values: the share of a key that must be counted or asked


def _key(name: str) -> list[list[str]]:
    """A key's lines in words, the head of each first."""
    lines = (DATA / f"{name.split('.')[0]}.key.txt").read_text(encoding="utf-8").splitlines()
    return [line.split() for line in lines if line and not line.startswith("#")]


def _found(name: str) -> set[tuple[str, str]]:
    """(what, who) of everything the key finds or denies."""
    return {
        (head, who)
        for head, *more in _key(name)
        if ":" not in head and head[0] != "?"
        for who in more
        if who in SPEAKERS
    }


@cache
def _read(name: str) -> Reading:
    return read_file(DATA / name, lexicon())


def _who(reading: Reading) -> list[tuple[str, str]]:
    items = (*reading.findings, *reading.attributes, *reading.asked)
    return [(what, str(item.spot.speaker)) for what, item in zip(heard_of(reading), items, strict=True)]


@pytest.mark.parametrize("name", ["table.vtt", "sheet.md"])
def test_what_the_key_finds_is_counted_or_asked(name: str) -> None:
    missing = _found(name) - set(_who(_read(name)))
    assert len(missing) <= (1 - LEAST[name]) * len(_found(name)), missing


@pytest.mark.parametrize("name", ["table.vtt", "sheet.md"])
def test_little_is_counted_that_the_key_does_not_find(name: str) -> None:
    counted = len(_read(name).findings) + len(_read(name).attributes)
    wrong = [pair for pair in _who(_read(name))[:counted] if pair not in _found(name)]
    assert len(wrong) <= (1 - LEAST[name]) * counted, wrong


@pytest.mark.parametrize(
    "aside",
    [head for head, *_ in _key("table.vtt") if ":" in head],
)
def test_what_the_key_sets_aside_is_not_counted_of_its_speaker(aside: str) -> None:
    who = {(head, person) for head, *more in _key("table.vtt") for person in more if person in SPEAKERS}
    wanted = {pair for pair in who if pair[0] == aside.split(":")[1]}
    counted = {(short(f.descriptor), str(f.spot.speaker)) for f in _read("table.vtt").findings if f.present}
    speaker = next(person for head, person in who if head == aside)
    assert (aside.split(":")[1], speaker) not in counted - wanted


def test_what_a_sheet_says_of_where_and_how() -> None:
    said = {head: more for head, more in lines_of(_read("sheet.md")) if "Ines" in more or "Tomas" in more}
    assert said["blackcurrant"] >= {"Ines", "hot"}
    assert said["dark_choc"] >= {"Tomas", "dry", "strong"}
    assert said["strawberry"] >= {"Tomas", "warm", "fermented"}
    assert said["body=high"] >= {"Ines", "hot", "espresso"}


@pytest.mark.parametrize("name", ["table.vtt", "sheet.md"])
def test_every_span_slices_back_to_its_words_in_the_file(name: str) -> None:
    text = (DATA / name).read_text(encoding="utf-8")
    for record in everything(_read(name)):
        first, last = record.spot.span
        cut = text[first:last]
        if "\n" not in cut:  # words cut across two captions have the timing between them
            assert cut == record.spot.words


def test_a_question_mark_on_a_sheet_is_a_doubt(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.md"
    sheet.write_text("# Table\n\n## Dry\n\n- Ines: cocoa\n- Ruth: hazelnut?\n", encoding="utf-8")
    reading = read_file(sheet, lexicon())
    assert present(reading) == ["dark_choc", "hazelnut"]
    assert [f.hedged for f in reading.findings] == [False, True]


def test_times_are_those_of_the_captions() -> None:
    begun = {at for t in read_turns(DATA / "table.vtt").turns for _, at in t.times}
    times = {i.spot.words: i.spot.at for i in everything(_read("table.vtt"))}
    assert set(times.values()) <= begun
    assert next(at for words, at in times.items() if "jasmine" in words) == 8.0
    assert next(at for words, at in times.items() if "molasses" in words) == 60.0
