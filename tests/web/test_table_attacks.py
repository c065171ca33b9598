"""Nobody gets in who does not belong: tries and their outcomes at a running table (Host, Origin and sizes: the guard's
own tests)."""

from __future__ import annotations

import json
import re
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from table_toys import running
from web_client import Client

from tastevocab.web.guard import Limits, Refused
from tastevocab.web.table import acts
from tastevocab.web.table.entrance import LETTERS, WINDOW, WRONG_ALL, WRONG_EACH, Entrance
from tastevocab.web.tokens import digest, new_token


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    with running(tmp_path_factory.mktemp("attacked")) as made:
        yield made


@pytest.fixture(scope="module")
def mira(table):
    return table.sit("s1")


@pytest.fixture(scope="module")
def otto(table):
    return table.sit("s2")


@pytest.mark.parametrize("path", ["/seat/s1/view", "/seat/s1/live", "/leader/view", "/leader/live", "/leader/qr.svg",
                                  "/wall/view", "/wall/live", "/wall/qr.svg"])  # fmt: skip
def test_without_a_token_nothing_is_told(table, mira, path):
    assert Client(table.door).get(path)[0] == 401


@pytest.mark.parametrize(
    "path", ["/seat/s1/events", "/seat/s1/find", "/seat/s1/withdraw", "/leader/act", "/leader/link"]
)
def test_without_a_token_nothing_is_done(table, mira, path):
    assert Client(table.door).post(path, {"client": "x", "events": [], "really": True, "kind": "end"})[0] == 401


def test_a_seats_token_opens_no_other_page(table, mira, otto):
    """The browser would not even send it there; a forger does."""
    token = mira.client.cookies["table-s1"][0]
    thief = Client(table.door)
    for name, path in (("table-s2", "/seat/s2/view"), ("table-leader", "/leader/view"), ("table-wall", "/wall/view")):
        thief.cookies = {name: (token, "/"), "table-s1": (token, "/")}
        assert thief.get(path)[0] == 401
    thief.cookies = {"table-s1": (token[:-1] + ("A" if token[-1] != "A" else "B"), "/")}
    assert thief.get("/seat/s1/view")[0] == 401


def test_the_leaders_token_is_nobody_elses(table, mira):
    """Nor is a seat's or the wall's the leader's, sent as a cookie of any name."""
    leader = table.leader()
    wall = Client(table.door)
    assert wall.get(leader.post("/leader/link", {"seat": "wall"})[1]["path"])[0] == 200
    tokens = {
        "leader": leader.cookies["table-leader"][0],
        "wall": wall.cookies["table-wall"][0],
        "s1": mira.client.cookies["table-s1"][0],
    }
    thief = Client(table.door)
    for who, token in tokens.items():
        thief.cookies = dict.fromkeys(("table-leader", "table-wall", "table-s1", "table-s2"), (token, "/"))
        opened = {of for of, path in (("leader", "/leader/view"), ("wall", "/wall/view"), ("s1", "/seat/s1/view"),
                                      ("s2", "/seat/s2/view")) if thief.get(path)[0] == 200}  # fmt: skip
        assert opened == {who}


def test_cookies_and_links_of_another_table_open_nothing(table, mira, tmp_path):
    with running(tmp_path) as other:
        thief = Client(other.door)
        thief.cookies = {**mira.client.cookies, **table.leader().cookies}
        for path in ("/seat/s1/view", "/leader/view"):
            assert thief.get(path)[0] == 401
        assert thief.post("/seat/s1/events", {"client": "x", "events": [{"n": 1}]})[0] == 401
        assert thief.get(f"/seat/s2/enter/{table.live.entrance.ticket('s2')}")[0] == 403


def test_a_token_is_worth_nothing_after_its_seat_was_shut_out(tmp_path):
    with running(tmp_path) as table:
        mira, leader = table.sit("s1"), table.leader()
        old = dict(mira.client.cookies)
        assert leader.post("/leader/act", {"kind": "shut_out", "seat": "s1"})[0] == 200
        path = leader.post("/leader/link", {"seat": "s1"})[1]["path"]
        fresh = Client(table.door)
        assert fresh.get(path)[0] == 200
        assert fresh.get("/seat/s1/view")[0] == 200
        replayed = Client(table.door)
        replayed.cookies = old
        assert replayed.get("/seat/s1/view")[0] == 401
        assert replayed.get(path)[0] == 403
        assert replayed.get("/seat/s1/")[1]["location"] == "/?out"


