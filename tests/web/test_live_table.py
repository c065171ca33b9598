"""A tasting at the live table from the first code to the pack: what is kept, read, shown, written."""

from __future__ import annotations

import csv
import json

import pytest
from table_toys import NAMES, running
from web_client import Client, until

from tastevocab.panel.gather import gather
from tastevocab.panel.session import read_session
from tastevocab.panel.session_check import check_session
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.web.table.setting import Wanted


def lead(leader: Client, kind: str, **more):
    return leader.post("/leader/act", {"kind": kind, **more})


def seen_by(leader: Client, path: str = "/leader/view"):
    return json.loads(leader.get(path)[2])["view"]


def marks(taster) -> list[tuple[str, str, str]]:
    return [(m["words"], m["was"].split("/")[-1], m["state"]) for n in taster.view()["notes"] for m in n["marks"]]


@pytest.fixture(scope="module")
def told(tmp_path_factory, work):
    """A whole tasting, played once: what each saw on the way, and the folder that was written."""
    folder = tmp_path_factory.mktemp("told")
    seen: dict[str, object] = {}
    with running(folder, work) as table:
        leader = table.leader()
        mira, otto, pilar = (table.sit(seat) for seat in ("s1", "s2", "s3"))
        code_of = {t: {pour: code for code, pour in table.opened.live.setting.sealed[s].items()}
                   for t, s in ((mira, "s1"), (otto, "s2"), (pilar, "s3"))}  # fmt: skip

        def place(taster, pour):
            return taster.view()["codes"].index(code_of[taster][pour])

        mira.note("juicy blackberry, a bit of bergamot", place(mira, "velmora"))
        otto.note("blackberry and honey", place(otto, "velmora"))
        pilar.note("blackberry, and slatterberry", place(pilar, "velmora"))
        pilar.note("phenolic", place(pilar, "tarrasca"), bowl=3)
        otto.note("earthy cocoa", place(otto, "tarrasca"), brew="espresso")
        code = code_of[mira]["velmora"]
        mira.send(mira.act("scale", code=code, brew="filter", moment="warm", scale="acidity", step=3))
        until(lambda: len(marks(mira)) == 3 and len(marks(pilar)) == 3 and len(marks(otto)) == 4)
        seen["marks"] = marks(mira) + marks(pilar)
        found = next(m for n in mira.view()["notes"] for m in n["marks"] if m["words"] == "bergamot")
        said = {k: found[k] for k in ("words", "start", "end", "was")}
        mira.send(mira.act("mark", note="n0", verdict="change", descriptor="citrus_crate/lemon_lime/lemon", **said))
        unknown = next(m for n in pilar.view()["notes"] for m in n["marks"] if m["state"] == "unknown")
        said = {k: unknown[k] for k in ("words", "start", "end", "was")}
        blackberry = "hedgerow_vine/dark_berries/blackberry"
        pilar.send(pilar.act("mark", note="n0", verdict="change", descriptor=blackberry, **said))
        until(lambda: ("bergamot", "bergamot", "counted") in marks(mira))
        seen["before"] = (mira.view(), seen_by(leader))
        for taster in (mira, otto, pilar):
            taster.close_all()
        seen["closed"] = seen_by(leader)
        assert lead(leader, "show", brew="filter")[0] == 200
        until(lambda: mira.view()["results"])
        seen["shown"] = mira.view()
        mira.note("now that you say it, honey", place(mira, "velmora"))
        seen["refused"] = lead(leader, "reveal")
        assert lead(leader, "reveal", force=True)[0] == 200
        until(lambda: mira.view()["names"])
        seen["revealed"] = (mira.view(), seen_by(leader))
        assert lead(leader, "end")[0] == 200
        until(lambda: any("pack" in f for f in seen_by(leader)["files"]) and not seen_by(leader)["busy"], 120)
        seen["end"] = seen_by(leader)
        seen["after"] = otto.note("one more", 0)
    return seen, folder / "out"


def test_what_is_typed_is_read_and_shown_back(told):
    assert ("blackberry", "blackberry", "counted") in told[0]["marks"]
    assert ("slatterberry", "", "unknown") in told[0]["marks"]
    assert ("phenolic", "phenolic", "fault") in told[0]["marks"]


