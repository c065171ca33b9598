"""Two hearings of one recording: what only the one with the house's words has, beside the words of the other.

The plain hearing is the source of everything. Told which words to expect, a recogniser finds them where nobody said
them (so does a person); so a flavour that only that hearing has is written over the plain words, and is asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from tastevocab.captioning.recogniser import Word

NEAR = 1.0
"""Seconds within which plain words are taken for those at which another was heard."""

SHORT, MOST = 3, 6
"""Plain words that are taken as they stand in another's place (of more, those of its time), and at most."""

_LETTERS = re.compile(r"[^\W_]+")

Flavours = Callable[[Sequence[str]], Iterable[tuple[int, int, str]]]
"""From words to the flavours they name: words [start, end) and an id."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Plain words [start, end) at which the hearing with the house's words has `heard`, which names a flavour."""

    start: int
    end: int
    heard: str


@dataclass(frozen=True, slots=True)
class Compared:
    """The offers in order, and the flavours of the biased hearing where the plain one has no words near at all."""

    offers: tuple[Offer, ...]
    nowhere: tuple[str, ...]


def compare(plain: Sequence[Word], biased: Sequence[Word], flavours: Flavours) -> Compared:
    """What the `biased` hearing has of flavours that the `plain` one has not at the same place."""
    by_place = _partners(plain, biased)
    known = list(flavours([w.text for w in plain]))
    offers: list[Offer] = []
    nowhere: list[str] = []
    for start, end, flavour in flavours([w.text for w in biased]):
        if all(by_place[i][0] for i in range(start, end)):
            continue  # the same words were heard plainly
        heard = " ".join(w.text.strip(".,;:!?…") for w in biased[start:end])
        place = _place(plain, biased[start:end], [n for i in range(start, end) for n in by_place[i][1]])
        if place is None:
            nowhere.append(heard)
        elif not any(id == flavour and a < place[1] and place[0] < b for a, b, id in known):
            _put(offers, Offer(*place, heard))
    return Compared(tuple(sorted(offers, key=lambda o: o.start)), tuple(nowhere))


def _partners(plain: Sequence[Word], biased: Sequence[Word]) -> list[tuple[bool, range]]:
    """For every biased word whether it is a plain word too, and the plain words that stand in its place."""
    mine, theirs = [_key(w) for w in plain], [_key(w) for w in biased]
    made: list[tuple[bool, range]] = [(False, range(0))] * len(biased)
    for what, a, b, c, d in SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes():
        for i in range(c, d):
            made[i] = (True, range(a + i - c, a + i - c + 1)) if what == "equal" else (False, range(a, b))
    return made


def _place(plain: Sequence[Word], heard: Sequence[Word], partners: Sequence[int]) -> tuple[int, int] | None:
    """The plain words that biased ones stand over: those in their place and at their time; None for none near."""
    start, end = heard[0].start, heard[-1].end
    over = sorted(set(partners))
    if len(over) > SHORT:
        over = [n for n in over if plain[n].start < end and plain[n].end > start] or over
    if not over:
        near = [n for n, w in enumerate(plain) if w.start < end + NEAR and w.end > start - NEAR]
        if not near:
            return None
        over = [min(near, key=lambda n: abs(plain[n].start + plain[n].end - start - end))]
    return min(over), min(max(over) + 1, min(over) + MOST)


def _put(offers: list[Offer], new: Offer) -> None:
    """Add an offer; where one stands over the same words already, its words join that one's."""
    for i, old in enumerate(offers):
        if old.start < new.end and new.start < old.end:
            offers[i] = Offer(min(old.start, new.start), max(old.end, new.end), f"{old.heard}, {new.heard}")
            return
    offers.append(new)


def _key(word: Word) -> str:
    return "".join(_LETTERS.findall(word.text.casefold()))


def flavours_in(
    words: Sequence[str], mentions: Callable[[str], Iterable[tuple[int, int, str]]]
) -> Iterator[tuple[int, int, str]]:
    """The flavours that `mentions` (characters [start, end) of a text, and an id) finds in words, by words."""
    starts, length = [], 0
    for word in words:
        starts.append(length)
        length += len(word) + 1
    for first, last, id in mentions(" ".join(words)):
        inside = [i for i, at in enumerate(starts) if at < last and at + len(words[i]) > first]
        yield inside[0], inside[-1] + 1, id
