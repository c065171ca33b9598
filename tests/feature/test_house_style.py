"""House style and templates of a user: read, used, and told where they are wrong."""

from __future__ import annotations

import re

import pytest
import rdflib

from tastevocab.errors import InputError
from tastevocab.feature.house_style import HouseStyle, read_style
from tastevocab.feature.pack import make_packs
from tastevocab.feature.wording import Wording, template_files


def test_a_house_style_is_read_and_used(table, tmp_path):
    path = tmp_path / "style.yaml"
    path.write_text(
        "house: Quayside\ntheme: grey\nsizes: [bag, square]\nwords: 2\nfooter: Ask us.\ntolerance: {dose_g: 0.5}\n"
    )
    style = read_style(path)
    table.all_say("abcd", "caramel")
    table.all_say("abc", "mandarin")
    table.all_say("abc", "jasmine")
    made = table.pack(style)
    assert {"wheel.svg", "wheel-square.svg", "wheel-square.png"} <= set(made.files)
    assert 'width="90mm"' in made.files["wheel.svg"].decode()
    assert len(made.notes.line) == 2
    assert len(made.notes.also) == 1
    assert "Quayside · Ask us." in made.files["wheel.svg"].decode()
    assert "± 0.5 g" in made.files["brews.md"].decode()


@pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated")  # rdflib's own parser still makes one
def test_a_shops_page_gets_the_words_as_linked_data(table):
    """Read back by rdflib, whose JSON-LD parser is not ours; terms are those of https://schema.org/Product."""
    table.all_say("abcd", "caramel")
    made = table.pack(HouseStyle(jsonld=True))
    graph = rdflib.Graph().parse(data=made.files["product.jsonld"].decode(), format="json-ld")
    schema = rdflib.Namespace("https://schema.org/")
    (product,) = graph.subjects(rdflib.RDF.type, schema.Product)
    assert str(graph.value(product, schema.name)) == made.notes.name
    said = {
        (str(graph.value(p, schema.name)), str(graph.value(p, schema.value)), str(graph.value(p, schema.description)))
        for p in graph.objects(product, schema.additionalProperty)
    }
    assert ("tasting note", "caramel", "4 of 5 tasters") in said
    assert ("tasted by", made.notes.base, "None") in said
    assert "product.jsonld" not in table.pack().files


def test_a_coffee_on_hold_gets_no_linked_data(table):
    table.all_say("abcd", "caramel")
    table.say("ana", "phenolic")
    assert "product.jsonld" not in table.pack(HouseStyle(jsonld=True)).files


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("strips: maybe\n", "strips should be true or false"),
        ("safe: wide\n", "safe should be a number from 0 to 30"),
        ("colour: red\n", "unknown key 'colour'"),
        ("theme: pink\n", "theme should be one of light, dark, grey"),
        ("words: 9\n", "words should be a number from 1 to 6"),
        ("sizes: [a4]\n", "sizes should be of"),
        ("font: none.ttf\n", "no such font file"),
        ("tolerance: {gravity: 1}\n", "unknown key 'gravity'"),
        ("- a\n", "should hold a mapping"),
    ],
)
def test_a_wrong_style_says_where(tmp_path, text, said):
    path = tmp_path / "style.yaml"
    path.write_text(text)
    with pytest.raises(InputError, match=re.escape(said)) as wrong:
        read_style(path)
    assert wrong.value.place.line == 1


def test_the_shipped_style_is_what_is_used_without_one(tmp_path):
    files = template_files()
    (tmp_path / "house-style.yaml").write_bytes(files["house-style.yaml"])
    assert read_style(tmp_path / "house-style.yaml") == HouseStyle()


def test_a_copy_of_the_templates_makes_the_same_pack(table, tmp_path):
    for name, data in template_files().items():
        (tmp_path / name).write_bytes(data)
    table.all_say("abc", "caramel")
    made = make_packs(table.gathered(), table.tools, HouseStyle(), Wording(tmp_path))[0]
    assert made.files == table.pack().files


def test_own_templates_lie_over_the_shipped_ones(table, tmp_path):
    (tmp_path / "wording.yaml").write_text('sentence: {found: "Ours: {{ found }}!"}\n')
    (tmp_path / "brews.md.j2").write_text("{{ notes.name|md }}: ours\n")
    table.all_say("abc", "caramel")
    made = make_packs(table.gathered(), table.tools, HouseStyle(), Wording(tmp_path))[0]
    assert made.notes.sentence == "Ours: three of five tasters found caramel!"
    assert made.files["brews.md"] == b"Coffee One: ours\n"
    assert made.notes.copy.text.startswith("Five people")


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("wording.yaml", 'sentence: {found: "{{ fond }}"}\n', "'fond' is undefined"),
        ("notes.md.j2", "{% if %}", "the template fails"),
        ("notes.md.j2", "{{ notes.__class__.__mro__ }}", "the template fails"),
    ],
)
def test_a_broken_template_is_an_error(table, tmp_path, name, text, said):
    (tmp_path / name).write_text(text)
    table.all_say("abc", "caramel")
    with pytest.raises(InputError, match=re.escape(said)):
        make_packs(table.gathered(), table.tools, HouseStyle(), Wording(tmp_path))


def test_an_empty_template_folder_is_an_error(tmp_path):
    with pytest.raises(InputError, match="none of the templates"):
        Wording(tmp_path)
