"""What a phrase means though people put more around the name: "a bit like digestives", "lilies at a funeral", "the peel
of a lemon", "silky caramel".

The exact rules (`compose.whole`) come first. The words that may stand around a name are data in `states.yaml`.
"""

from __future__ import annotations

from collections.abc import Sequence

from tastevocab.vocabulary.compose import GLUE, Phrase, pieces, whole
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.words import split_words


def meant(names: Names, phrase: str) -> Phrase | None:
    """The one thing that a phrase means, by the exact rules or by the words around a name; None if it names none.

    A phrase that denies means nothing here.
    """
    return whole(names, phrase) or _framed(names, split_words(phrase))


def _framed(names: Names, words: Sequence[str]) -> Phrase | None:
    keys = [names.key(w).own for w in words]
    if not words or names.states.denying.intersection(keys):
        return None
    start = _led_in(names, keys)
    words, keys = words[start:], keys[start:]
    found = _plainly(names, words) if start else _described(names, words)
    return found or _with_tail(names, words, keys)


def _led_in(names: Names, keys: Sequence[str]) -> int:
    """How many words lead in: "something like", "spicy like"."""
    if "like" in keys[1:-1]:
        return keys.index("like", 1) + 1
    position = 0
    while (end := names.states.openers.longest(keys, position)[0]) > position:
        position = end
    return position if position < len(keys) else 0


def _plainly(names: Names, words: Sequence[str]) -> Phrase | None:
    return whole(names, " ".join(words)) or _described(names, words)


def _described(names: Names, words: Sequence[str]) -> Phrase | None:
    """ "Nutty milk chocolate": a name after adjectives that are broad words themselves."""
    keys = [names.key(w) for w in words]
    cut = [p for p in pieces(names, keys, breaks=[False] * len(keys)) if p.descriptor]
    if len(cut) < 2 or not all(p.mark for p in cut[:-1]) or cut[-1].end < len(keys):
        return None
    last = cut[-1]
    named = whole(names, " ".join(words[last.start :]))
    return named and named._replace(parts=tuple(dict.fromkeys((*named.parts, *(p.descriptor or "" for p in cut[:-1])))))


def _with_tail(names: Names, words: Sequence[str], keys: Sequence[str]) -> Phrase | None:
    """A name with words after it that say where, when or with what ("in cream", "from the hive", "gone flat")."""
    for at in range(1, len(keys)):
        if keys[at] not in names.states.tails:
            continue
        rest = [w for w, k in zip(words[at + 1 :], keys[at + 1 :], strict=True) if k not in GLUE]
        if keys[at] in names.states.part_links and (of := _part_of(names, words[:at], keys[:at], rest)):
            return of
        if found := _plainly(names, words[:at]):
            return _together(names, found, _plainly(names, rest) if rest else None)
    return None


def _part_of(names: Names, part: Sequence[str], keys: Sequence[str], rest: Sequence[str]) -> Phrase | None:
    """ "The skin of an almond" is almond skin; "the crust of a lemon tart" is lemon tart."""
    part = [w for w, k in zip(part, keys, strict=True) if k not in GLUE]
    named = whole(names, " ".join((*rest, *part)))
    if named or not names.states.parts_of.intersection(keys):
        return named
    return _plainly(names, rest)


def _together(names: Names, found: Phrase, other: Phrase | None) -> Phrase:
    """ "Raspberries in cream": what was named first, in the form that the other gives it, with both as parts."""
    if other is None or not other.descriptor or not found.descriptor or other.descriptor == found.descriptor:
        return found
    form = names.states.form_of(other.descriptor) if found.descriptor in names.states.pair_keeps else ""
    parts = tuple(dict.fromkeys((found.descriptor, *found.parts, other.descriptor, *other.parts)))
    return found._replace(state=found.state or form or None, parts=parts)
