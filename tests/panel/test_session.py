"""Session files: read, checked all at once, scaffolded; sheets and their key."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from tastevocab.errors import InputError
from tastevocab.panel.designs import Design, plan
from tastevocab.panel.gather import check_gathered, gather, settle
from tastevocab.panel.scaffold import identifier, session_text, write_session
from tastevocab.panel.session import open_session, read_session
from tastevocab.panel.session_check import check_session, require_sound
from tastevocab.panel.sheets import key_csv, seal, sheets, sheets_html, sheets_pdf, write_all
from tastevocab.panel.tables import table_session
from tastevocab.reading.records import Reading
from tastevocab.reading.words.lexicon import Lexicon

GOOD = """\
session: spring
date: 2026-03-02
blind: true
tasters: [mira, otto]
bowls: 5
speakers: {Miri: mira}
coffees:
  vale_alto: {name: Vale Alto, claims: [jasmine, cocoa], additions: none, altitude: 1900}
brews:
  cone: {method: filter, dose_g: 15, time: "2:50"}
notes:
  - {taster: otto, coffee: vale_alto, moment: cool, text: "definitely jasmine, and a hint of cocoa powder"}
"""


@pytest.fixture
def write(tmp_path: Path):
    def run(text: str) -> Path:
        path = tmp_path / "session.yaml"
        path.write_text(text, "utf-8")
        return path

    return run


def test_a_session_is_read_as_written(write) -> None:
    read = read_session(write(GOOD))
    assert (read.id, read.date, read.blind, read.tasters, read.bowls) == (
        "spring",
        "2026-03-02",
        True,
        ("mira", "otto"),
        5,
    )
    coffee = read.coffees["vale_alto"]
    assert (coffee.name, coffee.claims, coffee.additions) == ("Vale Alto", ("jasmine", "cocoa"), "none")
    assert coffee.more == {"altitude": "1900"}
    assert coffee.place.line == 8
    assert read.brews["cone"].facts == {"dose_g": 15, "time": "2:50"}
    assert check_session(read) == ()


def test_everything_wrong_is_said_at_once(write) -> None:
    path = write(
        """\
session: spring
tasters: [mira, otto, mira]
coffees:
  vale: {name: Vale, tasters: [zed]}
  again: {duplicate_of: vall}
notes:
  - {source: nowhere.vtt, coffee: vale}
  - {taster: ott, coffee: valle, moment: tepid, text: "x"}
  - {coffee: vale}
  - {coffee: vale, text: "x"}
"""
    )
    problems = check_session(read_session(path))
    said = [(p.place.line, p.code) for p in problems]
    assert said == [
        (1, "twice"),
        (4, "taster"),
        (5, "duplicate"),
        (7, "missing"),
        (8, "coffee"),
        (8, "moment"),
        (8, "taster"),
        (9, "source"),
        (10, "whose"),
    ]
    assert "did you mean otto?" in str(problems)
    with pytest.raises(InputError) as caught:
        require_sound(read_session(path))
    assert str(caught.value).count("mend:") == len(problems)
    assert f"{path}:8: unknown coffee 'valle'" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("tasters: {a: b}", "tasters should be a list"),
        ("notes: {a: b}", "notes should be a list"),
        ("notes: [[x]]", "no mapping"),
        ("coffees: 3", "coffees should hold a mapping"),
        ("coffees: [a, a]", "gives 'a' twice"),
        ("blind: maybe", "true or false"),
        ("bowls: many", "whole number"),
        ("speakers: [a]", "map names to tasters"),
        ("key: nowhere.csv", "cannot be read"),
        ("notes: [{source: a.vtt, reveal: soon}]", "no time"),
        ("session: [a]", "plain text"),
        ("- a", "should hold a mapping"),
        ("session: a\nsession: b", "twice"),
    ],
)
def test_values_of_the_wrong_kind_name_file_and_line(write, text, what) -> None:
    with pytest.raises(InputError, match=what) as caught:
        read_session(write(text))
    assert "session.yaml:" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("tasters: [ana, '']", "tasters"),
        ("tasters:\n  - ana\n  - ' '", "tasters"),
        ("coffees: ['']", "coffees"),
        ("coffees: {'': {name: Valle}}", "coffees"),
        ("coffees: {a: {names: ['']}}", "names"),
        ("brews: {' ': {method: v60}}", "brews"),
        ("notes: ['']", "notes"),
        ("speakers: {'': ana}", "speakers"),
        ("speakers: {A: ''}", "speakers"),
    ],
)
def test_an_empty_name_is_told_with_its_line(write, text, what) -> None:
    with pytest.raises(InputError, match=f"session.yaml:[2-4]: {what} holds an empty name") as caught:
        read_session(write(f"session: x\n{text}"))
    assert "mend: write the name" in str(caught.value)


def test_keys_that_nothing_reads_name_the_nearest(write) -> None:
    path = write(
        """\
