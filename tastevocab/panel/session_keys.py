"""The keys that a session file may hold, and the slips of the pen among those it does."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from tastevocab.vocabulary.draft import OddKey
from tastevocab.vocabulary.sources import Lines

# Endings of files of notes, which are no sessions.
NOTES = (".vtt", ".srt", ".txt", ".md", ".markdown", ".csv", ".tsv", ".jsonl")
# A mapping with any of these is taken for a session.
SIGNS = ("session", "tasters", "coffees", "notes")
TOP = (
    "session", "date", "blind", "tasters", "coffees", "brews", "notes", "speakers", "bowls", "key", "audio", "language",
)  # fmt: skip
COFFEE = ("name", "names", "claims", "additions", "process", "roasted", "tasters", "duplicate_of")
# What else may be told of a coffee, as written; whatever is not here is taken for a slip of the pen.
FACTS = (
    "origin", "country", "region", "farm", "producer", "cooperative", "station", "mill", "species", "variety",
    "altitude", "harvest", "lot", "fermentation", "drying", "certificates", "importer", "exporter", "roaster", "roast",
    "price", "weight", "sku", "url", "remark",
)  # fmt: skip
SOURCE = (
    "source", "text", "taster", "tasters", "coffee", "brew", "moment", "bowl", "speakers", "reveal", "closing", "from",
    "to", "informed",
)  # fmt: skip
BREW = ("method", "tasters")
# How like a key of a brew card must be to one that is read, to be taken for it misspelt: "methd", "taster".
LIKE = 0.75


def odd_keys(entry: Lines, known: Iterable[str]) -> Iterator[OddKey]:
    """The keys of `entry` that are none of `known`, in file order."""
    names = tuple(known)
    for key in entry:
        if key not in names:
            yield OddKey(str(key), entry.place(key), names)


def misspelt(card: Lines) -> Iterator[OddKey]:
    """The facts of a brew card whose key is nearly one that is read; all others are the card's own."""
    for odd in odd_keys(card, BREW):
        if difflib.get_close_matches(odd.key.casefold(), BREW, 1, LIKE):
            yield odd
