"""A vocabulary as rows, as a GraphML graph and as plain JSON values."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from tastevocab.vocabulary.graph import graph
from tastevocab.vocabulary.model import Descriptor, Reference, Vocabulary

JOIN = " | "
_PLACES = {"place"}


def rows(vocabulary: Vocabulary) -> tuple[list[str], list[list[str]]]:
    """Column names and one row a descriptor; several values in a cell stand with " | " between."""
    words = [f"words_{tag}" for tag in vocabulary.languages]
    columns = [
        "id",
        "level",
        "home",
        "print",
        "about",
        *words,
        "heard",
        "kin",
        "parts",
        "span",
        "thing",
        "form",
        "state",
        "fault",
    ]
    columns += ["hold", "stage", "ask", "use_instead", "make", "allergens", "keep", "care"]
    return columns, [[_cell(d, column) for column in columns] for d in vocabulary.descriptors.values()]


def _cell(d: Descriptor, column: str) -> str:
    if column.startswith("words_"):
        return JOIN.join(d.words.get(column.removeprefix("words_"), ()))
    if column in {f.name for f in fields(Reference)}:
        value = getattr(d.reference, column) if d.reference else ""
    else:
        value = getattr(d, column)
    if isinstance(value, tuple):
        return JOIN.join(value)
    if isinstance(value, bool):
        return "yes" if value else ""
    return "" if value is None else str(value)


def graphml(vocabulary: Vocabulary) -> str:
    """GraphML of `graph.graph`; the root is called "vocabulary", for many readers want no empty id."""
    import networkx

    named = networkx.relabel_nodes(graph(vocabulary), {"": "vocabulary"})
    lines = "\n".join(networkx.generate_graphml(named))
    # networkx writes Python's True; XML Schema's boolean is small.
    lines = lines.replace(">True</data>", ">true</data>").replace(">False</data>", ">false</data>")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{lines}\n'


def plain(vocabulary: Vocabulary) -> dict[str, Any]:
    """Plain JSON values of everything but the language data; places in files are left out."""
    return {
        "name": vocabulary.name,
        "version": vocabulary.version,
        "hash": vocabulary.hash,
        "languages": list(vocabulary.languages),
        "ring": list(vocabulary.ring),
        "descriptors": [_without_place(d) for d in vocabulary.descriptors.values()],
        "attributes": [_without_place(a) for a in vocabulary.attributes.values()],
        "two_faced": [_without_place(t) for t in vocabulary.two_faced.values()],
        "ignored": list(vocabulary.ignored),
    }


def _without_place(record: Any) -> dict[str, Any]:
    return {key: value for key, value in asdict(record).items() if key not in _PLACES}
