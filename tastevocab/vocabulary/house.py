"""A shop's own words, laid over a vocabulary without editing it.

A house file is YAML; every part of it may be left out:

    house: corner-bar                  # its name, added to the vocabulary's version ("1.0+corner-bar")
    notes:                             # new notes, each under a family that is there; the rest as in a category file
      slatterberry:
        under: dark_berries
        print: slatterberry
        about: A small dark berry of hedges, sharper than bilberry.
        words: {en: [slatterberry, slatterberries]}
    words:                             # other names for what is there, by language
      lychee: {en: [chinese cherry]}
    heard:                             # mis-hearings and misspellings of what is there
      lychee: [lee chi]
    print: {perfumed_tropical: scented fruit}    # labels this shop prints instead
    ignore: [house blend]              # phrases that are never a flavour here
    two_faced:                         # what a two-faced word means here: flavour, fault, or its own pair and question
      earthy: flavour
    base_rates:                        # how often this house's tasters name each descriptor (`archive rates` makes it)
      citrus_crate/lemon_lime/lemon: 0.11
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from tastevocab.errors import Place, VocabularyError
from tastevocab.vocabulary.draft import (
    Draft,
    descriptor,
    entries_of,
    mapping_of,
    names_of,
    text_of,
    two_faced,
    words_of,
)
from tastevocab.vocabulary.model import Descriptor, TwoFaced
from tastevocab.vocabulary.rules import Facts
from tastevocab.vocabulary.sources import Lines, parse_yaml, read_yaml
from tastevocab.vocabulary.things import with_things

HOUSE_KEYS = {"house", "notes", "words", "heard", "print", "ignore", "two_faced", "base_rates"}
SIDES = ("flavour", "fault")


@dataclass(slots=True)
class House:
    """What a house file says. References are as written; `draft` collects what is wrong with the file itself."""

    draft: Draft
    name: str = ""
    notes: list[tuple[str, Lines]] = field(default_factory=list)
    words: list[tuple[str, str, str, Place]] = field(default_factory=list)
    heard: list[tuple[str, str, Place]] = field(default_factory=list)
    labels: list[tuple[str, str, Place]] = field(default_factory=list)
    ignored: tuple[str, ...] = ()
    sides: list[tuple[str, str, Place]] = field(default_factory=list)
    two_faced: list[TwoFaced] = field(default_factory=list)
    base_rates: list[tuple[str, object, Place]] = field(default_factory=list)


def read_house(path: Path) -> House:
    """A house file's parts; structural faults are kept in its draft.

    Raises `VocabularyError` where the file is missing or no readable YAML.
    """
    return _house(read_yaml(path), os.fspath(path))


def parse_house(text: str, file: str) -> House:
    """As `read_house`, from a string; `file` is the name used in errors."""
    return _house(parse_yaml(text, file), file)


def _house(top: object, file: str) -> House:
    house = House(Draft())
    if top is None:
        return house
    if not isinstance(top, Lines):
        raise VocabularyError("should hold a mapping", place=Place(file, 1), mend="write `notes:`, `words:` and so on")
    draft = house.draft
    draft.know_keys(top, HOUSE_KEYS)
    house.name = text_of(draft, top, "house")
    house.notes = list(entries_of(draft, mapping_of(draft, top, "notes")))
    named = mapping_of(draft, top, "words")
    for name in named:
        for language, words in words_of(draft, named, name).items():
            house.words.extend((name, language, word, named.place(name)) for word in words)
    heard = mapping_of(draft, top, "heard")
    house.heard = [(name, word, heard.place(name)) for name in heard for word in names_of(draft, heard, name)]
    labels = mapping_of(draft, top, "print")
    house.labels = [(name, text_of(draft, labels, name), labels.place(name)) for name in labels]
    house.ignored = names_of(draft, top, "ignore")
    _read_sides(house, mapping_of(draft, top, "two_faced"))
    rates = mapping_of(draft, top, "base_rates")
    house.base_rates = [(str(name), rate, rates.place(name)) for name, rate in rates.items()]
    return house


def _read_sides(house: House, given: Lines) -> None:
    for word, value in given.items():
        if isinstance(value, Lines):
            house.two_faced.append(two_faced(house.draft, str(word), value))
        elif value in SIDES:
            house.sides.append((str(word), str(value), given.place(word)))
        else:
            what = f"{word!r} is decided as {value!r}"
            house.draft.fault(given.place(word), what, "write flavour, fault, or {flavour: id, fault: id, ask: ...}")


# --- over a vocabulary ---


def lay_house(draft: Draft, path: Path) -> Draft:
    """The draft with the house file at `path` laid over it (see `lay_over`)."""
    return lay_over(draft, read_house(path))


def lay_over(draft: Draft, house: House) -> Draft:
    """A new draft: `draft` with the notes, names, labels and decisions of `house`; neither is changed.

    What points at nothing is noted in the new draft's `problems`; whether the whole still keeps the rules is for
    `check.check` to say.
    """
    laid = replace(
        draft,
        version=f"{draft.version}+{house.name}" if house.name else draft.version,
        problems=[*draft.problems, *house.draft.problems],
        odd_keys=[*draft.odd_keys, *house.draft.odd_keys],
        places=dict(draft.places),
        ignored=(*draft.ignored, *house.ignored),
    )
    facts = Facts(draft)
    laid.descriptors = with_things([*draft.descriptors, *_new_notes(laid, facts, house)])
    _add_names(laid, house)
    _decide_two_faced(laid, house)
    if house.base_rates:
        laid.language = {**draft.language, "base_rates": {"rates": _rates(laid, house)}}
    return laid


def _new_notes(laid: Draft, facts: Facts, house: House) -> Iterator[Descriptor]:
    for name, entry in house.notes:
        under = text_of(laid, entry, "under")
        if not under:
            laid.fault(entry.place(), f"house note {name!r} has no family", "write `under:` with a family's id")
            continue
        family = facts.target(under)
        home = family.id if family else under
        note = Lines(entry.file, entry.line)
        note.update({key: value for key, value in entry.items() if key != "under"})
        note.lines = entry.lines
        made = descriptor(laid, f"{home}/{name}", "note", home, note, fault=bool(family and family.fault))
        laid.places[made.id, "home"] = entry.place("under")
        yield made


def _add_names(laid: Draft, house: House) -> None:
    """Other names, mis-hearings and labels, each for a descriptor of the base or of the house itself."""
    facts = Facts(laid)
    changed: dict[str, Descriptor] = {}

    def target(name: str, place: Place) -> Descriptor | None:
        found = facts.target(name)
        if found is None:
            laid.fault(place, f"{name!r} is no one descriptor", "use an id that `vocab tree` shows", "unknown-house-id")
            return None
        return changed.get(found.id, found)

    for name, language, word, place in house.words:
        if d := target(name, place):
            words = {**d.words, language: (*d.words.get(language, ()), word)}
            changed[d.id] = replace(d, words=words)
            laid.places[d.id, f"word {word}"] = place
    for name, word, place in house.heard:
        if d := target(name, place):
            changed[d.id] = replace(d, heard=(*d.heard, word))
            laid.places[d.id, f"word {word}"] = place
    for name, label, place in house.labels:
        if d := target(name, place):
            changed[d.id] = replace(d, print=label)
    laid.descriptors = [changed.get(d.id, d) for d in laid.descriptors]


def _rates(laid: Draft, house: House) -> dict[str, float]:
    """How often each descriptor is named in this house, by id: they take the place of the vocabulary's own."""
    facts = Facts(laid)
    rates: dict[str, float] = {}
    for name, given, place in house.base_rates:
        found = facts.target(name)
        rate = share_of(given)
        if found is None:
            laid.fault(place, f"{name!r} is no one descriptor", "use an id that `vocab tree` shows", "unknown-house-id")
        elif rate is None:
            laid.fault(place, f"the rate of {name!r} is {given!r}", "write a share above 0 and at most 1, like 0.08")
        else:
            rates[found.id] = rate
    return rates


