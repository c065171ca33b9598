"""Which level of detail to print: the quorum, the rung, and what it leans towards.

The rule: of all rungs at quorum the narrowest (fewest notes in its span); a wider one only if it adds at least two
people, a thing over its own forms if it adds one; a word without a home ("fruity") and the root never. Nothing at
quorum: print nothing, the panel did not converge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tastevocab.panel.flavour_map import FlavourMap, Node
from tastevocab.panel.folding import Booleans, Folded, found_by
from tastevocab.panel.spans import Spans, in_text
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.things import forms_told


@dataclass(frozen=True, slots=True)
class Rung:
    """A word that may be printed: `people` of `of`, the family it leans to (or None) and the sentence of why.

    `print` is as it stands in a line of words: a category's name begins small. `chance` (0..1) is how often tables
    that say as many words at random have as many people on it, `chance_quorum` how often they reach quorum; None where
    no base rates are known (see `chance.py`). `came` says in which form a thing was found ("mostly as jam"), "" where
    none leads.
    """

    descriptor: str
    print: str
    level: str
    people: int
    of: int
    notes: int
    denials: int
    leaning: str | None
    leaning_people: int
    label: str
    why: str
    chance: float | None = None
    chance_quorum: float | None = None
    came: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One row of the ladder: a rung that was weighed, and what became of it."""

    descriptor: str
    print: str
    level: str
    people: int
    of: int
    notes: int
    chosen: bool
    verdict: str


@dataclass(frozen=True, slots=True)
class Ladder:
    """All rungs with at least two people, narrowest first, and those chosen."""

    steps: tuple[Step, ...]
    rungs: tuple[Rung, ...]
    verdict: str


def climb(map: FlavourMap, spans: Spans) -> Ladder:
    """Weigh every rung of the map by the rule above.

    A taster is one person however often the word fell. A wider rung replaces the narrower ones it contains (at least
    half of their span) only if it adds two people to all of them together, a thing its own forms if it adds one. Beside
    a thing some of whose forms it holds it stands only if it reaches quorum without them.
    """
    need, of = quorum(len(map.tasters)), len(map.tasters)
    weighed = sorted((n for n in map.by_id.values() if n.people >= 2), key=lambda n: _narrow_first(n, spans))
    at_quorum = [n for n in weighed if n.people >= need and can_be_rung(n.descriptor, spans)]
    found = found_by(map.folded, spans, [n.descriptor for n in at_quorum])
    chosen, why = _choose(at_quorum, found, map.folded, spans)
    rungs = tuple(_rung(n, map, spans, why[n.descriptor]) for n in at_quorum if n.descriptor in chosen)
    steps = tuple(_step(n, of, spans, need, chosen, why) for n in weighed)
    return Ladder(
        steps, tuple(sorted(rungs, key=lambda r: _strongest_first(r, map, spans))), _verdict(map, rungs, need)
    )


def chosen_ids(folded: Folded, spans: Spans, ids: Sequence[str]) -> frozenset[str]:
    """The rungs chosen out of `ids` for a panel (used to leave one taster out): no sentences, only the answer."""
    found = found_by(folded, spans, ids)
    people = found.sum(axis=0)
    need = quorum(len(folded.tasters))
    keep = [i for i, id in enumerate(ids) if people[i] >= need]
    order = sorted(keep, key=lambda i: (spans.size(ids[i]), -int(people[i]), spans.order[ids[i]]))
    sets = {ids[i]: found[:, i] for i in order}
    return frozenset(_select([ids[i] for i in order], sets, folded, spans)[0])


def can_be_rung(id: str, spans: Spans) -> bool:
    """False for a reach word without a home: it says no more than that there is something."""
    return not spans.descriptor(id).crosses or bool(spans.parent(id))


def chance_agreement(rate: float, tasters: int) -> float:
    """The chance (0..1) that two or more of `tasters` agree on a word each throws in on a share `rate` of coffees."""
    return float(1 - (1 - rate) ** tasters - tasters * rate * (1 - rate) ** (tasters - 1))


def _narrow_first(node: Node, spans: Spans) -> tuple[int, int, int]:
    return spans.size(node.descriptor), -node.people, spans.order[node.descriptor]


def _strongest_first(rung: Rung, map: FlavourMap, spans: Spans) -> tuple[int, float, int]:
    return -rung.people, -map.by_id[rung.descriptor].weight, spans.order[rung.descriptor]


def _choose(nodes: Sequence[Node], found: Booleans, folded: Folded, spans: Spans) -> tuple[set[str], dict[str, str]]:
    sets = {n.descriptor: found[:, i] for i, n in enumerate(nodes)}
    chosen, story = _select([n.descriptor for n in nodes], sets, folded, spans)
    prints = {n.descriptor: in_text(n.descriptor, n.print) for n in nodes}
    why = {}
    for id, (kind, inside, added) in story.items():
        names = " and ".join(prints[i] for i in inside)
        thing = spans.descriptor(id).level == "thing"
        more = f"{added} {'people' if added > 1 else 'person'}"
        why[id] = {
            "first": "the narrowest at quorum",
            "wider": f"all its forms: {more} more" if thing else f"wider than {names}, but adds {more}",
            "passed": f"wider than {names} and adds {'only one person' if added else 'nobody'}",
            "beside": f"{f'only {added}' if added else 'nobody'} found it otherwise than by {names}",
        }[kind]
    return chosen, why