def test_before_the_round_is_shown_nobody_sees_a_result_or_a_name(told):
    mine, leaders = told[0]["before"]
    assert (mine["results"], mine["names"], leaders["coffees"]) == ([], {}, [])
    assert not any(name in json.dumps([mine, leaders]) for name in NAMES)


def test_the_leader_sees_who_has_closed_and_never_what(told):
    closed = told[0]["closed"]
    assert [(s["name"], s["closed"]["filter"], s["closed"]["espresso"]) for s in closed["seats"]] == [
        ("mira", 2, 0), ("otto", 2, 0), ("pilar", 2, 0),
    ]  # fmt: skip
    assert closed["open"] == {"filter": 0, "espresso": 3}
    assert "blackberry" not in json.dumps(closed)


def test_a_shown_round_gives_counts_without_names(told):
    view = told[0]["shown"]
    results = {len(r["words"]): r for r in view["results"] if r["brew"] == "filter"}
    best = max(results.values(), key=lambda r: r["words"][0]["people"] if r["words"] else 0)
    assert best["of"] == 3
    assert best["words"][0] == {"print": "blackberry", "people": 3}
    assert best["line"] == [{"print": "blackberry", "people": 3}]
    assert view["names"] == {}
    assert not any(who in json.dumps(view["results"]) for who in ("mira", "otto", "pilar", *NAMES))


def test_fault_of_a_bowl_holds_the_coffee(told):
    held = [r["hold"] for r in told[0]["shown"]["results"] if r["hold"]]
    assert held == [["phenolic, 1 of 3, bowls 1 of 5 (bowl 3)"]]


def test_the_reveal_waits_for_open_cups_and_names_the_coffees(told):
    status, answer = told[0]["refused"]
    assert (status, answer["why"]) == (409, "3 still open: closing for them is asked for apart")
    mine, leaders = told[0]["revealed"]
    assert sorted(mine["names"].values()) == sorted(leaders["coffees"]) == ["Finca Velmora", "Hacienda Tarrasca"]


def test_after_the_end_nothing_more_is_taken(told):
    status, answer = told[0]["after"]
    assert status == 200
    assert answer["kept"] == []
    assert answer["refused"][0]["why"] == "the table has ended"


def test_the_files_are_a_sound_session_that_reads_as_it_was_shown(told):
    folder = told[1]
    session = read_session(folder / "session.yaml")
    assert check_session(session) == ()
    gathered = gather(session, open_lexicon())
    found = {(f.spot.speaker, f.spot.coffee, f.descriptor.split("/")[-1], f.standing) for f in gathered.findings}
    assert ("mira", "velmora", "lemon", "own") in found
    assert ("pilar", "velmora", "blackberry", "own") in found
    assert ("mira", "velmora", "honeys", "informed") in found
    assert not any(name == "bergamot" for _, _, name, _ in found)
    steps = {(a.spot.speaker, a.attribute, a.step) for a in gathered.attributes}
    assert ("mira", "acidity", 3.0) in steps
    assert next(f for f in gathered.findings if f.fault).spot.bowl == "3"


