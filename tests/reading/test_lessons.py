"""Lessons for the encoder: what is learnt from a recording, and from lines that were written one by one."""

from __future__ import annotations

from pathlib import Path

from reading_checks import lexicon

from tastevocab.reading.fitting.heard import kept
from tastevocab.reading.fitting.lessons import LIKELIEST, cuts, lesson
from tastevocab.reading.fitting.marked import recording
from tastevocab.reading.hearing.windows import MAIN

LINE = "?: i'm getting {+pencil shavings|the sharpener when you empty it}\n"
FOUND = MAIN.index("found")


def _lesson(folder: Path, head: str):
    path = folder / "one.talk"
    path.write_text(f"# form: plain\n{head}[- | - | -]\n{LINE}", encoding="utf-8")
    [turn] = lesson(recording(path), lexicon(), lambda concept: f"id of {concept}")["turns"]
    return turn


def test_a_recording_teaches_when_something_is_found_and_what_it_is(tmp_path: Path) -> None:
    turn = _lesson(tmp_path, "")
    assert turn["lab"]["main"] == [0, 0] + [FOUND] * 6
    assert turn["lab"]["begin"][2:4] == [1, 0]
    assert turn["refs"] == [(2, 8, "id of pencil shavings")]


def test_lines_of_one_likeness_each_teach_only_what_they_mean(tmp_path: Path) -> None:
    turn = _lesson(tmp_path, "# only: meaning\n")
    assert {answer for answers in turn["lab"].values() for answer in answers} == {-1}
    assert turn["refs"] == [(2, 8, "id of pencil shavings")]


def test_how_a_recording_is_cut_is_learnt_with_what_each_stretch_may_mean(tmp_path: Path) -> None:
    path = tmp_path / "one.talk"
    path.write_text(
        "# form: plain\n[- | - | -]\nAna: I get {+plum}. And {x walnut; eaten or seen here} on the board.\n", "utf-8"
    )
    made = recording(path)
    found = list(cuts(made, kept(made, lexicon()), lexicon(), lambda concept: f"id of {concept}"))
    plum = [few for turn, start, end, few, right in found if (turn, right) == (0, "id of plum") and start <= 2 < end]
    assert plum[0][0] == "orchard/plums"
    for turn, start, end, few, right in found:
        assert turn == 0
        assert 0 <= start < end <= 8
        assert len(few) <= LIKELIEST
        assert len(few) == len(set(few))
        assert right in ("id of plum", None)
