"""What may not be printed and why, how each claim may be worded, and words that need a second look."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material
from tastevocab.feature.setting import how
from tastevocab.feature.wording import Wording
from tastevocab.panel.faults import HOLD
from tastevocab.panel.flavour_map import Node
from tastevocab.panel.rungs import quorum
from tastevocab.panel.spans import Spans
from tastevocab.vocabulary.model import Vocabulary

MOST_BELOW = 40
"""Words below quorum that are listed one by one; the rest is counted."""


@dataclass(frozen=True, slots=True)
class Barred:
    """A word that is not to be printed as the panel's, with the reason."""

    what: str
    reason: str


@dataclass(frozen=True, slots=True)
class ClaimWording:
    """One claim of the roaster's: its state, the panel's answer and how it may be printed. `found` says how many found
    it in the printed serving alone."""

    claim: str
    state: str
    people: int
    of: int
    found: int
    wording: str
    printing: str


@dataclass(frozen=True, slots=True)
class Flag:
    """A word to look at before printing: `kind` allergen, unfamiliar or put off; `allergens` in plain words."""

    kind: str
    word: str
    text: str
    allergens: tuple[str, ...] = ()


def claim_wordings(material: Material, wording: Wording) -> tuple[ClaimWording, ...]:
    """The claims, weighed over everything tasted of the coffee before the reveal, with how each may be printed."""
    at_page = {c.claim: c.people for c in material.page.claims}
    made = []
    for c in material.whole.claims:
        found = at_page.get(c.claim, 0)
        kind: str = c.state
        if c.state == "met":
            kind = "few" if c.people < quorum(c.of) else "met" if found >= quorum(c.of) else "elsewhere"
        where = wording.listed([how(r, wording) for r in material.maps if (c.descriptor or "") in r.map.by_id])
        people = wording.counted(c.people, c.of)
        printing = wording.say(f"claims.{kind}", claim=c.claim, people=people, where=where)
        made.append(ClaimWording(c.claim, c.state, c.people, c.of, found, c.wording, printing))
    return tuple(made)


def not_to_print(material: Material, wording: Wording) -> tuple[Barred, ...]:
    """Every word that fell and must not be printed as the panel's: faults first."""
    found = [
        *_faults(material, wording),
        *_two_faced(material, wording),
        *_below(material, wording),
        *_claimed(material, wording),
        *_denied(material, wording),
        *_elsewhere(material, wording),
        *_beside(material, wording),
        *_banned(material, wording),
        *_unresolved(material, wording),
    ]
    seen: dict[str, Barred] = {}
    for barred in found:
        seen.setdefault(barred.what.casefold(), barred)
    return tuple(seen.values())


def _faults(material: Material, wording: Wording) -> Iterator[Barred]:
    for fault in material.whole.faults:
        reason = wording.say("not_to_print.fault")
        yield Barred(fault.print, f"{HOLD}; {reason}" if fault.hold else reason)


def _two_faced(material: Material, wording: Wording) -> Iterator[Barred]:
    for q in material.whole.questions:
        who = wording.listed(q.tasters)
        yield Barred(" ".join(q.word.split()), wording.say("not_to_print.two_faced", who=who, ask=q.ask))


def _below(material: Material, wording: Wording) -> Iterator[Barred]:
    """Words people said in the printed serving that did not become a printed word, most people first."""
    page, spans = material.page, material.tools.spans
    of = len(page.map.tasters)
    printed = {r.descriptor for r in page.ladder.rungs}
    below: list[tuple[Node, str]] = []
    for node in page.map.nodes:
        over = next((r.print for r in page.ladder.rungs if node.descriptor in spans.supports[r.descriptor]), "")
        if node.named and node.descriptor not in printed and not (node.people >= quorum(of) and over):
            below.append((node, over))
    below.sort(key=lambda pair: -pair[0].people)
    for node, over in below[:MOST_BELOW]:
        inside = wording.say("not_to_print.inside", rung=over) if over else ""
        counted = wording.counted(node.people, of)
        yield Barred(node.print, wording.say("not_to_print.below", counted=counted, quorum=quorum(of), inside=inside))
    if len(below) > MOST_BELOW:
        what = wording.say("not_to_print.further", count=len(below) - MOST_BELOW)
        yield Barred(what, wording.say("not_to_print.in_table"))


def _denied(material: Material, wording: Wording) -> Iterator[Barred]:
    for d in material.whole.map.denied:
        if d.descriptor not in material.whole.map.by_id:
            people = wording.counted(len(d.tasters), len(material.whole.map.tasters))
            yield Barred(d.print, wording.say("not_to_print.denied", people=people))