def test_an_act_sent_again_under_its_number_changes_nothing(mira):
    act = mira.act("note", note="twice", code=mira.view()["codes"][0], brew="filter", text="peach")
    assert mira.send(act)[1]["kept"] == [act["n"]]
    assert mira.send(act)[1]["kept"] == [act["n"]]
    status, told = mira.send({**act, "text": "forged"})
    assert (status, told["kept"], told["refused"][0]["n"]) == (200, [], act["n"])
    assert [n["text"] for n in mira.view()["notes"] if n["note"] == "twice"] == ["peach"]


def test_the_leaders_pages_are_nobody_elses(table, mira):
    for path in ("/leader/", "/wall/"):
        status, headers, data = mira.client.get(path)
        assert (status, headers["content-type"].split(";")[0]) == (403, "text/html")
        assert table.live.entrance.code.encode() not in data


def test_what_lies_on_disk_opens_no_page(table, mira):
    """Tokens are kept as hashes: the hash itself is no token."""
    token = mira.client.cookies["table-s1"][0]
    kept = table.opened.store.tokens()
    assert token not in kept
    assert kept[digest(token)] == "s1"
    thief = Client(table.door)
    thief.cookies = {"table-s1": (digest(token), "/")}
    assert thief.get("/seat/s1/view")[0] == 401


def test_tokens_are_128_random_bits_in_a_strict_cookie(table):
    assert len({new_token() for _ in range(200)}) == 200
    assert len(new_token()) == 22  # 128 bits in base64url (RFC 4648) without padding
    client = Client(table.door)
    given = {"code": table.live.entrance.code, "seat": "s3", "consent": True}
    _, headers, _ = client.send("POST", "/sit", json.dumps(given).encode())
    crumbs = [part.strip().lower() for part in headers["set-cookie"].split(";")]
    assert {"httponly", "samesite=strict", "path=/seat/s3/"} <= set(crumbs)


def test_a_taken_seat_is_not_given_away(table, mira):
    given = {"code": table.live.entrance.code, "seat": "s1", "consent": True}
    assert Client(table.door).post("/sit", given)[0] == 409


@pytest.mark.parametrize(
    "act",
    [
        {"kind": "note"},
        {"kind": "none"},
        {"kind": None},
        {"kind": "note", "note": "a/b", "text": "x"},
        {"kind": "note", "note": "a", "code": "999", "brew": "filter", "text": "x", "rev": 1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "tea", "text": "x", "rev": 1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": ["x"], "rev": 1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x" * 2001, "rev": 1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": -1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 10**9},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 1, "bowl": 99},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 1, "moment": "later"},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "\ud800", "rev": 1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 1, "age": -5},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 1, "age": "1"},
        {"kind": "scale", "code": "CODE", "brew": "filter", "scale": "price", "step": 3, "rev": 1},
        {"kind": "scale", "code": "CODE", "brew": "filter", "scale": "body", "step": 9, "rev": 1},
        {"kind": "close", "code": "CODE", "brew": "filter", "closed": "yes", "rev": 1},
        {"kind": "mark", "note": "a", "words": "x", "start": 5, "end": 1, "was": "", "verdict": "keep", "rev": 1},
        {"kind": "mark", "note": "a", "words": "x", "start": 0, "end": 1, "was": "", "verdict": "burn", "rev": 1},
        {"kind": "show", "brew": "filter"},
        {"kind": "reveal"},
        {"kind": "withdraw"},
        {"kind": "taken", "name": "me"},
        {"kind": ["note"]},
        {"kind": {"note": 1}},
        {"kind": "scale", "code": "CODE", "brew": "filter", "scale": ["body"], "step": 3, "rev": 1},
        {"kind": "note", "note": "a", "code": ["CODE"], "brew": ["filter"], "text": "x", "rev": 1},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 1, "moment": ["hot"]},
        {"kind": "note", "note": "a", "code": "CODE", "brew": "filter", "text": "x", "rev": 10**400},
    ],
)
def test_malformed_acts_are_refused_one_by_one(table, mira, act):
    """And a good one beside them is kept."""
    code = mira.view()["codes"][0]
    bad = {**act, "n": 900_000 + mira.number}
    bad = {k: code if v == "CODE" else v for k, v in bad.items()}
    good = mira.act("note", note=f"g{mira.number}", code=code, brew="filter", moment="hot", text="peach")
    status, told = mira.send(bad, good)
    assert status == 200
    assert (told["kept"], [r["n"] for r in told["refused"]]) == ([good["n"]], [bad["n"]])


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"client": "x"},
        {"client": "x", "events": []},
        {"client": "x", "events": "all"},
        {"client": "x", "events": [1]},
        {"client": "x", "events": [{"n": 0}]},
        {"client": "x", "events": [{"n": 1.5}]},
        {"client": "x", "events": [{"n": True}]},
        {"client": "x", "events": [{"n": 2**60}]},
        {"client": "../../x", "events": [{"n": 1}]},
        {"client": "x" * 99, "events": [{"n": 1}]},
        {"client": {"a": 1}, "events": [{"n": 1}]},
        {"client": "x", "events": [{"n": 1}] * 101},
    ],
)
def test_malformed_batches_are_refused_whole(mira, body):
    before = mira.view()["notes"]
    assert mira.client.post("/seat/s1/events", body)[0] == 400
    assert mira.view()["notes"] == before


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.just(10**400),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=6,
)
KEYS = ("note", "code", "brew", "moment", "bowl", "text", "rev", "age", "scale", "step", "words", "start", "end", "was",
        "verdict", "descriptor", "closed", "minutes", "seat", "name")  # fmt: skip
