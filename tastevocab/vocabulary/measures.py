"""How near two descriptors are on the vocabulary's tree, and which notes a descriptor covers.

Sources: Resnik P (1995) Using information
content to evaluate semantic similarity in a taxonomy, IJCAI-95:448-453; Lin D (1998) An information-theoretic
definition of similarity, ICML-98:296-304. Plain dictionaries, no graph library: the panel asks thousands of times.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from tastevocab.vocabulary.graph import ROOT
from tastevocab.vocabulary.model import Descriptor, Vocabulary

REMEMBERED = 1 << 17
"""Pairs whose likeness is remembered at most: a panel is told again and again of the same words."""


class TreeMeasures:
    """Measures on the tree of a vocabulary (root, category, family, note).

    `weights` maps ids to counts of their own (any unit, not negative); what hangs below is added up. Without it every
    leaf counts 1. A reach word or thing hangs from its home and has the information of the notes it spans. Every id
    must be in the vocabulary, or be "" for the root; else `KeyError`.
    """

    def __init__(self, vocabulary: Vocabulary, weights: Mapping[str, float] | None = None) -> None:
        self._descriptors = vocabulary.descriptors
        self._children = _children(vocabulary)
        self._up = {id: _ancestry(vocabulary.descriptors, id) for id in vocabulary.descriptors}
        self._up[ROOT] = (ROOT,)
        self._notes = self._notes_below()
        self._spans: dict[str, frozenset[str]] = {}
        self._likeness: dict[tuple[str, str], float] = {}
        self._counts = self._cumulate(weights)
        if not self._counts[ROOT] > 0:
            raise ValueError("weights must hold a count above zero for some descriptor")
        self._information = {
            id: max(0.0, -math.log(count / self._counts[ROOT])) if count > 0 else math.inf
            for id, count in self._counts.items()
        }

    # --- the tree ---

    def ancestors(self, id: str) -> tuple[str, ...]:
        """The ids above `id`, nearest first, without the root."""
        return self._up[id][1:-1]

    def depth(self, id: str) -> int:
        """Nodes from the root down to `id`, both counted (root 1, category 2, family 3, note 4)."""
        return len(self._up[id])

    def lca(self, a: str, b: str) -> str:
        """The lowest node at or above both (the root is "")."""
        above = set(self._up[a])
        return next(id for id in self._up[b] if id in above)

    def distance(self, a: str, b: str) -> int:
        """Steps along the tree from `a` to `b` (0 for the same node)."""
        return self.depth(a) + self.depth(b) - 2 * self.depth(self.lca(a, b))

    def path(self, a: str, b: str) -> float:
        """Path similarity 1 / (1 + steps), above 0 to 1 (Pedersen T et al. 2004, WordNet::Similarity)."""
        return 1 / (1 + self.distance(a, b))

    # --- information ---

    def information(self, id: str) -> float:
        """-ln of the share of all counts at or below `id`, from 0 (the root) up; infinite where nothing counts."""
        return self._information[id]

    def resnik(self, a: str, b: str) -> float:
        """Information of the lowest node above both, from 0 up (1995). See `lin` for reach words."""
        return min(self.information(self._subsumer(a, b)), self.information(a), self.information(b))

    def lin(self, a: str, b: str) -> float:
        """2 IC(lcs) / (IC(a) + IC(b)), 0 (nothing shared) to 1 (the same) (1998).

        A reach word stands above what it spans as well as below its home, so "dark fruit" and a note inside it share
        the whole of "dark fruit". A node without counts is like nothing but itself.
        """
        if a == b:
            return 1.0
        known = self._likeness.get((a, b))
        if known is None:
            if len(self._likeness) >= REMEMBERED:
                self._likeness.clear()
            known = self._likeness[a, b] = self._lin(a, b)
        return known

    def _lin(self, a: str, b: str) -> float:
        total = self.information(a) + self.information(b)
        if total == 0 or math.isinf(total):
            return 0.0
        return 2 * self.resnik(a, b) / total

    def _subsumer(self, a: str, b: str) -> str:
        """The most informative node above both: on the tree, or a reach word that covers the other."""
        best = self.lca(a, b)
        for whole, part in ((a, b), (b, a)):
            if self._is_reach(whole) and self.covers(whole, part) and self.information(whole) > self.information(best):
                best = whole
        return best

    # --- cover ---

    def span_notes(self, id: str) -> frozenset[str]:
        """The notes that a reach word, thing, family, category or note covers; the size tells how broad a word is."""
        if not self._is_reach(id):
            return self._notes[id]
        if id not in self._spans:
            self._spans[id] = self._span(id, frozenset())
        return self._spans[id]

    def covers(self, whole: str, part: str) -> bool:
        """Whether `part` is `whole`, hangs below it, or lies inside what it spans."""
        if whole in self._up[part]:
            return True
        if not self._is_reach(whole):
            return False
        inside = self.span_notes(part)
        if inside:
            return inside <= self.span_notes(whole)
        return any(step in self._up[part] for step in self._descriptors[whole].span)

    # --- made once ---

    def _is_reach(self, id: str) -> bool:
        return id != ROOT and self._descriptors[id].crosses

    def _notes_below(self) -> dict[str, frozenset[str]]:
        found: dict[str, set[str]] = {id: set() for id in self._up}
        for id, d in self._descriptors.items():
            if d.level == "note":
                found[id].add(id)
                if not d.use_instead:
                    for above in self._up[id]:
                        found[above].add(id)
        return {id: frozenset(notes) for id, notes in found.items()}

    def _span(self, id: str, seen: frozenset[str]) -> frozenset[str]:
        notes: set[str] = set()
        for step in self._descriptors[id].span:
            if not self._is_reach(step):
                notes |= self._notes[step]
            elif step not in seen:
                notes |= self._span(step, seen | {id})
        return frozenset(notes)

    def _cumulate(self, weights: Mapping[str, float] | None) -> dict[str, float]:
        if weights is None:
            weights = dict.fromkeys(self._leaves(), 1.0)
        unknown = [id for id in weights if id not in self._up]
        if unknown:
            raise KeyError(f"weights for ids that are not in the vocabulary: {', '.join(map(repr, unknown))}")
        counts = dict.fromkeys(self._up, 0.0)
        for id, weight in weights.items():
            if not weight >= 0 or math.isinf(weight):
                raise ValueError(f"weight {weight} of {id!r}: weights are finite and not negative")
            for above in self._up[id]:
                counts[above] += weight
        for id in self._descriptors:
            if self._is_reach(id):
                counts[id] += sum(counts[note] for note in self.span_notes(id))
        return counts

    def _leaves(self) -> Iterable[str]:
        for id, d in self._descriptors.items():
            if not d.crosses and not d.use_instead and not self._children.get(id):
                yield id


def _children(vocabulary: Vocabulary) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for d in vocabulary.descriptors.values():
        if not d.crosses:
            found.setdefault(d.home or ROOT, []).append(d.id)
    return found


def _ancestry(descriptors: Mapping[str, Descriptor], id: str) -> tuple[str, ...]:
    """`id`, what it hangs from, and so on to the root; a loop (which the checker reports) ends at the root too."""
    up = [id]
    home = descriptors[id].home
    while home and home in descriptors and home not in up:
        up.append(home)
        home = descriptors[home].home
    return (*up, ROOT)
