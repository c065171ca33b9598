"""SKOS out and in, its integrity conditions, tables, and a foreign thesaurus."""

from __future__ import annotations

import csv
import io
import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import networkx
import pytest
from vocabulary_toys import TOY

from tastevocab.cells import csv_text
from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.check import check
from tastevocab.vocabulary.draft import Draft
from tastevocab.vocabulary.exchange import skos_in
from tastevocab.vocabulary.exchange.export import exported, write_text
from tastevocab.vocabulary.exchange.skos_in import read_skos
from tastevocab.vocabulary.exchange.skos_out import skos
from tastevocab.vocabulary.exchange.tables import rows
from tastevocab.vocabulary.exchange.triples import Triples, read_triples
from tastevocab.vocabulary.exchange.writers import json_ld, turtle
from tastevocab.vocabulary.exchange.yaml_out import write_folder
from tastevocab.vocabulary.graph import graph
from tastevocab.vocabulary.load import build, load
from tastevocab.vocabulary.load import read_draft as load_draft
from tastevocab.vocabulary.model import Vocabulary

rdflib = pytest.importorskip("rdflib", reason="reading SKOS back needs rdflib: pip install tastevocab[exchange]")
# rdflib's own reader of JSON-LD still uses a class that rdflib itself has retired.
pytestmark = pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated:DeprecationWarning")
SKOS = rdflib.Namespace("http://www.w3.org/2004/02/skos/core#")


def placeless(v: Vocabulary) -> Vocabulary:
    """The same vocabulary without files and lines, and without language data, which SKOS does not carry."""
    nowhere = Place("")
    return replace(
        v,
        language={},
        forms={},
        descriptors={id: replace(d, place=nowhere) for id, d in v.descriptors.items()},
        attributes={id: replace(a, place=nowhere) for id, a in v.attributes.items()},
        two_faced={word: replace(t, place=nowhere) for word, t in v.two_faced.items()},
    )


@pytest.fixture(scope="module")
def out(coffee: Vocabulary, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Triples]:
    """The shipped vocabulary in the notation that is read faster (the toy goes through both), read once."""
    path = tmp_path_factory.mktemp("out") / "coffee.jsonld"
    write_text(path, exported(coffee, "skos-jsonld"))
    return path, read_triples(path)


