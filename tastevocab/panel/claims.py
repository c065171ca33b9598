"""What the roaster says against what the panel found: met, near, silent or denied, with the wording that is honest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from tastevocab.panel.flavour_map import FlavourMap, Node
from tastevocab.panel.rungs import forms_found
from tastevocab.panel.spans import Spans, in_text
from tastevocab.reading.records import Finding
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.model import CROSSING, Vocabulary
from tastevocab.vocabulary.things import bare_thing, forms_told

State = Literal["met", "near", "silent", "denied", "unknown"]

Finder = Callable[[str], str | None]


@dataclass(frozen=True, slots=True)
class Claim:
    """One claimed word. `descriptor` is what it means (None: not in the vocabulary), `people` of `of` found it,
    `denials` said no. `near` are the descriptors found that are near it, each with why and with its people.
    """

    claim: str
    descriptor: str | None
    state: State
    people: int
    of: int
    denials: int
    near: tuple[tuple[str, str, int], ...]
    wording: str


def weigh_claims(
    claims: Sequence[str], map: FlavourMap, spans: Spans, find: Finder, findings: Sequence[Finding] = ()
) -> tuple[Claim, ...]:
    """Each claim's state: met (the same note, any form of a thing claimed by its bare word, or inside what a broad
    claim spans), denied (nobody found it and someone tasted for it and said no), near (kin, the same family, or a broad
    word that spans it), silent (nobody).

    `find` turns a word into a descriptor's id. `findings` of the serving set add the denials given to a question.
    """
    return tuple(_weigh(claim, find(claim), map, spans, findings) for claim in claims)


def exact_finder(names: Names, vocabulary: Vocabulary) -> Finder:
    """Look claimed words up as the reading does: by listed names and the composing rules; None where unknown."""

    def find(words: str) -> str | None:
        if words in vocabulary.descriptors:
            return words
        known = whole(names, words)
        return known.descriptor if known else None

    return find


def _weigh(claim: str, id: str | None, map: FlavourMap, spans: Spans, findings: Sequence[Finding]) -> Claim:
    of = len(map.tasters)
    if id is None or id not in spans.order:
        return Claim(claim, id, "unknown", 0, of, 0, (), f"{claim}: not in the vocabulary; nothing can be said of it.")
    thing = bare_thing(spans.vocabulary, id)  # "strawberry" is met by its jam
    claimed, id = id, thing.id if thing else id
    node = map.by_id.get(id)
    people = node.people if node else 0
    denials = len(_deniers(id, map, spans, findings) | _deniers(claimed, map, spans, findings))
    near = () if people else _near(claimed, map, spans)
    state: State = "met" if people else "denied" if denials else "near" if near else "silent"
    came = forms_told(spans.vocabulary, forms_found(node, map), people) if node else ""
    made = Claim(claim, claimed, state, people, of, denials, near, "")
    return replace(made, wording=_wording(made, came, spans))


def _deniers(id: str, map: FlavourMap, spans: Spans, findings: Sequence[Finding]) -> set[str]:
    """Tasters who said no to it, to what it hangs from, or to a broad word over it."""
    panel = set(map.tasters)
    return {
        f.spot.speaker
        for f in findings
        if not f.present
        and f.standing in ("own", "led")
        and f.spot.speaker in panel
        and f.descriptor in spans.supports
        and id in spans.supports[f.descriptor]
    } | {t for d in map.denied if id in spans.supports[d.descriptor] for t in d.tasters}


def _near(id: str, map: FlavourMap, spans: Spans) -> tuple[tuple[str, str, int], ...]:
    """What was found and is near a claim, nearest reason first."""
    claimed = spans.descriptor(id)
    found: dict[str, tuple[str, str, int]] = {}
    for node in map.nodes:
        why = _reason(id, node, spans, set(claimed.kin))
        if why and node.named:
            found[node.descriptor] = (node.descriptor, why, node.people)
    ranked = sorted(found.values(), key=lambda n: (_REASONS.index(n[1]), -n[2], spans.order[n[0]]))
    return tuple(ranked)


_REASONS = (
    "the same thing in another form",
    "kin",
    "part of it",
    "it as a part",
    "a word for its family",
    "same family",
    "a broad word over it",
)


def _reason(id: str, node: Node, spans: Spans, kin: set[str]) -> str:
    other, claimed = spans.descriptor(node.descriptor), spans.descriptor(id)
    if claimed.thing and claimed.thing == other.thing:
        return "the same thing in another form"
    if node.descriptor in kin or id in other.kin:
        return "kin"
    if node.descriptor in claimed.parts:
        return "part of it"
    if id in other.parts:
        return "it as a part"
    if node.level == "family" and node.descriptor == spans.parent(id):
        return "a word for its family"
    if claimed.level == "note" and other.level == "note" and spans.parent(id) == spans.parent(node.descriptor):
        return "same family"
    if node.level in CROSSING and (id in spans.supports[node.descriptor] or spans.contains(node.descriptor, id)):
        return "a broad word over it"
    return ""


def _wording(c: Claim, came: str, spans: Spans) -> str:
    """What may be said of a claim; `came` says in which forms it was found, where that is worth saying."""
    claim, people, of, denials = c.claim, c.people, c.of, c.denials
    came = f", {came}" if came else ""
    tasters = "taster" if of == 1 else "tasters"
    against = f"; {denials} said it is not there" if denials else ""
    if c.state == "met":
        if people >= quorum(of):
            return f"{claim}: {people} of {of} {tasters} found it too{came}{against}."
        return (
            f"{claim}: {people} of {of} {tasters} found it{came}, no majority: print it as the roaster's word{against}."
        )
    if c.state == "near":
        words = ", ".join(
            f"{in_text(id, spans.descriptor(id).print)} ({why}, {count} of {of})" for id, why, count in c.near[:3]
        )
        return f"{claim}: nobody found it; near it: {words}. Print it, if at all, as the roaster's word."
    if c.state == "denied":
        return f"{claim}: nobody found it and {denials} of {of} said it is not there: do not print it as tasted."
    return f"{claim}: nobody of {of} found it. Print it, if at all, as the roaster's word."
