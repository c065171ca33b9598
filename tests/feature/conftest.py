"""Tables made by hand for the feature room: sessions, findings, and the material of one coffee."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material, material_of
from tastevocab.feature.pack import Pack, make_packs
from tastevocab.feature.wording import Wording
from tastevocab.panel.gather import Gathered, gather
from tastevocab.panel.session import BrewCard, Coffee, Session, read_session
from tastevocab.panel.summary import Bench, bench
from tastevocab.reading.records import AttributeFinding, Finding, Spot
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.load import short_names

DEMO = Path(__file__).parents[2] / "tastevocab" / "feature" / "demo_table" / "session.yaml"


class Table:
    """A table whose findings are typed by hand: `table.say("ana", "red_cherry", certainty=0.5)`."""

    def __init__(self, tools: Bench) -> None:
        self.tools = tools
        self.names = short_names(list(tools.vocabulary.descriptors))
        self.count = itertools.count(1)
        self.findings: list[Finding] = []
        self.attributes: list[AttributeFinding] = []
        self.session = Session(
            id="hand",
            file="hand.yaml",
            folder=Path("."),
            date="2026-05-20",
            blind=True,
            tasters=("ana", "ben", "cat", "dov", "eve"),
            coffees={"one": Coffee("one", "Coffee One", additions="none", roasted="2026-05-11")},
            brews={"filter": BrewCard("filter", "filter", {"dose_g": 15, "water_g": 250})},
        )

    def say(self, who: str, what: str, **more: object) -> Finding:
        """One more finding; `more` are fields of the finding or of its spot."""
        id = self.names.get(what) or what
        d = self.tools.vocabulary.descriptors[id]
        spot_fields = {"moment", "brew", "bowl", "words", "source", "at", "coffee", "span"}
        spot = Spot(
            words=d.print, span=(0, 4), source="notes.csv", speaker=who, coffee="one", brew="filter", moment="warm"
        )
        spot = replace(spot, **{k: v for k, v in more.items() if k in spot_fields})
        made = Finding(
            id=f"f{next(self.count)}", descriptor=id, spot=spot, fault=d.fault, parts=d.parts,
            **{k: v for k, v in more.items() if k not in spot_fields},
        )  # fmt: skip
        self.findings.append(made)
        return made

    def all_say(self, whos: str, what: str, **more: object) -> None:
        """Several tasters, by their initials."""
        for who in self.session.tasters:
            if who[0] in whos:
                self.say(who, what, **more)

    def mark(self, who: str, attribute: str, step: float) -> None:
        """One more mark on an attribute's scale."""
        spot = Spot("words", (0, 4), "notes.csv", speaker=who, coffee="one", brew="filter", moment="warm")
        self.attributes.append(AttributeFinding(f"a{next(self.count)}", attribute, "medium", step, spot))

    def gathered(self) -> Gathered:
        return Gathered(self.session, tuple(self.findings), tuple(self.attributes))

    def material(self, style: HouseStyle | None = None) -> Material:
        return material_of(self.gathered(), "one", self.tools, style or HouseStyle())

    def pack(self, style: HouseStyle | None = None) -> Pack:
        return make_packs(self.gathered(), self.tools, style or HouseStyle(), Wording())[0]


@pytest.fixture(scope="session")
def tools() -> Bench:
    return bench(open_vocabulary())


@pytest.fixture
def table(tools: Bench) -> Table:
    return Table(tools)


@pytest.fixture(scope="session")
def new_table(tools: Bench) -> Callable[[], Table]:
    """A table as often as it is asked for."""
    return lambda: Table(tools)


@pytest.fixture(scope="session")
def wording() -> Wording:
    return Wording()


@pytest.fixture(scope="session")
def demo_gathered() -> Gathered:
    return gather(read_session(DEMO), open_lexicon())


@pytest.fixture(scope="session")
def demo(demo_gathered: Gathered, tools: Bench) -> Pack:
    return make_packs(demo_gathered, tools, HouseStyle(), Wording())[0]


def prints(words: Sequence[object]) -> list[str]:
    """What is printed of the words of a pack."""
    return [word.print for word in words]  # type: ignore[attr-defined]
