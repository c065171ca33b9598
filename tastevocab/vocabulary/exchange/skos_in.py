"""SKOS to a draft: our own export comes back as it was; a foreign thesaurus is given homes, with a report."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote

from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.draft import Draft
from tastevocab.vocabulary.exchange.foreign import place_concepts
from tastevocab.vocabulary.exchange.terms import Iri, Text
from tastevocab.vocabulary.exchange.triples import Triples, read_triples
from tastevocab.vocabulary.model import Attribute, Descriptor, Level, Reference, TwoFaced

LEVELS: tuple[Level, ...] = ("category", "family", "note", "reach", "thing")


@dataclass(frozen=True, slots=True)
class Imported:
    """A draft made of a SKOS file, and one sentence for each thing that had to be guessed or left out."""

    draft: Draft
    report: tuple[str, ...]


def read_skos(path: Path) -> Imported:
    """The vocabulary in a SKOS file (Turtle, N-Triples, JSON-LD). Needs rdflib (`pip install tastevocab[exchange]`).

    A file that `skos` wrote gives the same descriptors, attributes and two-faced words. Labels added or taken out by
    another program are taken over. Of a foreign thesaurus the top concepts become categories, the next step families,
    the rest notes; run `check.check` on the draft for what it lacks besides the report.

    Raises `VocabularyError` if the file cannot be read or holds no concept.
    """
    triples = read_triples(path)
    concepts = [at for at in triples.of_type("skos:Concept") if at not in set(triples.of_type("tv:Attribute"))]
    if not concepts:
        raise VocabularyError("holds no skos:Concept", place=Place(os.fspath(path)), mend="give a SKOS file")
    if any(triples.text(at, "tv:level") for at in concepts):
        return Imported(_Own(triples, concepts, os.fspath(path)).draft(), ())
    draft, report = place_concepts(triples, concepts, os.fspath(path))
    return Imported(draft, tuple(report))


class _Own:
    """Reads what `skos_out` wrote."""

    def __init__(self, triples: Triples, concepts: Sequence[str], file: str) -> None:
        schemes = [at for at in triples.of_type("skos:ConceptScheme") if triples.text(at, "tv:hash")]
        if not schemes:
            raise VocabularyError("has lost its concept scheme", place=Place(file), mend="export it again")
        self.base = schemes[0]
        self.triples = triples
        self.concepts = sorted(concepts, key=lambda at: (triples.value(at, "tv:order") or 0, at))
        self.place = Place(file)
        self.languages = self._plain_list(self.base, "tv:languages") or ("en",)
        self.first = self.languages[0]

    def draft(self) -> Draft:
        t, base = self.triples, self.base
        draft = Draft(
            name=t.text(base, "dct:title"),
            version=t.text(base, "owl:versionInfo"),
            hash=t.text(base, "tv:hash"),
            ring=self._ids(t.listed(base, "tv:ring") or ()),
            languages=self.languages,
            ignored=self._plain_list(base, "tv:ignored"),
            about_place=self.place,
        )
        draft.descriptors = [self._descriptor(at) for at in self.concepts]
        attributes = sorted(t.of_type("tv:Attribute"), key=lambda at: (t.value(at, "tv:order") or 0, at))
        draft.attributes = [self._attribute(at) for at in attributes]
        draft.two_faced = [self._two_faced(at) for at in t.of_type("tv:TwoFaced")]
        return draft

    def _descriptor(self, at: str) -> Descriptor:
        t, id = self.triples, self._id(at)
        told = t.text(at, "tv:level")
        level = next((known for known in LEVELS if known == told), None)
        if level is None:
            mend = f"give it a tv:level: {', '.join(LEVELS)}"
            raise VocabularyError(f"{id} has the level {told!r}", place=self.place, mend=mend)
        home = t.link(at, "skos:broader")
        words = self._words(at)
        hue = t.value(at, "tv:hue")
        return Descriptor(
            id=id,
            level=level,
            print=t.text(at, "skos:prefLabel", self.first),
            home=self._id(home) if home else None,
            about=t.text(at, "skos:definition", self.first),
            words=words,
            heard=self._heard(at, words),
            kin=self._kin(at),
            parts=self._ids(t.listed(at, "tv:parts") or ()),
            span=self._ids(t.listed(at, "tv:span") or ()),
            thing=self._id(t.link(at, "tv:thing")) if t.links(at, "tv:thing") else "",
            form=t.text(at, "tv:form"),
            state=t.text(at, "tv:state"),
            fault=bool(t.value(at, "tv:fault")),
            hold=bool(t.value(at, "tv:hold")),
            stage=t.text(at, "tv:stage"),
            ask=t.text(at, "tv:ask"),
            reference=self._reference(at),
            use_instead=self._id(t.link(at, "dct:isReplacedBy")) if t.links(at, "dct:isReplacedBy") else "",
            hue=float(hue) if hue is not None else None,
            place=self.place,
        )

    def _words(self, at: str) -> dict[str, tuple[str, ...]]:
        """Names in the order written; labels that another program put in come after, those it took out are gone."""
        t = self.triples
        preferred, others = t.texts(at, "skos:prefLabel"), t.texts(at, "skos:altLabel")
        label = Text(t.text(at, "skos:prefLabel", self.first), self.first)
        shown = {*preferred, *others}
        found: dict[str, tuple[str, ...]] = {}
        for name in t.names(at, "words-"):
            tag = _written_tag(name.removeprefix("words-"), self.languages)
            items = [item for item in t.listed(at, f"tv:{name}") or () if isinstance(item, Text)]
            found[tag] = tuple(item.text for item in items if item in shown)
        for text in (*preferred, *others):
            if text != label and text.text not in found.get(text.language, ()):
                found[text.language] = (*found.get(text.language, ()), text.text)
        return {tag: found[tag] for tag in sorted(found, key=lambda tag: (*_rank(tag, self.languages), tag))}

    def _heard(self, at: str, words: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
        hidden = [text.text for text in self.triples.texts(at, "skos:hiddenLabel")]
        ours = self._plain_list(at, "tv:heard")
        label = self.triples.text(at, "skos:prefLabel", self.first)
        kept = [word for word in ours if word in hidden or word == label or word in words.get(self.first, ())]
        return tuple(dict.fromkeys([*kept, *hidden]))

    def _kin(self, at: str) -> tuple[str, ...]:
        """Our own list, then what is related besides and told by neither side's list."""
        t = self.triples
        ours = self._ids(t.listed(at, "tv:kin") or ())
        id = self._id(at)
        more = []
        for other in t.links(at, "skos:related"):
            theirs = self._ids(t.listed(other, "tv:kin") or ())
            if self._id(other) not in ours and id not in theirs:
                more.append(self._id(other))
        return (*ours, *more)

    def _reference(self, at: str) -> Reference | None:
        t = self.triples
        if t.listed(at, "tv:allergens") is None and not t.text(at, "tv:make"):
            return None
        allergens = self._plain_list(at, "tv:allergens")
        return Reference(t.text(at, "tv:make"), allergens, t.text(at, "tv:keep"), t.text(at, "tv:care"))

    def _attribute(self, at: str) -> Attribute:
        t = self.triples
        bare = t.value(at, "tv:bare")
        return Attribute(
            id=self._id(at).removeprefix("attribute/"),
            print=t.text(at, "skos:prefLabel", self.first),
            group=t.text(at, "tv:group"),
            scale=self._plain_list(at, "tv:scale"),
            names=self._words(at).get(self.first, ()),
            words=self._steps(at, "step"),
            beside=self._steps(at, "beside"),
            bare=bare if isinstance(bare, int) else 0,
            levels=self._plain_list(at, "tv:levels"),
            about=t.text(at, "skos:definition", self.first),
            denied=t.text(at, "tv:denied") or "none",
            reference=self._reference(at),
            place=self.place,
        )

    def _steps(self, at: str, name: str) -> dict[str, int]:
        found: dict[str, int] = {}
        for step in range(1, 6):
            found.update(dict.fromkeys(self._plain_list(at, f"tv:{name}-{step}"), step))
        return found

    def _two_faced(self, at: str) -> TwoFaced:
        t = self.triples
        flavour, fault = (self._id(t.link(at, name)) for name in ("tv:flavour", "tv:faultSide"))
        return TwoFaced(t.text(at, "tv:word"), flavour, fault, t.text(at, "tv:ask"), self.place)

    def _plain_list(self, at: str, name: str) -> tuple[str, ...]:
        return tuple(item.text for item in self.triples.listed(at, name) or () if isinstance(item, Text))

    def _ids(self, items: Sequence[Iri | Text]) -> tuple[str, ...]:
        return tuple(self._id(item.at) for item in items if isinstance(item, Iri))

    def _id(self, at: str) -> str:
        return unquote(at.removeprefix(self.base))


def _written_tag(tag: str, languages: Sequence[str]) -> str:
    return next((known for known in languages if known.lower() == tag.lower()), tag)


def _rank(tag: str, languages: Sequence[str]) -> tuple[int, int]:
    return (0, languages.index(tag)) if tag in languages else (1, 0)
