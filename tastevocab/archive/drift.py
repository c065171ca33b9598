"""How the vocabulary moved under the archive: what old findings are called now, and which words it has learnt since."""

from __future__ import annotations

import re
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from tastevocab.archive.recall import Edition, gathered_of, read_again, vocabulary_of
from tastevocab.archive.store import Archive
from tastevocab.archive.tastings import today
from tastevocab.panel.gather import Gathered
from tastevocab.panel.settling import some
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.diff import Change, Mention, Rebooked, compare, rebooked
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.words import fold


@dataclass(frozen=True, slots=True)
class Became:
    """What the findings of one descriptor become: `kind` is "moved" (all are of one other), "split" (of several), or
    "went" (some are of nothing any more). `into` maps ids to findings, "" to those that are lost."""

    descriptor: str
    print: str
    kind: str
    findings: int
    sessions: int
    into: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Learnt:
    """Words that were in no list when they were said, and what they mean now."""

    words: str
    descriptor: str
    times: int
    sessions: int


@dataclass(frozen=True, slots=True)
class Drift:
    """One vocabulary that sessions were read with, against the one of today. `sessions` were read with it."""

    name: str
    version: str
    hash: str
    sessions: int
    change: Change
    became: tuple[Became, ...]


def drifts(archive: Archive, vocabulary: Vocabulary) -> tuple[Drift, ...]:
    """Every vocabulary that current sessions were read with and that is not today's, oldest first."""
    made = []
    with archive.reading() as db:
        rows = db.execute(
            "SELECT v.id, COUNT(*) FROM vocabulary AS v JOIN edition AS e ON e.vocabulary = v.id AND e.current = 1 "
            "WHERE v.hash <> ? GROUP BY v.id ORDER BY v.id",
            (vocabulary.hash,),
        ).fetchall()
        for id, sessions in rows:
            old = vocabulary_of(db, id)
            became = tuple(_became(db, id, old, vocabulary))
            made.append(Drift(old.name, old.version, old.hash, sessions, compare(old, vocabulary), became))
    return tuple(made)


def learnt(archive: Archive, find: Callable[[str], str | None]) -> tuple[Learnt, ...]:
    """Words of current sessions that were unknown and that `find` (a phrase to an id, or None) now knows."""
    times: Counter[str] = Counter()
    sessions: dict[str, set[int]] = {}
    with archive.reading() as db:
        for words, session in db.execute(
            "SELECT u.words, e.session FROM unknown AS u JOIN source AS o ON o.id = u.source "
            "JOIN edition AS e ON e.id = o.edition AND e.current = 1 ORDER BY u.id"
        ):
            times[words.casefold()] += 1
            sessions.setdefault(words.casefold(), set()).add(session)
    found = ((words, find(words), count) for words, count in sorted(times.items(), key=lambda one: (-one[1], one[0])))
    return tuple(Learnt(words, id, count, len(sessions[words])) for words, id, count in found if id)


def _became(db: sqlite3.Connection, id: int, old: Vocabulary, new: Vocabulary) -> Iterator[Became]:
    change = compare(old, new)
    rehomed = dict(change.rehomed)
    moved: dict[str, list[tuple[re.Pattern[str], str]]] = {}
    for word in change.words:
        if word.old:
            pattern = re.compile(rf"\b{re.escape(fold(word.word))}\b")
            moved.setdefault(word.old, []).append((pattern, word.new))
    into: dict[str, Counter[str]] = {}
    sessions: dict[str, set[int]] = {}
    for descriptor, words, session in db.execute(
        "SELECT f.descriptor, f.words, e.session FROM finding AS f JOIN coffee AS c ON c.id = f.coffee "
        "JOIN edition AS e ON e.id = c.edition AND e.current = 1 WHERE e.vocabulary = ? ORDER BY f.id",
        (id,),
    ):
        said = fold(words)
        by_word = next((now for pattern, now in moved.get(descriptor, ()) if pattern.search(said)), None)
        if by_word is None:
            by_word = today(rehomed.get(descriptor, descriptor), new) or ""
        into.setdefault(descriptor, Counter())[by_word] += 1
        sessions.setdefault(descriptor, set()).add(session)
    for descriptor in (d for d in old.descriptors if d in into):
        counts = into[descriptor]
        if set(counts) != {descriptor}:
            kind = "went" if "" in counts else "split" if len(counts) > 1 else "moved"
            label = old.descriptors[descriptor].print
            yield Became(descriptor, label, kind, counts.total(), len(sessions[descriptor]), dict(counts.most_common()))


def became_rows(drift: Drift) -> list[tuple[str, str, str, str]]:
    """What old findings become as rows: kind, what it is about, old, new."""
    return [
        (
            b.kind,
            f"{b.print}: {some(b.findings)} in {some(b.sessions, 'session')}",
            b.descriptor,
            ", ".join(f"{id or 'nothing'} ({count})" for id, count in b.into.items()),
        )
        for b in drift.became
    ]


@dataclass(frozen=True, slots=True)
class Reread:
    """A session as it was counted then and as it reads today: `then` and `now` findings, and those that differ."""

    session: str
    then: int
    now: int
    read_with: str
    differ: tuple[Rebooked, ...]
    withdrawn: int


def reread(archive: Archive, edition: Edition, lexicon: Lexicon) -> Reread:
    """Read a session's kept talk again with today's vocabulary and reader. What people who withdrew had said is left
    out on both sides."""
    with archive.reading() as db:
        then = gathered_of(db, edition)
        now = read_again(db, edition, lexicon)
        version = vocabulary_of(db, edition.vocabulary)
    old, new = _mentions(then), _mentions(now)
    differ = rebooked(old, new)
    read_with = f"{version.name} {version.version} ({version.hash})"
    return Reread(edition.session, len(old), len(new), read_with, tuple(differ), edition.withdrawn)


def _mentions(gathered: Gathered) -> list[Mention]:
    return [
        Mention(f.spot.source, f.spot.note or str(f.spot.line), *f.spot.span, f.spot.words, f.descriptor)
        for f in gathered.findings
        if f.spot.words
    ]
