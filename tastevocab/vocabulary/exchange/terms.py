"""The terms of the exchange: names of properties, and a plain record of one resource.

What SKOS has no word for has one of ours, in the namespace `OWN`: what kind of node it is, the order things were
written in, what a blend is made of, how to taste it, faults.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

BASE = "https://vocab.example/coffee/"
OWN = "https://vocab.example/terms#"
PREFIXES = {
    "dct": "http://purl.org/dc/terms/",
    "owl": "http://www.w3.org/2002/07/owl#",
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "skos": "http://www.w3.org/2004/02/skos/core#",
    "tv": OWN,
    "xsd": "http://www.w3.org/2001/XMLSchema#",
}


class Iri(NamedTuple):
    """A link to a resource, by its full address."""

    at: str


class Text(NamedTuple):
    """Words in a language ("" where the language is not told)."""

    text: str
    language: str = ""


class Listed(NamedTuple):
    """Values whose order counts (an RDF list)."""

    items: tuple[Iri | Text, ...]


Value = Iri | Text | Listed | bool | int | float


@dataclass(frozen=True, slots=True)
class Resource:
    """One thing: its address, its types ("skos:Concept") and its (property, values) in writing order."""

    at: str
    types: tuple[str, ...]
    properties: tuple[tuple[str, tuple[Value, ...]], ...]


def full(name: str) -> str:
    """The full address of a prefixed name: "skos:Concept" and so on."""
    prefix, _, local = name.partition(":")
    return PREFIXES[prefix] + local
