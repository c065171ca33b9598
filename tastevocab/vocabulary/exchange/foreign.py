"""A foreign thesaurus given homes in our three levels, with a report of what was guessed, moved or left out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from tastevocab.errors import Place
from tastevocab.vocabulary.draft import Draft
from tastevocab.vocabulary.exchange.triples import Triples
from tastevocab.vocabulary.model import Descriptor, Level
from tastevocab.vocabulary.words import fold

FIRST = "en"


def place_concepts(triples: Triples, concepts: Sequence[str], file: str) -> tuple[Draft, list[str]]:
    """A draft with a home for every concept, and the report. Top concepts become categories, what is narrower families,
    all below notes; a concept without anything narrower becomes a note in a family made for it."""
    placer = _Placer(triples, concepts, Place(file))
    return placer.draft(), placer.report


class _Placer:
    def __init__(self, triples: Triples, concepts: Sequence[str], place: Place) -> None:
        self.triples = triples
        self.place = place
        self.report: list[str] = []
        self.known = set(concepts)
        self.above = self._broader()
        self.below: dict[str, list[str]] = {}
        for at in concepts:
            self.below.setdefault(self.above[at], []).append(at)
        self.ids: dict[str, str] = {}
        self.taken: set[str] = set()
        self.made: list[Descriptor] = []

    def draft(self) -> Draft:
        schemes = self.triples.of_type("skos:ConceptScheme")
        title = self.triples.text(schemes[0], "dct:title", FIRST) if schemes else ""
        version = self.triples.text(schemes[0], "owl:versionInfo") if schemes else ""
        for name, given in (("title", title), ("version", version)):
            if not given:
                self.report.append(f"the scheme has no {name}")
        loose = [at for at in self.below.get("", []) if at not in self.below]
        for at in self.below.get("", []):
            if at in self.below:
                self._category(at)
        if loose:
            self._loose(loose)
        self.made += self._collections()
        kin = self._kin()
        descriptors = [_with_kin(d, kin.get(d.id, ())) for d in self.made]
        languages = sorted({tag for d in descriptors for tag in d.words} - {FIRST})
        return Draft(
            name=title or "imported",
            version=version or "0",
            ring=tuple(d.id for d in descriptors if d.level == "category"),
            languages=(FIRST, *languages),
            about_place=self.place,
            descriptors=descriptors,
        )

    # --- homes ---

    def _broader(self) -> dict[str, str]:
        """The one concept above each, "" for a top one."""
        t = self.triples
        up: dict[str, set[str]] = {at: {b for b in t.links(at, "skos:broader") if b in self.known} for at in self.known}
        for at in self.known:
            for child in t.links(at, "skos:narrower"):
                if child in self.known:
                    up[child].add(at)
        found: dict[str, str] = {}
        for at in sorted(up):
            broader = sorted(up[at] - {at})
            if len(broader) > 1:
                self.report.append(
                    f"{self._label(at)!r} has {len(broader)} broader concepts; kept {self._label(broader[0])!r}"
                )
            found[at] = broader[0] if broader else ""
        self._cut_loops(found)
        return found

    def _cut_loops(self, above: dict[str, str]) -> None:
        """A concept that is broader than itself in the end becomes a top one."""
        sound: set[str] = {""}
        for start in above:
            way: list[str] = []
            at = start
            while at not in sound and at not in way:
                way.append(at)
                at = above[at]
            if at not in sound:
                self.report.append(f"{self._label(at)!r} is broader than itself in the end; made a top concept")
                above[at] = ""
            sound.update(way)

    def _category(self, at: str) -> None:
        id = self._describe(at, "category", None)
        single = [child for child in self.below[at] if child not in self.below]
        for child in self.below[at]:
            if child in self.below:
                family = self._describe(child, "family", id)
                self._notes(child, family)
        if single:
            family = self._family_for(id, self._label(at))
            self.report.append(
                f"{len(single)} concepts straight under {self._label(at)!r} went into a family of its name"
            )
            for child in single:
                self._describe(child, "note", family)

    def _notes(self, at: str, family: str) -> None:
        stack = [(child, 1) for child in reversed(self.below[at])]
        while stack:
            child, depth = stack.pop()
            self._describe(child, "note", family)
            if depth == 2:
                self.report.append(f"{self._label(child)!r} lies deeper than a note; it went into the family above")
            stack.extend((below, depth + 1) for below in reversed(self.below.get(child, [])))

    def _loose(self, concepts: Sequence[str]) -> None:
        category = self._id_of("unplaced")
        self.made.append(Descriptor(category, "category", "Unplaced", None, place=self.place))
        family = self._family_for(category, "unplaced words")
        self.report.append(f"{len(concepts)} top concepts have nothing narrower; they went under 'Unplaced'")
        for at in concepts:
            self._describe(at, "note", family)

    def _family_for(self, category: str, label: str) -> str:
        id = f"{category}/{self._id_of(f'{label} further')}"
        self.made.append(Descriptor(id, "family", f"{label}, further", category, place=self.place))
        return id

    def _describe(self, at: str, level: Level, home: str | None) -> str:
        t, label = self.triples, self._label(at)
        own = self._id_of(label)
        id = f"{home}/{own}" if home else own
        self.ids[at] = id
        definition = t.text(at, "skos:definition", FIRST) or t.text(at, "skos:scopeNote", FIRST)
        heard = tuple(x.text for x in t.texts(at, "skos:hiddenLabel"))
        self.made.append(
            Descriptor(id, level, label, home, definition, self._words(at, label, level), heard, place=self.place)
        )
        return id

    # --- names ---

    def _label(self, at: str) -> str:
        given = self.triples.text(at, "skos:prefLabel", FIRST)
        return given or re.split(r"[/#]", at.rstrip("/#"))[-1].replace("_", " ")

    def _words(self, at: str, label: str, level: Level) -> dict[str, tuple[str, ...]]:
        if not self.triples.texts(at, "skos:prefLabel"):
            self.report.append(f"{label!r} has no preferred label; its address was used")
        found: dict[str, dict[str, None]] = {FIRST: {}} if level == "category" else {FIRST: {label: None}}
        for name in ("skos:prefLabel", "skos:altLabel"):
            for text in self.triples.texts(at, name):
                if not (level == "category" and text.text == label):
                    found.setdefault(text.language or FIRST, {})[text.text] = None
        return {tag: tuple(words) for tag, words in found.items()}

    def _id_of(self, label: str) -> str:
        base = re.sub(r"[^a-z0-9]+", "_", fold(label)).strip("_") or "unnamed"
        base = base if base[0].isalpha() else f"n_{base}"
        own, count = base, 1
        while own in self.taken:
            count += 1
            own = f"{base}_{count}"
        if count > 1:
            self.report.append(f"{label!r} stands in several places; one became {own}")
        self.taken.add(own)
        return own

    # --- links ---

    def _collections(self) -> Iterator[Descriptor]:
        """Collections become reach words."""
        for at in self.triples.of_type("skos:Collection"):
            members = [self.ids[m] for m in self.triples.links(at, "skos:member") if m in self.ids]
            label = self._label(at)
            if members:
                words = self._words(at, label, "reach")
                id = f"reach/{self._id_of(label)}"
                yield Descriptor(id, "reach", label, None, words=words, span=tuple(members), place=self.place)
            else:
                self.report.append(f"the collection {label!r} has no member among the concepts; left out")

    def _kin(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        told: set[frozenset[str]] = set()
        for at, id in self.ids.items():
            for other in self.triples.links(at, "skos:related"):
                pair = frozenset((at, other))
                if other in self.ids and len(pair) == 2 and pair not in told:
                    told.add(pair)
                    found.setdefault(id, []).append(self.ids[other])
        return {id: tuple(others) for id, others in found.items()}


def _with_kin(d: Descriptor, kin: tuple[str, ...]) -> Descriptor:
    return replace(d, kin=kin) if kin else d
