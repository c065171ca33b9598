"""The rows that other programs rely on: keys, order, file order, lines and cells."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_examples import TEXT, example

from tastevocab.reading.records import Finding, Reading, SetAside, Spot
from tastevocab.reading.report.contract import COLUMNS, Labels, cells, in_file_order, json_line, json_lines, rows
from tastevocab.vocabulary.load import load

FLAVOUR_KEYS = [
    "kind",
    "note",
    "descriptor",
    "print",
    "level",
    "words",
    "span",
    "speaker",
    "at",
    "present",
    "standing",
    "echo",
    "degree",
    "strength",
    "certainty",
    "hedged",
    "moment",
    "place",
    "brew",
    "via",
    "match",
    "state",
    "parts",
    "fault",
    "two_faced",
]
ATTRIBUTE_KEYS = ["kind", "attribute", "level", "present", "words", "span", "speaker", "moment", "place", "brew"]


@pytest.fixture(scope="module")
def labels() -> Labels:
    known = load().descriptors
    return Labels({d.id: d.print for d in known.values()}, {d.id: d.level for d in known.values()})


def test_rows_have_the_contract_keys_in_order_and_stand_in_file_order(labels: Labels) -> None:
    made = list(rows(example(), labels))
    flavours = [r for r in made if r["kind"] == "flavour"]
    assert all(list(r)[: len(FLAVOUR_KEYS)] == FLAVOUR_KEYS for r in flavours)
    assert all(list(r)[: len(ATTRIBUTE_KEYS)] == ATTRIBUTE_KEYS for r in made if r["kind"] == "attribute")
    assert [list(r)[:4] for r in made if r["kind"] == "set_aside"] == [["kind", "words", "span", "reason"]]
    assert [list(r)[:4] for r in made if r["kind"] == "unresolved"] == [["kind", "words", "span", "suggestions"]]
    starts = [r["span"][0] for r in made]
    assert starts == sorted(starts)
    assert len(made) == 12
    assert [(r["words"], r["asked"], r["sure"]) for r in made if r.get("asked")] == [
        ("Hardly any plum", True, 0.72),
        ("Rather round", True, 0.4),
    ]
    assert all(TEXT[slice(*r["span"])] == r["words"] for r in made)


def test_one_row_in_full(labels: Labels) -> None:
    row = json.loads(next(line for line in json_lines(example(), labels) if '"Loads of' in line))
    assert {k: row[k] for k in FLAVOUR_KEYS} == {
        "kind": "flavour",
        "note": None,
        "descriptor": "hedgerow_vine/dark_berries/blackberry",
        "print": "blackberry",
        "level": "note",
        "words": "Loads of blackberry",
        "span": [31, 50],
        "speaker": "Mira",
        "at": 4.2,
        "present": True,
        "standing": "own",
        "echo": False,
        "degree": "strong",
        "strength": 34.7,
        "certainty": 1.0,
        "hedged": False,
        "moment": "hot",
        "place": "front",
        "brew": "filter",
        "via": "word",
        "match": 1.0,
        "state": None,
        "parts": [],
        "fault": False,
        "two_faced": False,
    }


def test_rows_of_a_table_keep_the_order_of_its_rows(labels: Labels) -> None:
    def at(note: str, start: int) -> Spot:
        return Spot("plum", (start, start + 4), "t.csv", note=note)

    reading = Reading(
        findings=tuple(Finding(f"f{n}", "orchard", at(n, s)) for n, s in (("b", 9), ("b", 2), ("a", 5))),
        set_aside=(SetAside(at("b", 4), "recipe"),),
    )
    assert [(i.spot.note, i.spot.span[0]) for i in in_file_order(reading)] == [("b", 2), ("b", 4), ("b", 9), ("a", 5)]


@given(st.text())
def test_a_line_of_json_is_one_line_whatever_is_in_it(text: str) -> None:
    line = json_line({"words": text})
    assert len(line.splitlines()) == 1
    assert json.loads(line) == {"words": text}


def test_cells_follow_the_columns(labels: Labels) -> None:
    made = [dict(zip(COLUMNS, row, strict=True)) for row in cells(in_file_order(example()), labels)]
    fig = next(row for row in made if row["words"] == "Maybe a little fig")
    assert (fig["kind"], fig["print"], fig["hedged"], fig["present"], fig["certainty"]) == (
        "flavour",
        "fig",
        "yes",
        "yes",
        0.25,
    )
    assert (fig["sure"], fig["asked"]) == (1.0, "no")
    plum = next(row for row in made if row["words"] == "Hardly any plum")
    assert (plum["sure"], plum["asked"], plum["signs"]) == (0.72, "yes", "+ means it; - polarity")
    unknown = next(row for row in made if row["kind"] == "unresolved")
    assert unknown["suggestions"] == "citrus_crate/orange_mandarin/kumquat; orchard/sweet_apple_pear/quince"
    assert unknown["place"] == "finish"
    assert next(row for row in made if row["kind"] == "set_aside")["reason"] == "equipment"