RIGHT = {"note": "a", "brew": "filter", "moment": "hot", "text": "x", "rev": 1, "age": 0, "scale": "body", "step": 1,
         "words": "x", "start": 0, "end": 1, "was": "", "verdict": "keep", "closed": True, "minutes": 4, "seat": "s1",
         "name": "Sven"}  # fmt: skip


@given(
    kind=values | st.sampled_from(["note", "scale", "mark", "close", "moment", "show", "late", "left"]),
    odd=st.dictionaries(st.sampled_from(KEYS), values, max_size=3),
)
def test_any_act_is_kept_or_refused_and_breaks_nothing(table, kind, odd):
    setting = table.live.setting
    body = {**RIGHT, "code": setting.seat("s1").codes[0], **odd}
    for check in (
        lambda: acts.checked(kind, body, setting, "s1"),
        lambda: acts.leaders(str(kind), body, setting),
        lambda: acts.age_of(body),
    ):
        with suppress(Refused):
            json.dumps(check(), allow_nan=False)


@pytest.mark.parametrize("path", ["/join", "/sit", "/seat/s1/events", "/seat/s1/find", "/seat/s1/withdraw"])
@pytest.mark.parametrize("value", [{"a": 1}, ["x"], 10**400, None, True, "\ud800", "x" * 5000])
def test_wrong_types_are_refused_wherever_they_come(table, mira, path, value):
    keys = ("code", "seat", "name", "consent", "client", "events", "words", "really")
    wrong = 1 if value is True else value
    assert mira.client.post(path, dict.fromkeys(keys, wrong))[0] == 400
    assert not table.live.state.seat("s1").gone


@pytest.mark.parametrize("value", [{"a": 1}, ["end"], 10**400, None, "x" * 5000, "\ud800"])
def test_the_leaders_page_takes_no_wrong_types_either(table, value):
    leader = table.leader()
    assert leader.post("/leader/link", {"seat": value})[0] == 400
    assert leader.post("/leader/act", {"kind": value})[0] == 400
    for kind, key in (("moment", "moment"), ("moment", "minutes"), ("show", "brew"), ("late", "name"), ("left", "seat"),
                      ("shut_out", "seat")):  # fmt: skip
        given = {"kind": kind, "minutes": 1, "force": True, key: value}
        assert leader.post("/leader/act", given)[0] == (200 if (key, value) == ("moment", None) else 400), given


def test_an_oversized_batch_is_refused(mira):
    assert mira.client.post("/seat/s1/events", {"client": "x", "events": [{"n": 1, "text": "x" * 300_000}]})[0] == 413


def test_a_foreign_page_can_neither_write_nor_read(table, mira):
    act = mira.act("note", note="evil", code=mira.view()["codes"][0], brew="filter", text="x")
    assert mira.send(act, Origin="http://evil.example")[0] == 403
    assert mira.send(act, Origin="")[0] == 403
    assert mira.send(act, Host="evil.example")[0] == 421
    assert mira.client.get("/seat/s1/view", Host="evil.example:80")[0] == 421
    assert "evil" not in json.dumps(mira.view()["notes"])