def _select(
    ids: Sequence[str], sets: Mapping[str, Booleans], folded: Folded, spans: Spans
) -> tuple[set[str], dict[str, tuple[str, list[str], int]]]:
    """Walk from narrow to wide; each either starts a rung, takes over from those it contains, or is passed."""
    chosen: dict[str, None] = {}
    story: dict[str, tuple[str, list[str], int]] = {}
    for id in ids:
        inside = [other for other in chosen if spans.contains(id, other) or _leans_on(folded, spans, other, id)]
        crossing = [other for other in chosen if spans.overlaps(id, other)]
        if crossing and not inside:
            left = folded.count(_without(folded, spans, id, crossing))
            if left < quorum(len(folded.tasters)):
                story[id] = ("beside", crossing, left)
                continue
        if not inside:
            chosen[id] = None
            story[id] = ("first", [], 0)
            continue
        already = np.logical_or.reduce([sets[other] for other in inside])
        added = folded.count(sets[id] & ~already)
        # A thing says as much as its forms do, for the form is told beside it.
        thing = spans.descriptor(id).level == "thing"
        enough = 1 if thing and not any(_without(folded, spans, other, [id]).any() for other in inside) else 2
        story[id] = ("wider" if added >= enough else "passed", inside, added)
        if added >= enough:
            for other in inside:
                del chosen[other]
            chosen[id] = None
    return set(chosen), story


def _leans_on(folded: Folded, spans: Spans, wide: str, thing: str) -> bool:
    """Whether a shelf with some forms of a thing is below quorum without them."""
    if spans.descriptor(thing).level != "thing" or not spans.leaves[wide] & spans.leaves[thing]:
        return False
    return folded.count(_without(folded, spans, wide, [thing])) < quorum(len(folded.tasters))


def _without(folded: Folded, spans: Spans, id: str, things: Sequence[str]) -> Booleans:
    """Who found `id` by something that is none of `things`."""
    support = spans.supports[id].difference(*(spans.supports[thing] for thing in things))
    wanted = np.array([d in support for d in folded.descriptors], dtype=bool)
    found = np.zeros(folded.rows, dtype=bool)
    found[folded.taster[wanted[folded.descriptor]]] = True
    return found


def forms_found(node: Node, map: FlavourMap) -> dict[str, int]:
    """Of a thing: each form that was found, with its people, most first."""
    people = map.forms.get(node.descriptor, {})
    return dict(sorted(people.items(), key=lambda form: (-form[1], form[0])))


def _rung(node: Node, map: FlavourMap, spans: Spans, reason: str) -> Rung:
    of = len(map.tasters)
    leaning = _leaning(node, map, spans)
    word = in_text(node.descriptor, node.print)
    label = word
    size = spans.size(node.descriptor)
    sentence = (
        f"{node.people} of {of} taster{'s' if of != 1 else ''}, span {size} note{'s' if size != 1 else ''}: {reason}"
    )
    forms = forms_found(node, map)
    came = forms_told(spans.vocabulary, forms, node.people)
    if came:
        label += f", {came}"
    if forms:
        listed = ", ".join(f"{form or 'other'} {people}" for form, people in forms.items())
        sentence += f"; in the forms {listed}" if len(forms) > 1 else f"; {listed}"
    if leaning:
        family, people = leaning
        label += f", leaning {_short(family.print, word)}"
        sentence += f"; leans to {in_text(family.descriptor, family.print)} ({people} of {of})"
    if node.denials:
        sentence += f"; {node.denials} said no"
    return Rung(
        descriptor=node.descriptor,
        print=word,
        level=node.level,
        people=node.people,
        of=of,
        notes=size,
        denials=node.denials,
        leaning=leaning[0].descriptor if leaning else None,
        leaning_people=leaning[1] if leaning else 0,
        label=label,
        why=sentence + ".",
        came=came,
    )


def _leaning(node: Node, map: FlavourMap, spans: Spans) -> tuple[Node, int] | None:
    """The biggest family inside (at least half of it in the span) with two people or more."""
    if node.level not in ("reach", "category"):
        return None
    inside = [
        n
        for n in map.nodes
        if n.level == "family"
        and n.people >= 2
        and spans.size(n.descriptor) < spans.size(node.descriptor)
        and spans.contains(node.descriptor, n.descriptor)
    ]
    best = min(inside, key=lambda n: (-n.people, -n.weight, spans.order[n.descriptor]), default=None)
    return (best, best.people) if best else None


def _short(family: str, rung: str) -> str:
    """The family's words without those already printed, where its last word repeats the rung's: "dried" of fruit."""
    words, printed = family.split(), rung.split()
    if words[-1] != printed[-1]:
        return family
    return " ".join(w for w in words if w not in printed) or family


def _step(node: Node, of: int, spans: Spans, need: int, chosen: set[str], why: Mapping[str, str]) -> Step:
    if node.people < need:
        verdict = "exactly half is no majority" if 2 * node.people == of else "below quorum"
    elif node.descriptor not in why:
        verdict = "never printed: it names no place"
    elif node.descriptor in chosen or " and adds " in why[node.descriptor] or " otherwise " in why[node.descriptor]:
        verdict = why[node.descriptor]
    else:
        verdict = "a wider word stands for more people"
    return Step(
        node.descriptor,
        node.print,
        node.level,
        node.people,
        of,
        spans.size(node.descriptor),
        node.descriptor in chosen,
        verdict,
    )


def _verdict(map: FlavourMap, rungs: Sequence[Rung], need: int) -> str:
    of = len(map.tasters)
    if rungs:
        return f"{len(rungs)} word{'s' if len(rungs) > 1 else ''} at quorum ({need} of {of})."
    if of < 2:
        return "No quorum is possible with fewer than two tasters: print nothing as the panel's."
    return f"The panel did not converge: no word reached {need} of {of}. Print nothing as the panel's."
