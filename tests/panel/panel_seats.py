"""Findings made by hand, in few words."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

from tastevocab.reading.records import Finding, Spot
from tastevocab.vocabulary.load import short_names
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


def seat(finding: Finding, **where: object) -> Finding:
    """The same finding at another serving: coffee, brew, moment, bowl, speaker."""
    return replace(finding, spot=replace(finding.spot, **where))  # type: ignore[arg-type]
