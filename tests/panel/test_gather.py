"""Sources become findings of the session's people, coffees and brews; what fits nobody stays beside."""

from __future__ import annotations

from dataclasses import replace

import pytest
from panel_seats import seat

from tastevocab.errors import InputError, Place
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import settle
from tastevocab.panel.servings import brews_found, moments_found, select, serving_sets
from tastevocab.panel.session import Session, Source
from tastevocab.panel.summary import map_of, report_of
from tastevocab.reading.records import AttributeFinding, Reading, SetAside, Spot

TAPE = Source(source="table.vtt", coffee="vale", speakers={"Miri": "mira"})
SHEET = Source(source="sheet.csv")


def test_speakers_are_matched_by_case_and_alias(session: Session, table) -> None:
    said = (table.say("MIRA", "blackberry"), table.say("Miri", "plum_jam"), table.say("Host", "cola"))
    gathered = settle(session, [(TAPE, Reading(said))])
    assert [f.spot.speaker for f in gathered.findings] == ["mira", "mira"]
    assert [f.descriptor for f in gathered.unattributed] == [said[2].descriptor]
    assert any("'Host' is no taster" in n for n in gathered.notices)


def test_attributes_and_what_is_asked_stay_with_the_rest(session: Session, table) -> None:
    def rated(who: str, coffee: str | None) -> AttributeFinding:
        spot = Spot("bright", (0, 6), "table", speaker=who, coffee=coffee)
        return AttributeFinding(f"a{who}", "acidity", "high", 4, spot)

    asked = (table.say("Miri", "blackberry", brew="filter"), rated("Host", "Rio Claro"))
    given = Reading(
        (), (rated("Miri", "Vale Alto"), rated("Host", "vale")), asked=asked, speakers={"Miri": 2, "Host": 1}
    )
    sheet = replace(TAPE, coffee=None)
    gathered = settle(session, [(sheet, given)])
    assert [a.spot.speaker for a in gathered.attributes] == ["mira"]
    assert [(a.spot.speaker, a.spot.coffee) for a in gathered.unattributed_attributes] == [(None, "vale")]
    seats = [(a.spot.speaker, a.spot.coffee, a.spot.brew) for a in gathered.asked]
    assert seats == [("mira", None, "cone"), (None, "rio_claro", None)]
    assert gathered.findings == gathered.unattributed == ()


def test_what_was_set_aside_is_in_the_sessions_ids_too(session: Session) -> None:
    spot = Spot("orange kettle", (0, 13), "table", speaker="Miri", coffee="Vale Alto", brew="filter")
    made = settle(session, [(replace(TAPE, coffee=None), Reading(set_aside=(SetAside(spot, "equipment"),)))])
    (aside,) = made.set_aside
    assert (aside.spot.speaker, aside.spot.coffee, aside.spot.brew) == ("mira", "vale", "cone")


def test_coffees_are_known_by_code_and_short_name(session: Session, table) -> None:
    named = replace(session.coffees["rio_claro"], names=("the river",))
    known = replace(session, coffees={**session.coffees, "rio_claro": named}, codes={"A7": "vale"})
    said = tuple(table.say("mira", "cola", coffee=c) for c in ("The River", "rio claro", "a7"))
    found = settle(known, [(TAPE, Reading(said))]).findings
    assert [f.spot.coffee for f in found] == ["rio_claro", "rio_claro", "vale"]


def test_a_taster_on_sheet_and_tape_is_one_person(session: Session, table, tools) -> None:
    tape = Reading((table.say("Mira", "blackberry", brew="filter"),))
    sheet = Reading((table.say("mira", "blackberry", coffee="Vale Alto", brew="cone", degree="strong", strength=35.4),))
    gathered = settle(session, [(TAPE, tape), (SHEET, sheet)])
    made = map_of(gathered, Serving("vale", "cone"), tools)
    node = made.by_id[tape.findings[0].descriptor]
    assert (node.people, node.named, len(node.evidence)) == (1, 1, 2)
    assert node.intensity == pytest.approx(35.4 / 5)


def test_a_brew_heard_is_the_card_of_that_method(session: Session, table) -> None:
    said = tuple(table.say("mira", "blackberry", brew=b) for b in ("filter", "SHOT", "immersion", None))
    gathered = settle(session, [(TAPE, Reading(said))])
    assert [f.spot.brew for f in gathered.findings] == ["cone", "shot", "immersion", None]
    assert any("'immersion'" in n and "fits no brew card" in n for n in gathered.notices)


def test_a_method_with_two_cards_is_left_as_heard(session: Session, table) -> None:
    two = replace(session, brews={**session.brews, "cone2": replace(session.brews["cone"], id="cone2")})
    gathered = settle(two, [(TAPE, Reading((table.say("mira", "blackberry", brew="filter"),)))])
    assert gathered.findings[0].spot.brew == "filter"
    assert any("cone and cone2" in n for n in gathered.notices)


