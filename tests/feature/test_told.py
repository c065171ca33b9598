"""What stands on a page: no ids, single stops, mended words beside the heard, faults taken back, no names."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Wishes
from tastevocab.feature.pack import make_packs
from tastevocab.feature.wheel_files import label_facts
from tastevocab.feature.wording import Wording, markdown_safe
from tastevocab.panel.gather import settle
from tastevocab.panel.session import BrewCard, Coffee, Source
from tastevocab.reading.records import Reading, SetAside, Spot, Suggestion, Unresolved


@pytest.fixture
def odd(table):
    """A brew and a taster whose ids have underscores, a roaster with an ampersand, a text with its own full stop."""
    table.session = replace(
        table.session,
        tasters=("ana", "old_ben", "cat"),
        brews={"flat_white": BrewCard("flat_white", "flat white"), "filter": BrewCard("filter", "filter")},
        coffees={"one": Coffee("one", "Salt & Pepper Coffee", claims=("fish & chips",), additions="a little salt.")},
    )
    for who in table.session.tasters:
        table.say(who, "caramel", brew="flat_white", moment="warm", words="Caramel.")
    table.say("old_ben", "musty", brew="flat_white", moment="warm")
    table.say("ana", "jasmine", brew="filter")
    table.say("cat", "lemon", brew="filter")
    return table


def test_ids_entities_and_doubled_stops_reach_no_page(odd):
    made = make_packs(odd.gathered(), odd.tools, HouseStyle(), Wording())[0]
    for name in ("notes.md", "notes.html", "brews.md", "faults.md"):
        text = made.files[name].decode()
        seen = re.sub(r"<style.*?</style>|<[^>]*>", " ", text, flags=re.DOTALL) if name.endswith("html") else text
        assert "flat_white" not in seen.replace("\\_", "_"), name
        assert "old_ben" not in seen.replace("\\_", "_"), name
        assert not re.search(r"[^.]\.\.(?!\.)", seen), name
        if name.endswith("md"):
            assert "&amp;" not in seen
    assert "Salt & Pepper Coffee" in made.files["notes.md"].decode()


def test_markdown_reads_an_ampersand_as_it_stands():
    assert markdown_safe("salt & pepper") == "salt & pepper"
    assert markdown_safe("a &lt; b") == "a \\&lt; b"


def test_a_quote_shows_the_mended_word_beside_the_heard_one(table):
    table.all_say("ab", "bergamot")
    table.say(
        "cat", "bergamot", words="burger mott", via="heard", source="t.vtt", at=3.0, degree="very strong", strength=53
    )
    made = table.pack()
    [moment] = [m for m in made.notes.moments if m.taster == "cat"]
    assert moment.sentence == "burger mott [bergamot]"
    assert "burger mott [bergamot]" in made.files["notes.md"].decode().replace("\\", "")


def test_a_fault_taken_back_or_asked_leaves_the_record_with_a_trace(table):
    table.all_say("abc", "caramel")
    table.say("ana", "musty", source="t.vtt", at=10.0)
    table.say("ana", "musty", present=False, source="t.vtt", at=20.0)
    asked = replace(table.say("ben", "phenolic"), asked=True)
    table.findings.pop()
    aside = SetAside(replace(asked.spot, speaker="cat"), "rejected by review", asked.descriptor)
    gathered = replace(table.gathered(), asked=(asked,), set_aside=(aside,))
    made = make_packs(gathered, table.tools, HouseStyle(), Wording())[0]
    assert made.notes.faults == ()
    assert not made.notes.banner
    assert made.notes.banner_open.startswith("FAULT NOT YET DECIDED: Coffee One: phenolic, heard of 1 taster.")
    assert not made.notes.publish
    for name, line in (("notes.md", "## Notes line"), ("notes.html", 'id="line"')):
        text = made.files[name].decode()
        assert text.index("FAULT NOT YET DECIDED") < text.index(line)
    record = made.files["faults.md"].decode()
    assert "No fault is decided yet: see below." in record
    assert "musty: taken back by ana" in record
    assert "phenolic: asked, nobody has decided (ben" in record
    assert "phenolic: rejected by review (cat" in record


def test_a_claim_read_out_for_another_coffee_is_not_offered_to_this_one(table):
    """The envelope of two coffees is read in one breath: what is the other's alone is none of this one's."""
    table.all_say("abc", "caramel")
    read_out = [table.say("ben", word) for word in ("jasmine", "lemon", "caramel")]
    del table.findings[-3:]
    one = replace(table.session.coffees["one"], claims=("lemon",))
    table.session = replace(
        table.session, coffees={"one": one, "two": Coffee("two", "Two", claims=("jasmine", "lemon"))}
    )
    aside = tuple(SetAside(f.spot, "claim", f.descriptor) for f in read_out)
    gathered = replace(table.gathered(), set_aside=aside)
    made = make_packs(gathered, table.tools, HouseStyle(), Wording(), Wishes(("one",)))[0]
    assert [(c.claim, c.listed) for c in made.notes.heard_claims] == [("lemon", True), ("caramel", False)]


def test_a_persons_or_a_coffees_name_is_no_unknown_word(table):
    def unknown(words: str) -> Unresolved:
        return Unresolved(Spot(words, (0, 4), "t.vtt", speaker="ana"), (Suggestion("x", 0.8),))

    session = replace(table.session, coffees={"one": Coffee("one", "Finca Mirabel")})
    read = Reading(unresolved=(unknown("Mirabel"), unknown("Ben"), unknown("kumquish")))
    made = settle(session, [(Source(source="t.vtt"), read)])
    assert [u.spot.words for u in made.unresolved] == ["kumquish"]
    assert [(s.spot.words, s.reason) for s in made.set_aside] == [("Mirabel", "name"), ("Ben", "name")]


def test_a_label_says_who_tasted_and_ends_there(table, wording) -> None:
    """What was served stands on a line of its own: nothing dangles where it is left out."""
    table.all_say("abc", "caramel")
    *_, tasted = label_facts(table.material(), wording)
    assert tasted.startswith(f"{len(table.session.tasters)} tasters, ")
    assert tasted[-1].isalnum()
    assert ", ," not in tasted
