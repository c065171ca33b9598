"""Features of a name in typed notes: what stands beside it, its sentence, what it is. A person can read their names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

from tastevocab.reading.language.bind import Edge, Ground, afterthought
from tastevocab.reading.language.mark import Mention
from tastevocab.reading.words.utterance import Utterance

LONGEST = 4  # words of a phrase that stands for one
_FAR = ("beside", "near", "far", "beyond")


def features_of(u: Utterance, m: Mention, around: Iterable[Edge], ground: Ground) -> list[str]:
    """The features of one mention with the patterns `around` it; `ground` is what `bind.py` knows of the turn."""
    first, last = u.sentence_range(m.start)
    size, lexicon = len(u.words), u.lexicon
    found = [
        "always",
        f"of {m.target}",
        "one to four words" if size <= 4 else "up to twelve words" if size <= 12 else "a longer note",
    ]
    turned = bool(lexicon.afterthoughts) and afterthought(u, m) is not None
    for edge in around:
        if m.quality and edge.kind in lexicon.turned and _right_behind(edge):
            edge, turned = edge._replace(side="before"), True
        found += _said(edge)
    before = _word_beside(u, m.start - 1, first, -1) or "(start)"
    after = _word_beside(u, m.end, last - 1, 1) or "(end)"
    if turned:
        before, after = after, before
    found += (f"word before: {before}", f"word after: {after}")
    found += _names_beside(u, m, ground)
    if last - first == m.end - m.start:
        found.append("alone in its sentence")
    if "?" in u.gaps[last]:
        found.append("a question")
    if m.quality:
        found += (f"step {m.step}", f"{m.target} step {m.step}", f"says {' '.join(u.own[m.start : m.end])}")
        found += _beside(u, m)
    else:
        found.append("a fault" if m.target in lexicon.names.faults else "a flavour")
        if m.end - m.start == 1:
            found.append(f"says {u.own[m.start]}")
    if m.via != "word":
        found.append(f"known by {m.via}")
    return list(dict.fromkeys(found))


@cache  # patterns are few, and so are the places they stand in
def _said(edge: Edge) -> tuple[str, str]:
    where = f"{edge.side} {_FAR[edge.far]}"
    past = f"{' past a name' if edge.name else ''}{' past a comma' if edge.comma else ''}"
    valued = f"{edge.kind} {edge.value} {where}" if edge.value else f"{edge.kind} {edge.side}"
    return f"{edge.kind} {where}{past}", valued


def _right_behind(edge: Edge) -> bool:
    """Whether a word stands where one would stand before a quality in the first language ("acidez alta")."""
    return edge.side == "after" and not (edge.far or edge.comma or edge.name)


def _names_beside(u: Utterance, m: Mention, ground: Ground) -> Iterator[str]:
    """Where the next name stands right beside ("light plum" speaks of the plum, "light, plum" of the cup)."""
    for side, at, own in (("before", m.start - 1, m.start), ("after", m.end, m.end - 1)):
        if at >= 0 and ground.named[at] and u.sentence[at] == u.sentence[own]:
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


def _beside(u: Utterance, m: Mention) -> list[str]:
    """Words that mean a step only beside this quality's name ("creamy mouthfeel", "the body is light")."""
    book, (first, last) = u.lexicon.beside[m.target], u.clause_range(m.start)
    found = []
    for at in range(max(first, m.start - 3), min(last, m.end + 4)):
        if u.own[at] in book.root:
            end, senses = book.longest(u.own, at)
            if senses and (end <= m.start or at >= m.end):
                found.append(f"beside step {senses[0].value}")
    return found
