"""One taster over time, for training and their own eyes: habits, agreement, blind repeats, scored attributes."""

from __future__ import annotations

import itertools
import math
import sqlite3
import statistics
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tastevocab.archive.control import Chart, Cusum, cusum, ewma, moving_range_sigma, p_chart
from tastevocab.archive.lift import Lift, difference_interval, lift
from tastevocab.archive.people import People
from tastevocab.archive.store import Archive
from tastevocab.archive.tastings import Tasting, tastings
from tastevocab.archive.variance import Assessor, assessor
from tastevocab.errors import StatisticsError
from tastevocab.panel.agreement import at_level
from tastevocab.panel.distances import masi
from tastevocab.panel.exact import false_discovery, sum_of_chances
from tastevocab.panel.feedback import CAUTION
from tastevocab.panel.spans import Spans

LEAST = 3
"""Coffees on which a word must have been said before it is asked whether it is a habit."""

RECENT = 10
"""Coffees that count as lately."""

BASE = 20
"""Sessions from which a taster's own level and spread are taken before drift is looked for."""

FALSE = 0.05


@dataclass(frozen=True, slots=True)
class Pet:
    """A word said on `coffees` of `of` coffees, where the others at the same tables let `expected` be expected.

    `lift` is the shrunk ratio, `p` the exact chance of so many if at each coffee anyone of those who said it could have
    been this taster, `q` that corrected over all words. `lately` of `lately_of` are the newest coffees, `before` of
    `before_of` the earlier; `change` is the 95 % interval of the difference of those shares (None without earlier).
    """

    descriptor: str
    print: str
    coffees: int
    of: int
    expected: float
    lift: Lift
    p: float
    q: float
    lately: int
    lately_of: int
    before: int
    before_of: int
    change: tuple[float, float] | None

    @property
    def habit(self) -> bool:
        """Whether it is shown to be this taster's own habit."""
        return self.q <= FALSE and self.lift.low > 1


@dataclass(frozen=True, slots=True)
class Meeting:
    """One session: how like the others' families this taster's are (`own`, 1 - MASI distance, 0..1), and how like the
    others are among themselves (`others`, None where there is but one other)."""

    session: str
    date: str
    own: float
    others: float | None
    coffees: int

    @property
    def apart(self) -> float:
        """How much nearer to the table (above 0) or further from it than the others are to each other."""
        return self.own - self.others if self.others is not None else self.own


@dataclass(frozen=True, slots=True)
class Repeat:
    """One session's hidden duplicates: of `named` families in either pour, `missed` were in one only."""

    session: str
    date: str
    named: int
    missed: int


@dataclass(frozen=True, slots=True)
class Drift:
    """Agreement with the table watched for a lasting change, from the level of the first `BASE` sessions."""

    target: float
    sigma: float
    sums: Cusum
    averages: Chart


@dataclass(frozen=True, slots=True)
class Scores:
    """One attribute's performance, or why there is none (`why`)."""

    attribute: str
    print: str
    figures: Assessor | None
    why: str


@dataclass(frozen=True, slots=True)
class TasterReport:
    """All that the archive can tell one taster. `lacking` are sentences on what it cannot tell yet."""

    name: str
    code: str
    sessions: int
    coffees: int
    words: int
    pets: tuple[Pet, ...]
    meetings: tuple[Meeting, ...]
    drift: Drift | None
    repeats: tuple[Repeat, ...]
    repeat_chart: Chart | None
    scores: tuple[Scores, ...]
    lacking: tuple[str, ...]
    caution: str = CAUTION


def taster_report(archive: Archive, name: str, spans: Spans) -> TasterReport:
    """The report of one taster. Raises `InputError` where the archive knows nobody of that name."""
    with archive.reading() as db:
        people = People(db)
        person = people.must(name)
        all = tastings(db, spans.vocabulary, person=person)
        scores = tuple(_scores(db, person, all, spans))
    said = [t for t in all if t.said.get(person)]
    first = [t for t in said if not t.duplicate_of]
    meetings = tuple(_meetings(first, person, spans))
    repeats = tuple(_repeats(said, person, spans))
    drift = _drift(meetings)
    return TasterReport(
        name=people.name(person),
        code=people.codes[person],
        sessions=len({t.session for t in said}),
        coffees=len(first),
        words=len({word for t in said for word in t.said[person]}),
        pets=tuple(pets(first, person, spans)),
        meetings=meetings,
        drift=drift,
        repeats=repeats,
        repeat_chart=p_chart([(r.missed, r.named) for r in repeats]) if repeats else None,
        scores=scores,
        lacking=tuple(_lacking(meetings, drift, repeats, scores)),
    )


# --- habits ---


def pets(said: Sequence[Tasting], person: int, spans: Spans) -> list[Pet]:
    """The words a taster said of `LEAST` coffees or more, against the others at the same tables and their own past.

    `said` are the tastings at which they spoke, in order of time. The surest habit comes first.
    """
    shared = [t for t in said if len(t.talkers) > 1]
    uses = {word: use for word, use in _uses(shared, person).items() if sum(use.mine) >= LEAST}
    words = sorted(uses, key=spans.order.__getitem__)
    chances = [_surprise(uses[word]) for word in words]
    made = []
    for word, p, q in zip(words, chances, false_discovery(chances), strict=True):
        use = uses[word]
        expected, count = math.fsum(use.others), sum(use.mine)
        k, k_before = sum(use.mine[-RECENT:]), sum(use.mine[:-RECENT])
        lately_of = min(RECENT, len(shared))
        before_of = len(shared) - lately_of
        made.append(
            Pet(
                descriptor=word,
                print=spans.descriptor(word).print,
                coffees=count,
                of=len(shared),
                expected=expected,
                lift=lift(count, expected),
                p=p,
                q=q,
                lately=k,
                lately_of=lately_of,
                before=k_before,
                before_of=before_of,
                change=difference_interval(k, lately_of, k_before, before_of) if before_of else None,
            )
        )
    return sorted(made, key=lambda pet: (not pet.habit, -pet.lift.low, spans.order[pet.descriptor]))


