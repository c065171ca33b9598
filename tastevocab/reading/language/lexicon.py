"""The language of tasting talk, compiled: a vocabulary's names and its patterns as phrase books."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tastevocab.errors import VocabularyError
from tastevocab.reading.language.patterns import Pattern, patterns_of
from tastevocab.vocabulary.cache import KINDS, open_vocabulary, remembered
from tastevocab.vocabulary.folder import content_digest, default_folder
from tastevocab.vocabulary.guess import Guesser
from tastevocab.vocabulary.lookup import FLAVOUR, Names, States, flavour_sense
from tastevocab.vocabulary.model import Form, Vocabulary
from tastevocab.vocabulary.phrases import PhraseBook, Sense

KINDS_KEPT = (*KINDS, Sense, PhraseBook, States, Names, Pattern)
DEGREES = ("barely", "weak", "moderate", "strong", "very strong")


@dataclass(init=False, eq=False)
class Lexicon:
    """Everything reading needs of a vocabulary; its fields are plain data, remembered between runs.

    `cues` holds the patterns' words by kind, `misheard` what captions write for a flavour, `composed` the names of
    several words by each of their words, `strength` the number of each degree on the Labelled Magnitude Scale.
    """

    names: Names
    patterns: tuple[Pattern, ...]
    cues: PhraseBook
    strength: dict[str, float]
    marks: dict[str, str]
    marks_longest: tuple[str, ...]
    small: frozenset[str]
    fillers: frozenset[str]
    ordinary: frozenset[str]
    attribute_levels: dict[str, tuple[str, ...]]
    beside: dict[str, PhraseBook]
    two_faced_words: frozenset[str]
    two_faced: frozenset[str]
    levels_of: dict[str, str]
    retired: frozenset[str]
    prints: dict[str, str]
    things: dict[str, str]
    form_of: dict[str, str]
    forms: dict[str, Form]
    kin: dict[str, tuple[str, ...]]
    spans: dict[str, tuple[str, ...]]
    misheard: PhraseBook
    composed: dict[str, tuple[tuple[tuple[str, ...], str], ...]]
    english: frozenset[str]

    def __post_init__(self) -> None:
        """What is worked out anew in every run, when it is first needed."""
        self._weights: Mapping[str, Any] | None = None
        self._weighed: Callable[[], Mapping[str, Any]] = dict
        self._guesser: Guesser | None = None
        self.names.english = self.english

    def __init__(self, vocabulary: Vocabulary, tongue: str = "") -> None:
        self.names = Names(vocabulary, tongue)
        language = vocabulary.language
        self.patterns = tuple(patterns_of(_map(language.get("rules"))))
        self.cues = PhraseBook()
        for pattern in self.patterns:
            for phrase in pattern.words:
                self.cues.add(self.names.keys(phrase), Sense(pattern.kind, pattern.value))
        degrees = _map(language.get("degrees"))
        self.strength = {str(k): float(v) for k, v in _map(degrees.get("strength")).items()}
        self.marks = {str(k): str(v) for k, v in _map(degrees.get("marks")).items()}
        self.marks_longest = tuple(sorted(self.marks, key=len, reverse=True))
        self.small = self._words("small")
        self.fillers = self._words("filler")
        self.ordinary = frozenset(
            key
            for words in _map(language.get("ordinary")).values()
            for w in (words if isinstance(words, list) else ())
            for key in self.names.keys(str(w))
        )
        self._attributes(vocabulary)
        self._descriptors(vocabulary)
        self.misheard = self._misheard(_map(language.get("mishearings")), vocabulary)
        self.composed = self._composed()
        self.english = _english()
        self.__post_init__()
        self._weighed = lambda: plain(_map(language.get("weights")))

    def ready(self, weighed: Callable[[], Mapping[str, Any]] | None = None) -> Lexicon:
        """This lexicon with its repair of misspelt words switched on, and `weighed` to fetch the judge's weights when
        they are first needed (functions cannot be remembered)."""
        self.names.repair, self._weighed = self._repair, weighed or self._weighed
        return self

    @property
    def weights(self) -> Mapping[str, Any]:
        """What the judge weighs by: question to answer to feature to weight."""
        if self._weights is None:
            self._weights = self._weighed()
        return self._weights

    @weights.setter
    def weights(self, weights: Mapping[str, Any]) -> None:
        self._weights = weights

    def _repair(self, word: str) -> tuple[str, str] | None:
        return self.guesser().single(word)

    def guesser(self) -> Guesser:
        """What compares unknown words with names; made when first needed."""
        if self._guesser is None:
            self._guesser = Guesser(self.names)
        return self._guesser

    def _words(self, kind: str) -> frozenset[str]:
        """The single words of a kind of pattern, as compared."""
        listed = [self.names.keys(w) for p in self.patterns if p.kind == kind for w in p.words]
        return frozenset(keys[0] for keys in listed if len(keys) == 1)

    def _attributes(self, vocabulary: Vocabulary) -> None:
        self.attribute_levels = {a.id: a.levels for a in vocabulary.attributes.values()}
        self.beside = {}
        for a in vocabulary.attributes.values():
            book = self.beside[a.id] = PhraseBook()
            for word, step in a.beside.items():
                book.add(self.names.keys(word), Sense("beside", str(step)))

    def _descriptors(self, vocabulary: Vocabulary) -> None:
        self.two_faced_words = frozenset(" ".join(self.names.keys(t.word)) for t in vocabulary.two_faced.values())
        self.two_faced = frozenset(t.flavour for t in vocabulary.two_faced.values())
        self.levels_of = {d.id: d.level for d in vocabulary.descriptors.values()}
        self.retired = frozenset(d.id for d in vocabulary.descriptors.values() if d.use_instead)
        self.prints = {d.id: d.print for d in vocabulary.descriptors.values()}
        self.things = {d.id: d.thing or d.id for d in vocabulary.descriptors.values() if d.thing or d.level == "thing"}
        self.form_of = {d.id: d.form for d in vocabulary.descriptors.values() if d.form}
        self.forms = dict(vocabulary.forms)
        self.kin = {d.id: d.kin for d in vocabulary.descriptors.values() if d.kin}
        self.spans = {d.id: d.span for d in vocabulary.descriptors.values() if d.span}

    def _misheard(self, data: Mapping[str, Any], vocabulary: Vocabulary) -> PhraseBook:
        short = {id.rsplit("/", 1)[-1]: id for id in vocabulary.descriptors if not id.startswith("reach/")}
        book, listed = PhraseBook(), []
        for phrase, rule in data.items():
            means = str(rule.get("means", ""))
            target = means if means in vocabulary.descriptors else short.get(means)
            if target:
                keys = tuple(self.names.keys(str(phrase)))
                book.add(keys, Sense(FLAVOUR, target, "heard"))
                listed.append((keys, target))
        self.names.add_mistaken(vocabulary, listed)
        return book

    def _composed(self) -> dict[str, tuple[tuple[tuple[str, ...], str], ...]]:
        made: dict[str, list[tuple[tuple[str, ...], str]]] = defaultdict(list)
        for path, senses in self.names.book:
            sense = flavour_sense(senses)
            if sense and sense.detail == "word" and 2 <= len(path) <= 4:
                made[path[0]].append((tuple(path), sense.value))
        return {word: tuple(names) for word, names in made.items()}


def open_lexicon(folder: Path | None = None, house: Path | None = None, tongue: str = "") -> Lexicon:
    """The compiled language of a vocabulary, remembered by content between runs.

    `tongue` is the language tag ("es-MX") whose names have the first say; the vocabulary's first language if left out.
    Raises `VocabularyError` where the vocabulary does not speak it.
    """
    vocabulary = open_vocabulary(folder, house)
    if tongue and tongue not in vocabulary.languages and tongue.split("-")[0] not in vocabulary.languages:
        raise VocabularyError(f"speaks no {tongue!r}", mend=f"use one of {', '.join(vocabulary.languages)}")
    shared = content_digest(default_folder()) if folder else ""  # patterns and weights a folder may not have itself
    key = f"{vocabulary.hash}\0{shared}\0{folder}\0{house}"
    kinds = (*KINDS_KEPT, Lexicon)
    lexicon = remembered(f"lexicon\0{key}\0{tongue}", Lexicon, lambda: Lexicon(vocabulary, tongue), kinds)
    weights = vocabulary.language.get("weights") or {}
    return lexicon.ready(lambda: remembered(f"weights\0{key}", dict, lambda: plain(weights)))


def plain(value: Any) -> Any:
    """Weights as plain mappings of floats, wherever they were read from."""
    return {str(k): plain(v) for k, v in value.items()} if isinstance(value, Mapping) else float(value)


def _english(count: int = 30000) -> frozenset[str]:
    """The commonest English words: what is among them is never taken for a misspelt flavour."""
    from wordfreq import top_n_list

    return frozenset(w for w in top_n_list("en", count) if w.isalpha())


def _map(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
