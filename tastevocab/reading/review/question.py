"""One question for a person: why an item is asked about, what it may be, and what choosing it does to the counts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from types import MappingProxyType
from typing import Literal

from tastevocab.reading.records import AttributeFinding, Crossing, Finding, Reading, SetAside, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.report.signs import told_signs
from tastevocab.reading.review.company import Effect, People
from tastevocab.reading.review.context import Key, Texts, heard_around, target_of
from tastevocab.reading.review.details import time_of
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.lookup import flavour_sense
from tastevocab.vocabulary.model import TwoFaced, Vocabulary

Kind = Literal["asked", "which coffee", "not known", "sound", "spelling", "guess", "two-faced", "set aside", "counted"]
CANDIDATES = 3
SURE_GUESS = 0.25  # certainty at which a taster only guesses
SURE_SPELLING = 0.9  # a repaired spelling nearer than this is taken without asking


@dataclass(frozen=True, slots=True)
class Candidate:
    """What an item may be: a descriptor, its printed name, how near it is (0..1, None where it is no matter of
    likeness), what choosing it does to the count of people, whether it is found or denied, and of which `coffee`, where
    that is asked."""

    descriptor: str
    print: str
    match: float | None
    effect: Effect
    fault: bool = False
    present: bool = True
    coffee: str | None = None


@dataclass(frozen=True, slots=True)
class Ask:
    """One question for a person: the item, why it is asked, the words around it, up to three candidates, what
    rejecting it does to the count (None where it counts nobody), and the signs of its judgement in words."""

    sheet: int
    key: Key
    item: Item
    kind: Kind
    why: str
    before: str
    after: str
    candidates: tuple[Candidate, ...]
    question: str = ""
    rejected: Effect | None = None
    signs: str = ""


class Desk:
    """What questions need of a vocabulary: its names, its two-faced words with their questions, and its `attributes`'
    printed names by id."""

    def __init__(
        self, lexicon: Lexicon, two_faced: Iterable[TwoFaced] = (), attributes: Mapping[str, str] = MappingProxyType({})
    ) -> None:
        self.lexicon, self.attributes = lexicon, attributes
        self.two_faced = [(tuple(lexicon.names.keys(t.word)), t) for t in two_faced]

    def asked_as(self, item: Finding) -> TwoFaced | None:
        """The two-faced word that a finding was made from, if it was; what another language says for the flavour
        ("terroso") is asked as its first language's word."""
        words = self.lexicon.names.keys(item.spot.words)
        for keys, pair in self.two_faced:
            if pair.flavour == item.descriptor and (set(keys) <= set(words) or self._abroad(words, keys, item)):
                return pair
        return None

    def _abroad(self, words: Sequence[str], keys: Sequence[str], item: Finding) -> bool:
        """Whether `words` name the flavour in another language than the two-faced word `keys` does."""
        book = self.lexicon.names.book
        said, own = (flavour_sense(book.exact(tuple(some))) for some in (words, keys))
        if said is None or own is None or said.value != item.descriptor:
            return False
        return said.detail not in ("heard", own.detail)


def desk_of(vocabulary: Vocabulary, lexicon: Lexicon) -> Desk:
    """What questions need, of a vocabulary and its lexicon."""
    attributes = {a.id: a.print for a in vocabulary.attributes.values()}
    return Desk(lexicon, vocabulary.two_faced.values(), attributes)


def reason(item: Item, desk: Desk, *, set_asides: bool = False, firm: bool = False) -> tuple[Kind, str] | None:
    """Why an item is a question, as its kind and a sentence; None where it is none."""
    if isinstance(item, Unresolved):
        return "not known", "no word of the vocabulary"
    if isinstance(item, SetAside):
        return ("set aside", f"set aside: {item.reason}") if set_asides else None
    found = _doubt(item, desk) if isinstance(item, Finding) else None
    if item.crossing:
        return "which coffee", f"counted for nobody yet: of which coffee? {_turned(item.crossing)}"
    if item.asked:
        kind = found[0] if found and found[0] == "two-faced" else "asked"
        beside = f" ({found[1]})" if found else ""
        return kind, f"counted for nobody yet ({percent(item.sure)} sure): {_either(item, desk)}{beside}"
    return found or (("counted", "counted as it stands") if firm else None)


def _turned(crossing: Crossing) -> str:
    """Where the talk begins that may be of another coffee."""
    return f"“{crossing.words}”" if crossing.at is None else f"“{crossing.words}” at {time_of(crossing.at)}"


