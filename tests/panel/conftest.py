"""A small vocabulary of the panel's own (frozen, so that spans can be counted by hand) and findings made by hand."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from panel_seats import HERE, Table

from tastevocab.errors import Place
from tastevocab.panel.session import BrewCard, Coffee, Session
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import Bench, bench
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import Vocabulary


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    return load(HERE / "vocab")


@pytest.fixture(scope="session")
def spans(vocabulary: Vocabulary) -> Spans:
    return Spans(vocabulary)


@pytest.fixture(scope="session")
def table(vocabulary: Vocabulary) -> Table:
    return Table(vocabulary)


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
