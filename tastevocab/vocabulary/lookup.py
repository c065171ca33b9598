"""Names to descriptors: one phrase book for look-up and reading, so that both always agree.

`Names` holds the compiled names of a vocabulary; `compose.pieces` cuts a run of words into descriptors by it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

from tastevocab.vocabulary.mistaken import mistaken_names
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.phrases import PhraseBook, Sense, joined_forms
from tastevocab.vocabulary.things import heads as heads_of
from tastevocab.vocabulary.tongues import Quality, base_of, order_of, ordinary_in, qualities_of, tongue_of
from tastevocab.vocabulary.words import bare_words, canonical, everyday, fold, romance, roots

# Memory must stay flat in the length of what is read.
MEMO_SIZE = 200_000
FLAVOUR, ATTRIBUTE, QUALITY = "flavour", "attribute", "quality"
_ADJECTIVE = ("y", "al", "ed", "ish")
_PLURALS = ("oes", "aes")
_NOUNS = ("berry", "cherry", "honey", "jelly", "spicy", "brandy", "candy")


class Key(NamedTuple):
    """One word as compared.

    `own` is its canonical form, `name` the form looked up among names, `other` the thing it is an adjective of where
    its own form leads nowhere, `mark` how it was derived ("ish", "forward", "y", "spelling" or "").
    """

    own: str
    name: str
    other: str
    mark: str


class Memo(dict[str, Key]):
    """Words already analysed; a new one is analysed when first asked for."""

    def __init__(self, names: Names) -> None:
        super().__init__()
        self.names = names

    def __missing__(self, word: str) -> Key:
        found = self.names.analyse(word)
        if len(self) < MEMO_SIZE:
            self[word] = found
        return found


class States(NamedTuple):
    """The composing rules of a vocabulary, as data (see `states.yaml`)."""

    book: PhraseBook
    forms: frozenset[str]
    kinds: PhraseBook
    links: frozenset[str]
    pair_heads: tuple[str, ...]
    also_attribute: frozenset[str]
    also_flavour: frozenset[str]
    not_on: tuple[str, ...]
    pair_never: tuple[str, ...]
    pair_keeps: frozenset[str]
    pair_forms: tuple[tuple[str, str], ...]
    heads: PhraseBook
    before: PhraseBook
    of: frozenset[str]
    openers: PhraseBook
    tails: frozenset[str]
    part_links: frozenset[str]
    parts_of: frozenset[str]
    describing: frozenset[str]
    amounts: frozenset[str]
    changing: frozenset[str]
    doing: frozenset[str]
    souring: frozenset[str]
    souring_on: tuple[str, ...]
    asides: PhraseBook
    unfinished: frozenset[str]
    vessels: frozenset[str]
    holders: frozenset[str]
    denying: frozenset[str]

    def form_of(self, head: str) -> str:
        """The form that a head gives to what is named before it ("sorbet": frozen), "" where it gives none."""
        return next((form for beginning, form in self.pair_forms if head.startswith(beginning)), "")


@dataclass(init=False, eq=False)
class Names:
    """A vocabulary's names compiled for look-up. Its fields are plain data, remembered between runs."""

    spellings: dict[str, str]
    joins: tuple[str, ...]
    book: PhraseBook
    parts: dict[str, tuple[str, ...]]
    prints: dict[str, tuple[str, ...]]
    faults: set[str]
    foreign: frozenset[str]
    stops: frozenset[str]
    states: States
    ignored: set[tuple[str, ...]]
    inflects: bool

    def __init__(self, vocabulary: Vocabulary, *tongues: str) -> None:
        """`tongues` are the language tags ("es-MX") whose names have the first say, in their order."""
        spellings = vocabulary.language.get("spellings") or {}
        self.spellings = {canonical(a, {}): canonical(b, {}) for a, b in _mapping(spellings, "variants").items()}
        self.joins = tuple(canonical(j, {}) for j in _list(spellings, "joins"))
        self.book = PhraseBook()
        self.__post_init__()
        order = order_of(vocabulary.languages, tongues)
        mine = base_of(order[0])
        first = mine == vocabulary.languages[0]  # the others inflect, each by its own words
        self.inflects = not first
        inflected = [t for t in vocabulary.languages[1:] if first or base_of(t) == mine]
        self.foreign = self._words_of(vocabulary, inflected)
        self.stops = frozenset(k for w in ordinary_in(tongue_of(vocabulary, mine)) for k in self.keys(w))
        self._add_descriptors(vocabulary, order)
        qualities = tuple(qualities_of(vocabulary, mine))
        if self.inflects:  # "amarguito", "secas"
            said = (w for q in qualities for w in (*q.words, *q.names))
            self.foreign |= frozenset(key for word in said for key in self.keys(word))
        self._add_attributes(qualities)
        self._add_two_faced(vocabulary)
        self.states = self._states(vocabulary)
        self.ignored = {tuple(self.keys(w)) for w in vocabulary.ignored}

    def __post_init__(self) -> None:
        """What is worked out anew in every run."""
        self.memo = Memo(self)
        self.common: frozenset[str] = frozenset()
        self.rare: frozenset[str] = frozenset()
        self.repair: Callable[[str], tuple[str, str] | None] | None = None

    def key(self, word: str) -> Key:
        """How `word` (as typed) is compared; remembered."""
        return self.memo[word]

    def keys(self, phrase: str) -> list[str]:
        """The canonical words of a phrase."""
        words = bare_words(phrase)
        return list(map(self.spellings.get, words, words))

    def analyse(self, word: str) -> Key:
        """How `word` is compared, worked out anew."""
        own = canonical(word, self.spellings)
        if self.inflects and fold(word).endswith(_PLURALS) and (plain := next(self.romance_forms(word), "")):
            return Key(plain, plain, "", "")  # "limões" is no plural of the English kind
        known = own in self.book.words
        if len(own) < 4 or not own.isalpha() or (known and self.book.exact((own,))):
            return Key(own, own, "", self._adjective(word, own))
        for root, mark in roots(fold(word).replace("'", "")):
            name = canonical(root, self.spellings)
            if len(name) > 2 and name != own and name in self.book.root and self._can_derive(name, mark):
                mark = "y" if mark in ("", "er", "ly") else mark
                return Key(own, own, name, mark) if known else Key(own, name, "", mark)
        if own in self.stops:
            return Key(own, own, "", "")
        own_way = self.inflects or fold(word) not in self.common  # "dates" are no form of a Spanish "dato"
        other = next(self.romance_forms(word), "") if own_way else ""
        if known:
            return Key(own, own, other if self.book.exact((other,)) else "", "")
        if other:
            return Key(own, other, "", "")
        if self.repair and len(own) > 4 and own not in self.common and fold(word) not in self.common:
            repaired = self.repair(own)
            if repaired:
                return Key(own, repaired[0], "", repaired[1])
        return Key(own, own, "", "")

    def romance_forms(self, word: str) -> Iterator[str]:
        """The Spanish and Portuguese words of names that `word` may be the plural or feminine of, as compared."""
        for root in romance(fold(word)):
            name = canonical(root, self.spellings)
            if len(root) > 1 and name in self.foreign:
                yield name

    def _adjective(self, word: str, own: str) -> str:
        """ "y" for a broad word as an adjective ("chocolatey", "floral"): it never pairs with the noun after it."""
        sense = flavour_sense(self.book.exact((own,)))
        broad = sense is not None and sense.value.startswith("reach/")
        if broad and fold(word).endswith(_ADJECTIVE) and not fold(word).endswith(_NOUNS):
            return "y"
        return ""

    def _can_derive(self, name: str, mark: str) -> bool:
        """Flavours make "-y" words, qualities comparatives ("brighter"); a "roaster" is no roast."""
        senses = self.book.exact((name,))
        flavour = any(s.kind == FLAVOUR and s.detail != "heard" for s in senses)
        quality = any(s.kind == ATTRIBUTE for s in senses)
        return quality if mark == "er" else flavour if mark == "ly" else flavour or quality

    def _add_descriptors(self, vocabulary: Vocabulary, order: Sequence[str]) -> None:
        known = vocabulary.descriptors.values()
        self.parts = {d.id: d.parts for d in known if d.parts}
        self.faults = {d.id for d in known if d.fault}
        self.prints = {d.id: tuple(self.keys(d.print)) for d in known}
        for d in known:
            for word in d.words.get(order[0], ()):
                self._add(word, Sense(FLAVOUR, d.use_instead or d.id, "word"))
        if not self.inflects:  # what is heard for a name, before names of other languages
            self._add_heard(vocabulary)
        for language in order[1:]:  # the first language has the first say ("pomelo")
            self._add_names(vocabulary, language, base_of(order[0]))
        if self.inflects:
            self._add_heard(vocabulary)
        for d in sorted(known, key=lambda d: -d.id.count("/")):
            compound = d.level == "family" and (" and " in d.print or "," in d.print)
            if d.level != "category" and not compound and self._is_free(d.print):
                self._add(d.print, Sense(FLAVOUR, d.use_instead or d.id, "word"))

    def _add_names(self, vocabulary: Vocabulary, language: str, own: str) -> None:
        """The names in one language that mean nothing yet; of another language than `own` none that is an everyday word
        of it ("pay", "pan")."""
        mine = base_of(language) == own
        detail, usual = ("word", frozenset()) if mine else (language, everyday(own))
        for d in vocabulary.descriptors.values():
            for word in d.words.get(language, ()):
                if fold(word) in usual:
                    continue
                if self._is_free(word) or (detail == "word" and not flavour_sense(self.book.exact(self.keys(word)))):
                    self._add(word, Sense(FLAVOUR, d.use_instead or d.id, detail))

    def _is_free(self, phrase: str) -> bool:
        """Whether a name of another language means nothing here yet: no flavour, nor an ordinary word ("la", "hay")."""
        keys = self.keys(phrase)
        return not flavour_sense(self.book.exact(keys)) and not (len(keys) == 1 and keys[0] in self.stops)

    def _add_heard(self, vocabulary: Vocabulary) -> None:
        for d in vocabulary.descriptors.values():
            for word in d.heard if not self.inflects else filter(self._is_free, d.heard):
                self._add(word, Sense(FLAVOUR, d.use_instead or d.id, "heard"))
        heard = [(tuple(self.keys(h)), d.id) for d in vocabulary.descriptors.values() for h in d.heard]
        self.add_mistaken(vocabulary, heard)

    def _words_of(self, vocabulary: Vocabulary, languages: Sequence[str]) -> frozenset[str]:
        """Every single word, as compared, of the names in some languages."""
        listed = [d.words.get(tag, ()) for d in vocabulary.descriptors.values() for tag in languages]
        return frozenset(key for words in listed for word in words for key in self.keys(word))

    def add_mistaken(self, vocabulary: Vocabulary, heard: Iterable[tuple[tuple[str, ...], str]]) -> None:
        """List the longer names in which a mis-heard word may stand (see `mistaken_names`)."""
        for words, id in mistaken_names(vocabulary, self.keys, heard):
            if not self.book.exact(words):
                self.book.add(words, Sense(FLAVOUR, id, "heard"))

    def _add(self, phrase: str, sense: Sense) -> None:
        keys = self.keys(phrase)
        self.book.add(keys, sense)
        if not any(map(self._may_join, keys)):
            return
        for form in joined_forms(keys, self.joins):
            if not self.book.exact(form):
                self.book.add(form, sense)

    def _may_join(self, key: str) -> bool:
        return key.endswith(self.joins)

    def _add_attributes(self, qualities: Iterable[Quality]) -> None:
        for q in qualities:
            for word, step in q.words.items():
                self._add(word, Sense(ATTRIBUTE, q.id, str(step)))
            for word in q.names:
                self._add(word, Sense(QUALITY, q.id))

    def _add_two_faced(self, vocabulary: Vocabulary) -> None:
        """A two-faced word that no descriptor lists still books its flavour side."""
        for t in vocabulary.two_faced.values():
            if not self.book.exact(self.keys(t.word)):
                self._add(t.word, Sense(FLAVOUR, t.flavour, "word"))

    def _states(self, vocabulary: Vocabulary) -> States:
        data = vocabulary.language.get("states") or {}
        book, kinds = PhraseBook(), PhraseBook()
        for state, words in _mapping(data, "states").items():
            for word in words:
                book.add(self.keys(word), Sense("state", state))
        for word in _list(data, "kinds"):
            kinds.add(self.keys(word), Sense("kind", word))

        def one(name: str) -> frozenset[str]:
            return frozenset(k for w in _list(data, name) for k in self.keys(w))

        heads = tuple(_list(data, "pair_heads"))
        never = tuple(_list(data, "pair_never"))
        shelves = tuple(_list(data, "pair_keeps"))
        known = vocabulary.descriptors.values()
        keeps = frozenset(
            d.id
            for d in known
            if d.thing or d.level == "thing" or f"{d.id}/".startswith(shelves) or f"{d.home}/".startswith(shelves)
        )
        head_words, before, openers = PhraseBook(), PhraseBook(), PhraseBook()
        for word in _list(data, "openers"):
            openers.add(self.keys(word), Sense("opener", word))
        asides = PhraseBook()
        for word in _list(data, "asides"):
            asides.add(self.keys(word), Sense("aside", word))
        for name, form in vocabulary.forms.items():
            for word in form.words:
                head_words.add(self.keys(word), Sense("form", name))
            for word in form.before:
                before.add(self.keys(word), Sense("form", name))
        # The longest head first: "ice lolly" is frozen, other sweets are candy.
        forms = tuple(sorted(heads_of(vocabulary.forms).items(), key=lambda h: (-len(h[0]), h[0])))
        return States(
            book, one("forms"), kinds, one("links"), heads, one("also_attribute"), one("also_flavour"),
            tuple(_list(data, "not_on")), never, keeps, forms, head_words, before, one("of"), openers,
            one("tails"), one("part_links"), one("parts_of"),
            one("describing"), one("amounts"), one("changing"), one("doing"),
            one("souring"), tuple(_list(data, "souring_on")), asides, one("unfinished"),
            one("vessels"), one("holders"), one("denying"),
        )  # fmt: skip


def _mapping(data: Any, key: str) -> Mapping[str, Any]:
    value = data.get(key) if isinstance(data, Mapping) else None
    return value if isinstance(value, Mapping) else {}


def _list(data: Any, key: str) -> Sequence[str]:
    value = data.get(key) if isinstance(data, Mapping) else None
    return [str(v) for v in value] if isinstance(value, list) else []


@lru_cache(maxsize=16_384)
def flavour_sense(senses: tuple[Sense, ...]) -> Sense | None:
    """The flavour among senses: a listed word before a mis-hearing."""
    found = [s for s in senses if s.kind == FLAVOUR]
    return min(found, key=lambda s: s.detail == "heard") if found else None