def _doubt(f: Finding, desk: Desk) -> tuple[Kind, str] | None:
    """What is unsure about a finding besides whether it counts."""
    if f.present and f.two_faced and desk.asked_as(f):
        return "two-faced", "a flavour or a fault; only the taster knows"
    if f.via in ("sound", "heard"):
        return "sound", "taken by its sound"
    if f.via == "spelling" and f.match < SURE_SPELLING:
        return "spelling", "taken for a misspelling"
    if f.present and f.certainty <= SURE_GUESS:
        return "guess", "the taster guessed"
    return None


def _either(item: Finding | AttributeFinding, desk: Desk) -> str:
    if isinstance(item, AttributeFinding):
        return f"{desk.attributes.get(item.attribute, item.attribute)}: {item.level}, or not said of it?"
    name = desk.lexicon.prints.get(item.descriptor, item.descriptor)
    return f"{name}, {'found or denied' if item.present else 'denied or found'}?"


def percent(sure: float) -> str:
    """How sure, for people."""
    return f"{100 * sure:.0f} %"


def unsure(reading: Reading, desk: Desk) -> Iterator[tuple[Finding, Kind, str]]:
    """The counted findings of a reading that are questions, with kind and reason, in file order."""
    for item in in_file_order(reading):
        found = reason(item, desk)
        if found and isinstance(item, Finding) and not item.asked:
            yield item, *found


# --- what it asks ---


def asking(number: int, key: Key, item: Item, why: tuple[Kind, str], texts: Texts, desk: Desk, people: People) -> Ask:
    """The question about an item of sheet `number`, asked for a reason (`why`, as `reason` gives it)."""
    pair = desk.asked_as(item) if isinstance(item, Finding) and why[0] == "two-faced" else None
    before, after = heard_around(item.spot, texts)
    prints, faults = desk.lexicon.prints, desk.lexicon.names.faults
    made = tuple(
        Candidate(id, prints.get(id, id), match, people.with_item(id, item, present), id in faults, present)
        for id, match, present in islice(_candidates(item, why[0], pair, desk), CANDIDATES)
    )
    if why[0] == "which coffee" and isinstance(item, (Finding, AttributeFinding)):
        made = tuple(islice(_of_coffees(item, desk, people), CANDIDATES))
    question = pair.ask if pair else ""
    return Ask(number, key, item, why[0], why[1], before, after, made, question, people.without_item(item), _why(item))


def _why(item: Item) -> str:
    """What spoke for a judgement and what against, where a person can still turn it."""
    return "" if isinstance(item, Unresolved) else told_signs(item.signs)


def _of_coffees(item: Finding | AttributeFinding, desk: Desk, people: People) -> Iterator[Candidate]:
    """An item as it would be of each coffee: first the one taken to be in hand, then the other it may be of."""
    id = getattr(item, "descriptor", "")
    name = desk.lexicon.prints.get(id, id) if id else desk.attributes.get(str(target_of(item)), str(target_of(item)))
    other = item.crossing.other if item.crossing else None
    poured = (c.id for c in people.company.table.coffees)
    for coffee in dict.fromkeys(c for c in (item.spot.coffee, other, *poured) if c):
        there = replace(item, spot=replace(item.spot, coffee=coffee))
        effect = people.with_item(id, there, item.present)
        print = f"{name}, of {people.company.called(coffee)}"
        yield Candidate(id, print, None, effect, id in desk.lexicon.names.faults, item.present, coffee)


def _candidates(item: Item, kind: Kind, pair: TwoFaced | None, desk: Desk) -> Iterator[tuple[str, float | None, bool]]:
    """What an item may be, likeliest first: what it was read as, then what its words are like, then its kin.

    Of what is asked as a whole, the second is the opposite: denied where it was read as found.
    """
    if isinstance(item, Unresolved):
        yield from ((s.descriptor, s.match, True) for s in item.suggestions)
        return
    if not isinstance(item, (Finding, SetAside)) or item.descriptor is None:
        return
    seen = {item.descriptor}
    present = not isinstance(item, Finding) or item.present
    yield item.descriptor, item.match if isinstance(item, Finding) and item.via != "word" else None, present
    if pair:
        seen.add(pair.fault)
        yield pair.fault, None, True
    if kind in ("asked", "counted"):
        yield item.descriptor, None, not present
    if isinstance(item, Finding) and item.via != "word":
        for id, match in desk.lexicon.guesser().nearest(item.spot.words):
            if id not in seen:
                seen.add(id)
                yield id, match, present
    for id in desk.lexicon.kin.get(item.descriptor, ()):
        if id not in seen:
            yield id, None, present
