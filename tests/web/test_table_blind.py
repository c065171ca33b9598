"""Blindness: every byte sent to each seat is recorded and searched, while others write, close, mark and are revealed.

Each taster writes words that nobody else uses. Until the leader shows the round, a seat's bytes hold none of another's
words, no coffee's name, no name of anybody; nor does the number or size of what is sent change with what others do.
"""

from __future__ import annotations

import json
import re
from contextlib import ExitStack
from dataclasses import replace

import pytest
from table_toys import NAMES, Taster, running
from web_client import Client, until

from tastevocab.web.table import views
from tastevocab.web.table.setting import Wanted

WORDS = {"s1": "quincewort", "s2": "plumdrizzle", "s3": "fennelsnap"}
SEALED = (*NAMES, "Finca", "Hacienda")


def play(table, tasters: dict[str, Taster]) -> None:
    """Everybody writes, marks a scale, notes a fault and closes half of the cups."""
    for seat, taster in tasters.items():
        taster.note(f"{WORDS[seat]} jam", 0)
        taster.note(f"phenolic {WORDS[seat]}", 1, bowl=2)
        code = taster.view()["codes"][0]
        taster.send(taster.act("scale", code=code, brew="filter", moment="hot", scale="body", step=4))
        taster.send(taster.act("close", code=code, brew="filter", closed=True))


def others(seat: str) -> list[bytes]:
    found = [w for s, w in WORDS.items() if s != seat] + [*SEALED, "otto" if seat != "s2" else "pilar"]
    return [w.encode() for w in found]


def test_no_byte_of_another_before_the_round_is_shown(tmp_path, work):
    with running(tmp_path, work) as table, ExitStack() as stack:
        leader = table.leader()
        tasters = {seat: table.sit(seat) for seat in WORDS}
        heard = {seat: stack.enter_context(t.listening()) for seat, t in tasters.items()}
        play(table, tasters)
        until(lambda: all(n["read"] and n["marks"] for t in tasters.values() for n in t.view()["notes"]))
        leaders = leader.get("/leader/view")[2]
        before = {seat: table.recorder.bytes_to(seat) + bytes(heard[seat]) for seat in WORDS}
        for seat in WORDS:
            assert WORDS[seat].encode() in before[seat], "the record sees what it should"
            assert [w for w in others(seat) if w in before[seat]] == []
        recorded = table.recorder.bytes_to("leader") + leaders
        assert [w for w in [*WORDS.values(), *SEALED] if w.encode() in recorded] == []
        leader.post("/leader/act", {"kind": "show", "brew": "filter", "force": True})
        until(lambda: all(t.view()["results"] for t in tasters.values()), 60)
        after = {seat: table.recorder.bytes_to(seat)[len(before[seat]) :] for seat in WORDS}
        assert [s for s in SEALED for seat in WORDS if s.encode() in after[seat]] == [], "names wait for the reveal"
        leader.post("/leader/act", {"kind": "reveal", "force": True})
        until(lambda: all(b"Finca Velmora" in table.recorder.bytes_to(s) for s in WORDS if tasters[s].view()["names"]))


def test_what_others_do_moves_nothing_on_my_line(tmp_path):
    """Neither bytes nor beats: a busy table looks to me like a silent one."""
    with running(tmp_path) as table:
        mira, otto = table.sit("s1"), table.sit("s2")
        with mira.listening() as heard:
            mira.note("peach")
            until(lambda: b"peach" in heard)
            mine = mira.view()
            size = len(heard)
            for n in range(15):
                otto.note(f"plum {n}", n % 2)
            otto.close_all()
            otto.client.get("/seat/s2/view")
            assert mira.view() == mine
            assert len(heard) == size


def test_ids_of_the_line_tell_nothing(tmp_path):
    """The id of a view is made of the view: the same at a busy and at a silent table."""
    ids = []
    for busy in (False, True):
        folder = tmp_path / str(busy)
        folder.mkdir()
        with running(folder) as table:
            otto = table.sit("s2")
            if busy:
                for n in range(5):
                    otto.note(f"plum {n}")
            with table.sit("s1").listening() as heard:
                ids.append(re.findall(rb"^id: (\w+)", heard, re.MULTILINE))
    assert ids[0] == ids[1]


@pytest.mark.parametrize("stage", ["open", "shown", "revealed"])
def test_views_are_made_of_what_they_may_know(tmp_path, stage):
    """The rule itself: with everything of the others changed, the view of a seat stays as it is until the round is
    shown; the wall's and the leader's, too, but for who has closed."""
    with running(tmp_path, wanted=Wanted(duplicate=True)) as table:
        leader, mira = table.leader(), table.sit("s1")
        mira.note("peach")
        if stage != "open":
            leader.post("/leader/act", {"kind": "show", "brew": "filter", "force": True})
        if stage == "revealed":
            leader.post("/leader/act", {"kind": "reveal", "force": True})
        known, live = table.live.known(), table.live
        seat = live.setting.seat("s1")
        before = json.dumps([views.taster_view(known, seat), views.wall_view(known), views.leader_view(known)])
        counts = {pour.id: {"of": 3, "line": [], "words": [{"print": "spy", "people": 3}], "verdict": "", "hold": []}
                  for pour in live.setting.pours}  # fmt: skip
        spied = replace(known, results=dict.fromkeys(live.setting.brews, counts), prints={"spy": "spy"})
        otto = table.sit("s2")
        otto.note("plumdrizzle")
        after = json.dumps([views.taster_view(spied, seat), views.wall_view(spied)])
        assert "plumdrizzle" not in after
        assert ("spy" in after) == (stage != "open")
        assert ("Finca Velmora" in before) == (stage == "revealed")


def test_nobody_learns_the_names_of_seats_without_the_code(tmp_path):
    with running(tmp_path) as table:
        stranger = Client(table.door)
        for path in ("/", "/static/join.js", "/seat/s1/", "/leader/", "/wall/", "/seat/s1/view", "/join"):
            stranger.get(path)
        stranger.post("/join", {"code": "WRONGX"})
        everything = b"".join(bytes(sent) for sent in table.recorder.sent.values())
        assert not any(name in everything for name in (b"mira", b"otto", b"pilar", b"velmora", b"Velmora"))
