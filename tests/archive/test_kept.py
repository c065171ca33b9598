"""What goes in comes out: a session kept is counted, and read again, as it was from its files."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path

import pytest
from archive_tables import ROWS, said, write_session

from tastevocab.archive import adding, snapshot, upkeep
from tastevocab.archive.recall import editions, gathered_of, read_again
from tastevocab.archive.store import opened
from tastevocab.errors import InputError
from tastevocab.feature import demo
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import gather
from tastevocab.panel.session import BrewCard, Coffee, Session, Source, open_session
from tastevocab.panel.summary import bench, map_of
from tastevocab.reading.records import Turn

DEMO = Path(demo.__file__).parent / "demo_table" / "session.yaml"


def test_a_recording_comes_back_as_it_was_counted_and_reads_again_the_same(tmp_path, keeper):
    """The demo's captions, sheet and decisions: from the archive alone, without its files."""
    session = open_session(DEMO)
    taken = adding.intake(session, keeper.lexicon, adding.digest_of(session))
    fresh = taken.gathered
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        assert adding.write(archive, taken, keeper.vocabulary).state == "added"
        (edition,) = editions(archive.db)
        kept, again = gathered_of(archive.db, edition), read_again(archive.db, edition, keeper.lexicon)
    assert said(kept) == said(again) == said(fresh)
    assert [(a.attribute, a.step, a.spot.speaker) for a in kept.attributes] == [
        (a.attribute, a.step, a.spot.speaker) for a in fresh.attributes
    ]


VALE = """session: {name}
date: 2026-03-02
tasters: [mira, otto, pilar]
{more}coffees:
  vale: {{name: Vale Alto}}
notes:
"""


def both_readings(folder: Path, keeper, session: str, files: dict[str, str]):
    """What a session of these files counted when it was kept, and what it counts read again."""
    for name, text in {**files, "t.yaml": session}.items():
        (folder / name).write_text(text, "utf-8")
    with opened(folder / "a.sqlite", make=True) as archive:
        keeper.add(archive, folder / "t.yaml")
        (edition,) = editions(archive.db)
        return gathered_of(archive.db, edition), read_again(archive.db, edition, keeper.lexicon)


def test_what_only_the_house_words_let_a_recogniser_hear_is_asked_again(tmp_path, keeper):
    """And stays counted where a person had said that it was so."""
    captions = (
        "WEBVTT\n\n00:01.000 --> 00:04.000\n<v mira>I get <ruby>a mumble<rt.house>bergamot</rt></ruby>. I get peach."
        "\n\n00:05.000 --> 00:08.000\n<v otto>I get <ruby>something<rt.house>lychee</rt></ruby> and jasmine.\n"
    )
    decided = "decisions:\n  - {words: a mumble, speaker: mira, decide: accept}\n"
    session = VALE.format(name="heard", more="") + "  - {source: t.vtt}\n"
    kept, again = both_readings(tmp_path, keeper, session, {"t.vtt": captions, "t.decisions.yaml": decided})
    assert {f.descriptor.split("/")[-1] for f in again.findings} == {"bergamot", "peach", "jasmine"}
    assert said(again) == said(kept)
    assert ("lychee", "something") in {(f.descriptor.split("/")[-1], f.spot.words) for f in again.asked}


LEFT = {
    Session: {"file", "folder", "speakers", "audio", "odd", "misspelt", "place", "sources", "coffees", "brews"},
    Source: {"text", "speakers", "place"},
    Coffee: {"place"},
    BrewCard: {"place"},
    Turn: set(),
}
"""What is not kept on purpose: places on a disk, typed texts (kept as turns), names people go by in the talk (kept as
the taster's). Of a session the parts are held one by one."""


def test_no_field_is_lost_on_the_way():
    """A session in which everything is said comes back whole: a new field is kept, or left on purpose."""
    source = Source(
        "t.vtt", "", "mira", "vale", "v60", "hot", "2", {"Miri": "mira"}, ("mira", "otto"), 9.0, 8.0, 1.0, 7.0, True
    )
    coffee = Coffee("vale", "Vale Alto", ("the Vale",), ("peach",), "none", "washed", "2026-02-20", ("mira",), "rio",
                    {"farm": "Alta"})  # fmt: skip
    brew = BrewCard("v60", "filter", {"dose_g": 15.0}, ("otto",))
    session = Session(
        "s", "t.yaml", Path(), "2026-03-02", True, ("mira", "otto"), {"vale": coffee}, {"v60": brew}, (source,),
        {"Miri": "mira"}, 5, {"417": "vale"}, {"417": "v60"}, "t.m4a", ("es-MX",),
    )  # fmt: skip
    body = json.loads(json.dumps(snapshot.session_body(session, str.upper)))
    back = snapshot.session_of(body, "s", "2026-03-02", str.lower)
    turn = Turn("peach", "t.vtt", ((0, 4),), ((0, 1.0),), "mira", "n1", "vale", "v60", "hot", "2", "acidity", "note", 3,
                ((0, 5, "quince"),))  # fmt: skip
    row = dict(zip(snapshot.TURN, snapshot.turn_row(turn), strict=True))
    for before, after in (
        (session, back), (source, back.sources[0]), (coffee, back.coffees["vale"]), (brew, back.brews["v60"]),
        (turn, snapshot.turn_of(row, "mira", "t.vtt")),
    ):  # fmt: skip
        for field in fields(before):
            value = getattr(before, field.name)
            if field.name not in LEFT[type(before)]:
                assert value, f"{field.name} has nothing that could be lost"
                assert getattr(after, field.name) == value, field.name


