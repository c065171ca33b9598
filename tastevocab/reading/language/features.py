"""Features of a name in typed notes: what stands beside it, its sentence, what it is. A person can read their names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tastevocab.reading.language.bind import Edge, afterthought
from tastevocab.reading.language.mark import Mention
from tastevocab.reading.language.utterance import Utterance

# Patterns that say nothing of a name beside them.
_QUIET = ("small", "filler", "turn_to", "brew", "compared", "other_cup")
LONGEST = 4  # words of a phrase that stands for one
_FAR = ("beside", "near", "far", "beyond")


def features_of(u: Utterance, m: Mention, around: Sequence[Edge], named: Sequence[bool], topic: str = "") -> list[str]:
    """The features of one mention with the patterns `around` it; `named` says which words stand in names (`bind.py`),
    `topic` is the attribute its column is about."""
    first, last = u.sentence_range(m.start)
    found, turned = {"always"}, afterthought(u, m) is not None
    for edge in around:
        if edge.kind in _QUIET:
            continue
        if m.quality and _turned(u, edge):
            edge, turned = edge._replace(side="before"), True
        where = f"{edge.side} {_FAR[edge.far]}"
        found.add(f"{edge.kind} {where}{' past a name' if edge.name else ''}{' past a comma' if edge.comma else ''}")
        found.add(f"{edge.kind} {edge.value} {where}" if edge.value else f"{edge.kind} {edge.side}")
    beside = _word_beside(u, m.start - 1, first, -1) or "(start)", _word_beside(u, m.end, last - 1, 1) or "(end)"
    for side, word in zip(("after", "before") if turned else ("before", "after"), beside, strict=True):
        found.add(f"word {side}: {word}")
    found.update(_names_beside(u, m, named))
    if last - first == m.end - m.start:
        found.add("alone in its sentence")
    if "?" in u.gaps[last]:
        found.add("a question")
    size = len(u.words)
    found.add("one to four words" if size <= 4 else "up to twelve words" if size <= 12 else "a longer note")
    found.add(f"of {m.target}")
    if m.quality:
        found.update((f"step {m.step}", f"{m.target} step {m.step}", f"says {' '.join(u.own[m.start : m.end])}"))
        found.update(_beside(u, m))
    else:
        found.add("a fault" if m.target in u.lexicon.names.faults else "a flavour")
        if m.end - m.start == 1:
            found.add(f"says {u.own[m.start]}")
    if topic:
        found.add("its own column" if topic == m.target else "another's column")
    if m.via != "word":
        found.add(f"known by {m.via}")
    return sorted(found)


def _names_beside(u: Utterance, m: Mention, named: Sequence[bool]) -> Iterator[str]:
    """Where the next name stands right beside ("light plum" speaks of the plum, "light, plum" of the cup)."""
    for side, at, own in (("before", m.start - 1, m.start), ("after", m.end, m.end - 1)):
        if 0 <= at < len(u.words) and named[at] and u.sentence[at] == u.sentence[own]:
            yield f"a name {side}{'' if u.clause[at] == u.clause[own] else ' past a comma'}"


def _word_beside(u: Utterance, at: int, last: int, step: int) -> str:
    """The word at `at`, by the first language's word for it; "another" where it is no ordinary one, "" past `last`.
    Phrases that stand for one word ("nada de": "no") reach from there on."""
    if (last - at) * step < 0:
        return ""
    word, alike = u.own[at], u.lexicon.alike
    for size in range(min(LONGEST, abs(last - at) + 1), 0, -1) if alike else ():
        some = u.own[at : at + size] if step > 0 else u.own[at - size + 1 : at + 1]
        if like := alike.get(" ".join(some)):
            return like
    return word if word in u.lexicon.small or word in u.lexicon.ordinary else "another"


def _turned(u: Utterance, edge: Edge) -> bool:
    """Whether a word stands right after a quality that would stand before it in the first language ("acidez alta")."""
    return edge.kind in u.lexicon.turned and edge.side == "after" and not (edge.far or edge.comma or edge.name)


def _beside(u: Utterance, m: Mention) -> list[str]:
    """Words that mean a step only beside this quality's name ("creamy mouthfeel", "the body is light")."""
    book = u.lexicon.beside.get(m.target)
    first, last = u.clause_range(m.start)
    found = []
    for at in range(max(first, m.start - 3), min(last, m.end + 4)) if book else ():
        end, senses = book.longest(u.own, at)  # type: ignore[union-attr]
        if senses and (end <= m.start or at >= m.end):
            found.append(f"beside step {senses[0].value}")
    return found
