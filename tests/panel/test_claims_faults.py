"""Claims against the panel, faults on their own path, attributes on their word scales."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from tastevocab.panel.attributes import step_words, strips
from tastevocab.panel.claims import weigh_claims
from tastevocab.panel.fault_record import fault_json, fault_markdown
from tastevocab.panel.faults import banner, faults_found, must_hold, open_banner, open_faults
from tastevocab.panel.flavour_map import Serving, build_map
from tastevocab.reading.records import AttributeFinding, Spot

PANEL = "ABCDE"


@pytest.fixture
def weigh(spans, tools):
    def run(findings, *claims):
        made = build_map(findings, Serving("x"), PANEL, spans)
        return [(c.state, c.people, c.denials) for c in weigh_claims(claims, made, spans, tools.find, findings)]

    return run


def test_a_claim_is_met_by_the_same_note_or_inside_a_broad_claim(weigh, table) -> None:
    findings = [table.say("A", "blackberry"), table.say("B", "blackcurrant")]
    assert weigh(findings, "Blackberries", "dark fruit", "dark berries") == [
        ("met", 1, 0),
        ("met", 2, 0),
        ("met", 2, 0),
    ]


def test_near_by_kin_family_and_broad_word(weigh, table) -> None:
    assert weigh([table.say("A", "plum_jam")], "prune") == [("near", 0, 0)]  # kin
    assert weigh([table.say("A", "blackberry")], "blackcurrant") == [("near", 0, 0)]  # same family
    assert weigh([table.say("A", "dark_berries")], "blackcurrant") == [("near", 0, 0)]  # a word for the family
    assert weigh([table.say("A", "reach/dark_fruit")], "blackcurrant") == [("near", 0, 0)]  # a broad word over it
    assert weigh([table.say("A", "jasmine")], "blackcurrant") == [("silent", 0, 0)]


def test_denied_outranks_near_and_a_denied_family_denies_its_notes(weigh, table) -> None:
    findings = [table.say("A", "milk_chocolate"), table.say("B", "dark_choc", present=False)]
    assert weigh(findings, "cocoa powder") == [("denied", 0, 1)]
    led = table.say("C", "jasmine", present=False, standing="led")
    assert weigh([led], "jasmine") == [("denied", 0, 1)]
    informed = table.say("C", "jasmine", present=False, standing="informed")
    assert weigh([informed], "jasmine") == [("silent", 0, 0)]


def test_met_with_a_denial_stays_met_and_says_so(spans, tools, table) -> None:
    findings = [table.say("A", "jasmine"), table.say("B", "jasmine", present=False)]
    made = build_map(findings, Serving("x"), PANEL, spans)
    (claim,) = weigh_claims(["jasmine"], made, spans, tools.find, findings)
    assert claim.wording == (
        "jasmine: 1 of 5 tasters found it, no majority: print it as the roaster's word; 1 said it is not there."
    )


def test_an_unknown_claim_is_named(weigh) -> None:
    assert weigh([], "gorp") == [("unknown", 0, 0)]


def test_one_taster_is_enough_to_hold(vocabulary, table) -> None:
    findings = [
        table.say("A", "phenolic", bowl="3", moment="cool", certainty=0.5, degree="weak", strength=6.1),
        table.say("B", "phenolic", standing="echo", bowl="3"),
        table.say("C", "phenolic", present=False),
        table.say("D", "musty", bowl="10"),
        table.say("E", "musty", bowl="2", nose=True),
    ]
    faults = faults_found(findings, PANEL, vocabulary, poured=5)
    assert [f.print for f in faults] == ["phenolic", "musty"]
    phenolic, musty = faults
    assert (phenolic.hold, phenolic.tasters, phenolic.denied, phenolic.beside) == (True, ("A",), ("C",), 1)
    assert (phenolic.bowls_text, phenolic.moment, phenolic.stage) == ("1 of 5 (bowl 3)", "cool", "mill")
    assert (musty.bowls_text, musty.sense) == ("2 of 5 (bowls 2, 10)", "nose and mouth")
    assert must_hold(faults)
    assert (
        banner(faults, "Vale Alto") == "HOLD AND RE-TASTE: Vale Alto: phenolic, 1 of 5 tasters, bowls 1 of 5 (bowl 3)"
    )


def test_an_echoed_fault_alone_does_not_hold(vocabulary, table) -> None:
    assert faults_found([table.say("A", "phenolic", standing="led")], PANEL, vocabulary) == ()
    assert faults_found([table.say("A", "phenolic", present=False)], PANEL, vocabulary) == ()


def test_a_fault_nobody_has_decided_is_said_once_and_not_beside_its_hold(vocabulary, table) -> None:
    """Whether it is asked, or said by nobody known: people are counted, a denial and a flavour are no fault."""
    said = [table.say(who, "phenolic") for who in ("A", "A", "B")]
    beside = [table.say("C", "phenolic", present=False), table.say("C", "jasmine")]
    waiting = open_faults([*said, *beside], (), vocabulary)
    assert [(f.print, f.tasters) for f in waiting] == [("phenolic", ("A", "B"))]
    assert open_banner(waiting, "Vale Alto") == (
        "FAULT NOT YET DECIDED: Vale Alto: phenolic, heard of 2 tasters. Answer in review before anything is printed."
    )
    stranger = replace(said[0], spot=replace(said[0].spot, speaker=None))
    assert "heard of somebody without a name" in open_banner(open_faults([stranger], (), vocabulary), "Vale Alto")
    assert open_faults(said, faults_found(said, PANEL, vocabulary), vocabulary) == ()


def test_the_fault_record_quotes_everybody(vocabulary, table) -> None:
    finding = table.say("A", "phenolic", bowl="3", at=95.0, words="like iodine")
    (fault,) = faults_found([finding], PANEL, vocabulary, poured=5)
    text = fault_markdown([fault], "Vale Alto", {finding.id: finding})
    assert 'A: "like iodine" (table, 1:35)' in text
    assert text.startswith("# Fault record: Vale Alto\n\n**HOLD AND RE-TASTE.**")
    assert "decided by: ____" in text
    record = json.loads(json.dumps(fault_json(fault)))
    assert (record["bowls_affected"], record["bowls_poured"], record["decision"]) == (1, 5, None)


def mark(who: str, step: float, attribute: str = "acidity", **more) -> AttributeFinding:
    return AttributeFinding(f"a-{who}-{step}", attribute, "high", step, Spot("x", (0, 1), "t", speaker=who), **more)


def test_attributes_give_the_middle_and_the_range_never_a_mean(vocabulary) -> None:
    found = [mark("A", 1), mark("B", 2), mark("C", 5), mark("C", 4), mark("D", 5, standing="echo")]
    (strip,) = strips(found, PANEL, vocabulary)
    assert strip.marks == (("A", 1), ("B", 2), ("C", 4))
    assert (strip.median, strip.low, strip.high, strip.words) == (2, 1, 4, "soft")


def test_between_two_words_both_are_said(vocabulary) -> None:
    (strip,) = strips([mark("A", 2, "body"), mark("B", 3, "body")], PANEL, vocabulary)
    assert strip.words == "light to medium"
    assert step_words(strip.scale, 5) == "syrupy"
