"""The drawn wheel at the desk: the marks behind each arc, and a press or a key that brings them to hand."""

from __future__ import annotations

import re
from contextlib import suppress

from desk_table import most_heard

from tastevocab.errors import TastevocabError
from tastevocab.web.desk.doing import do
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.desk.state import state, wheel
from tastevocab.web.guard import Refused


def test_the_drawn_wheel_has_the_marks_behind_every_arc(quay: Sitting) -> None:
    drawn = wheel(quay, "alder")
    arcs = set(re.findall(r'data-about="([^"]*)" data-ring', drawn["svg"]))
    shown = state(quay, "alder")
    marks = {mark["id"]: mark for page in shown["pages"] for mark in page["marks"]}
    assert arcs
    assert arcs <= set(drawn["arcs"])
    assert {id for found in drawn["arcs"].values() for id in found} <= set(marks)
    most = most_heard(quay)
    behind = drawn["arcs"][most["descriptor"]]
    assert len(behind) > 1
    assert sorted(behind) == sorted({heard["mark"] for heard in most["heard"]})
    up = most["descriptor"].rpartition("/")[0]
    assert set(behind) <= set(drawn["arcs"][up])
    assert set(re.findall(r"var\((--c\d+)\)", drawn["svg"])) == set(drawn["colours"])
    assert "<script" not in drawn["svg"]


def test_no_wheel_where_nothing_was_found(quay: Sitting) -> None:
    for mark in [m for page in state(quay)["pages"] for m in page["marks"] if m["kind"] != "aside"]:
        with suppress(TastevocabError, Refused):
            do(quay, {"do": "wrong", "mark": mark["id"]})
    assert {wheel(quay, coffee)["svg"] for coffee in ("alder", "rook")} == {""}
