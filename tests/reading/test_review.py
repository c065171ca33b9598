"""The review: what is asked, with which candidates and effect; never twice; every decision can be taken back."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from report_examples import BERGAMOT, BLACKBERRY, FIG, TEXT, desk, example, spot

from tastevocab.errors import InputError
from tastevocab.reading.records import Finding, Reading
from tastevocab.reading.review.context import Texts
from tastevocab.reading.review.decisions import Decision, beside, load_beside, read_decisions, save
from tastevocab.reading.review.queue import CANDIDATES, Effect, ask_row
from tastevocab.reading.review.walk import Notes, Walk, decide_all

KUMQUAT = "citrus_crate/orange_mandarin/kumquat"
CELLAR = "yard_faults/drying_mould/damp_earth_taint"


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    path = tmp_path / "table.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def walk(path: Path, reading: Reading | None = None, **more: object) -> Walk:
    kept = {path: tuple(read_decisions(beside(path)))} if beside(path).is_file() else {}
    return Walk([Notes(path, reading or example(), Texts.of(TEXT))], desk(), kept, **more)  # type: ignore[arg-type]


def no_house(word: str, under: str) -> str:
    raise InputError("no house file")


def test_what_is_unsure_unknown_or_two_faced_is_asked_in_file_order(notes: Path) -> None:
    asks = walk(notes).asks()
    assert [(a.key.words, a.kind) for a in asks] == [
        ("burger mott", "sound"),
        ("Maybe a little fig", "guess"),
        ("earthy", "two-faced"),
        ("kumquish", "not known"),
    ]
    assert all(len(a.candidates) <= CANDIDATES for a in asks)
    assert asks[0].candidates[0].descriptor == BERGAMOT
    assert [c.descriptor for c in asks[2].candidates[:2]] == ["reach/earthy", CELLAR]
    assert asks[2].candidates[1].fault
    assert asks[2].question == "Forest floor, or like a wet cellar?"
    assert asks[3].before.endswith("A whiff of")
    assert asks[3].after.startswith("at the end.")


def test_a_denied_two_faced_word_is_no_question(notes: Path) -> None:
    denied = Reading(findings=tuple(replace(f, present=False) for f in example().findings if f.two_faced))
    assert walk(notes, denied).asks() == ()


def test_what_was_set_aside_is_asked_where_wanted(notes: Path) -> None:
    asks = walk(notes, set_asides=True).asks()
    assert asks[0].key.words == "orange kettle"
    assert asks[0].why == "set aside: equipment"


def test_effects_count_people_once(notes: Path) -> None:
    berry = example().findings[0]
    said_twice = Finding("b2", BERGAMOT, spot("burger mott", "Mira", 6.0), via="heard", match=0.9)
    reading = replace(
        example(),
        findings=(
            replace(berry, spot=replace(berry.spot, speaker="Otto")),
            said_twice,
            replace(said_twice, id="b3", via="word", spot=replace(berry.spot, speaker="Mira", words="bergamot")),
        ),
    )
    first, *_ = walk(notes, reading, panel=("Mira", "Otto", "Pilar", "Sven", "Tao")).asks()
    assert first.candidates[0].effect == Effect(1, 1, 5)
    assert first.rejected == Effect(1, 1, 5)
    assert str(first.rejected) == "stays 1 of 5"
    unknown = walk(notes, reading, panel=("Mira", "Otto", "Pilar", "Sven", "Tao")).asks()[-1]
    assert str(unknown.candidates[0].effect) == "0 -> 1 of 5"


def test_a_coffee_is_counted_by_itself(notes: Path) -> None:
    there = replace(example().findings[1].spot, coffee="other", speaker="Otto")
    reading = Reading(findings=(example().findings[1], Finding("o", BERGAMOT, there)))
    first = walk(notes, reading).asks()[0]
    assert first.candidates[0].effect == Effect(1, 1, 2)


def test_decided_questions_are_never_asked_again(notes: Path) -> None:
    sitting = walk(notes)
    sitting.choose(sitting.asks()[0], sitting.asks()[0].candidates[1])
    sitting.accept(sitting.asks()[0])
    sitting.change(sitting.asks()[0], CELLAR)
    sitting.accept(sitting.asks()[0])
    assert sitting.current() is None
    assert walk(notes).asks() == ()
    kept = load_beside(notes).entries
    assert [d.decide for d in kept] == ["change", "accept", "fault", "change"]
    assert [d.fault for d in kept] == [False, False, True, False]
    assert kept[3].descriptor == KUMQUAT


def test_progress_is_told(notes: Path) -> None:
    sitting = walk(notes)
    assert (sitting.number, sitting.total) == (1, 4)
    sitting.skip(sitting.asks()[0])
    assert sitting.number == 2
    current = sitting.current()
    assert current is not None
    sitting.reject(current)
    assert (sitting.number, sitting.total) == (3, 4)


def test_ignored_words_are_ignored_wherever_they_stand(notes: Path) -> None:
    again = replace(example().unresolved[0], spot=replace(example().unresolved[0].spot, speaker="Otto"))
    reading = replace(example(), unresolved=(*example().unresolved, again))
    sitting = walk(notes, reading)
    assert len(sitting.asks()) == 5
    sitting.ignore(sitting.asks()[-1])
    assert [a.key.words for a in sitting.asks()] == ["burger mott", "Maybe a little fig", "earthy"]


def test_a_house_word_is_written_and_counts_everywhere(notes: Path) -> None:
    written = []

    def add(word: str, under: str) -> str:
        written.append((word, under))
        return under

    sitting = walk(notes)
    sitting.house(sitting.asks()[-1], KUMQUAT, add)
    assert written == [("kumquish", KUMQUAT)]
    assert "kumquish" not in [a.key.words for a in sitting.asks()]


def test_nothing_can_be_accepted_for_a_word_without_candidates(notes: Path) -> None:
    bare = replace(example(), unresolved=(replace(example().unresolved[0], suggestions=()),))
    sitting = walk(notes, bare)
    with pytest.raises(InputError, match="there is no candidate to accept"):
        sitting.accept(sitting.asks()[-1])
    assert not beside(notes).exists()


STEPS = st.lists(st.sampled_from(("accept", "reject", "ignore", "choose", "skip")), max_size=6)


@settings(max_examples=40)
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
            if step == "choose":
                sitting.choose(ask, ask.candidates[-1])
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


def test_the_last_decision_of_an_earlier_sitting_can_be_undone(notes: Path) -> None:
    save(beside(notes), [Decision("ignore", "kumquish"), Decision("ignore", "earthy")], notes.name)
    sitting = walk(notes)
    undone = sitting.undo()
    assert undone is not None
    assert undone.words == "earthy"
    assert [d.words for d in load_beside(notes).entries] == ["kumquish"]


# --- from a file ---


def test_a_row_of_the_list_with_an_answer_is_a_decision(notes: Path, tmp_path: Path) -> None:
    import json

    sitting = walk(notes)
    rows = [dict(ask_row(a, sitting.sheets())) for a in sitting.asks()]
    assert rows[0]["candidates"][0]["effect"] == "stays 1 of 2"
    rows[0] |= {"decide": "change", "descriptor": FIG}
    rows[2] |= {"decide": "fault"}
    rows[3] |= {"decide": "accept"}
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps([rows[0], rows[2], rows[3]]), encoding="utf-8")
    assert decide_all(sitting, read_decisions(answers, draft=True), no_house) == 3
    assert [d.descriptor for d in load_beside(notes).entries] == [FIG, CELLAR, KUMQUAT]
    assert [a.key.words for a in walk(notes).asks()] == ["Maybe a little fig"]


def test_a_word_will_do_for_an_id_and_no_place_means_every_place(notes: Path) -> None:
    sitting = walk(notes)
    count = decide_all(
        sitting,
        [Decision("change", "Loads of blackberry", descriptor="kumquat"), Decision("reject", "SAME!")],
        no_house,
    )
    assert count == 2
    kept = load_beside(notes).entries
    assert (kept[0].was, kept[0].descriptor) == (BLACKBERRY, KUMQUAT)
    assert (kept[1].words, kept[1].occurrence) == ("Same!", 1)


@pytest.mark.parametrize(
    ("wrong", "what"),
    [
        (Decision("reject", "mango"), "no 'mango' like this in table.txt"),
        (Decision("reject", "kumquish", speaker="Pilar"), "no 'kumquish' like this"),
        (Decision("reject", "kumquish", source="other.txt"), "no 'kumquish' like this"),
        (Decision("change", "kumquish", descriptor="zzz"), "'zzz' is no descriptor"),
        (Decision("fault", "Loads of blackberry"), "'Loads of blackberry': fault to what"),
        (Decision("house", "kumquish", descriptor=KUMQUAT), "no house file"),
    ],
)
def test_nothing_is_decided_if_one_decision_is_wrong(notes: Path, wrong: Decision, what: str) -> None:
    with pytest.raises(InputError, match=what):
        decide_all(walk(notes), [wrong], no_house)
    with pytest.raises(InputError, match=what):
        decide_all(walk(notes), [Decision("reject", "earthy"), wrong], no_house)
    assert not beside(notes).exists()
