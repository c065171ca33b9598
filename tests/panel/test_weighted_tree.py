"""The weighted tree that the wheel draws says the map's figures and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest
from panel_examples import first_example
from panel_seats import seat

from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.summary import report_of
from tastevocab.panel.weighted_tree import evidence_lines, wheel_tree
from tastevocab.wheel.arcs import check_tree


@pytest.fixture
def report(session, table, tools):
    findings = [seat(f, coffee="vale", brew="cone") for f in first_example(table)]
    findings.append(table.say("A", "phenolic", coffee="vale", brew="cone"))
    findings.append(table.say("A", "reach/fruity", coffee="vale", brew="cone"))
    five = replace(session, tasters=tuple("ABCDE"))
    return report_of(Gathered(five, tuple(findings)), Serving("vale", "cone"), tools)


def test_the_wheel_accepts_the_tree_and_sums_agree(report, tools) -> None:
    tree = wheel_tree(report, tools)
    check_tree(tree)
    assert sum(n.own for n in tree.nodes) == pytest.approx(report.map.total)
    assert {n.id for n in tree.nodes} == {n.descriptor for n in report.map.nodes}
    assert not any(n.id.startswith("yard_faults") for n in tree.nodes)


def test_broad_words_are_open_with_their_own_doubt(report, tools) -> None:
    by_id = {n.id: n for n in wheel_tree(report, tools).nodes}
    broad = by_id["reach/dark_fruit"]
    assert (broad.open, broad.parent, broad.people, broad.own_people, broad.hedged_share) == (
        True,
        "hedgerow_vine",
        4,
        1,
        0,
    )
    assert (by_id["reach/fruity"].parent, by_id["reach/floral"].hedged_share) == ("", 1)
    assert [n.id for n in by_id.values() if n.open] == ["reach/floral", "reach/dark_fruit", "reach/fruity"]


def test_a_printed_word_knows_its_people_and_all_arcs_that_count_for_it(report, tools) -> None:
    printed = wheel_tree(report, tools).printed
    assert [(p.label, p.people, p.of) for p in printed] == [("dark fruit", 4, 5)]
    assert set(printed[0].over) == {
        "hedgerow_vine/dark_berries",
        "hedgerow_vine/dark_berries/blackberry",
        "hedgerow_vine/dark_berries/blackcurrant",
        "preserving_pan/dark_jam",
        "preserving_pan/dark_jam/plum_jam",
        "reach/dark_fruit",
    }  # category, not one place: an arc that lies elsewhere on the ring belongs to it all the same


def test_words_around_the_wheel(report, tools) -> None:
    tree = wheel_tree(report, tools)
    assert (tree.title, tree.subtitle, tree.tasters) == ("Vale Alto", ("cone", "5 tasters"), 5)
    assert "Weighting: mark" in tree.method[0]
    assert (tree.quorum, tree.headline) == (3, "")


def test_what_cannot_be_printed_is_said_in_words(session, table, tools) -> None:
    def tree_of(tasters: str, *said: tuple[str, str]):
        findings = tuple(table.say(who, what, coffee="vale", brew="cone") for who, what in said)
        gathered = Gathered(replace(session, tasters=tuple(tasters)), findings)
        return wheel_tree(report_of(gathered, Serving("vale", "cone"), tools), tools)

    apart = tree_of("ABC", ("A", "blackberry"), ("B", "jasmine"))
    assert (apart.headline, apart.quorum) == ("No word shared by 2 of 3", 2)
    assert tree_of("A", ("A", "blackberry")).headline == "One person’s notes"
    assert tree_of("A", ("A", "blackberry")).quorum == 0
    assert tree_of("ABC").headline == "Nobody named a flavour"


def test_quotations_are_cut_where_they_are_many(table, vocabulary) -> None:
    many = [table.say(f"t{i:02}", "jasmine", words="like\njasmine", at=61.0) for i in range(20)]
    lines = evidence_lines(many, vocabulary)
    assert lines[0] == 't00: "like jasmine" (table 1:01)'
    assert lines[-1] == "and 8 more"
