"""What may not be printed and why, how each claim may be worded, and words that need a second look."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material
from tastevocab.feature.setting import how
from tastevocab.feature.wording import Wording, as_read
from tastevocab.panel.faults import HOLD
from tastevocab.panel.flavour_map import Node
from tastevocab.panel.spans import Spans
from tastevocab.reading.review.company import quorum
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
    """One claim of the roaster's, weighed over the printed serving: its state, how many found it (`people`, and again
    `found`), the panel's answer and how it may be printed. `elsewhere` says in which other brews it was found."""

    claim: str
    state: str
    people: int
    of: int
    found: int
    elsewhere: str
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
    """The claims, weighed over what is printed, with how each may be printed."""
    made = []
    for c in material.page.claims:
        where = found_elsewhere(c.descriptor or "", material, wording)
        kind: str = "few" if c.state == "met" and c.people < quorum(c.of) else c.state
        if where and c.state in ("near", "silent"):
            kind = "elsewhere"
        people = wording.counted(c.people, c.of)
        printing = wording.say(f"claims.{kind}", claim=c.claim, people=people, where=where)
        made.append(ClaimWording(c.claim, c.state, c.people, c.of, c.people, where, c.wording, printing))
    return tuple(made)


def found_elsewhere(descriptor: str, material: Material, wording: Wording) -> str:
    """The brews beside the printed one in which a descriptor was found, each with its people: "espresso, 3 of 5"."""
    found = []
    for report in material.brews[1:]:
        node = report.map.by_id.get(descriptor)
        if node:
            found.append(f"{how(report, wording)}, {node.people} of {len(report.map.tasters)}")
    return wording.listed(found)


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
        who = wording.listed([as_read(t) for t in q.tasters])
        yield Barred(" ".join(q.word.split()), wording.say("not_to_print.two_faced", who=who, ask=q.ask))


def _below(material: Material, wording: Wording) -> Iterator[Barred]:
    """Words people said in the printed serving that did not become a printed word, most people first."""
    page, spans = material.page, material.tools.spans
    of = len(page.map.tasters)
    printed = {r.descriptor for r in page.ladder.rungs}
    verdicts = {step.descriptor: step.verdict for step in page.ladder.steps}
    below: list[tuple[Node, str]] = []
    for node in page.map.nodes:
        over = next((r.print for r in page.ladder.rungs if node.descriptor in spans.supports[r.descriptor]), "")
        if node.named and node.descriptor not in printed and not (node.people >= quorum(of) and over):
            below.append((node, over))
    below.sort(key=lambda pair: -pair[0].people)
    for node, over in below[:MOST_BELOW]:
        inside = wording.say("not_to_print.inside", rung=over) if over else ""
        values = {"counted": wording.counted(node.people, of), "quorum": quorum(of), "inside": inside}
        kind = "below" if node.people < quorum(of) else "passed"
        verdict = verdicts.get(node.descriptor, "")
        yield Barred(node.print, wording.say(f"not_to_print.{kind}", verdict=verdict, **values))
    if len(below) > MOST_BELOW:
        what = wording.say("not_to_print.further", count=len(below) - MOST_BELOW)
        yield Barred(what, wording.say("not_to_print.in_table"))


def _denied(material: Material, wording: Wording) -> Iterator[Barred]:
    page = material.page.map
    for d in page.denied:
        if d.descriptor not in page.by_id:
            people = wording.counted(len(d.tasters), len(page.tasters))
            yield Barred(d.print, wording.say("not_to_print.denied", people=people))


def _elsewhere(material: Material, wording: Wording) -> Iterator[Barred]:
    """Words at quorum in another brew, or at a moment, that the printed serving does not have."""
    here = {r.descriptor for r in material.page.ladder.rungs} | {n.descriptor for n in material.page.map.nodes}
    where: dict[str, list[str]] = {}
    for report in (*material.brews[1:], *material.maps):
        for rung in report.ladder.rungs:
            if rung.descriptor not in here:
                where.setdefault(rung.descriptor, []).append(how(report, wording))
    for id, places in where.items():
        told = wording.listed(list(dict.fromkeys(places)))
        yield Barred(material.label(id), wording.say("not_to_print.elsewhere", where=told))


def _beside(material: Material, wording: Wording) -> Iterator[Barred]:
    counted = {n.descriptor for n in material.whole.map.nodes}
    standings: dict[str, list[str]] = {}
    for f in material.page.evidence.values():
        if f.present and not f.fault and f.standing != "own" and f.descriptor not in counted:
            standings.setdefault(f.descriptor, []).append(f.standing)
    for id, found in standings.items():
        ways = wording.listed([str(wording.at("beside")[s]) for s in dict.fromkeys(found)])
        yield Barred(material.label(id), wording.say("not_to_print.beside", how=ways))


def _claimed(material: Material, wording: Wording) -> Iterator[Barred]:
    for c in material.page.claims:
        if c.state == "silent" and not found_elsewhere(c.descriptor or "", material, wording):
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