class _Use(NamedTuple):
    """One word, coffee by coffee: whether this taster said it, what share of the others did, and of all who spoke."""

    mine: list[bool]
    others: list[float]
    all: list[float]


def _uses(shared: Sequence[Tasting], person: int) -> dict[str, _Use]:
    words = {word for tasting in shared for word in tasting.said[person]}
    uses = {word: _Use([False] * len(shared), [], []) for word in words}
    for place, tasting in enumerate(shared):
        sayers = Counter(word for who in tasting.talkers for word in tasting.said[who])
        people = len(tasting.talkers)
        for word, count in sayers.items():
            if word in words:
                mine = word in tasting.said[person]
                uses[word].mine[place] = mine
                uses[word].others.append((count - mine) / (people - 1))
                uses[word].all.append(count / people)
    return uses


def _surprise(use: _Use) -> float:
    """The exact chance of so many or more, were the word at each coffee dealt out among those who spoke of it."""
    return min(1.0, math.fsum(sum_of_chances(use.all)[sum(use.mine) :]))


# --- agreement over time ---


def _families(words: frozenset[str], spans: Spans, seen: dict[str, str]) -> frozenset[str]:
    """The families of words; `seen` remembers those already looked up."""
    for word in words - seen.keys():
        seen[word] = at_level(word, "family", spans)
    return frozenset(seen[word] for word in words)


def _meetings(said: Sequence[Tasting], person: int, spans: Spans) -> Iterator[Meeting]:
    seen: dict[str, str] = {}
    for (_, session), group in itertools.groupby(said, key=lambda t: (t.date, t.session)):
        own: list[float] = []
        others: list[float] = []
        coffees, date = 0, ""
        for tasting in group:
            date = tasting.date
            sets = {who: _families(tasting.said[who], spans, seen) for who in tasting.talkers}
            coffees += len(sets) > 1
            for a, b in itertools.combinations(sets, 2):
                (own if person in (a, b) else others).append(1 - masi(sets[a], sets[b]))
        if own:
            mean = statistics.fmean(others) if others else None
            yield Meeting(session, date, statistics.fmean(own), mean, coffees)


def _drift(meetings: Sequence[Meeting]) -> Drift | None:
    if len(meetings) <= BASE:
        return None
    values = [m.apart for m in meetings]
    target, sigma = statistics.fmean(values[:BASE]), moving_range_sigma(values[:BASE])
    try:
        return Drift(target, sigma, cusum(values, target, sigma), ewma(values, target, sigma))
    except StatisticsError:
        return None


# --- hidden duplicates ---


def _repeats(said: Sequence[Tasting], person: int, spans: Spans) -> Iterator[Repeat]:
    seen: dict[str, str] = {}
    for (date, session), group in itertools.groupby(said, key=lambda t: (t.date, t.session)):
        kept = list(group)
        poured = {t.key: _families(t.said[person], spans, seen) for t in kept}
        named = missed = 0
        for tasting in kept:
            if tasting.duplicate_of in poured:
                first, second = poured[tasting.duplicate_of], poured[tasting.key]
                named += len(first | second)
                missed += len(first ^ second)
        if named:
            yield Repeat(session, date, named, missed)


# --- scored attributes ---


def _scores(db: sqlite3.Connection, person: int, all: Sequence[Tasting], spans: Spans) -> Iterator[Scores]:
    """By attribute: what was poured twice is one sample scored twice, everything else a sample scored once."""
    sample = {t.id: (t.session, t.duplicate_of or t.key) for t in all}
    steps: dict[str, dict[int, dict[str, dict[int, list[float]]]]] = {}
    query = (
        "SELECT coffee, person, attribute, step FROM mark WHERE present AND standing = 'own' "
        "AND coffee IN (SELECT coffee FROM seat WHERE person = ?) ORDER BY id"
    )
    for coffee, who, attribute, step in db.execute(query, (person,)):
        if coffee in sample:
            key = "/".join(sample[coffee])
            steps.setdefault(attribute, {}).setdefault(who, {}).setdefault(key, {}).setdefault(coffee, []).append(step)
    for attribute in spans.vocabulary.attributes.values():
        by_person = steps.get(attribute.id, {})
        if person not in by_person:
            continue
        tables = {
            who: {key: [statistics.median(given) for given in pours.values()] for key, pours in samples.items()}
            for who, samples in by_person.items()
        }
        own = tables.pop(person)
        try:
            yield Scores(attribute.id, attribute.print, assessor(own, list(tables.values())), "")
        except StatisticsError as reason:
            yield Scores(attribute.id, attribute.print, None, reason.what)


def _lacking(
    meetings: Sequence[Meeting], drift: Drift | None, repeats: Sequence[Repeat], scores: Sequence[Scores]
) -> Iterator[str]:
    if not meetings:
        yield "Nobody else spoke of the same coffees: agreement cannot be told."
    elif drift is None:
        yield f"Drift is looked for from more than {BASE} sessions with others on; so far {len(meetings)}."
    if not repeats:
        yield "No hidden duplicate was poured: nothing can be said of repeating oneself."
    if not any(s.figures for s in scores):
        yield "No attribute was scored on hidden duplicates of two samples: repeatability cannot be told."
