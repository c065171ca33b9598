"""The language of tasting talk, compiled: a vocabulary's names and its patterns as phrase books."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from tastevocab.errors import VocabularyError
from tastevocab.reading.words.looks import Looks, language_of, looks_of
from tastevocab.reading.words.patterns import Pattern, patterns_of
from tastevocab.vocabulary.cache import KINDS, open_vocabulary, remembered
from tastevocab.vocabulary.folder import content_digest, default_folder
from tastevocab.vocabulary.guess import Guesser
from tastevocab.vocabulary.lookup import FLAVOUR, Names, States, flavour_sense
from tastevocab.vocabulary.model import Descriptor, Form, Vocabulary
from tastevocab.vocabulary.phrases import PhraseBook, Sense
from tastevocab.vocabulary.tongues import base_of, part, qualities_of, said_in, tongue_of
from tastevocab.vocabulary.words import fold, split_words

KINDS_KEPT = (*KINDS, Sense, PhraseBook, States, Names, Pattern, Looks)
# Zipf frequency, the logarithm of uses in a thousand million words (wordfreq knows none rarer than 1).
RARE = 1.0
DEGREES = ("barely", "weak", "moderate", "strong", "very strong")


@dataclass(init=False, eq=False)
class Lexicon:
    """Everything reading needs of a vocabulary; its fields are plain data, remembered between runs.

    `cues` holds the patterns' words by kind, `misheard` what captions write for a flavour, `composed` the names of
    several words by each of their words, `strength` the number of each degree on the Labelled Magnitude Scale.
    `tongues` are the language tags that were told, `language` is the one it reads ("es"), `alike` its small words and
    phrases by the word of the first language that stands where they do ("con": "with"). `looks` tells languages apart,
    `said` is what the table calls a descriptor,
    `called` all that the first language calls it. Patterns `turned` stand after a quality and not before it, as in the
    first language; `afterthoughts` name the patterns whose work one does where it ends the name's clause (`bind.py`).
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
    called: dict[str, tuple[str, ...]]
    said: dict[str, str]
    things: dict[str, str]
    form_of: dict[str, str]
    forms: dict[str, Form]
    kin: dict[str, tuple[str, ...]]
    spans: dict[str, tuple[str, ...]]
    misheard: PhraseBook
    composed: dict[str, tuple[tuple[tuple[str, ...], str], ...]]
    common: frozenset[str]
    rare: frozenset[str]
    tongues: tuple[str, ...]
    language: str
    alike: dict[str, str]
    looks: Looks
    turned: frozenset[str]
    afterthoughts: dict[str, tuple[str, ...]]

    def __post_init__(self) -> None:
        """What is worked out anew in every run, when it is first needed."""
        self._weighed: Callable[[], Mapping[str, Any]] = dict
        self._guesser: Guesser | None = None
        self._sisters: Callable[[tuple[str, ...]], Lexicon] = lambda tongues: self
        self.names.common, self.names.rare = self.common, self.rare

    def __init__(self, vocabulary: Vocabulary, *tongues: str) -> None:
        self.tongues = tongues
        self.language = base_of(tongues[0]) if tongues else vocabulary.languages[0]
        self.names = Names(vocabulary, *tongues)
        language, own = vocabulary.language, tongue_of(vocabulary, self.language)
        self.patterns = tuple(patterns_of(part(own, "rules") or _map(language.get("rules"))))
        self.cues = PhraseBook()
        for pattern in self.patterns:
            for phrase in pattern.words:
                self.cues.add(self.names.keys(phrase), Sense(pattern.kind, pattern.value))
        degrees = _map(language.get("degrees"))
        self.strength = {str(k): float(v) for k, v in _map(degrees.get("strength")).items()}
        self.marks = {str(k): str(v) for k, v in _map(degrees.get("marks")).items()}
        self.marks_longest = tuple(sorted(self.marks, key=len, reverse=True))
        alike = part(own, "small").items()
        self.alike = {k: self.names.keys(str(like))[0] for word, like in alike for k in self.names.keys(str(word))}
        self.turned = frozenset(map(str, own.get("turned") or ()))
        self.afterthoughts = {str(k): tuple(v) for k, v in part(own, "afterthoughts").items()}
        self.small = self._words("small") | frozenset(self.alike)
        for kind, like in part(own, "stand_for").items():
            for pattern in (p for p in self.patterns if p.kind == kind):
                for phrase in pattern.words:
                    self.alike.setdefault(" ".join(self.names.keys(phrase)), str(like))
        self.fillers = self._words("filler")
        self.ordinary = frozenset(
            key
            for words in (part(own, "ordinary") or _map(language.get("ordinary"))).values()
            for w in (words if isinstance(words, list) else ())
            for key in self.names.keys(str(w))
        )
        self._attributes(vocabulary)
        self._descriptors(vocabulary)
        self.misheard = self._misheard(_map(language.get("mishearings")), vocabulary)
        self.composed = self._composed()
        self.common = frozenset(w for tag in dict.fromkeys((self.language, "en")) for w in _common(tag))
        self.rare = self._rare(vocabulary)
        self.looks = looks_of(vocabulary)
        self.__post_init__()
        self._weighed = lambda: plain(_map(language.get("weights")))

    def ready(
        self,
        weighed: Callable[[], Mapping[str, Any]] | None = None,
        sisters: Callable[[tuple[str, ...]], Lexicon] | None = None,
    ) -> Lexicon:
        """This lexicon with its repair of misspelt words switched on, `weighed` to fetch the judge's weights and
        `sisters` that of other languages when they are first needed (functions cannot be remembered)."""
        self.names.repair, self._weighed = self._repair, weighed or self._weighed
        self._sisters = sisters or self._sisters
        return self

    def told(self, tongues: tuple[str, ...]) -> Lexicon:
        """The lexicon of a table of which these language tags were told (itself where none were)."""
        return self if not tongues or tongues == self.tongues else self._sisters(tongues)

    def of(self, language: str) -> Lexicon:
        """The lexicon that reads what is written in `language` at the same table: its told region has the first say."""
        if language == self.language:
            return self
        mine = [tag for tag in self.tongues if base_of(tag) == language] or [language]
        return self._sisters((*mine, *(tag for tag in self.tongues if tag not in mine)))

    def reading(self, text: str) -> Lexicon:
        """The lexicon of the language that `text` looks like (see `looks.py`)."""
        return self.of(language_of(text, self.looks, self.language))

    @cached_property
    def weights(self) -> Mapping[str, Any]:
        """What the judge weighs by: question to answer to feature to weight."""
        return self._weighed()

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
        self.beside = {id: PhraseBook() for id in self.attribute_levels}
        for q in qualities_of(vocabulary, self.language):
            for word, step in q.beside.items():
                self.beside[q.id].add(self.names.keys(word), Sense("beside", str(step)))

    def _descriptors(self, vocabulary: Vocabulary) -> None:
        self.two_faced_words = frozenset(" ".join(self.names.keys(t.word)) for t in vocabulary.two_faced.values())
        self.two_faced = frozenset(t.flavour for t in vocabulary.two_faced.values())
        self.levels_of = {d.id: d.level for d in vocabulary.descriptors.values()}
        self.retired = frozenset(d.id for d in vocabulary.descriptors.values() if d.use_instead)
        self.prints = {d.id: d.print for d in vocabulary.descriptors.values()}
        first = vocabulary.languages[0]
        self.called = {d.id: called(d, first) for d in vocabulary.descriptors.values()}
        said = {d.id: said_in(d, self.tongues) for d in vocabulary.descriptors.values()}
        self.said = {id: name for id, name in said.items() if name}
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

    @cached_property
    def worded(self) -> dict[str, tuple[frozenset[str], ...]]:
        """The names of several words that each descriptor has, each as its words."""
        made: dict[str, list[frozenset[str]]] = defaultdict(list)
        for names in self.composed.values():
            for path, descriptor in names:
                made[descriptor].append(frozenset(path))
        return {descriptor: tuple(names) for descriptor, names in made.items()}

    def _rare(self, vocabulary: Vocabulary) -> frozenset[str]:
        """Words of names that English hardly knows: what is misspelt is something else."""
        from wordfreq import zipf_frequency

        first = vocabulary.languages[0]
        if self.language != first:
            return frozenset()
        words = {
            w for d in vocabulary.descriptors.values() for name in d.words.get(first, ()) for w in split_words(name)
        }
        known = {word: zipf_frequency(word, "en") >= RARE for word in words}
        common = {key for word, is_known in known.items() if is_known for key in self.names.keys(word)}
        return frozenset(key for word in known for key in self.names.keys(word)) - common