def test_one_brew_card_needs_no_naming(session: Session, table) -> None:
    one = replace(session, brews={"cone": session.brews["cone"]})
    assert settle(one, [(TAPE, Reading((table.say("mira", "cola"),)))]).findings[0].spot.brew == "cone"


def test_unknown_names_in_a_table_are_refused_all_at_once(session: Session, table) -> None:
    (session.folder / "sheet.csv").write_text("taster,coffee,text\nmira,vale,x\nzed,vale,x\nmira,valle,x\n", "utf-8")
    said = (table.say("zed", "cola", coffee="vale"), table.say("mira", "cola", coffee="valle"))
    with pytest.raises(InputError, match=r"sheet.csv:3: unknown taster 'zed'") as caught:
        settle(session, [(SHEET, Reading(said))])
    assert "sheet.csv:4: unknown coffee 'valle'" in str(caught.value)
    assert "did you mean vale?" in str(caught.value)


def test_after_the_reveal_findings_are_informed(session: Session, table) -> None:
    tape = replace(TAPE, reveal=60.0)
    said = (table.say("mira", "cola", at=59.0), table.say("mira", "blackberry", at=61.0))
    assert [f.standing for f in settle(session, [(tape, Reading(said))]).findings] == ["own", "informed"]


def test_ids_of_two_sources_never_collide(session: Session, table) -> None:
    said = table.say("mira", "cola")
    gathered = settle(session, [(TAPE, Reading((said,))), (TAPE, Reading((said,)))])
    assert len({f.id for f in gathered.findings}) == 2


def test_a_coffee_nobody_described_is_named(session: Session, table) -> None:
    gathered = settle(session, [(TAPE, Reading((table.say("mira", "cola"),)))])
    assert "session.yaml:5: coffee 'rio_claro': nobody described it" in gathered.notices


@pytest.fixture
def two_brews(session: Session, table):
    said = (
        table.say("mira", "blackberry", brew="cone", moment="hot"),
        table.say("otto", "blackberry", brew="cone", moment="cool"),
        table.say("otto", "cocoa_powder", brew="shot", moment="hot"),
        table.say("sven", "cocoa_powder"),
    )
    return settle(session, [(TAPE, Reading(said))])


def test_brews_are_not_pooled_unasked_and_moments_are_one_tasting(two_brews) -> None:
    with pytest.raises(InputError, match=r"several brews \(cone, shot\).*\n.*--pool"):
        select(two_brews, Serving("vale"))
    whole = select(two_brews, Serving("vale", "cone"))
    assert (whole.margin.pooled, whole.margin.moments, len(whole.findings)) == ((), ("hot", "cool"), 2)
    pooled = select(two_brews, Serving("vale"), pool=True)
    assert pooled.margin.pooled == ("brews (cone, shot)",)
    assert len(pooled.findings) == 4
    assert select(two_brews, Serving("vale", "cone", "hot")).margin.pooled == ()


def test_what_says_no_brew_is_left_out_with_a_sentence(two_brews) -> None:
    chosen = select(two_brews, Serving("vale", "shot"))
    assert len(chosen.findings) == 1
    assert chosen.margin.notices == ("1 finding says no brew and is left out of this map.",)


def test_each_brew_and_moment_can_be_asked_for(two_brews) -> None:
    assert brews_found(two_brews, "vale") == ("cone", "shot")
    assert moments_found(two_brews, "vale", "cone") == ("hot", "cool")
    sets = serving_sets(two_brews, ["vale"], ["each"], ["each"])
    assert [s.told("Vale") for s in sets] == ["Vale, cone, hot", "Vale, cone, cool", "Vale, shot, hot"]


def test_unknown_asks_are_refused(two_brews) -> None:
    for serving in (Serving("nope"), Serving("vale", "nope"), Serving("vale", "cone", "tepid")):
        with pytest.raises(InputError, match="unknown"):
            select(two_brews, serving)


def test_a_panel_of_fewer_for_one_coffee(session: Session, table, tools) -> None:
    fewer = replace(session, coffees={"vale": replace(session.coffees["vale"], tasters=("mira", "otto"))})
    gathered = settle(fewer, [(TAPE, Reading((table.say("mira", "cola"), table.say("sven", "cola"))))])
    report = report_of(gathered, Serving("vale"), tools)
    assert report.map.tasters == ("mira", "otto")
    assert report.map.by_id[gathered.findings[0].descriptor].people == 1


def test_same_place_is_reported_for_inline_text(session: Session, table) -> None:
    inline = Source(text="cola", taster="otto", coffee="vale", moment="cool", place=Place("session.yaml", 9))
    finding = settle(session, [(inline, Reading((seat(table.say("x", "cola"), speaker=None),)))]).findings[0]
    assert (finding.spot.speaker, finding.spot.coffee, finding.spot.moment) == ("otto", "vale", "cool")
