"""What may not be printed, claims in their wording, and flags."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tastevocab.feature.copy import write_copy
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.printing import claim_wordings, not_to_print, sounds_like
from tastevocab.feature.story import cooling_story
from tastevocab.panel.session import BrewCard, Coffee


def reasons(table, wording):
    return {b.what: b.reason for b in not_to_print(table.material(), wording)}


def claimed(table, *claims, **more):
    coffee = Coffee("one", "Coffee One", claims=claims, **{"additions": "none", **more})
    table.session = replace(table.session, coffees={"one": coffee})


def test_faults_hold_first_and_are_never_printed(table, wording):
    table.all_say("abc", "caramel")
    table.say("ana", "phenolic", bowl="4")
    pack = table.pack()
    assert pack.notes.banner.startswith("HOLD AND RE-TASTE: Coffee One: phenolic, 1 of 5 tasters")
    assert not pack.notes.publish
    assert "phenolic" in pack.files["faults.md"].decode()
    assert next(iter(reasons(table, wording))) == "phenolic"
    for name in ("notes.md", "notes.html"):
        text = pack.files[name].decode()
        assert text.index("HOLD AND RE-TASTE") < text.index("caramel", text.index("HOLD"))
    for name in ("wheel.svg", "wheel.html"):
        assert "phenolic" not in pack.files[name].decode().replace(pack.notes.banner, "")
    assert "phenolic" not in pack.notes.copy.text + pack.notes.sentence + pack.notes.message.text


def test_one_bowl_of_five_is_not_four_of_five(table):
    table.session = replace(table.session, bowls=5)
    table.say("ana", "phenolic", bowl="4")
    for name in ("notes.md", "notes.html"):
        assert "bowls 1 of 5 (bowl 4)" in table.pack().files[name].decode()


def test_a_fault_found_in_another_brew_still_holds(table):
    table.all_say("abc", "caramel")
    table.say("ana", "phenolic", moment="cool")
    assert table.pack().notes.banner


def test_below_quorum_with_the_word_that_speaks_for_it(table, wording):
    table.all_say("ab", "red_cherry")
    table.all_say("cd", "sour_cherry")
    table.say("eve", "bergamot")
    found = reasons(table, wording)
    assert found["red cherry"] == "two of five found it, below the quorum of 3; “cherries” speaks for it"
    assert found["bergamot"] == "one of five found it, below the quorum of 3"


def test_echoes_led_and_informed_are_barred_unless_somebody_found_it(table, wording):
    table.all_say("abc", "caramel")
    table.say("dov", "caramel", standing="echo")
    table.say("dov", "jasmine", standing="informed")
    table.say("eve", "bergamot", standing="echo")
    found = reasons(table, wording)
    assert found["jasmine"] == "only after the reveal, which counts for nobody"
    assert found["bergamot"] == "only echoed, which counts for nobody"
    assert "caramel" not in found


def test_claims_in_four_states(table, wording):
    claimed(table, "caramel", "toffee", "jasmine", "hazelnut", "kumquish")
    table.all_say("abc", "caramel")
    table.say("ana", "hazelnut", present=False)
    made = {c.claim: c for c in claim_wordings(table.material(), wording)}
    assert [c.state for c in made.values()] == ["met", "near", "silent", "denied", "unknown"]
    assert made["caramel"].printing == "Print: the panel found it."
    assert made["jasmine"].printing == "Print as the roaster’s, if at all: “the roaster finds jasmine”."
    assert made["hazelnut"].printing.startswith("Do not print as tasted")


def test_a_claim_one_taster_met_is_not_the_panels(table, wording):
    claimed(table, "jasmine")
    table.say("ana", "jasmine")
    [made] = claim_wordings(table.material(), wording)
    assert made.printing == "Print it as the roaster’s word, if at all: one of five found it."


def test_a_claim_met_only_when_cool_is_met(table, wording):
    claimed(table, "mandarin")
    table.all_say("abcde", "caramel")
    table.all_say("abc", "mandarin", moment="cool")
    [made] = claim_wordings(table.material(), wording)
    assert (made.people, made.of, made.printing) == (3, 5, "Print: the panel found it.")


def test_a_claim_met_in_another_brew_says_so(table, wording):
    claimed(table, "mandarin", "jasmine")
    table.session = replace(table.session, brews={**table.session.brews, "espresso": BrewCard("espresso", "espresso")})
    table.all_say("abcde", "caramel")
    table.all_say("abc", "mandarin", brew="espresso", moment="hot")
    material = table.material()
    made = {c.claim: c for c in claim_wordings(material, wording)}
    where = "espresso, hot, 3 of 5"
    assert made["mandarin"].printing == f"Found, but not in the serving that is printed: say where ({where})."
    assert (made["mandarin"].state, made["mandarin"].people) == ("silent", 0)
    told = write_copy(material, cooling_story(material, wording), wording).text
    assert "names jasmine, which nobody" in told


def test_no_line_contradicts_itself(table, wording):
    """A word at quorum that a narrower one replaces is not "below the quorum"."""
    table.all_say("abcd", "mandarin")
    table.say("eve", "reach/citrus")
    found = reasons(table, wording)
    assert found["citrus"] == "all five found it or something inside it; wider than mandarin and adds only one person"


@pytest.mark.parametrize("claim", ["low acid, gentle on the stomach", "malic acid", "organic peach", "Energising"])
def test_what_taste_cannot_show_is_barred(table, wording, claim):
    claimed(table, claim)
    table.all_say("abc", "caramel")
    assert any(claim == what for what in reasons(table, wording))


def test_allergens_come_from_the_references(tools):
    assert sounds_like("bakers_bench/brown_nuts/hazelnut", tools.vocabulary, tools.spans) == ("tree nuts",)
    assert "tree nuts" in sounds_like("bakers_bench/pale_nuts", tools.vocabulary, tools.spans)
    assert sounds_like("citrus_crate/lemon_lime/lemon", tools.vocabulary, tools.spans) == ()


def test_flags_on_what_is_printed_and_claimed(table):
    claimed(table, "hazelnut")
    table.all_say("abc", "reach/leather")
    table.all_say("abcd", "blackcurrant")
    notes = table.pack(HouseStyle(not_known={"leather": "a saddle"})).notes
    kinds = {(f.kind, f.word) for f in notes.flags}
    assert ("allergen", "hazelnut") in kinds
    assert ("unfamiliar", "blackcurrant") in kinds
    assert {("unfamiliar", "leather"), ("put off", "leather")} <= kinds


@pytest.mark.parametrize(
    ("additions", "sentence"),
    [
        ("none", "Nothing has been added to this coffee."),
        ("rested with orange peel", "rested with orange peel; see ingredients and allergens"),
        ("", "do not print that nothing was"),
    ],
)
def test_nothing_added_only_when_the_record_says_so(table, additions, sentence):
    claimed(table, additions=additions)
    table.all_say("abc", "caramel")
    notes = table.pack().notes
    assert sentence in notes.additions
    everything = notes.copy.text + notes.message.text
    assert ("nothing added" in everything or "nothing was added" in everything) == (additions == "none")
    assert any("written ingredient and allergen declaration" in c.text for c in notes.cautions) == (additions != "none")
