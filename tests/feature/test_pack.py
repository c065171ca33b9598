"""The pack: its files, their forms, the same bytes again, nothing that runs or leads out."""

from __future__ import annotations

import base64
import gzip
import io
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from importlib import resources
from xml.etree import ElementTree

import jsonschema
import pypdf
import pytest

from tastevocab.errors import InputError
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Wishes
from tastevocab.feature.notes import notes_of
from tastevocab.feature.pack import make_packs
from tastevocab.feature.wording import Wording
from tastevocab.panel.session import BrewCard, Coffee

EXPECTED = {
    *(f"wheel.{ending}" for ending in ("html", "svg", "png", "pdf")),
    *(f"notes.{ending}" for ending in ("md", "html", "json")),
    *("brews.md", "findings.csv", "flavours.vtt", "map.json", "vocabulary.json"),
}
HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(2)> =cmd|calc ${7*7} {{ 7*7 }} `x` [a](javascript:b)'


def test_the_demo_has_every_file(demo):
    assert set(demo.files) >= EXPECTED
    assert demo.folder == "loma_serena"


@pytest.mark.parametrize("name", ["map", "notes"])
def test_json_keeps_to_its_published_schema(demo, name):
    schema = json.loads((resources.files("tastevocab.feature") / "schemas" / f"{name}.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(json.loads(demo.files[f"{name}.json"]))


def test_a_schema_refuses_what_is_wrong(demo):
    schema = json.loads((resources.files("tastevocab.feature") / "schemas" / "map.schema.json").read_text())
    value = json.loads(demo.files["map.json"])
    value["maps"][0]["nodes"][0]["share"] = 1.2
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(value)


def test_same_table_same_bytes(demo, demo_gathered, tools):
    again = make_packs(demo_gathered, tools, HouseStyle(), Wording())[0]
    assert again.files == demo.files


def test_no_file_says_where_the_session_lies(demo, demo_gathered):
    folder = str(demo_gathered.session.folder).encode()
    assert [name for name, data in demo.files.items() if folder in data] == []


def test_pictures_read_back(demo, tmp_path):
    assert ElementTree.fromstring(demo.files["wheel.svg"]).tag.endswith("svg")
    path = tmp_path / "w.pdf"
    path.write_bytes(demo.files["wheel.pdf"])
    assert "Loma" in pypdf.PdfReader(path).pages[0].extract_text()
    assert demo.files["wheel.png"].startswith(b"\x89PNG")


def test_codes_keep_names_out_of_every_file(demo_gathered, tools):
    made = make_packs(demo_gathered, tools, HouseStyle(tasters="codes"), Wording())[0]
    for name, data in made.files.items():
        if name.endswith((".png", ".pdf")):
            continue
        text = re.sub(r"<script>.*?</script>|<meta http-equiv[^>]*>", "", data.decode(), flags=re.S)
        packed = re.search(r'id="further">([^<]*)</script>', text)
        if packed:  # the further steps of the page
            text = text.replace(packed[1], gzip.decompress(base64.b64decode(packed[1])).decode())
        words = set(re.findall(r"[a-z]+", text.casefold()))
        assert not words & {"imke", "dario", "noor", "wren", "bas"}, name
    assert "T1" in made.files["findings.csv"].decode()


def test_codes_reach_file_names_rows_and_what_was_called_out(demo_gathered, tools):
    """A recording named after a taster, a row's id, and a name said aloud; and no name in the metadata of a picture."""
    names = re.compile(r"\b(imke|dario|noor|wren|bas)\b", re.IGNORECASE)
    calls = [
        replace(f, spot=replace(f.spot, source=f"imke/{f.spot.source}", note="wren-3", words=f"Bas, {f.spot.words}"))
        for f in demo_gathered.findings
    ]
    told = replace(demo_gathered, findings=tuple(calls))
    made = make_packs(told, tools, HouseStyle(tasters="codes"), Wording(), Wishes(("loma_serena",)))[0]
    for name, data in made.files.items():
        text = data.decode("latin-1")
        if name.endswith(".pdf"):
            read = pypdf.PdfReader(io.BytesIO(data))
            text = str(read.metadata) + "".join(page.extract_text() for page in read.pages)
        if not name.endswith(".png"):
            assert not names.search(re.sub(r"<script.*?</script>", "", text, flags=re.DOTALL)), name
    assert "notes-1" in made.files["findings.csv"].decode()
    assert "T4, " in made.files["findings.csv"].decode()


def test_no_taster_stands_in_a_pictures_description(demo):
    """By default too: people are counted there, not named."""
    names = re.compile(r"\b(imke|dario|noor|wren|bas)\b", re.IGNORECASE)
    for name, data in demo.files.items():
        if name.endswith(".svg"):
            assert not names.search(data.decode()), name
        if name.endswith(".pdf"):
            assert not names.search(str(pypdf.PdfReader(io.BytesIO(data)).metadata)), name


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [name for name, _ in attrs]


def hostile_pack(table):
    brews = {"filter": BrewCard("filter", HOSTILE, {"dose_g": 15, "grind": HOSTILE})}
    coffee = Coffee("../../evil\0", HOSTILE, claims=(HOSTILE,), additions=HOSTILE, process=HOSTILE)
    table.session = replace(table.session, coffees={coffee.id: coffee}, brews=brews, blind=None)
    table.all_say("abc", "caramel", words=HOSTILE, coffee=coffee.id)
    table.say("dov", "phenolic", words=HOSTILE, coffee=coffee.id)
    return make_packs(table.gathered(), table.tools, HouseStyle(footer=HOSTILE, house=HOSTILE), Wording())[0]


def test_hostile_text_is_inert(table):
    made = hostile_pack(table)
    assert made.folder == "evil"
    page = Tags()
    page.feed(made.files["notes.html"].decode())
    assert page.tags.count("script") == 1  # its own, allowed by hash
    assert not [a for a in page.attributes if a.startswith("on")]
    assert page.tags.count("img") == 0
    assert "49" not in made.notes.copy.text
    for name in ("notes.md", "brews.md"):
        text = re.sub(r"^    .*$", "", made.files[name].decode(), flags=re.M)  # A code block is shown as it is.
        assert not re.search(r"(?<!\\)<(script|img)", text)
        assert "](javascript" not in text.replace("\\]", "")
    for line in made.files["findings.csv"].decode().splitlines()[1:]:
        assert not re.search(r'(^|,)"?[=+@]', line)


@pytest.mark.parametrize("name", ["N" * 90, "مسمش وعسل", "🍑 Étoile ☕", "a very long name of a coffee " * 3])
def test_odd_names_make_a_pack(table, name):
    table.session = replace(table.session, coffees={"one": Coffee("one", name)})
    table.all_say("abcd", "caramel", words=name)
    made = table.pack()
    assert made.notes.message.units <= made.notes.message.limit
    assert name.split()[0] in made.files["notes.md"].decode()
    ElementTree.fromstring(made.files["wheel.svg"])


def test_three_hundred_findings_are_told_in_few_words(table):
    notes = [d.id for d in table.tools.vocabulary.descriptors.values() if d.level == "note" and not d.fault][:100]
    for note in notes:
        table.all_say("abc", note)
    made = notes_of(table.material(), HouseStyle(), Wording())
    assert 0 < made.copy.words <= 90
    assert len(made.not_to_print) <= 60


# --- asked for wrongly ---


def test_a_coffee_nobody_described_is_an_error_before_anything_is_made(table):
    coffees = {**table.session.coffees, "two": Coffee("two", "Coffee Two")}
    table.session = replace(table.session, coffees=coffees)
    table.all_say("abc", "caramel")
    with pytest.raises(InputError, match="nobody described 'two'"):
        make_packs(table.gathered(), table.tools, HouseStyle(), Wording())
    assert len(make_packs(table.gathered(), table.tools, HouseStyle(), Wording(), Wishes(("one",)))) == 1


@pytest.mark.parametrize("wishes", [Wishes(("none",)), Wishes(brew="siphon"), Wishes(moment="tepid")])
def test_unknown_wishes(table, wishes):
    table.all_say("abc", "caramel")
    with pytest.raises(InputError, match="unknown"):
        make_packs(table.gathered(), table.tools, HouseStyle(), Wording(), wishes)


@pytest.mark.parametrize("count", [1, 5])
def test_a_tiny_table_makes_a_pack(table, count):
    table.session = replace(table.session, tasters=table.session.tasters[:count])
    table.say("ana", "caramel")
    made = table.pack()
    assert set(made.files) >= EXPECTED - {"flavours.vtt"}
    assert made.notes.line == ()
    assert not made.notes.publish


def test_only_denials_make_an_honest_pack(table):
    table.say("ana", "caramel", present=False)
    assert "nobody named a flavour" in table.pack().notes.sentence


@pytest.mark.parametrize("name", ["wheel.svg", "wheels-moments.svg", "wheels-brews.svg", "wheel.html"])
def test_every_picture_says_what_it_rests_on(demo, name):
    text = " ".join(demo.files[name].decode("utf-8").split())
    assert "Likenesses tasted; nothing has been added to this coffee." in text
    assert "blind" in text
    several = "5 tasters, blind, {}, day 9 after roasting. Other brews and temperatures will differ."
    assert (several.format("filter, hot, warm and cool") in text) == (name == "wheels-moments.svg")
    assert (several.format("filter, hot to cool; espresso, hot") in text) == (name == "wheels-brews.svg")


def test_how_it_was_counted_stands_on_the_page_and_not_on_the_sheet(demo):
    page, sheet = (" ".join(demo.files[name].decode("utf-8").split()) for name in ("wheel.html", "wheel.svg"))
    for said in (
        "Flavour words describe a likeness tasted by 5 people on 2026-04-14",
        "one person is 20 points. Other brews and temperatures will differ.",
        "weighted by how many found them and how strongly; firm counts 1, leaning 0.5, guess 0.25.",
        "Vocabulary coffee 1.0.",
    ):
        assert said in page
        assert said not in sheet


def test_a_held_coffee_is_marked_on_every_picture(demo):
    for name in ("wheel.svg", "wheels-moments.svg", "wheels-brews.svg"):
        assert "On hold: taste again, fresh, before anything is printed" in demo.files[name].decode("utf-8")


def test_a_picture_never_says_more_than_the_record(table):
    table.all_say("abcd", "caramel")
    for said, told in (("", "does not say whether anything was added"), ("cascara", "had added: cascara; see ingred")):
        table.session = replace(
            table.session, coffees={id: replace(c, additions=said) for id, c in table.session.coffees.items()}
        )
        drawn = table.pack().files["wheel.svg"].decode("utf-8")
        assert told in drawn
        assert "nothing has been added" not in drawn
