"""What a phrase means though people put more around the name: "a bit like digestives", "lilies at a funeral", "the peel
of a lemon", "silky caramel", "grandma's freshly picked cherries", "a honeysuckle hedge".

The exact rules (`compose.whole`) come first. The words that may stand around a name are data in `states.yaml`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tastevocab.vocabulary.compose import GLUE, Phrase, pieces, whole
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.words import fold, romance, split_words

# What was done to a thing, in Spanish and Portuguese ("recogido", "colhidas").
_DONE = ("ado", "ada", "ido", "ida")


def meant(names: Names, phrase: str) -> Phrase | None:
    """The one thing that a phrase means, by the exact rules or by the words around a name; None if it names none.

    A phrase that denies means nothing here.
    """
    words = split_words(phrase)
    return whole(names, phrase) or _framed(names, words) or _less_amounts(names, words)


def _less_amounts(names: Names, words: Sequence[str]) -> Phrase | None:
    """ "Manga bem madura": a Spanish or Portuguese phrase without the words in it that only say how much."""
    kept = [w for w in words if names.key(w).own not in names.states.amounts]
    if not names.inflects or len(kept) in (0, len(words)):
        return None
    return whole(names, " ".join(kept)) or _framed(names, kept)


def _framed(names: Names, words: Sequence[str]) -> Phrase | None:
    keys = [names.key(w).own for w in words]
    if not words or names.states.denying.intersection(keys):
        return None
    start = _led_in(names, keys)
    words, keys = words[start:], keys[start:]
    if headed := _headed(names, words, keys):
        return headed
    found = _plainly(names, words) if start else _described(names, words) or _bared(names, words)
    return found or _with_tail(names, words, keys)


def _headed(names: Names, words: Sequence[str], keys: Sequence[str]) -> Phrase | None:
    """ "Cáscara de limón criollo": a listed thing of several words after a head that says how it comes, where less of
    its words would name another thing."""
    at = next((at for at in range(1, len(keys) - 2) if keys[at] in names.states.of), 0)
    form = names.states.before.exact(tuple(keys[:at])) if at and names.inflects else ()
    thing = form and whole(names, " ".join(words[at + 1 :]))
    if not thing or thing.state:
        return None
    shorter = whole(names, " ".join(words[at + 1 : -1]))
    return _as_head_says(names, thing, keys[:at]) if shorter and shorter.descriptor != thing.descriptor else None


def _as_head_says(names: Names, thing: Phrase | None, head: Sequence[str]) -> Phrase | None:
    """A thing in the form that a head before it gives ("cáscara": peel)."""
    form = names.states.before.exact(tuple(head))
    if thing is None or not form or thing.descriptor not in names.states.pair_keeps:
        return None
    return thing._replace(state=thing.state or form[0].value)


def _leading(words: Sequence[str], test: Callable[[str], bool]) -> int:
    """How many words from the first one on pass a test."""
    return next((at for at, word in enumerate(words) if not test(word)), len(words))


def _describes(names: Names, word: str) -> bool:
    """Whether a word before a name only says whose it is, what kind, or what was done to it ("grandma's", "fuzzy",
    "picked")."""
    key, states = names.key(word).own, names.states
    possessive = fold(word).replace("’", "'").endswith("'s")
    listed = key in states.describing or states.kinds.exact((key,)) or states.book.exact((key,))
    return bool(listed) or possessive or (len(key) > 5 and key.endswith(("ed", "ing")) and not names.inflects)


def _follows(names: Names, word: str) -> bool:
    """Whether a word after a name changes nothing: what it grows on or lies in ("hedge", "drawer"); in Spanish and
    Portuguese what describes it ("silvestres", "recolhido"), but not what makes something else of it ("mofado")."""
    key, states = names.key(word).own, names.states
    if not names.inflects:
        return key in states.holders
    forms = (key, fold(word), *romance(fold(word)))
    if not states.changing.isdisjoint(forms):
        return False
    said = any(form in states.describing or states.kinds.exact((form,)) for form in forms)
    return said or (len(key) > 5 and key.endswith(_DONE))


def _led_in(names: Names, keys: Sequence[str]) -> int:
    """How many words lead in: "something like", "spicy like"."""
    if "like" in keys[1:-1]:
        return keys.index("like", 1) + 1
    position = 0
    while (end := names.states.openers.longest(keys, position)[0]) > position:
        position = end
    return position if position < len(keys) else 0


def _plainly(names: Names, words: Sequence[str]) -> Phrase | None:
    return whole(names, " ".join(words)) or _described(names, words) or _bared(names, words)


def _bared(names: Names, words: Sequence[str]) -> Phrase | None:
    """ "Grandma's freshly picked cherries", "honeysuckle hedge": a name among words that say whose, what kind, or where
    it grows."""
    first = _leading(words, lambda word: _describes(names, word))
    last = _leading(words[::-1], lambda word: _follows(names, word))
    ways = [(start, len(words) - cut) for cut in range(last + 1) for start in range(first + 1)]
    inner = [(words[start:end], words[end:]) for start, end in ways if start < end]
    bare = ((found, after) for kept, after in inner if (found := whole(names, " ".join(kept))))
    found, after = next(bare, (None, ()))
    return None if found and _soured(names, found, after) else found


def _soured(names: Names, found: Phrase, after: Sequence[str]) -> bool:
    """Whether a word after a name says that it went sour, where the thing itself never is ("polvilho azedo")."""
    sour = names.inflects and not names.states.souring.isdisjoint(_forms(names, after))
    return sour and not (found.descriptor or "").startswith(names.states.souring_on)


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
    """A name with words after it that say where, when or with what ("in cream", "from the hive", "gone flat").

    Spanish and Portuguese names hold such words themselves: the longest has the say ("chá de hibisco com canela").
    """
    places = range(1, len(keys))
    aside = next((at for at in places if names.states.asides.exact(tuple(keys[at:]))), 0)
    if names.inflects and aside and (found := _plainly(names, words[:aside])):
        return found  # "banana da Madeira" is no wood
    for at in reversed(places) if names.inflects else places:
        if keys[at] not in names.states.tails:
            continue
        rest = [w for w, k in zip(words[at + 1 :], keys[at + 1 :], strict=True) if k not in GLUE]
        if keys[at] in names.states.part_links and (of := _part_of(names, words[:at], keys[:at], rest)):
            return of
        if found := _plainly(names, words[:at]):
            said = found.descriptor and rest and keys[at - 1] not in names.states.vessels and _plainly(names, rest)
            if not said and (not _finished(names, keys[:at], keys[at]) or _changed(names, rest)):
                return None
            return _together(names, found, _plainly(names, rest) if rest else None)
    return None


def _changed(names: Names, rest: Sequence[str]) -> bool:
    """Whether words after a link say that something else was made of it ("castanha de caju queimada")."""
    return names.inflects and not names.states.changing.isdisjoint(_forms(names, rest))


def _forms(names: Names, words: Sequence[str]) -> set[str]:
    """The words as compared, and what each may be the plural or feminine of in Spanish and Portuguese."""
    return {form for word in words for form in (names.key(word).own, fold(word), *romance(fold(word)))}


def _finished(names: Names, keys: Sequence[str], link: str) -> bool:
    """Whether a name means the same whatever comes after the link ("pan de oro" is no bread)."""
    if not names.inflects or link not in names.states.of:
        return True
    return keys[-1] not in names.states.unfinished and keys[-1] not in names.states.vessels


def _part_of(names: Names, part: Sequence[str], keys: Sequence[str], rest: Sequence[str]) -> Phrase | None:
    """ "The skin of an almond" is almond skin; "the crust of a lemon tart" is lemon tart."""
    if names.inflects and names.states.before.exact(tuple(keys)):
        return _as_head_says(names, whole(names, " ".join(rest)), keys)
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
