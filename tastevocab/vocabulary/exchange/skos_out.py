"""A vocabulary as SKOS resources.

A descriptor is a concept: its label the preferred label, its names alternative ones, what is heard hidden ones. A reach
word is a concept too (people say it, it is counted), and its span a collection beside it, for no resource may be both
(S37). Things, which cross the shelves, are reach words so, and top concepts of a second scheme. Labels keep S13 and
S14, kin keeps S27: what SKOS forbids is left to our own properties.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote

from tastevocab.vocabulary.exchange.terms import BASE, Iri, Listed, Resource, Text, Value
from tastevocab.vocabulary.model import Attribute, Descriptor, Reference, Vocabulary

THINGS = "things"
Properties = Iterator[tuple[str, tuple[Value, ...]]]


def skos(vocabulary: Vocabulary, base: str = BASE) -> list[Resource]:
    """The whole vocabulary as resources below the address `base`, in walking order."""
    made = [_scheme(vocabulary, base)]
    if any(d.level == "thing" for d in vocabulary.descriptors.values()):
        made.append(_scheme_of_things(vocabulary, base))
    kin = related(vocabulary)
    for order, d in enumerate(vocabulary.descriptors.values()):
        made.append(_concept(vocabulary, d, kin[d.id], order, base))
        if d.span:
            made.append(_collection(vocabulary, d, base))
    if vocabulary.attributes:
        made.append(Resource(base + "attributes", ("skos:ConceptScheme",), (("dct:title", (Text("attributes"),)),)))
    made += [_attribute(vocabulary, a, order, base) for order, a in enumerate(vocabulary.attributes.values())]
    made += [
        Resource(
            address(base, f"two_faced/{word}"),
            ("tv:TwoFaced",),
            (
                ("tv:word", (Text(word, _first(vocabulary)),)),
                ("tv:flavour", (_at(base, t.flavour),)),
                ("tv:faultSide", (_at(base, t.fault),)),
                ("tv:ask", (Text(t.ask),)),
            ),
        )
        for word, t in vocabulary.two_faced.items()
    ]
    return made


def address(base: str, id: str) -> str:
    """The address of an id: `base` and the id, odd characters in per cent form."""
    return base + quote(id, safe="/_-")


def _at(base: str, id: str) -> Iri:
    return Iri(address(base, id))


def _first(vocabulary: Vocabulary) -> str:
    return vocabulary.languages[0]


def _scheme(vocabulary: Vocabulary, base: str) -> Resource:
    tops = tuple(_at(base, d.id) for d in vocabulary.descriptors.values() if d.home is None)
    told = f"Version {vocabulary.version}, content {vocabulary.hash}."
    return Resource(
        base,
        ("skos:ConceptScheme",),
        (
            ("dct:title", (Text(vocabulary.name),)),
            ("owl:versionInfo", (Text(vocabulary.version),)),
            ("skos:changeNote", (Text(told, "en"),)),
            ("tv:hash", (Text(vocabulary.hash),)),
            ("tv:languages", (Listed(tuple(Text(tag) for tag in vocabulary.languages)),)),
            ("tv:ring", (Listed(tuple(_at(base, id) for id in vocabulary.ring)),)),
            ("tv:ignored", (Listed(tuple(Text(word) for word in vocabulary.ignored)),)),
            ("skos:hasTopConcept", tops),
        ),
    )


def _scheme_of_things(vocabulary: Vocabulary, base: str) -> Resource:
    """The second scheme: what flavours are of, across the shelves. Its notes are members of each thing's collection."""
    tops = tuple(_at(base, d.id) for d in vocabulary.descriptors.values() if d.level == "thing")
    return Resource(
        base + THINGS,
        ("skos:ConceptScheme",),
        (("dct:title", (Text("things"),)), ("skos:hasTopConcept", tops)),
    )


def _concept(vocabulary: Vocabulary, d: Descriptor, kin: Sequence[str], order: int, base: str) -> Resource:
    filled = (pair for pair in _of_descriptor(vocabulary, d, kin, base) if pair[1])
    return Resource(address(base, d.id), ("skos:Concept",), (*filled, ("tv:order", (order,))))