def test_names_and_notes_never_become_markup(table, mira):
    """They travel as JSON and are set as text; the pages themselves hold none of them, and no script in line."""
    evil = "<img src=x onerror=alert(1)></script><script>alert(2)</script>"
    mira.note(evil)
    for path in ("/seat/s1/", "/seat/s1/view", "/static/taster.js"):
        status, headers, data = mira.client.get(path)
        assert status == 200
        if headers["content-type"].startswith("text/html"):
            assert b"onerror" not in data
            assert data.count(b"<script") == data.count(b'<script type="module" src="/static/')
        assert "script-src 'self'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
    assert mira.client.get("/seat/s1/view")[1]["content-type"].startswith("application/json")
    from tastevocab.web.pages import WEB

    scripts = "".join(p.read_text("utf-8") for p in (WEB / "table" / "static").glob("*.js"))
    markup = r"innerHTML\s*=[^=]|insertAdjacentHTML|document\.write|\beval\("
    secure = r"randomUUID|crypto\.subtle|serviceWorker|https://"
    assert re.findall(f"{markup}|{secure}", scripts) == [], "words are set as text; no secure context is needed"


@pytest.mark.parametrize("path", ["/seat/../leader/view", "/seat/s1%2f..%2f..%2fleader/view", "/seat/s1/../s2/view",
                                  "/seat//view", "/seat/s1/view/..", "/static/../table/app.py", "/leader/enter/",
                                  "/seat/s1/enter/AAAAAAAAAAAAAAAAAAAAAA", "/wall/enter/x"])  # fmt: skip
def test_path_tricks_open_nothing(table, path):
    assert Client(table.door).get(path)[0] in (400, 401, 403, 404)


def test_links_of_one_seat_open_no_other(table, mira, otto):
    leader = table.leader()
    path = leader.post("/leader/link", {"seat": "s2"})[1]["path"]
    assert Client(table.door).get(path.replace("/s2/", "/s1/"))[0] == 403
    assert leader.post("/leader/link", {"seat": "leader"})[0] == 400
    assert Client(table.door).get(path)[0] == 200


# --- guessing the code ---


def test_guessing_ends_after_a_few_tries(tmp_path):
    with running(tmp_path, limits=Limits()) as table:
        guesser = Client(table.door)
        tries = [guesser.post("/join", {"code": f"BCDFG{LETTERS[n]}"})[0] for n in range(WRONG_EACH + 3)]
        assert tries == [403] * WRONG_EACH + [429] * 3
        assert guesser.post("/join", {"code": table.live.entrance.code})[0] == 429, "nor may the right one be tried on"
        assert guesser.post("/sit", {"code": table.live.entrance.code, "seat": "s1", "consent": True})[0] == 429
        table.leader().post("/leader/act", {"kind": "code"})
        assert guesser.post("/join", {"code": table.live.entrance.code})[0] == 200


def test_guessing_from_many_addresses_ends_too():
    now = 0.0
    entrance = Entrance("BCDFGH", clock=lambda: now)
    outcomes = []
    for n in range(WRONG_ALL + 5):
        try:
            entrance.check("JKMNPQ", f"10.0.0.{n}")
        except Exception as refused:
            outcomes.append(refused.status)
    assert outcomes == [403] * WRONG_ALL + [429] * 5
    now = WINDOW + 1
    entrance.check(" bcd-fgh ", "10.0.0.1")


def test_a_link_is_good_once_and_not_for_long():
    now = 0.0
    entrance = Entrance("BCDFGH", clock=lambda: now)
    first, second = entrance.ticket("s1"), entrance.ticket("s1")
    assert entrance.redeem(first, "s1")
    assert not entrance.redeem(first, "s1")
    now = 3600.0
    assert not entrance.redeem(second, "s1")


def test_one_seat_cannot_flood_the_table(tmp_path):
    with running(tmp_path) as table:
        mira, otto = table.sit("s1"), table.sit("s2")
        code = mira.view()["codes"][0]
        body = {"code": code, "brew": "filter", "moment": "hot"}
        statuses = [
            mira.send(*(mira.act("note", note=f"f{i}-{k}", text="x", **body) for k in range(100)))[0] for i in range(6)
        ]
        assert 429 in statuses
        assert otto.note("peach")[0] == 200


def test_too_many_lines_of_one_seat_are_refused(tmp_path):
    from contextlib import ExitStack

    with running(tmp_path) as table, ExitStack() as stack:
        mira = table.sit("s1")
        for _ in range(8):
            stack.enter_context(mira.listening())
        assert mira.client.get("/seat/s1/live")[0] == 429
