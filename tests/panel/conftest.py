"""A small vocabulary of the panel's own (frozen, so that spans can be counted by hand) and findings made by hand."""

from __future__ import annotations

import itertools
import os
from dataclasses import replace
from pathlib import Path

import pytest

from tastevocab.errors import Place
from tastevocab.panel.session import BrewCard, Coffee, Session
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import Bench, bench
from tastevocab.reading.records import Finding, Spot
from tastevocab.vocabulary.load import load, short_names
from tastevocab.vocabulary.model import Vocabulary

HERE = Path(__file__).parent


class Table:
    """Makes findings in few words: `say("A", "blackberry", certainty=0.5)`."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.names = short_names(list(vocabulary.descriptors))
        self.faults = {d.id for d in vocabulary.descriptors.values() if d.fault}
        self.count = itertools.count(1)

    def say(self, who: str, what: str, **more: object) -> Finding:
        """A finding by `who`; keywords go to the spot (coffee, brew, moment, ...) or to the finding."""
        id = self.names[what]
        assert id, what
        where = {key: more.pop(key) for key in list(more) if key in Spot.__slots__}
        spot = Spot(**{"words": what, "span": (0, len(what)), "source": "table", "speaker": who, **where})  # type: ignore[arg-type]
        more.setdefault("hedged", more.get("certainty", 1.0) != 1.0)
        return Finding(id=f"f{next(self.count):05}", descriptor=id, spot=spot, fault=id in self.faults, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    return load(HERE / "vocab")


@pytest.fixture(scope="session")
def spans(vocabulary: Vocabulary) -> Spans:
    return Spans(vocabulary)


@pytest.fixture(scope="session")
def table(vocabulary: Vocabulary) -> Table:
    return Table(vocabulary)


def seat(finding: Finding, **where: object) -> Finding:
    """The same finding at another serving: coffee, brew, moment, bowl, speaker."""
    return replace(finding, spot=replace(finding.spot, **where))  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def tools(vocabulary: Vocabulary) -> Bench:
    return bench(vocabulary)


@pytest.fixture
def session(tmp_path: Path) -> Session:
    """Five tasters, two coffees, two brews, nothing in the notes yet."""
    return Session(
        id="table",
        file="session.yaml",
        folder=tmp_path,
        tasters=("mira", "otto", "pilar", "sven", "tao"),
        coffees={
            "vale": Coffee(
                "vale", "Vale Alto", claims=("black cherry", "cocoa", "jasmine", "cola"), place=Place("session.yaml", 4)
            ),
            "rio_claro": Coffee("rio_claro", "Rio Claro", place=Place("session.yaml", 5)),
        },
        brews={"cone": BrewCard("cone", "filter"), "shot": BrewCard("shot", "espresso")},
        bowls=5,
    )


@pytest.fixture
def golden():
    """Compare a text with its golden file; UPDATE_GOLDEN=1 in the environment writes it anew."""

    def compare(name: str, text: str) -> None:
        path = HERE / "golden" / name
        if os.environ.get("UPDATE_GOLDEN"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, "utf-8", newline="\n")
        assert text == path.read_text("utf-8")

    return compare
