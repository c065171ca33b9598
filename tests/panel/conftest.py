"""A small vocabulary of the panel's own (frozen, so that spans can be counted by hand) and findings made by hand."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from tastevocab.panel.spans import Spans
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
        id = self.names[what]
        assert id, what
        spot = Spot(words=what, span=(0, len(what)), source="table", speaker=who)
        kept: dict[str, object] = {}
        for key, value in more.items():
            if key in Spot.__slots__:
                spot = Spot(**{**{s: getattr(spot, s) for s in Spot.__slots__}, key: value})  # type: ignore[arg-type]
            else:
                kept[key] = value
        kept.setdefault("hedged", kept.get("certainty", 1.0) != 1.0)
        return Finding(id=f"f{next(self.count):05}", descriptor=id, spot=spot, fault=id in self.faults, **kept)  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    return load(HERE / "vocab")


@pytest.fixture(scope="session")
def spans(vocabulary: Vocabulary) -> Spans:
    return Spans(vocabulary)


@pytest.fixture(scope="session")
def table(vocabulary: Vocabulary) -> Table:
    return Table(vocabulary)
