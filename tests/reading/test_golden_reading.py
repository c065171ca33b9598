"""Two small invented files read whole, against keys written by hand (`data/*.key.txt`)."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_checks import everything, expect, lexicon

from tastevocab.reading.read import read_file
from tastevocab.reading.records import Reading

DATA = Path(__file__).with_name("data")


def _key(name: str) -> list[str]:
    lines = (DATA / f"{name}.key.txt").read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def _read(name: str) -> Reading:
    return read_file(DATA / name, lexicon())


@pytest.mark.parametrize("name", ["table.vtt", "sheet.md"])
def test_a_file_is_read_as_its_key_says(name: str) -> None:
    expect(_read(name), *_key(name.split(".")[0]))


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
    expect(read_file(sheet, lexicon()), "dark_choc Ines dry", "hazelnut Ruth hedged dry")


def test_times_are_those_of_the_captions() -> None:
    times = {f.spot.words: f.spot.at for f in _read("table.vtt").findings}
    assert times["loads of jasmine"] == 8.0
    assert times["some dried fig"] == 20.0
    assert times["Buckets of molasses"] == 60.0
