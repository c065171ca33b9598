"""Turns that never end are cut where a sentence ends, and nothing of them is lost or moved."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon

from tastevocab.errors import InputError
from tastevocab.reading.intake import long_turns
from tastevocab.reading.intake.long_turns import LONGEST, shorter
from tastevocab.reading.language import reader
from tastevocab.reading.read import read_text
from tastevocab.reading.records import Turn


def test_talk_without_end_is_refused(monkeypatch) -> None:
    """Forty hours of talk in one file are a wrong file: told before hours go by."""
    monkeypatch.setattr(reader, "MOST", 1000)
    talk = [Turn("plum and rose " * 80, "t.vtt", speaker="ana")]
    with pytest.raises(InputError, match=r"t\.vtt.*holds 1,120 characters of talk; 1,000"):
        list(reader.items_in(talk, lexicon(), isolated=False))


@given(st.lists(st.text("ab. ,\n", min_size=1, max_size=60), min_size=1, max_size=8), st.integers(4, 40))
def test_the_parts_are_the_whole_each_in_its_place(pieces: list[str], longest: int) -> None:
    offsets, times, at = [], [], 0
    for n, piece in enumerate(pieces):
        offsets.append((at, 10 * at + n))
        times.append((at, float(n)))
        at += len(piece)
    turn = Turn("".join(pieces), "a.vtt", tuple(offsets), tuple(times), speaker="Mira")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(long_turns, "LONGEST", longest)
        parts = list(shorter(turn))
    assert "".join(p.text for p in parts) == turn.text
    assert all(len(p.text) <= longest and p.speaker == "Mira" for p in parts)
    where = [(p.file_position(i), p.time_at(i)) for p in parts for i in range(len(p.text))]
    assert where == [(turn.file_position(i), turn.time_at(i)) for i in range(len(turn.text))]


def test_it_is_cut_at_a_sentence_end() -> None:
    first, *_ = shorter(Turn("Plum, and fig. " * 400, "a.txt"))
    assert first.text.endswith("fig. ")
    assert LONGEST // 2 < len(first.text) <= LONGEST


def test_words_stand_where_they_do_in_a_line_without_end() -> None:
    text = "I get jasmine. " * 600
    reading = read_text(text, lexicon())
    assert len(reading.findings) == 600
    assert all(text[f.spot.span[0] : f.spot.span[1]] == f.spot.words for f in reading.findings)