def test_what_an_entry_says_of_its_notes_is_kept(tmp_path, keeper):
    """Its language, and that the coffee had been named: read again, neither is lost."""
    session = VALE.format(name="late", more="language: es-MX\n")
    session += "  - {source: t.csv}\n  - {taster: otto, coffee: vale, informed: true, text: peach and jasmine}\n"
    sheet = "taster,coffee,text\nmira,vale,lim\u00f3n y durazno\npilar,vale,nada de lim\u00f3n\n"
    kept, again = both_readings(tmp_path, keeper, session, {"t.csv": sheet})
    assert said(again) == said(kept)
    assert {f.standing for f in again.findings if f.spot.speaker == "otto"} == {"informed"}
    assert "citrus_crate/lemon_lime/lime" in {f.descriptor for f in again.findings}


def test_who_was_not_there_is_not_counted_against(tmp_path, keeper):
    """Pilar has no row: the kept map is over two, as the panel's is."""
    session = VALE.format(name="two", more="") + "  - {source: t.csv}\n"
    kept, _ = both_readings(tmp_path, keeper, session, {"t.csv": "taster,coffee,text\nmira,vale,peach\notto,vale,\n"})
    fresh = gather(open_session(tmp_path / "t.yaml"), keeper.lexicon)
    for gathered in (kept, fresh):
        assert map_of(gathered, Serving("vale"), bench(keeper.vocabulary), pool=True).tasters == ("mira", "otto")
    with opened(tmp_path / "a.sqlite") as archive:
        assert archive.db.execute("SELECT people, frequency FROM arc").fetchall() == [(1, 50.0)]


def test_the_same_again_is_no_change_and_a_changed_one_keeps_its_history(archive, tmp_path, keeper):
    before = archive.path.read_bytes()
    path = write_session(tmp_path / "table")
    assert keeper.add(archive, path).state == "unchanged"
    path.write_text("# a comment more\n" + path.read_text("utf-8"), "utf-8")
    assert keeper.add(archive, path).state == "unchanged"
    assert archive.path.read_bytes() == before
    write_session(tmp_path / "table", rows=[*ROWS, ("otto", "vale", "bergamot")])
    made = keeper.add(archive, path)
    assert (made.state, made.edition, made.findings) == ("replaced", 2, 13)
    assert [(e.number, e.current) for e in editions(archive.db, "spring", history=True)] == [(1, False), (2, True)]
    assert len(gathered_of(archive.db, editions(archive.db, "spring", history=True)[0]).findings) == 12
    assert upkeep.check(archive) == []


def test_decisions_beside_the_notes_count_as_a_change(archive, tmp_path, keeper):
    path = write_session(tmp_path / "table")
    (tmp_path / "table" / "spring.decisions.yaml").write_text(
        "decisions:\n  - {words: jasmine, speaker: otto, decide: reject}\n", "utf-8"
    )
    made = keeper.add(archive, path)
    assert (made.state, made.findings) == ("replaced", 11)


def test_another_session_of_the_same_name_is_not_taken_for_it(archive, tmp_path, keeper):
    path = write_session(tmp_path / "other", date="2026-04-09")
    with pytest.raises(InputError, match="holds a session 'spring' of 2026-03-02"):
        keeper.add(archive, path)
    assert keeper.add(archive, path, moved=True).state == "replaced"


def test_kept_maps_are_the_panels(archive, tmp_path, keeper):
    """The SQL folding against the panel's own."""
    gathered = gather(open_session(write_session(tmp_path / "table")), keeper.lexicon)
    for coffee in ("vale", "rio"):
        made = map_of(gathered, Serving(coffee), bench(keeper.vocabulary), pool=True)
        rows = archive.db.execute(
            "SELECT descriptor, people, SQRT(frequency * intensity) FROM arc JOIN coffee ON id = coffee WHERE key = ?",
            (coffee,),
        ).fetchall()
        assert {(d, n, round(w, 9)) for d, n, w in rows} == {
            (node.descriptor, node.named, round(node.own, 9)) for node in made.nodes if node.named
        }