def share_of(given: object) -> float | None:
    """A share above 0 and at most 1 as YAML gives it; None for anything else."""
    try:
        share = float(str(given))
    except ValueError:
        return None
    return share if 0 < share <= 1 else None


def _decide_two_faced(laid: Draft, house: House) -> None:
    """A decided word belongs to the chosen side alone; a word with a pair of its own replaces the base's pair."""
    own = {t.word for t in house.two_faced}
    laid.two_faced = [*(t for t in laid.two_faced if t.word not in own), *house.two_faced]
    for word, side, place in house.sides:
        pair = next((t for t in laid.two_faced if t.word == word), None)
        if pair is None:
            mend = "give it a pair: {flavour: id, fault: id, ask: ...}"
            laid.fault(place, f"{word!r} is no two-faced word", mend, "unknown-house-id")
            continue
        laid.two_faced = [t for t in laid.two_faced if t is not pair]
        chosen = Facts(laid).target(pair.flavour if side == "flavour" else pair.fault)
        if chosen is not None:
            laid.descriptors = list(_only_at(laid, word, chosen.id))
            laid.places[chosen.id, f"word {word}"] = place


def _only_at(laid: Draft, word: str, id: str) -> Iterator[Descriptor]:
    """The descriptors, `word` listed by the one with `id` and by no other."""
    facts, language = Facts(laid), laid.languages[0]
    form = facts.same_form(word)
    for d in laid.descriptors:
        listed = d.words.get(language, ())
        kept = tuple(w for w in listed if facts.same_form(w) != form)
        if d.id == id:
            yield d if len(kept) < len(listed) else replace(d, words={**d.words, language: (*listed, word)})
        else:
            yield d if len(kept) == len(listed) else replace(d, words={**d.words, language: kept})