def test_notes_stand_as_typed(told):
    with (told[1] / "notes.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert "juicy blackberry, a bit of bergamot" in [r["text"] for r in rows]
    with (told[1] / "notes-after.csv").open(encoding="utf-8", newline="") as file:
        assert [r["text"] for r in csv.DictReader(file)] == ["now that you say it, honey"]


def test_key_and_orders_are_written(told):
    with (told[1] / "key.csv").open(encoding="utf-8", newline="") as file:
        key = list(csv.DictReader(file))
    assert {r["taster"] for r in key} == {"mira", "otto", "pilar"}
    with (told[1] / "orders.csv").open(encoding="utf-8", newline="") as file:
        orders = list(csv.DictReader(file))
    assert sum(r["tasted"] == "yes" for r in orders) == 3 * 2 + 1
    assert not any(name in (told[1] / "orders.csv").read_text("utf-8") for name in NAMES)


def test_the_pack_is_made(told):
    assert {p.name for p in (told[1] / "pack").iterdir()} == {"velmora", "tarrasca"}
    assert "blackberry" in (told[1] / "pack" / "velmora" / "notes.md").read_text("utf-8")


# --- people come, go and change their phones ---


def test_guests_stand_in_the_files_as_codes(tmp_path, work):
    with running(tmp_path, work, wanted=Wanted(guests=12)) as table:
        leader = table.leader()
        guest = table.sit("guest", "Aunt Hildegard")
        guest.note("blackberry")
        assert guest.view()["as"] == "G01"
        assert "Aunt Hildegard" in json.dumps(seen_by(leader))
        assert lead(leader, "end")[0] == 200
        until(lambda: seen_by(leader)["files"] and not seen_by(leader)["busy"], 60)
    written = b"".join(p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.suffix in (".csv", ".yaml", ".json"))
    assert b"G01" in written
    assert b"Hildegard" not in written


def test_guests_share_codes_and_a_full_house_says_so(tmp_path):
    with running(tmp_path, wanted=Wanted(guests=2)) as table:
        one, two = table.sit("guest"), table.sit("guest")
        assert sorted(one.view()["codes"]) == sorted(two.view()["codes"])
        given = {"code": table.live.entrance.code, "seat": "guest", "consent": True}
        assert Client(table.door).post("/sit", given)[0] == 409


def test_without_consent_nobody_sits(tmp_path):
    with running(tmp_path) as table:
        assert Client(table.door).post("/sit", {"code": table.live.entrance.code, "seat": "s1"})[0] == 400


def test_what_is_withdrawn_is_gone_from_disk_and_counts(tmp_path, work):
    with running(tmp_path, work) as table:
        leader, mira, otto = table.leader(), table.sit("s1"), table.sit("s2")
        mira.note("unmistakable pomegranate molasses")
        otto.note("blackberry")
        assert mira.client.post(f"{mira.home}withdraw", {"really": True})[0] == 200
        assert mira.view()["notes"] == []
        assert mira.note("again")[0] == 410
        assert lead(leader, "end")[0] == 200
        until(lambda: seen_by(leader)["files"] and not seen_by(leader)["busy"], 60)
    files = b"".join(p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file())
    assert b"pomegranate" not in files
    assert b"mira" not in (tmp_path / "out" / "session.yaml").read_bytes()


def test_a_phone_changed_in_the_middle_goes_on_where_it_was(tmp_path):
    with running(tmp_path) as table:
        leader, mira = table.leader(), table.sit("s1")
        mira.note("blackberry")
        path = leader.post("/leader/link", {"seat": "s1"})[1]["path"]
        new = Client(table.door)
        assert new.send("HEAD", path)[0] == 200, "a preview does not use the link up"
        assert new.get(path)[0] == 200
        assert [n["text"] for n in json.loads(new.get("/seat/s1/view")[2])["view"]["notes"]] == ["blackberry"]
        assert Client(table.door).get(path)[0] == 403, "good once"
        assert mira.note("honey")[0] == 200, "the old phone may still send what it holds"
        lead(leader, "shut_out", seat="s1")
        assert mira.client.get("/seat/s1/view")[0] == new.get("/seat/s1/view")[0] == 401


def test_a_late_comer_gets_a_seat_and_one_who_leaves_keeps_nobody_waiting(tmp_path):
    with running(tmp_path) as table:
        leader, mira = table.leader(), table.sit("s1")
        seat = lead(leader, "late", name="Sven")[1]["seat"]
        sven = table.sit(seat)
        assert len(sven.view()["codes"]) == 2
        mira.close_all()
        assert seen_by(leader)["open"]["filter"] == 1
        lead(leader, "left", seat=seat)
        assert seen_by(leader)["open"]["filter"] == 0
        assert lead(leader, "show", brew="filter")[0] == 200


def test_a_note_written_in_time_counts_though_it_comes_late(tmp_path):
    """A phone without network when the round was shown: its clock says that it was written before."""
    with running(tmp_path) as table:
        leader, mira = table.leader(), table.sit("s1")
        lead(leader, "show", brew="filter", force=True)
        code = mira.view()["codes"][0]
        body = {"code": code, "brew": "filter", "moment": "hot"}
        mira.send(mira.act("note", note="early", text="blackberry", **body) | {"age": 120})
        mira.send(mira.act("note", note="late", text="honey", **body))
        assert {n["note"]: n["late"] for n in mira.view()["notes"]} == {"early": False, "late": True}


def test_a_note_changed_after_the_round_keeps_its_first_words(tmp_path):
    with running(tmp_path) as table:
        leader, mira = table.leader(), table.sit("s1")
        mira.note("blackberry")
        lead(leader, "show", brew="filter", force=True)
        code = mira.view()["codes"][0]
        mira.send(mira.act("note", note="n0", code=code, brew="filter", moment="warm", text="honey"))
        assert [(n["text"], n["late"]) for n in mira.view()["notes"]] == [("blackberry", False), ("honey", True)]


def test_the_wall_fills_only_after_the_close(tmp_path, work):
    with running(tmp_path, work) as table:
        leader, mira = table.leader(), table.sit("s1")
        path = leader.post("/leader/link", {"seat": "wall"})[1]["path"]
        wall = Client(table.door)
        assert wall.get(path)[0] == 200
        mira.note("blackberry")
        assert seen_by(wall, "/wall/view")["results"] == []
        lead(leader, "show", brew="filter", force=True)
        until(lambda: seen_by(wall, "/wall/view")["results"])
        shown = seen_by(wall, "/wall/view")
        assert {r["label"] for r in shown["results"]} <= {"A", "B"}
        assert [r["wheel"] for r in shown["results"]] == [""] * len(shown["results"]), "a wheel bears the name"
        assert wall.get("/wall/wheel?of=filter-velmora")[0] == 404
        assert not any(name in json.dumps(shown) for name in NAMES)
        lead(leader, "reveal", force=True)
        until(lambda: any(r["wheel"] for r in seen_by(wall, "/wall/view")["results"]))
        told = seen_by(wall, "/wall/view")["results"]
        drawn = next(r for r in told if r["wheel"])
        status, headers, data = wall.get(f"/wall/wheel?of={drawn['wheel']}")
        assert (status, headers["content-type"]) == (200, "image/svg+xml")
        assert drawn["name"].encode() in data


def test_the_table_is_taken_up_where_it_was_left(tmp_path):
    with running(tmp_path) as table:
        mira = table.sit("s1")
        mira.note("blackberry")
        code, crumbs = table.live.entrance.code, mira.client.cookies
    with running(tmp_path) as table:
        assert table.opened.again
        assert table.live.entrance.code == code
        back = Client(table.door)
        back.cookies = crumbs
        assert [n["text"] for n in json.loads(back.get("/seat/s1/view")[2])["view"]["notes"]] == ["blackberry"]


def test_a_table_of_one_coffee_without_brew_cards(tmp_path, work):
    """The least that a session may hold goes the whole way, too; and names that a spreadsheet would run."""
    from table_toys import Table
    from web_client import served

    from tastevocab.web.serve import open_door
    from tastevocab.web.table.app import make_app
    from tastevocab.web.table.opening import Means, open_table

    session = tmp_path / "least.yaml"
    session.write_text('tasters: ["=1+1", Zoë]\ncoffees: [only]\n', "utf-8")
    door = open_door(0)
    opened = open_table(session, tmp_path / "out", Wanted(), door, Means(reader=work, counter=work))
    with served(make_app(opened.live), door=door, closing=opened.live.lines.close):
        table = Table(door, opened, None)
        leader, one, two = table.leader(), table.sit("s1"), table.sit("s2")
        assert one.note("- peach, not plum", brew="")[1]["kept"]
        two.note("peach", brew="")
        assert one.view()["bowls"] == 0
        lead(leader, "show", brew="", force=True)
        until(lambda: one.view()["results"])
        assert one.view()["results"][0]["words"][0] == {"print": "peach", "people": 2}
        lead(leader, "end")
        until(lambda: "pack/only" in seen_by(leader)["files"], 60)
    opened.store.close()
    gathered = gather(read_session(tmp_path / "out" / "session.yaml"), open_lexicon())
    assert {(f.spot.speaker, f.present) for f in gathered.findings} == {("=1+1", True), ("=1+1", False), ("Zoë", True)}