def _of_descriptor(vocabulary: Vocabulary, d: Descriptor, kin: Sequence[str], base: str) -> Properties:
    is_thing = d.level == "thing"
    yield ("skos:inScheme", (Iri(base), Iri(base + THINGS)) if is_thing else (Iri(base),))
    if is_thing:
        yield ("skos:topConceptOf", (Iri(base + THINGS),))
    if d.home is None:
        yield ("skos:topConceptOf", (Iri(base),))
    else:
        yield ("skos:broader", (_at(base, d.home),))
    yield from _labels(d.print, d.words, d.heard, _first(vocabulary))
    yield ("skos:definition", _text(d.about, _first(vocabulary)))
    yield ("skos:related", tuple(_at(base, id) for id in kin))
    if d.use_instead:
        yield ("owl:deprecated", (True,))
        yield ("dct:isReplacedBy", (_at(base, d.use_instead),))
        yield ("skos:historyNote", (Text(f"Retired; use {vocabulary.descriptors[d.use_instead].print}.", "en"),))
    yield ("tv:level", (Text(d.level),))
    for name, ids in (("tv:kin", d.kin), ("tv:parts", d.parts), ("tv:span", d.span)):
        yield (name, (Listed(tuple(_at(base, id) for id in ids)),) if ids else ())
    if d.thing:
        yield ("tv:thing", (_at(base, d.thing),))
    for name, text in (("tv:form", d.form), ("tv:state", d.state), ("tv:stage", d.stage), ("tv:ask", d.ask)):
        yield (name, _text(text))
    yield ("tv:fault", (True,) if d.fault else ())
    yield ("tv:hold", (True,) if d.hold else ())
    yield ("tv:hue", () if d.hue is None else (d.hue,))
    yield from _kitchen(d.reference)


def _labels(label: str, words: Mapping[str, Sequence[str]], heard: Sequence[str], first: str) -> Properties:
    """Labels that keep S13 and S14, then our own ordered lists of all that was written."""
    preferred = [Text(label, first)] if label else []
    preferred += [Text(listed[0], tag) for tag, listed in words.items() if listed and tag != first]
    yield ("skos:prefLabel", tuple(preferred))
    others = dict.fromkeys(Text(word, tag) for tag, listed in words.items() for word in listed)
    yield ("skos:altLabel", tuple(other for other in others if other not in preferred))
    hidden = dict.fromkeys(Text(word, first) for word in heard)
    yield ("skos:hiddenLabel", tuple(h for h in hidden if h not in others and h not in preferred))
    for tag, listed in words.items():
        yield (f"tv:words-{tag}", (Listed(tuple(Text(word, tag) for word in listed)),))
    yield ("tv:heard", (Listed(tuple(Text(word, first) for word in heard)),) if heard else ())


def related(vocabulary: Vocabulary) -> dict[str, list[str]]:
    """Kin as SKOS can say it: both ways, never between a node and what hangs above it (S27)."""
    found: dict[str, dict[str, None]] = {id: {} for id in vocabulary.descriptors}
    for d in vocabulary.descriptors.values():
        for other in d.kin:
            if other != d.id and other not in _above(vocabulary, d.id) and d.id not in _above(vocabulary, other):
                found[d.id][other] = None
                found[other][d.id] = None
    return {id: list(others) for id, others in found.items()}


def _above(vocabulary: Vocabulary, id: str) -> list[str]:
    above: list[str] = []
    home = vocabulary.descriptors[id].home
    while home and home not in above:
        above.append(home)
        home = vocabulary.descriptors[home].home
    return above


def _collection(vocabulary: Vocabulary, d: Descriptor, base: str) -> Resource:
    return Resource(
        address(base, f"{d.id}/members"),
        ("skos:Collection",),
        (
            ("skos:prefLabel", _text(d.print, _first(vocabulary))),
            ("tv:spanOf", (_at(base, d.id),)),
            ("skos:member", tuple(_at(base, id) for id in d.span)),
        ),
    )


def _attribute(vocabulary: Vocabulary, a: Attribute, order: int, base: str) -> Resource:
    first = _first(vocabulary)

    def steps(name: str, words: Mapping[str, int]) -> Properties:
        for step in sorted(set(words.values())):
            yield (f"tv:{name}-{step}", (Listed(tuple(Text(w, first) for w, s in words.items() if s == step)),))

    def properties() -> Properties:
        yield ("skos:inScheme", (Iri(base + "attributes"),))
        yield from _labels(a.print, {first: a.names}, (), first)
        yield ("skos:definition", _text(a.about, first))
        yield ("tv:group", _text(a.group))
        yield ("tv:scale", (Listed(tuple(Text(word, first) for word in a.scale)),))
        yield ("tv:levels", (Listed(tuple(Text(level) for level in a.levels)),))
        yield from steps("step", a.words)
        yield from steps("beside", a.beside)
        yield ("tv:bare", (a.bare,))
        yield ("tv:denied", _text(a.denied))
        yield from _kitchen(a.reference)
        yield ("tv:order", (order,))

    filled = tuple(pair for pair in properties() if pair[1])
    return Resource(address(base, f"attribute/{a.id}"), ("skos:Concept", "tv:Attribute"), filled)


def _kitchen(reference: Reference | None) -> Properties:
    if reference is not None:
        yield ("tv:make", (Text(reference.make),))
        yield ("tv:allergens", (Listed(tuple(Text(a) for a in reference.allergens)),))
        yield ("tv:keep", _text(reference.keep))
        yield ("tv:care", _text(reference.care))


def _text(text: str, language: str = "") -> tuple[Value, ...]:
    return (Text(text, language),) if text else ()
