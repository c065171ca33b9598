"""What changed between two vocabularies, and which old findings would be booked elsewhere. It moves nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.model import Vocabulary


class WordMove(NamedTuple):
    """A name that belongs elsewhere now; `old` is "" for a new name, `new` is "" for one taken out."""

    language: str
    word: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Change:
    """The difference of two vocabularies, each part in the order of its vocabulary.

    `added` and `removed` are ids, `retired` pairs (id, use instead), `rehomed` pairs (old id, new id) of notes that
    hang elsewhere now, `relabelled` triples (id, old label, new label), `words` the names that moved, came or went.
    """

    added: tuple[str, ...]
    removed: tuple[str, ...]
    retired: tuple[tuple[str, str], ...]
    rehomed: tuple[tuple[str, str], ...]
    relabelled: tuple[tuple[str, str, str], ...]
    words: tuple[WordMove, ...]

    def __bool__(self) -> bool:
        return any((self.added, self.removed, self.retired, self.rehomed, self.relabelled, self.words))


class Mention(NamedTuple):
    """One finding, as far as a change matters to it: where its words stand, and what they were booked as."""

    source: str
    row: str
    start: int
    end: int
    words: str
    descriptor: str


class Rebooked(NamedTuple):
    """A finding that would be booked elsewhere; `old` is "" for one found only now, `new` is () for one lost."""

    mention: Mention
    old: str
    new: tuple[str, ...]


def parts_of(side: Path, folder: Path | None = None) -> tuple[Path | None, Path | None]:
    """One side of a comparison as (folder, house file): a vocabulary folder, or a house file laid over `folder`."""
    return (side, None) if side.is_dir() else (folder, side)


def open_side(side: Path, folder: Path | None = None) -> Vocabulary:
    """The vocabulary of one side (see `parts_of`; a `folder` of None is the one that ships)."""
    return open_vocabulary(*parts_of(side, folder))


def compare(old: Vocabulary, new: Vocabulary) -> Change:
    """What `new` has, lacks, retires, calls or places otherwise than `old`."""
    came = [id for id in new.descriptors if id not in old.descriptors]
    gone = [id for id in old.descriptors if id not in new.descriptors]
    rehomed = tuple(_rehomed(gone, came))
    left, arrived = {a for a, _ in rehomed}, {b for _, b in rehomed}
    both = [id for id in new.descriptors if id in old.descriptors]
    return Change(
        added=tuple(id for id in came if id not in arrived),
        removed=tuple(id for id in gone if id not in left),
        retired=tuple(
            (id, new.descriptors[id].use_instead)
            for id in both
            if new.descriptors[id].use_instead and not old.descriptors[id].use_instead
        ),
        rehomed=rehomed,
        relabelled=tuple(
            (id, old.descriptors[id].print, new.descriptors[id].print)
            for id in both
            if old.descriptors[id].print != new.descriptors[id].print
        ),
        words=tuple(_words(old, new, dict(rehomed))),
    )


def told(change: Change) -> list[tuple[str, str, str, str]]:
    """A change as rows: kind, what it is about, old, new."""
    rows = [("added", id, "", id) for id in change.added]
    rows += [("removed", id, id, "") for id in change.removed]
    rows += [("retired", id, id, instead) for id, instead in change.retired]
    rows += [("rehomed", old.rsplit("/", 1)[-1], old, new) for old, new in change.rehomed]
    rows += [("renamed", id, old, new) for id, old, new in change.relabelled]
    rows += [("word", f"{w.word} ({w.language})", w.old, w.new) for w in change.words]
    return rows


def told_finding(moved: Rebooked) -> tuple[str, str, str, str]:
    """A finding that would move as a row like those of `told`."""
    where = " ".join(part for part in (moved.mention.source, moved.mention.row) if part)
    return ("finding", f"{moved.mention.words!r} in {where}", moved.old, ", ".join(moved.new))


def _rehomed(gone: list[str], came: list[str]) -> Iterator[tuple[str, str]]:
    """An id that went and one that came with the same last part."""
    arrived = {id.rsplit("/", 1)[-1]: id for id in came if not id.startswith("reach/")}
    for id in gone:
        last = id.rsplit("/", 1)[-1]
        if last in arrived and not id.startswith("reach/"):
            yield id, arrived[last]


def _words(old: Vocabulary, new: Vocabulary, rehomed: dict[str, str]) -> Iterator[WordMove]:
    before, after = _owners(old), _owners(new)
    for (language, word), owner in before.items():
        now = after.get((language, word), "")
        if now != rehomed.get(owner, owner):
            yield WordMove(language, word, owner, now)
    for (language, word), owner in after.items():
        if (language, word) not in before:
            yield WordMove(language, word, "", owner)


def _owners(vocabulary: Vocabulary) -> dict[tuple[str, str], str]:
    """Who owns each name; what is heard counts as a name of the first language."""
    found: dict[tuple[str, str], str] = {}
    for d in vocabulary.descriptors.values():
        for language, words in d.words.items():
            for word in words:
                found.setdefault((language, word.lower()), d.id)
        for word in d.heard:
            found.setdefault((vocabulary.languages[0], word.lower()), d.id)
    return found


def rebooked(old: Iterable[Mention], new: Iterable[Mention]) -> list[Rebooked]:
    """The findings of one session that two vocabularies book otherwise, by where they stand.

    A finding is the same if its words overlap in the same source and row and its descriptor is the same.
    """
    before, after = _by_row(old), _by_row(new)
    found: list[Rebooked] = []
    for row in dict.fromkeys((*before, *after)):
        olds, news = before.get(row, []), after.get(row, [])
        for mention in olds:
            now = tuple(dict.fromkeys(other.descriptor for other in news if _overlap(mention, other)))
            if mention.descriptor not in now:
                found.append(Rebooked(mention, mention.descriptor, now))
        found += [Rebooked(m, "", (m.descriptor,)) for m in news if not any(_overlap(m, other) for other in olds)]
    return found


def _by_row(mentions: Iterable[Mention]) -> dict[tuple[str, str], list[Mention]]:
    rows: dict[tuple[str, str], list[Mention]] = {}
    for mention in mentions:
        rows.setdefault((mention.source, mention.row), []).append(mention)
    return rows


def _overlap(a: Mention, b: Mention) -> bool:
    return a.start < b.end and b.start < a.end
