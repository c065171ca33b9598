"""An RDF file read into plain look-ups. The only place that needs rdflib."""

from __future__ import annotations

import json
import os
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.exchange.terms import Iri, Text, full

MAX_BYTES = 50_000_000
FORMATS = {".ttl": "turtle", ".jsonld": "json-ld", ".json": "json-ld", ".nt": "nt"}


class Triples:
    """Values of properties by subject, all in a fixed order: links and texts sorted, lists as they were written.

    `place` is the file they were read from, for errors.
    """

    def __init__(self, graph: Any, place: Place) -> None:
        self._graph = graph
        self._place = place

    def of_type(self, name: str) -> list[str]:
        """The addresses of all resources of a type ("skos:Concept"), sorted."""
        from rdflib import RDF, URIRef

        return sorted(str(s) for s in set(self._graph.subjects(RDF.type, URIRef(full(name)))) if isinstance(s, URIRef))

    def links(self, at: str, name: str) -> list[str]:
        """The addresses that a property points at, sorted."""
        return sorted(value.at for value in self._values(at, name) if isinstance(value, Iri))

    def link(self, at: str, name: str) -> str:
        """The first link, or ""."""
        found = self.links(at, name)
        return found[0] if found else ""

    def texts(self, at: str, name: str) -> list[Text]:
        """The texts of a property, sorted by language and words."""
        return sorted((v for v in self._values(at, name) if isinstance(v, Text)), key=lambda t: (t.language, t.text))

    def text(self, at: str, name: str, language: str = "") -> str:
        """One text of a property: in the language asked for, else without one, else the first."""
        found = self.texts(at, name)
        best = [t for t in found if t.language == language] or [t for t in found if not t.language] or found
        return best[0].text if best else ""

    def value(self, at: str, name: str) -> Any:
        """The Python value of a number or truth value (None if there is none)."""
        for value in self._objects(at, name):
            return value.toPython() if hasattr(value, "toPython") else None
        return None

    def listed(self, at: str, name: str) -> list[Iri | Text] | None:
        """The members of a list in order; None if there is no list. Raises `VocabularyError` for one without end."""
        from rdflib import RDF

        for head in self._objects(at, name):
            if head == RDF.nil or (head, RDF.first, None) in self._graph:
                try:
                    items = list(self._graph.items(head))
                except ValueError:  # the only one: an rdf:rest that leads back into the list
                    what = f"the list {name} of <{at}> leads back into itself; expected a list that ends in rdf:nil"
                    mend = "close it with rdf:nil, or write it in brackets: ( ... )"
                    raise VocabularyError(what, place=self._place, mend=mend) from None
                return [made for item in items if (made := _plain(item)) is not None]
        return None

    def names(self, at: str, prefix: str) -> list[str]:
        """The local names of our own properties of `at` that begin with `prefix`, sorted."""
        from rdflib import URIRef

        start = full(f"tv:{prefix}")
        found = {str(p) for p in self._graph.predicates(URIRef(at))}
        return sorted(p.removeprefix(full("tv:")) for p in found if p.startswith(start))

    def _objects(self, at: str, name: str) -> Iterator[Any]:
        from rdflib import URIRef

        return iter(self._graph.objects(URIRef(at), URIRef(full(name))))

    def _values(self, at: str, name: str) -> Iterator[Iri | Text]:
        return (made for value in self._objects(at, name) if (made := _plain(value)) is not None)


def _plain(value: Any) -> Iri | Text | None:
    from rdflib import Literal, URIRef

    if isinstance(value, URIRef):
        return Iri(str(value))
    return Text(str(value), _tag(value.language or "")) if isinstance(value, Literal) else None


def _tag(tag: str) -> str:
    """A language tag as we write it: rdflib makes "pt-BR" small."""
    language, *rest = tag.split("-")
    return "-".join([language.lower(), *(part.title() if len(part) == 4 else part.upper() for part in rest)])


def read_triples(path: Path) -> Triples:
    """The triples of a Turtle, N-Triples or JSON-LD file; nothing is fetched from anywhere.

    Raises `VocabularyError` if rdflib is missing, the kind of file is not known, the file cannot be read, is larger
    than 50 MB or broken, or a JSON-LD context lies outside the file.
    """
    place = Place(os.fspath(path))
    kind = FORMATS.get(path.suffix.lower())
    if kind is None:
        raise VocabularyError(f"{path.suffix or 'no ending'} is no kind of file to import", place=place, mend=_KINDS)
    try:
        import rdflib
    except ModuleNotFoundError:
        raise VocabularyError(
            "reading SKOS needs rdflib, which is not installed", mend="pip install tastevocab[exchange]"
        ) from None
    text = _text(path, place)
    if kind == "json-ld":
        _refuse_outside_context(text, place)
    graph = rdflib.Graph()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            graph.parse(data=text, format=kind)
    except Exception as problem:  # every parser of rdflib has errors of its own
        line = getattr(problem, "lines", None)
        at = Place(place.file, line + 1) if isinstance(line, int) else place
        told = " ".join(str(problem).split())[:200]
        raise VocabularyError(f"is not {kind}: {told}", place=at, mend="check the file with its maker") from None
    return Triples(graph, place)


_KINDS = "give a .ttl, .nt, .jsonld or .json file"


def _text(path: Path, place: Place) -> str:
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise VocabularyError(f"is {size:,} bytes; at most {MAX_BYTES:,} are read", place=place, mend="split it")
        return path.read_bytes().decode("utf-8-sig")
    except OSError as problem:
        raise VocabularyError(f"cannot be read: {problem.strerror}", place=place, mend="check the path") from None
    except UnicodeDecodeError:
        raise VocabularyError("is not UTF-8", place=place, mend="save the file as UTF-8") from None


def _refuse_outside_context(text: str, place: Place) -> None:
    """A context given by its address would be fetched from the net."""
    try:
        stack = [json.loads(text)]
    except (ValueError, RecursionError) as problem:
        line = getattr(problem, "lineno", 0)
        raise VocabularyError("is not JSON", place=Place(place.file, line), mend="check the file") from None
    while stack:
        value = stack.pop()
        if isinstance(value, dict):
            contexts = value.get("@context")
            for context in contexts if isinstance(contexts, list) else [contexts]:
                if isinstance(context, str) or (isinstance(context, dict) and "@import" in context):
                    what = "asks for a JSON-LD context from outside the file"
                    raise VocabularyError(what, place=place, mend="write the context into the file, or use Turtle")
            stack.extend(value.values())
        elif isinstance(value, list):
            stack.extend(value)