@pytest.fixture(scope="module")
def carried(out: tuple[Path, Triples]) -> Draft:
    """The shipped vocabulary, out and in again."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(skos_in, "read_triples", lambda path: out[1])
        return read_skos(out[0]).draft


def same_again(back: Vocabulary, as_before: Vocabulary) -> None:
    assert placeless(back) == placeless(as_before)
    assert list(back.descriptors) == list(as_before.descriptors)
    assert list(back.attributes) == list(as_before.attributes)


def test_out_and_in_again_is_the_same(carried: Draft, coffee: Vocabulary) -> None:
    same_again(build(carried), coffee)


@pytest.mark.parametrize(("to", "ending"), [("skos-ttl", ".ttl"), ("skos-jsonld", ".jsonld")])
def test_out_and_in_again_in_either_notation(toy: Vocabulary, tmp_path: Path, to: str, ending: str) -> None:
    write_text(tmp_path / f"toy{ending}", exported(toy, to))
    same_again(build(read_skos(tmp_path / f"toy{ending}").draft), toy)


def test_through_yaml_too(toy: Vocabulary, tmp_path: Path) -> None:
    write_text(tmp_path / "toy.ttl", exported(toy, "skos-ttl", "https://bar.example/words#"))
    write_folder(read_skos(tmp_path / "toy.ttl").draft, tmp_path / "again")
    again = load(tmp_path / "again")
    assert replace(placeless(again), hash=toy.hash) == placeless(toy)
    with pytest.raises(VocabularyError, match="already"):
        write_folder(read_skos(tmp_path / "toy.ttl").draft, tmp_path / "again")


def test_a_label_that_only_sounds_like_a_thing_says_so_in_yaml(carried: Draft, tmp_path: Path) -> None:
    """ "Apple blossom" is no apple: lost on the way, the checker would ask again."""
    write_folder(carried, tmp_path / "again")
    assert "thing: none" in (tmp_path / "again" / "flower_bench.yaml").read_text(encoding="utf-8")
    assert not [p for p in check(load_draft(tmp_path / "again")) if p.code == "thing-untold"]


def test_the_two_notations_say_the_same(toy: Vocabulary) -> None:
    resources = skos(toy)
    one = rdflib.Graph().parse(data=turtle(resources), format="turtle")
    from rdflib.compare import isomorphic

    assert isomorphic(one, rdflib.Graph().parse(data=json_ld(resources), format="json-ld"))


@pytest.mark.parametrize("to", ["skos-ttl", "skos-jsonld", "graphml", "json"])
def test_the_same_bytes(to: str) -> None:
    assert exported(load(TOY), to) == exported(load(TOY), to)


def test_odd_texts_survive(toy: Vocabulary, tmp_path: Path) -> None:
    lemon = "citrus_row/lemon_side/lemon"
    odd = 'a "quote", a \\ slash,\na line\tand <b>ümlaut</b> 🍋'
    changed = replace(toy, descriptors={**toy.descriptors, lemon: replace(toy.descriptors[lemon], about=odd)})
    for ending, to in ((".ttl", "skos-ttl"), (".json", "skos-jsonld")):
        write_text(tmp_path / f"x{ending}", exported(changed, to))
        assert build(read_skos(tmp_path / f"x{ending}").draft).descriptors[lemon].about == odd


def test_changes_made_elsewhere_are_taken_over(toy: Vocabulary, tmp_path: Path) -> None:
    text = exported(toy, "skos-ttl")
    text = text.replace('skos:altLabel "lemon juice"@en', 'skos:altLabel "citron pressé"@en')
    text = text.replace('skos:hiddenLabel "lemmin"@en', 'skos:hiddenLabel "lemmin"@en, "lemin"@en')
    text = text.replace('skos:prefLabel "peach"@en', 'skos:prefLabel "white peach"@en')
    (tmp_path / "x.ttl").write_text(text)
    v = build(read_skos(tmp_path / "x.ttl").draft)
    lemon = v.descriptors["citrus_row/lemon_side/lemon"]
    assert lemon.words["en"] == ("lemon", "citron pressé")
    assert lemon.heard == ("lemmin", "lemin")
    assert v.descriptors["orchard_row/stones/peach"].print == "white peach"


# --- integrity conditions of the SKOS Reference (W3C Recommendation, 18 August 2009) ---


def s9(g: Any) -> bool:
    """ConceptScheme and Concept are disjoint."""
    return not set(g.subjects(rdflib.RDF.type, SKOS.ConceptScheme)) & set(g.subjects(rdflib.RDF.type, SKOS.Concept))


def s13(g: Any) -> bool:
    """prefLabel, altLabel, hiddenLabel are pairwise disjoint."""
    kinds = [{(s, o) for s, o in g.subject_objects(p)} for p in (SKOS.prefLabel, SKOS.altLabel, SKOS.hiddenLabel)]
    return not (kinds[0] & kinds[1] or kinds[0] & kinds[2] or kinds[1] & kinds[2])


def s14(g: Any) -> bool:
    """At most one prefLabel a language tag."""
    labels = [(s, o.language) for s, o in g.subject_objects(SKOS.prefLabel)]
    return len(labels) == len(set(labels))


def s27(g: Any) -> bool:
    """related is disjoint with broaderTransitive (and, as related is symmetric, with narrowerTransitive)."""
    pairs = [*g.subject_objects(SKOS.broader), *((o, s) for s, o in g.subject_objects(SKOS.narrower))]
    closed = networkx.transitive_closure(networkx.DiGraph(pairs), reflexive=False)
    return not any(closed.has_edge(a, b) or closed.has_edge(b, a) for a, b in g.subject_objects(SKOS.related))


def s37(g: Any) -> bool:
    """Collection is disjoint with Concept and with ConceptScheme."""
    collections = set(g.subjects(rdflib.RDF.type, SKOS.Collection))
    return not any(collections & set(g.subjects(rdflib.RDF.type, t)) for t in (SKOS.Concept, SKOS.ConceptScheme))


def s46(g: Any) -> bool:
    """exactMatch is disjoint with broadMatch and relatedMatch (and so with narrowMatch)."""
    exact = {frozenset(pair) for pair in g.subject_objects(SKOS.exactMatch)}
    others = (SKOS.broadMatch, SKOS.narrowMatch, SKOS.relatedMatch)
    return not exact & {frozenset(pair) for p in others for pair in g.subject_objects(p)}


BROKEN: dict[Callable[[Any], bool], str] = {
    s9: ":a a skos:Concept, skos:ConceptScheme .",
    s13: ':a skos:altLabel "plum"@en ; skos:hiddenLabel "plum"@en .',
    s14: ':a skos:prefLabel "plum"@en, "prune"@en .',
    s27: ":a skos:broader :b . :b skos:broader :c . :c skos:related :a .",
    s37: ":a a skos:Concept, skos:Collection .",
    s46: ":a skos:exactMatch :b . :b skos:broadMatch :a .",
}


@pytest.fixture(scope="module")
def carried_graph(out: tuple[Path, Triples]) -> Any:
    """The shipped vocabulary as rdflib has it."""
    return out[1]._graph


@pytest.mark.parametrize("condition", BROKEN, ids=lambda c: c.__name__.upper())
def test_integrity_conditions(carried_graph: Any, condition: Callable[[Any], bool]) -> None:
    assert condition(carried_graph), condition.__doc__
    prefix = f"@prefix skos: <{SKOS}> . @prefix : <https://x.example/> . "
    assert not condition(rdflib.Graph().parse(data=prefix + BROKEN[condition], format="turtle"))


def test_the_export_is_full_skos(carried_graph: Any, coffee: Vocabulary) -> None:
    concepts = set(carried_graph.subjects(rdflib.RDF.type, SKOS.Concept))
    assert len(concepts) == len(coffee.descriptors) + len(coffee.attributes)
    for concept in concepts:
        assert (concept, SKOS.inScheme, None) in carried_graph
        assert (concept, SKOS.prefLabel, None) in carried_graph
        assert (concept, SKOS.definition, None) in carried_graph
    reach = [d for d in coffee.descriptors.values() if d.crosses and not d.use_instead]
    assert len(set(carried_graph.subjects(rdflib.RDF.type, SKOS.Collection))) == len(reach)
    related = set(carried_graph.subject_objects(SKOS.related))
    assert related == {(b, a) for a, b in related}


def test_kin_that_skos_forbids_stays_ours(toy: Vocabulary, tmp_path: Path) -> None:
    lemon = toy.descriptors["citrus_row/lemon_side/lemon"]
    odd = replace(lemon, kin=(*lemon.kin, "citrus_row"), heard=(*lemon.heard, "lemon", "limon"))
    changed = replace(toy, descriptors={**toy.descriptors, lemon.id: odd})
    g = rdflib.Graph().parse(data=exported(changed, "skos-ttl"), format="turtle")
    assert s27(g)
    assert s13(g)
    write_text(tmp_path / "x.ttl", exported(changed, "skos-ttl"))
    assert replace(build(read_skos(tmp_path / "x.ttl").draft).descriptors[lemon.id], place=odd.place) == odd


# --- tables ---


def test_rows(toy: Vocabulary) -> None:
    columns, lines = rows(toy)
    found = {line[0]: dict(zip(columns, line, strict=True)) for line in lines}
    assert len(found) == len(toy.descriptors)
    lemon = found["citrus_row/lemon_side/lemon"]
    assert lemon["words_en"] == "lemon | lemon juice"
    assert lemon["words_es"] == "limón"
    assert found["orchard_row/stones/apricot"]["allergens"] == "sulphites"
    assert found["tank_faults/sharp_tank/vinegar_taint"]["hold"] == "yes"


def test_graphml_is_read_by_networkx(toy: Vocabulary) -> None:
    back = networkx.read_graphml(io.BytesIO(exported(toy, "graphml").encode()))
    ours = networkx.relabel_nodes(graph(toy), {"": "vocabulary"})
    assert dict(back.nodes(data=True)) == dict(ours.nodes(data=True))
    assert {(a, b): d for a, b, d in back.edges(data=True)} == {(a, b): d for a, b, d in ours.edges(data=True)}


def test_json_holds_everything(toy: Vocabulary) -> None:
    value = json.loads(exported(toy, "json"))
    assert [d["id"] for d in value["descriptors"]] == list(toy.descriptors)
    assert value["descriptors"][2]["reference"]["make"] == "A few drops of juice in water."
    assert value["two_faced"][0]["word"] == "sharp"


# --- foreign files ---


def test_a_foreign_thesaurus(tmp_path: Path) -> None:
    imported = read_skos(Path(__file__).with_name("foreign.ttl"))
    assert set(imported.report) == {
        "the scheme has no version",
        "'pea' has 2 broader concepts; kept 'Greens'",
        "'egg' is broader than itself in the end; made a top concept",
        "'no label' has no preferred label; its address was used",
        "'apple mint' lies deeper than a note; it went into the family above",
        "1 concepts straight under 'Plants' went into a family of its name",
        "1 concepts straight under 'egg' went into a family of its name",
        "1 top concepts have nothing narrower; they went under 'Unplaced'",
        "'mint' stands in several places; one became mint_2",
        "the collection 'nothing' has no member among the concepts; left out",
    }
    found = {d.id: d for d in imported.draft.descriptors}
    assert found["plants/herbs/mint_2"].words == {"en": ("mint", "garden mint"), "de": ("Minze",)}
    assert found["plants/herbs/mint_2"].heard == ("minnt",)
    assert found["plants/herbs/mint_2"].about == "Cool leaf."
    assert found["plants/herbs/apple_mint"].level == "note"
    assert found["plants/greens/pea"].kin == ("plants/herbs/mint_2",)
    assert found["plants/herbs/mint_2"].kin == ()
    assert found["reach/cool_things"].span == ("plants/herbs/mint_2", "unplaced/unplaced_words_further/water")
    lacks = {p.code for p in check(imported.draft)}
    assert {"missing-meaning", "word-twice"} <= lacks
    assert not lacks & {"two-homes", "cycle", "unknown-parent", "wrong-home", "several-roots", "ring-clash", "odd-id"}
    write_folder(imported.draft, tmp_path / "garden")
    assert len(load(tmp_path / "garden").descriptors) == len(found)


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("x.ttl", "@prefix : <https://x.example/> .\n:a :b .\n", "is not turtle"),
        ("x.ttl", "", "holds no skos:Concept"),
        ("x.jsonld", "{", "is not JSON"),
        ("x.jsonld", '{"@context": "https://x.example/context.json"}', "context from outside"),
        ("x.jsonld", '{"@graph": [{"@context": ["https://x.example/c"]}]}', "context from outside"),
        ("x.jsonld", '{"@context": {"@import": "https://x.example/c"}}', "context from outside"),
        ("x.rdf", "<x/>", "no kind of file to import"),
    ],
)
def test_bad_files(tmp_path: Path, name: str, text: str, told: str) -> None:
    (tmp_path / name).write_text(text)
    with pytest.raises(VocabularyError, match=told) as error:
        read_skos(tmp_path / name)
    assert error.value.mend
    assert error.value.place is not None


@pytest.mark.parametrize("rest", ["_:one", "_:two . _:two rdf:first 'es' ; rdf:rest _:one"])
def test_a_list_that_leads_back_into_itself(toy: Vocabulary, tmp_path: Path, rest: str) -> None:
    path = tmp_path / "toy.ttl"
    text = exported(toy, "skos-ttl")
    endless = text.replace('tv:languages ( "en" "es" )', "tv:languages _:one")
    assert endless != text
    path.write_text(f"{endless}\n_:one rdf:first 'en' ; rdf:rest {rest} .\n", "utf-8")
    with pytest.raises(VocabularyError, match=r"tv:languages of <https://vocab\.example/coffee/> leads back") as error:
        read_skos(path)
    assert error.value.place == Place(str(path))
    assert "expected a list that ends in rdf:nil" in error.value.what
    assert "close it with rdf:nil" in error.value.mend


def test_missing_and_unreadable(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match="cannot be read"):
        read_skos(tmp_path / "none.ttl")
    (tmp_path / "x.ttl").write_bytes(b"\xff\xfe")
    with pytest.raises(VocabularyError, match="not UTF-8"):
        read_skos(tmp_path / "x.ttl")


def test_without_rdflib(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "x.ttl").write_text("")
    monkeypatch.setitem(sys.modules, "rdflib", None)
    with pytest.raises(VocabularyError, match=r"pip install tastevocab\[exchange\]"):
        read_skos(tmp_path / "x.ttl")


def test_a_base_must_be_an_address(toy: Vocabulary) -> None:
    with pytest.raises(VocabularyError, match="no base address"):
        exported(toy, "skos-ttl", "corner bar")


def test_csv_reads_back(toy: Vocabulary) -> None:
    back = list(csv.DictReader(io.StringIO(csv_text(*rows(toy)))))
    assert [row["id"] for row in back] == list(toy.descriptors)