def _elsewhere(material: Material, wording: Wording) -> Iterator[Barred]:
    """Words at quorum in another brew or moment that the printed serving does not have."""
    here = {r.descriptor for r in material.page.ladder.rungs} | {n.descriptor for n in material.page.map.nodes}
    where: dict[str, list[str]] = {}
    for report in material.maps:
        for rung in report.ladder.rungs:
            if rung.descriptor not in here:
                where.setdefault(rung.descriptor, []).append(how(report, wording))
    for id, places in where.items():
        yield Barred(material.label(id), wording.say("not_to_print.elsewhere", where=wording.listed(places)))


def _beside(material: Material, wording: Wording) -> Iterator[Barred]:
    counted = {n.descriptor for n in material.whole.map.nodes}
    standings: dict[str, list[str]] = {}
    for f in material.whole.evidence.values():
        if f.present and not f.fault and f.standing != "own" and f.descriptor not in counted:
            standings.setdefault(f.descriptor, []).append(f.standing)
    for id, found in standings.items():
        ways = wording.listed([str(wording.at("beside")[s]) for s in dict.fromkeys(found)])
        yield Barred(material.label(id), wording.say("not_to_print.beside", how=ways))


def _claimed(material: Material, wording: Wording) -> Iterator[Barred]:
    for c in material.whole.claims:
        if c.state == "silent":
            yield Barred(c.claim, wording.say("not_to_print.claim_silent"))
        elif c.state == "denied":
            people = wording.counted(c.denials, c.of)
            yield Barred(c.claim, wording.say("not_to_print.claim_denied", people=people))


def _banned(material: Material, wording: Wording) -> Iterator[Barred]:
    """Statements that taste cannot show, in the roaster's claims and the coffee's own lines."""
    coffee = material.coffee
    texts = [*coffee.claims, *coffee.more.values()]
    for about, words in wording.at("banned").items():
        for word in words:
            for text in texts:
                if re.search(rf"\b{re.escape(str(word))}\b", text, re.IGNORECASE):
                    yield Barred(text, wording.say("not_to_print.banned", about=about))


def _unresolved(material: Material, wording: Wording) -> Iterator[Barred]:
    for u in material.gathered.unresolved:
        yield Barred(" ".join(u.spot.words.split()), wording.say("not_to_print.unresolved"))


# --- words to look at twice ---


def sounds_like(id: str, vocabulary: Vocabulary, spans: Spans) -> tuple[str, ...]:
    """The allergens a word sounds like: those of its own kitchen reference, or for a broad word those that
    at least half of the notes it covers share."""
    d = vocabulary.descriptors[id]
    if d.reference and d.reference.allergens:
        return d.reference.allergens
    counts: dict[str, int] = {}
    leaves = spans.leaves.get(id, frozenset()) - {id}
    for leaf in leaves:
        reference = vocabulary.descriptors[leaf].reference
        for allergen in reference.allergens if reference else ():
            counts[allergen] = counts.get(allergen, 0) + 1
    return tuple(sorted(a for a, count in counts.items() if 2 * count >= len(leaves)))


def flags(material: Material, used: Sequence[tuple[str, str]], style: HouseStyle, wording: Wording) -> tuple[Flag, ...]:
    """What to look at before printing, for the words `used`: pairs of id ("" where unknown) and the word itself."""
    vocabulary, spans = material.tools.vocabulary, material.tools.spans
    helps = {**wording.at("unfamiliar"), **style.not_known}
    put_off = {str(w).casefold() for w in (*wording.at("put_off"), *style.put_off)}
    made: dict[tuple[str, str], Flag] = {}
    for id, word in used:
        allergens = sounds_like(id, vocabulary, spans) if id else ()
        if allergens:
            text = wording.say("flags.allergen", word=word, allergens=wording.listed(allergens))
            made.setdefault(("allergen", word), Flag("allergen", word, text, allergens))
        for strange, help in helps.items():
            if re.search(rf"\b{re.escape(str(strange))}s?\b", word, re.IGNORECASE):
                text = wording.say("flags.unfamiliar", word=word, help=help)
                made.setdefault(("unfamiliar", word), Flag("unfamiliar", word, text))
        if any(re.search(rf"\b{re.escape(w)}\b", word, re.IGNORECASE) for w in put_off):
            made.setdefault(("put off", word), Flag("put off", word, wording.say("flags.put_off", word=word)))
    return tuple(made[key] for key in sorted(made, key=lambda k: ("allergen", "unfamiliar", "put off").index(k[0])))
