"""What a session tells the reader of its table before any talk is read."""

from __future__ import annotations

from dataclasses import replace

from tastevocab.panel.session import Coffee, Session, Source
from tastevocab.panel.table import table_of

COFFEES = {
    "vale_alto": Coffee(
        "vale_alto",
        "Finca Vale Alto",
        names=("Vale",),
        claims=("peach",),
        process="washed",
        more={"variety": "Bourbon", "origin": "Huila"},
    ),
    "rio_claro": Coffee(
        "rio_claro",
        "Rio Claro",
        claims=("cocoa", "peach"),
        process="natural",
        more={"variety": "bourbon", "farm": "Rio Claro"},
    ),
}


def table(session: Session) -> Session:
    return replace(session, coffees=COFFEES, codes={"417": "rio_claro", "233": "gone"}, speakers={"Miri": "mira"})


def test_everything_known_of_a_table(session: Session) -> None:
    made = table_of(table(session))
    assert made.tasters == ("mira", "otto", "pilar", "sven", "tao", "Miri")
    assert [c.id for c in made.coffees] == ["vale_alto", "rio_claro"]
    assert made.coffees[0].names == ("Finca Vale Alto", "vale alto", "Vale", "washed", "Huila")
    assert made.coffees[1].names == ("Rio Claro", "rio claro", "417", "natural")
    assert made.brews == (("cone", "filter"), ("shot", "espresso"))
    assert made.claims == ("peach", "cocoa")


def test_a_fact_that_names_another_coffee_tells_nothing(session: Session) -> None:
    other = replace(COFFEES["rio_claro"], more={"origin": "vale"})
    made = table_of(replace(session, coffees={**COFFEES, "rio_claro": other}))
    assert "vale" not in made.coffees[1].names


def test_an_entry_that_names_coffee_and_brew_knows_no_other(session: Session) -> None:
    made = table_of(table(session), Source("a.vtt", coffee="Rio_Claro", brew="shot", speakers={"Tay": "tao"}))
    assert [c.id for c in made.coffees] == ["rio_claro"]
    assert made.claims == ("cocoa", "peach")
    assert made.brews == (("shot", "espresso"),)
    assert made.tasters[-2:] == ("Miri", "Tay")
