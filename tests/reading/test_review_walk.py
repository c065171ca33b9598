"""A sitting at the review: never asked twice, kept at once, taken back one by one."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_examples import PLUM, TEXT, desk, example
from review_sittings import CELLAR, KUMQUAT, ask_of, no_house, walk
from trials import trials

from tastevocab.errors import InputError
from tastevocab.reading.review.apply import apply
from tastevocab.reading.review.context import Texts
from tastevocab.reading.review.decisions import Decision, beside, load_beside, save
from tastevocab.reading.review.walk import Notes, Walk, decide_all


def test_decided_questions_are_never_asked_again(notes: Path) -> None:
    sitting = walk(notes)
    heard = ask_of(sitting, "burger mott")
    sitting.choose(heard, heard.candidates[1])
    sitting.accept(ask_of(sitting, "Maybe a little fig"))
    sitting.change(ask_of(sitting, "earthy"), CELLAR)
    sitting.accept(ask_of(sitting, "kumquish"))
    sitting.accept(ask_of(sitting, "Hardly any plum"))
    sitting.reject(ask_of(sitting, "Rather round"))
    assert sitting.current() is None
    assert walk(notes).asks() == ()
    kept = load_beside(notes).entries
    assert [d.decide for d in kept] == ["change", "accept", "fault", "change", "accept", "reject"]
    assert [d.fault for d in kept] == [False, False, True, False, False, False]
    assert kept[3].descriptor == KUMQUAT


def test_progress_is_told(notes: Path) -> None:
    sitting = walk(notes)
    assert (sitting.number, sitting.total) == (1, 6)
    sitting.skip(sitting.asks()[0])
    assert sitting.number == 2
    current = sitting.current()
    assert current is not None
    sitting.reject(current)
    assert (sitting.number, sitting.total) == (3, 6)


def test_ignored_words_are_ignored_wherever_they_stand(notes: Path) -> None:
    again = replace(example().unresolved[0], spot=replace(example().unresolved[0].spot, speaker="Otto"))
    reading = replace(example(), unresolved=(*example().unresolved, again))
    sitting = walk(notes, reading)
    assert len(sitting.asks()) == 7
    sitting.ignore(ask_of(sitting, "kumquish"))
    assert sorted(a.key.words for a in sitting.asks()) == [
        "Hardly any plum",
        "Maybe a little fig",
        "Rather round",
        "burger mott",
        "earthy",
    ]


def test_a_house_word_is_written_and_counts_everywhere(notes: Path) -> None:
    written = []

    def add(word: str, under: str) -> str:
        written.append((word, under))
        return under

    sitting = walk(notes)
    sitting.house(ask_of(sitting, "kumquish"), KUMQUAT, add)
    assert written == [("kumquish", KUMQUAT)]
    assert "kumquish" not in [a.key.words for a in sitting.asks()]


def test_nothing_can_be_accepted_for_a_word_without_candidates(notes: Path) -> None:
    bare = replace(example(), unresolved=(replace(example().unresolved[0], suggestions=()),))
    sitting = walk(notes, bare)
    with pytest.raises(InputError, match="there is no candidate to accept"):
        sitting.accept(ask_of(sitting, "kumquish"))
    assert not beside(notes).exists()


STEPS = st.lists(st.sampled_from(("accept", "reject", "ignore", "choose", "skip", "wide")), max_size=6)


@trials(20)
@given(STEPS)
def test_undone_to_the_first_everything_is_as_it_was(steps: list[str]) -> None:
    for folder in _folders():
        path = Path(folder) / "table.txt"
        path.write_text(TEXT, encoding="utf-8")
        sitting = walk(path)
        before, files = sitting.asks(), []
        for step in steps:
            ask = sitting.current()
            if ask is None:
                break
            files.append(beside(path).read_bytes() if beside(path).exists() else b"")
            if step == "wide":
                sitting.reject(ask, everywhere=True)
            elif step == "choose" and ask.candidates:
                sitting.choose(ask, ask.candidates[-1])
            elif step == "choose":
                sitting.reject(ask)
            else:
                getattr(sitting, step)(ask)
            if step == "skip":
                files.pop()
        for content in reversed(files):
            assert sitting.undo() is not None
            assert (beside(path).read_bytes() if beside(path).exists() else b"") == content
        assert sitting.asks() == before
        assert sitting.undo() is None


def _folders() -> Iterator[str]:
    folder = tempfile.mkdtemp()
    yield folder
    shutil.rmtree(folder)


def test_an_answer_for_the_whole_session_is_kept_beside_every_file_and_undone_in_all(tmp_path: Path) -> None:
    paths = [tmp_path / "a.txt", tmp_path / "b.txt"]
    for path in paths:
        path.write_text(TEXT, encoding="utf-8")
    sitting = Walk([Notes(path, example(), Texts.of(TEXT)) for path in paths], desk())
    before = sitting.asks()
    assert len([a for a in before if a.key.words == "Hardly any plum"]) == 2
    sitting.accept(ask_of(sitting, "Hardly any plum"), everywhere=True)
    assert "Hardly any plum" not in [a.key.words for a in sitting.asks()]
    assert len(sitting.asks()) == len(before) - 2
    assert [load_beside(path).entries for path in paths] == [
        (Decision("accept", "Hardly any plum", was=PLUM, everywhere=True),)
    ] * 2
    assert sitting.undo() is not None
    assert sitting.asks() == before
    assert not list(tmp_path.glob("*.decisions.yaml"))


def test_what_was_set_aside_is_brought_back_place_by_place(notes: Path) -> None:
    sitting = walk(notes, set_asides=True)
    with pytest.raises(InputError, match="place by place"):
        sitting.accept(ask_of(sitting, "orange kettle"), everywhere=True)
    with pytest.raises(InputError, match="place by place"):
        decide_all(sitting, [Decision("accept", "orange kettle", everywhere=True)], no_house)
    sitting.accept(ask_of(sitting, "orange kettle"))
    [sheet] = sitting.sheets()
    assert "orange kettle" in [f.spot.words for f in apply(sheet.reading, sheet.decisions).findings]


def test_the_last_decision_of_an_earlier_sitting_can_be_undone(notes: Path) -> None:
    save(beside(notes), [Decision("ignore", "kumquish"), Decision("ignore", "earthy")], notes.name)
    sitting = walk(notes)
    undone = sitting.undo()
    assert undone is not None
    assert undone.words == "earthy"
    assert [d.words for d in load_beside(notes).entries] == ["kumquish"]
