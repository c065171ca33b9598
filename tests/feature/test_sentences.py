"""Every sentence the templates can make, read over maps drawn at random: nothing a reader would stumble over."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from itertools import chain

import pytest
from trials import TIMES

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import material_of
from tastevocab.feature.notes import notes_of
from tastevocab.feature.wording import Wording
from tastevocab.panel.session import BrewCard, Coffee
from tastevocab.panel.why import clock

MAPS = 30 * TIMES
CLAIMS = ("peach & cream", "hazelnut", "black tea", "moon dust", "cherry", "low acid")
STUMBLES = {
    "an id": r"[a-z]_[a-z]",
    "two stops": r"\.\.(?!\.)",
    "a stop after a stop": r"[.;:,]\s*[.;,]",
    "a blank before a stop": r"\s[.,;:](?!\S)",
    "two blanks": r"\S  \S",
    "an escape": r"&(?:amp|quot|lt|#\d+);",
    "a value that is none": r"\bNone\b|\bnan\b|\[\]|\(\)",
    "a template": r"[{}]",
    "a contradiction": r"\ball \w+ found it, below|in the printed serving\), not in the printed serving",
    "a person too many": r"\bone (?:people|tasters)\b|\b1 (?:people|tasters)\b",
    "a broken quotation": r"“[^”]*$|^[^“]*”",
}


def drawn(new_table, tools, seed: int):
    """A table of one to seven tasters who found one to thirty things of any kind, in one or two brews."""
    dice = random.Random(seed)
    table = new_table()
    tasters = ("ana", "ben", "cat", "dov", "eve", "fin", "gus")[: dice.choice([1, 2, 3, 5, 5, 7])]
    coffee = Coffee(
        "vale_alto",
        dice.choice(["Vale & Alto", "vale_alto", "Finca “Sol”"]),
        additions=dice.choice(["", "none", "dried orange & cocoa.", "none."]),
        claims=tuple(dice.sample(CLAIMS, dice.randint(0, 4))),
        roasted=dice.choice(["", "2026-05-11"]),
    )
    brews = {
        id: BrewCard(id, id.replace("_", " "), {"dose_g": 15}) for id in ("flat_white", "filter")[: dice.randint(1, 2)]
    }
    table.session = replace(
        table.session,
        tasters=tasters,
        coffees={"vale_alto": coffee},
        brews=brews,
        blind=dice.choice([True, False, None]),
    )
    known = [d.id for d in tools.vocabulary.descriptors.values() if not d.use_instead]
    pool = dice.sample([id for id in known if "fault" not in id], dice.randint(1, 12))
    pool += dice.sample(
        sorted({id.split("/")[0] for id in known if id in tools.spans.order and not id.startswith("reach")}), 1
    )
    for _ in range(dice.randint(1, 30)):
        table.say(
            dice.choice(tasters), dice.choice(pool), coffee="vale_alto", brew=dice.choice([*brews]),
            moment=dice.choice(["hot", "warm", "cool"]), certainty=dice.choice([1.0, 1.0, 0.5]),
            present=dice.random() > 0.08, standing=dice.choice(["own", "own", "own", "echo", "informed"]),
        )  # fmt: skip
    table.say(tasters[0], pool[0], coffee="vale_alto", brew=next(iter(brews)))
    return table


def sentences(notes) -> list[str]:
    """All that is said of a coffee in words."""
    said = [notes.sentence, notes.copy.text, notes.message.text, notes.verdict, notes.base, notes.additions, notes.alt]
    said += [notes.line_why, notes.line_stability, notes.story.text, notes.story.standing, notes.banner]
    said += [w.why for w in (*notes.line, *notes.also)]
    said += [part for b in notes.brews for part in (b.how, b.text, b.difference)]
    said += [part for c in notes.claims for part in (c.printing, c.wording)]
    said += [f"{b.what}: {b.reason}" for b in notes.not_to_print]
    said += [f.text for f in notes.flags] + [c.text for c in notes.cautions] + list(notes.notices)
    return [s for s in said if s]


@pytest.fixture(scope="module")
def all_notes(new_table, tools) -> list:
    # What chance makes of the words takes the longest: one map in ten says it.
    return [noted(new_table, tools if seed % 10 == 0 else replace(tools, random=None), seed) for seed in range(MAPS)]


def noted(new_table, tools, seed: int):
    """The notes of one drawn table."""
    style = HouseStyle()
    material = material_of(drawn(new_table, tools, seed).gathered(), "vale_alto", tools, style)
    return notes_of(material, style, Wording())


@pytest.mark.parametrize("what", STUMBLES)
def test_nobody_stumbles(all_notes, what: str) -> None:
    pattern = re.compile(STUMBLES[what])
    found = {
        m[0]: s
        for notes in all_notes
        for s in sentences(notes)
        for m in [pattern.search(s.replace("Finca “Sol”", "Sol"))]
        if m
    }
    assert not found, list(found.items())[:3]


def test_no_heading_stands_in_a_sentence(all_notes, tools) -> None:
    """Categories have capitals and lists in their names: in running text they have a form that can stand there."""
    headings = "|".join(re.escape(d.print) for d in tools.vocabulary.descriptors.values() if d.level == "category")
    pattern = re.compile(rf"\b(?:found|gains?|loses?|to|on) (?:something of )?(?:{headings})")
    assert [m[0] for notes in all_notes for m in [pattern.search(f"{notes.copy.text} {notes.sentence}")] if m] == []
    assert any("something of " in notes.copy.text for notes in all_notes)


def test_no_row_of_the_table_holds_more_people_than_the_one_it_lies_in(all_notes, new_table, tools) -> None:
    for notes in all_notes:
        above = {}
        for row in notes.found:
            above[row.depth] = row.said
            assert row.depth == 0 or row.said <= above[row.depth - 1], (row, above)
    quick = replace(tools, random=None)
    more = (noted(new_table, quick, seed) for seed in range(MAPS, MAPS + 400))  # drawn until one has the case
    assert any(row.broad and row.said < row.people for notes in chain(all_notes, more) for row in notes.found)


def test_copy_is_sentences(all_notes) -> None:
    for notes in all_notes:
        for sentence in notes.copy.sentences:
            assert re.match(r"[A-Z“‘]", sentence.text), sentence.text
            assert sentence.text.endswith((".", ".”")), sentence.text


def test_pages_escape_once(all_notes) -> None:
    wording = Wording()
    for notes in all_notes[::10]:
        values = {"notes": notes, "clock": clock, "headline": "", "wheel": "", "script": "", "policy": ""}
        page = wording.page("notes.html.j2", values, html=True)
        assert "&amp;amp;" not in page
        assert "&amp;#" not in page
        text = wording.page("notes.md.j2", values)
        assert "&amp;amp;" not in text
        assert not re.search(r"[^.]\.\.(?!\.)", text)
        assert "flat_white" not in text.replace("\\", "")
        assert "flat_white" not in page