def open_lexicon(folder: Path | None = None, house: Path | None = None, *tongues: str) -> Lexicon:
    """The compiled language of a vocabulary, remembered by content between runs.

    `tongues` are the language tags ("es-MX") of a table: the first is the language where a text does not show its own,
    and their names have the first say. Without any it is the vocabulary's first language.
    Raises `VocabularyError` where the vocabulary does not speak one.
    """
    digest = content_digest(folder or default_folder(), *([house] if house else []))
    shared = content_digest(default_folder()) if folder else ""  # patterns and weights a folder may not have itself
    key = f"{digest}\0{shared}\0{folder}\0{house}"
    kinds = (*KINDS_KEPT, Lexicon)

    @cache
    def vocabulary() -> Vocabulary:
        """Opened only where its lexicon is not remembered, or a language is asked for."""
        return open_vocabulary(folder, house)

    @cache
    def weighed() -> dict[str, Any]:
        return remembered(f"weights\0{key}", dict, lambda: plain(vocabulary().language.get("weights") or {}))

    @cache
    def opened(tongues: tuple[str, ...]) -> Lexicon:
        spoken = vocabulary().languages if tongues else ()
        for tag in tongues:
            if tag not in spoken and base_of(tag) not in spoken:
                raise VocabularyError(f"speaks no {tag!r}", mend=f"use one of {', '.join(spoken)}")
        name = f"lexicon\0{key}\0{','.join(tongues)}"
        made = remembered(name, Lexicon, lambda: Lexicon(vocabulary(), *tongues), kinds)
        return made.ready(weighed, opened)

    told = tuple(tag for tag in tongues if tag)
    return opened(() if told and told == vocabulary().languages[:1] else told)  # English told is English untold


def called(descriptor: Descriptor, language: str) -> tuple[str, ...]:
    """What a descriptor is called in a language, its printed name first."""
    return tuple(dict.fromkeys((descriptor.print, *descriptor.words.get(language, ()))))


def plain(value: Any) -> Any:
    """Weights as plain mappings of floats, wherever they were read from."""
    return {str(k): plain(v) for k, v in value.items()} if isinstance(value, Mapping) else float(value)


@cache
def _common(language: str, count: int = 30000) -> frozenset[str]:
    """The commonest words of a language: what is among them is never taken for a misspelt flavour."""
    from wordfreq import top_n_list

    return frozenset(fold(w) for w in top_n_list(language, count) if w.isalpha())


def _map(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
