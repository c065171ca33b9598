"""Words that compose: "candied lime", "raspberry tea", "chocolate covered cherry".

A listed name always wins (longest first). Else a state word before a name is kept as the finding's state; a noun before
a noun that makes things ("tea", "biscuit") books once: as what was named, in the form that the head gives it, with both
as parts.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

from tastevocab.vocabulary.lookup import FLAVOUR, Key, Names, flavour_sense
from tastevocab.vocabulary.phrases import Sense

# Small words allowed inside a phrase that is looked up as a whole ("a hint" is not; "the peel of a lemon" is).
GLUE = frozenset(("a", "an", "the", "of"))


class Piece(NamedTuple):
    """A descriptor cut out of a run of words: token range [start, end), what it is made of, how it was listed."""

    start: int
    end: int
    senses: tuple[Sense, ...]
    descriptor: str | None
    state: str | None
    parts: tuple[str, ...]
    mark: str
    via: str


def pieces(names: Names, words: Sequence[Key], *, breaks: Sequence[bool]) -> list[Piece]:
    """The names in a run of words, composed.

    `words` are the keys of the words, `breaks[i]` true where a mark (comma, stop, slash) stands before word i.
    Attribute and other senses come through as pieces without a descriptor.
    """
    keys = [w.name for w in words]
    return _compose(names, keys, _listed(names, words, keys, breaks), breaks)


def _listed(names: Names, words: Sequence[Key], keys: list[str], breaks: Sequence[bool]) -> list[Piece]:
    found: list[Piece] = []
    root, longest = names.book.root, names.book.longest
    position, count = 0, len(keys)
    while position < count:
        node = root.get(keys[position])
        if node is None and not words[position].other:
            position += 1
            continue
        if node is None or position + 1 == count or keys[position + 1] not in node:
            end, senses = position + 1, names.book.senses(node) if node else ()
        else:
            end, senses = longest(keys, position)
        if end > position + 1 and any(breaks[position + 1 : end]):
            end, senses = _unbroken(names, keys, position, breaks)
        state = end > position + 1 and names.states.book.exact((keys[position],))
        if state and _unbroken(names, keys, position + 1, breaks)[0] > end:
            position += 1  # "ripe tomato soup": a ripe thing of a longer name
            continue
        if not senses and words[position].other:
            keys[position] = words[position].other
            end, senses = position + 1, names.book.exact((keys[position],))
        if not senses:
            position += 1
            continue
        sense = flavour_sense(senses)
        piece = Piece(
            position,
            end,
            senses,
            sense.value if sense else None,
            None,
            names.parts.get(sense.value, ()) if sense else (),
            words[end - 1].mark,
            "heard" if sense and sense.detail == "heard" else "word",
        )
        found.append(_formed(names, keys, piece, breaks))
        position = found[-1].end
    return found


def _formed(names: Names, keys: Sequence[str], piece: Piece, breaks: Sequence[bool]) -> Piece:
    """A thing with the word after it that only says how it comes ("peach galette"), unless a longer name begins there
    ("peach pie crust")."""
    if piece.descriptor is None or piece.mark:
        return piece
    end, senses = names.states.heads.longest(keys, piece.end)
    done = names.inflects and piece.end < len(keys) and keys[piece.end] in names.states.doing
    end = max(end, piece.end + 1) if done else end
    if end == piece.end or any(breaks[piece.end : end]) or names.book.longest(keys, piece.end)[0] > end:
        return piece
    if done:  # "chicória tostada": what was done to it, and no toast
        return piece._replace(end=end, state=senses[0].value if senses else None)
    if not senses or piece.descriptor not in names.states.pair_keeps:
        return piece
    head = flavour_sense(names.book.exact(tuple(keys[piece.end : end])))
    parts = (piece.descriptor, *piece.parts, *((head.value,) if head else ()))
    return piece._replace(end=end, state=senses[0].value, parts=tuple(dict.fromkeys(parts)))


def _unbroken(names: Names, keys: Sequence[str], start: int, breaks: Sequence[bool]) -> tuple[int, tuple[Sense, ...]]:
    """The longest listed phrase at `start` that crosses no mark."""
    stop = start + 1
    while stop < len(keys) and not breaks[stop]:
        stop += 1
    return names.book.longest(keys[:stop], start)


def _compose(names: Names, keys: Sequence[str], listed: list[Piece], breaks: Sequence[bool]) -> list[Piece]:
    made: list[Piece] = []
    for piece in listed:
        if piece.descriptor is None:
            made.append(piece)
            continue
        before = made[-1] if made else None
        if before is not None and _is_form(names, keys, before, piece, breaks):
            made[-1] = before._replace(end=piece.end)
            continue
        piece = _with_head_before(names, keys, piece, made, breaks)
        piece = _with_state(names, keys, piece, made, breaks)
        before = made[-1] if made else None
        if before is not None and _is_pair(names, keys, before, piece, breaks):
            made[-1] = _paired(names, before, piece)
        else:
            made.append(piece)
    return made


def _with_head_before(
    names: Names, keys: Sequence[str], piece: Piece, made: list[Piece], breaks: Sequence[bool]
) -> Piece:
    """ "Mermelada de durazno": `piece` with the head and the link before it, which say how it comes."""
    at = piece.start
    while at > 0 and keys[at - 1] in names.states.of and not breaks[at]:
        at -= 1
    if at == piece.start or piece.descriptor not in names.states.pair_keeps:
        return piece
    if names.states.asides.exact(tuple(keys[at : piece.end])):
        return piece  # "chocolate do mato": no grass
    for start in (at - 1, at - 2):
        senses = names.states.before.exact(tuple(keys[start:at])) if start >= 0 else ()
        free = not made or made[-1].end <= start or made[-1].start >= start
        if senses and free and not any(breaks[start + 1 : at + 1]):
            while made and made[-1].start >= start:
                made.pop()
            return piece._replace(start=start, state=piece.state or senses[0].value)
    return piece


def _is_form(names: Names, keys: Sequence[str], before: Piece, piece: Piece, breaks: Sequence[bool]) -> bool:
    """A word such as "juice" right after a name only says in which form it came."""
    if before.end != piece.start or before.descriptor is None or breaks[piece.start] or before.mark:
        return False
    return piece.end - piece.start == 1 and keys[piece.start] in names.states.forms


def _with_state(names: Names, keys: Sequence[str], piece: Piece, made: list[Piece], breaks: Sequence[bool]) -> Piece:
    """`piece` with the state word that stands right before it, if one does."""
    if piece.start == 0 or keys[piece.start - 1] not in names.states.book.words:
        return piece  # no state ends right before it
    if breaks[piece.start] or piece.descriptor in names.states.not_on:
        return piece
    floor = made[-1].end if made else 0
    for length in (3, 2, 1):
        start = piece.start - length
        if start < 0 or any(breaks[start + 1 : piece.start]):
            continue
        phrase = tuple(keys[start : piece.start])
        state = names.states.book.exact(phrase)
        if not state:
            continue
        word = phrase[-1]
        if start < floor and not _may_take(names, made[-1], start, word):
            continue
        if start < floor:
            made.pop()
        listed = flavour_sense(names.book.exact((*phrase, *names.prints.get(piece.descriptor or "", ()))))
        if listed:  # "dried cram berry": the state's own note, though the name was mis-heard
            return piece._replace(start=start, descriptor=listed.value, parts=names.parts.get(listed.value, ()))
        return piece._replace(start=start, state=state[0].value)
    return _with_attribute_state(names, keys, piece, made)


def _may_take(names: Names, before: Piece, start: int, word: str) -> bool:
    """A state word that is also a listed name ("toast" no; "dried" yes) goes to the thing after it, unless it is a
    finding in its own right."""
    return before.start == start and word not in names.states.also_flavour and word not in names.states.also_attribute


def _with_attribute_state(names: Names, keys: Sequence[str], piece: Piece, made: list[Piece]) -> Piece:
    """ "Sour candy": the taste stays a finding, and the candy knows it was sour."""
    if made and made[-1].end == piece.start and made[-1].descriptor is None:
        state = names.states.book.exact(tuple(keys[made[-1].start : made[-1].end]))
        if state and keys[made[-1].end - 1] in names.states.also_attribute:
            return piece._replace(state=state[0].value)
    return piece


def _is_pair(names: Names, keys: Sequence[str], before: Piece, piece: Piece, breaks: Sequence[bool]) -> bool:
    if piece.start - before.end > 1 or before.descriptor is None or piece.descriptor is None:
        return False
    if before.mark or breaks[piece.start]:
        return False
    between = keys[before.end : piece.start]
    if before.descriptor.startswith(names.states.pair_never):
        return False
    if any(breaks[before.end : piece.start]):
        return False
    if len(between) == 1 and between[0] in names.states.links:
        return True
    return (
        not between and piece.descriptor.startswith(names.states.pair_heads) and before.descriptor != piece.descriptor
    )


def _paired(names: Names, before: Piece, head: Piece) -> Piece:
    """Both as one: what was named first, in the form that the head gives it ("peach sorbet" is peach, frozen); at home
    with its head where it gives none ("heather honey")."""
    parts = tuple(dict.fromkeys(p for p in (before.descriptor, *before.parts, head.descriptor, *head.parts) if p))
    if before.end < head.start and head.descriptor in names.states.pair_keeps:  # "chocolate covered cherry"
        given = names.states.form_of(before.descriptor or "")
        return head._replace(start=before.start, state=given or head.state or before.state, parts=parts)
    form = names.states.form_of(head.descriptor or "")
    if form and before.descriptor in names.states.pair_keeps:
        return before._replace(end=head.end, state=form, parts=parts)
    return head._replace(start=before.start, state=head.state or before.state, parts=parts)


class Phrase(NamedTuple):
    """What a looked-up phrase means: a descriptor with state and parts, or an attribute."""

    descriptor: str | None
    attribute: str | None
    state: str | None
    parts: tuple[str, ...]
    via: str


def whole(names: Names, phrase: str) -> Phrase | None:
    """The one thing a phrase names by the exact rules, or None: every word of it must be used, but those that only
    open it ("a hint of vanilla", "notas de vainilla")."""
    from tastevocab.vocabulary.words import split_words

    words = split_words(phrase)
    found = _whole(names, words)
    opened = names.states.openers.longest(names.keys(phrase), 0)[0] if found is None else 0
    return _whole(names, words[opened:]) if 0 < opened < len(words) else found


def _whole(names: Names, words: Sequence[str]) -> Phrase | None:
    found = [names.key(w) for w in words]
    if not found:
        return None
    if any(k.mark in ("spelling", "sound") for k in found):
        return None  # a repaired word is a guess, not a name
    own = tuple(k.own for k in found)
    listed = names.book.exact(own)
    if listed:
        return _listed_phrase(names, listed)
    if inflected := _inflected(names, words):
        return _listed_phrase(names, inflected)
    keys = [k.name for k in found]
    cut = pieces(names, found, breaks=[False] * len(found))
    flavours = [p for p in cut if p.descriptor]
    if not flavours and cut and len(cut) == 1 and cut[0].start == 0 and cut[0].end == len(keys):
        return _listed_phrase(names, cut[0].senses)
    if len(flavours) != 1 or not _all_used(names, keys, cut, flavours[0]):
        return None
    only = flavours[0]
    return Phrase(only.descriptor, None, only.state, only.parts, only.via)


def _inflected(names: Names, words: Sequence[str]) -> tuple[Sense, ...]:
    """What a Spanish or Portuguese phrase is listed as, whatever its number and gender ("frutas tropicales")."""
    if len(words) > 5 or (len(words) == 1 and names.key(words[0]).own in names.stops):
        return ()
    forms = [dict.fromkeys((names.keys(word)[0], *names.romance_forms(word))) for word in words]
    found = (names.book.exact(way) for way in itertools.islice(itertools.product(*forms), 200))
    return next((senses for senses in found if senses), ())


def _listed_phrase(names: Names, senses: Sequence[Sense]) -> Phrase:
    sense = flavour_sense(senses)
    if sense:
        return Phrase(
            sense.value, None, None, names.parts.get(sense.value, ()), "heard" if sense.detail == "heard" else "word"
        )
    return Phrase(None, senses[0].value, None, (), "word")


def _all_used(names: Names, keys: Sequence[str], cut: Sequence[Piece], only: Piece) -> bool:
    """Words outside the one name may only be forms after it, kinds or an attribute's word before it, or glue."""
    for position in range(len(keys)):
        if only.start <= position < only.end or keys[position] in GLUE:
            continue
        key = keys[position]
        if position >= only.end:
            if key not in names.states.forms and key not in ("like", "ish", "y", "forward", "esque"):
                return False
        elif not (names.states.kinds.exact((key,)) or _is_plain_attribute(cut, position, names, key)):
            return False
    return True


def _is_plain_attribute(cut: Sequence[Piece], position: int, names: Names, key: str) -> bool:
    return any(p.start <= position < p.end and p.descriptor is None for p in cut) and key in names.states.also_attribute


__all__ = ["FLAVOUR", "Phrase", "Piece", "pieces", "whole"]
