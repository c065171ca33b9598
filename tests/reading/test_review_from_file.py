"""Decisions taken from a file: all or none."""

from __future__ import annotations

from pathlib import Path

import pytest
from report_examples import BLACKBERRY, FIG
from review_sittings import CELLAR, KUMQUAT, no_house, walk

from tastevocab.errors import InputError
from tastevocab.reading.review.decisions import Decision, beside, load_beside, read_decisions
from tastevocab.reading.review.queue import ask_row
from tastevocab.reading.review.walk import decide_all


def test_a_row_of_the_list_with_an_answer_is_a_decision(notes: Path, tmp_path: Path) -> None:
    import json

    sitting = walk(notes)
    rows = {a.key.words: dict(ask_row(a, sitting.sheets())) for a in sitting.asks()}
    assert rows["burger mott"]["candidates"][0]["effect"] == "stays 1 of 2"
    assert (rows["Hardly any plum"]["sure"], rows["kumquish"]["sure"]) == (0.72, None)
    answered = [
        rows["burger mott"] | {"decide": "change", "descriptor": FIG},
        rows["earthy"] | {"decide": "fault"},
        rows["kumquish"] | {"decide": "accept"},
        rows["Hardly any plum"] | {"decide": "accept", "present": True},
        rows["Rather round"] | {"decide": "reject", "everywhere": True},
    ]
    answers = tmp_path / "answers.json"
    answers.write_text(json.dumps(answered), encoding="utf-8")
    assert decide_all(sitting, read_decisions(answers, draft=True), no_house) == 5
    kept = load_beside(notes).entries
    assert [d.descriptor for d in kept] == [FIG, CELLAR, KUMQUAT, None, None]
    assert [d.present for d in kept] == [None, None, None, True, None]
    assert [d.everywhere for d in kept] == [False, False, False, False, True]
    assert kept[4] == Decision("reject", "Rather round", was="body", everywhere=True)
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