tastres: [mira]
tasters: [mira]
coffees:
  vale: {name: Vale, clams: [peach], variety: Bourbon, names: [V]}
brews:
  cone: {methd: filter, bloom: 30 s, taster: [mira]}
notes:
  - {taster: mira, coffee: vale, momnet: hot, text: "x"}
"""
    )
    found = [(p.place.line, p.severity, p.what, p.mend) for p in check_session(read_session(path))]
    assert found == [
        (1, "error", "'tastres' is no key that is read", "did you mean tasters?"),
        (4, "error", "'clams' is no key that is read", "did you mean claims?"),
        (6, "warning", "'methd' is kept as a fact of the brew", "did you mean method?"),
        (6, "warning", "'taster' is kept as a fact of the brew", "did you mean tasters?"),
        (8, "error", "'momnet' is no key that is read", "did you mean moment?"),
    ]


def test_short_names_are_of_one_coffee_alone(write) -> None:
    text = "tasters: [mira]\ncoffees:\n  vale: {names: [V, rio]}\n  rio: {name: Rio}\nnotes: [x.csv]\n"
    read = read_session(write(text))
    assert read.coffees["vale"].names == ("V", "rio")
    assert [p.what for p in check_session(read) if p.code == "name"] == ["vale: 'rio' is called 'rio' too"]


def test_only_a_session_is_opened_as_one(write) -> None:
    for text in ("name: coffee\nversion: 1\n", "- a\n", ""):
        with pytest.raises(
            InputError, match=r"session.yaml:1: is no session: none of session, tasters, coffees, notes"
        ):
            open_session(write(text))
    assert open_session(write("tasters: [mira]")).tasters == ("mira",)


def test_notes_in_a_sessions_place_say_how_to_make_one(tmp_path: Path) -> None:
    (tmp_path / "talk.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.000\n<v Mira>Plum.\n")
    with pytest.raises(InputError, match=r"talk.vtt: holds notes and is no session\n.*`tastevocab start .*talk.vtt`"):
        read_session(tmp_path / "talk.vtt")


def test_an_empty_session_says_so(write) -> None:
    assert {p.code for p in check_session(read_session(write("session: x")))} == {"tasters", "coffees", "empty"}


def test_a_whole_session_from_its_file(write, vocabulary) -> None:
    gathered = gather(read_session(write(GOOD)), Lexicon(vocabulary))
    found = {(f.descriptor, f.spot.speaker, f.spot.coffee, f.spot.brew, f.spot.moment) for f in gathered.findings}
    assert ("flower_bench/white_blossom/jasmine", "otto", "vale_alto", "cone", "cool") in found
    assert check_gathered(gathered) == ()
    silent = settle(gathered.session, [(gathered.session.sources[0], Reading())])
    (problem,) = check_gathered(silent)
    assert str(problem).startswith(f"{gathered.session.file}:8: error silent: coffee 'vale_alto': nobody described it")


def test_reveal_times_are_minutes_and_seconds(write) -> None:
    read = read_session(write('notes: [{source: a.vtt, reveal: "12:30"}, b.csv]'))
    assert [s.reveal for s in read.sources] == [750.0, None]
    assert read.sources[1].source == "b.csv"


def test_a_new_session_is_a_session(tmp_path: Path) -> None:
    text = session_text(
        "Spring table", ["Mira", "No"], ["Vale Alto", "Río Claro"], ["filter", "Espresso"], date="2026-03-02"
    )
    write_session(tmp_path / "new.yaml", text)
    read = read_session(tmp_path / "new.yaml")
    assert (read.id, read.tasters, tuple(read.coffees)) == ("spring_table", ("mira", "no"), ("vale_alto", "río_claro"))
    assert read.coffees["río_claro"].name == "Río Claro"
    assert [b.method for b in read.brews.values()] == ["filter", "espresso"]
    assert [p.code for p in check_session(read)] == ["empty"]
    with pytest.raises(InputError, match="is there already"):
        write_session(tmp_path / "new.yaml", text)


@pytest.mark.parametrize(("tasters", "what"), [([], "no taster"), (["Mira", "mira"], "named twice")])
def test_a_new_session_needs_people(tasters, what) -> None:
    with pytest.raises(InputError, match=what):
        session_text("x", tasters, ["a"], [])
    assert identifier("  Vale Alto (2) ") == "vale_alto_2"


def test_a_table_of_notes_is_a_session_of_its_rows(tmp_path: Path) -> None:
    path = tmp_path / "notes.jsonl"
    rows = ('{"id": "1", "coffee": "A", "taster": "t1", "text": "x"}', "", '{"id": "2", "coffee": "B", "text": "y"}')
    path.write_text("\n".join(rows), "utf-8")
    read = table_session(path)
    assert read.tasters == ("t1", "2")
    assert {c.id: c.tasters for c in read.coffees.values()} == {"A": ("t1",), "B": ("2",)}
    sheet = tmp_path / "notes.csv"
    sheet.write_text("Taster,Coffee,text\nmira,vale,x\nmira,vale,y\n", "utf-8-sig")
    assert table_session(sheet).coffees["vale"].tasters == ("mira",)
    for bad, what in (("[1]", "no object"), ("{", "not JSON"), ("", "no rows")):
        path.write_text(bad, "utf-8")
        with pytest.raises(InputError, match=what):
            table_session(path)


@pytest.fixture
def printed(vocabulary):
    made = plan(["mira", "<b>otto"], ["vale", "rio"], Design(duplicate=True), seed=3)
    return made, sheets(made, ["hot", "cool"], vocabulary.attributes, session="spring", bowls=5)


def test_sheets_hold_codes_in_order_and_never_a_coffee(printed) -> None:
    made, pages = printed
    assert [(p.taster, p.moment) for p in pages] == [
        ("mira", "hot"),
        ("mira", "cool"),
        ("<b>otto", "hot"),
        ("<b>otto", "cool"),
    ]
    assert pages[0].codes == pages[1].codes == tuple(code for code, _ in made.sittings[0].order)
    html = sheets_html(pages)
    assert "&lt;b&gt;otto" in html
    assert "<b>otto" not in html
    assert "vale" not in html
    assert all(code in html for p in pages for code in p.codes)
    assert html == sheets_html(pages)


def test_the_pdf_reads_like_the_page(printed) -> None:
    _, pages = printed
    data = sheets_pdf(pages)
    text = [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]
    assert len(text) == 4
    assert text[0].startswith("mira: hot")
    assert all(code in text[0] for code in pages[0].codes)
    assert "vale" not in "".join(text)
    assert data == sheets_pdf(pages)


def test_the_key_is_sealed_and_opens_the_codes(printed, tmp_path: Path, write, table) -> None:
    made, pages = printed
    paths = list(write_all(tmp_path / "out", made, pages))
    assert [p.name for p in paths] == ["sheets.html", "sheets.pdf", "key-keep-closed.csv"]
    assert all(page.seal == seal(key_csv(made)) for page in pages)
    rows = list(csv.DictReader(paths[2].read_text().splitlines()))
    assert len({row["code"] for row in rows}) == 6
    twin = next(s for s in made.samples if s.kind == "duplicate")
    text = f"""\
tasters: [mira]
coffees: {{vale: {{}}, rio: {{}}, {twin.id}: {{duplicate_of: {twin.of}}}}}
key: out/key-keep-closed.csv
notes: [sheet.csv]
"""
    read = read_session(write(text))
    code = next(row["code"] for row in rows if row["taster"] == "mira" and row["kind"] == "duplicate")
    said = table.say("mira", "jasmine", coffee=code)
    assert settle(read, [(read.sources[0], Reading((said,)))]).findings[0].spot.coffee == twin.id


def test_a_recording_is_named_and_missed_where_it_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    path.write_text(
        "tasters: [mira]\ncoffees: [one]\naudio: table.m4a\nnotes: [{taster: mira, text: plum}]\n", encoding="utf-8"
    )
    session = read_session(path)
    assert session.audio == "table.m4a"
    assert [(p.code, p.severity) for p in check_session(session)] == [("audio", "warning")]
    (tmp_path / "table.m4a").write_bytes(b"")
    assert check_session(session) == ()
