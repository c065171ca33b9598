"""What a taster may learn from sessions: overlap of blind duplicates, pet words, what only they find."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tastevocab.errors import InputError
from tastevocab.panel.agreement import at_level
from tastevocab.panel.attendance import served
from tastevocab.panel.gather import Gathered
from tastevocab.panel.rungs import chance_agreement
from tastevocab.panel.spans import Spans
from tastevocab.reading.records import Finding

CAUTION = "Figures for training only, private to this taster: not for pay, rank or discipline. Be kind."

PET_SHARE = 0.5
"""From this share of the coffees on a word counts as a habit."""

PET_LEAST = 3
"""Coffees needed before a habit is spoken of."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """A coffee and its hidden second pour: shared words over all words (Jaccard, 0..1) as notes and as families.

    `first` and `second` are the print labels given to each; None where one of the two got no words.
    """

    coffee: str
    duplicate: str
    notes: float | None
    families: float | None
    first: tuple[str, ...]
    second: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PetWord:
    """A word this taster gave on `coffees` of `of`, the others on `others` of `others_of`; `chance` (0..1) is how
    likely two of the panel would agree on a word everybody uses as often as this taster does."""

    descriptor: str
    print: str
    coffees: int
    of: int
    others: int
    others_of: int
    chance: float


@dataclass(frozen=True, slots=True)
class Feedback:
    """One taster's feedback. `alone` are families only this taster found (coffee, label), `missed` those more than half
    of the others found and this taster did not."""

    taster: str
    repeats: tuple[Repeat, ...]
    pets: tuple[PetWord, ...]
    alone: tuple[tuple[str, str], ...]
    missed: tuple[tuple[str, str], ...]
    sessions: int


def feedback(taster: str, gathered: Gathered, spans: Spans, earlier: Sequence[Gathered] = ()) -> Feedback:
    """What `taster` may learn from this session, and from `earlier` ones for habits.

    Raises `InputError` where the taster is not on this session's panel.
    """
    session = gathered.session
    taster = next((t for t in session.tasters if t.casefold() == taster.casefold()), taster)
    if taster not in session.tasters:
        raise InputError(
            f"{taster!r} is no taster of this session",
            place=session.place,
            mend=f"known here: {', '.join(session.tasters)}",
        )
    pets = _pets(taster, [*earlier, gathered], spans)
    return Feedback(
        taster=taster,
        repeats=tuple(_repeats(taster, gathered, spans)),
        pets=tuple(pets),
        alone=tuple(_alone(taster, gathered, spans)),
        missed=tuple(_missed(taster, gathered, spans)),
        sessions=1 + len(earlier),
    )


def _own(gathered: Gathered, spans: Spans) -> Iterable[Finding]:
    return (
        f
        for f in gathered.findings
        if f.present and not f.fault and f.standing == "own" and f.descriptor in spans.order
    )


def _words(gathered: Gathered, spans: Spans, taster: str, coffee: str) -> set[str]:
    return {f.descriptor for f in _own(gathered, spans) if f.spot.speaker == taster and f.spot.coffee == coffee}


def _families(words: Iterable[str], spans: Spans) -> set[str]:
    return {at_level(word, "family", spans) for word in words}


def _repeats(taster: str, gathered: Gathered, spans: Spans) -> Iterable[Repeat]:
    for coffee in gathered.session.coffees.values():
        if not coffee.duplicate_of:
            continue
        first = _words(gathered, spans, taster, coffee.duplicate_of)
        second = _words(gathered, spans, taster, coffee.id)
        yield Repeat(
            coffee=coffee.duplicate_of,
            duplicate=coffee.id,
            notes=_overlap(first, second),
            families=_overlap(_families(first, spans), _families(second, spans)),
            first=_prints(first, spans),
            second=_prints(second, spans),
        )


def _overlap(a: set[str], b: set[str]) -> float | None:
    return len(a & b) / len(a | b) if a and b else None


def _prints(words: Iterable[str], spans: Spans) -> tuple[str, ...]:
    return tuple(spans.descriptor(id).print for id in sorted(words, key=spans.order.__getitem__))


def _pets(taster: str, sessions: Sequence[Gathered], spans: Spans) -> list[PetWord]:
    """Words on half of the coffees or more, beside how often the others use them; duplicates count as coffees too."""
    mine: dict[str, int] = {}
    theirs: dict[str, int] = {}
    of = others_of = panel = 0
    for gathered in sessions:
        used: dict[tuple[str, str], set[str]] = {
            (who, coffee): set()
            for coffee in gathered.session.coffees
            for who in (served(gathered.session, gathered.present, coffee) if gathered.present else ())
        }
        for f in _own(gathered, spans):
            used.setdefault((f.spot.speaker or "", f.spot.coffee or ""), set()).add(f.descriptor)
        panel = max(panel, len(gathered.session.tasters))
        for (who, _), words in used.items():
            counts = mine if who == taster else theirs
            of += who == taster
            others_of += who != taster
            for word in words:
                counts[word] = counts.get(word, 0) + 1
    if of < PET_LEAST:
        return []
    habits = [word for word, count in mine.items() if count / of >= PET_SHARE]
    made = [
        PetWord(
            word,
            spans.descriptor(word).print,
            mine[word],
            of,
            theirs.get(word, 0),
            others_of,
            chance_agreement(mine[word] / of, panel),
        )
        for word in habits
    ]
    return sorted(made, key=lambda p: (-p.coffees, spans.order[p.descriptor]))


def _found(gathered: Gathered, spans: Spans) -> dict[str, dict[str, set[str]]]:
    """Coffee to family to the tasters who found it."""
    found: dict[str, dict[str, set[str]]] = {}
    for f in _own(gathered, spans):
        family = at_level(f.descriptor, "family", spans)
        found.setdefault(f.spot.coffee or "", {}).setdefault(family, set()).add(f.spot.speaker or "")
    return found


def _alone(taster: str, gathered: Gathered, spans: Spans) -> Iterable[tuple[str, str]]:
    for coffee, families in _found(gathered, spans).items():
        for family in sorted((f for f, who in families.items() if who == {taster}), key=spans.order.__getitem__):
            yield coffee, spans.descriptor(family).print


def _missed(taster: str, gathered: Gathered, spans: Spans) -> Iterable[tuple[str, str]]:
    for coffee, families in _found(gathered, spans).items():
        there = served(gathered.session, gathered.present, coffee)
        if taster not in there:  # they cannot miss what they were not served
            continue
        others = len(there) - 1
        for family in sorted(families, key=spans.order.__getitem__):
            who = families[family]
            if taster not in who and len(who) >= 2 and 2 * len(who) > others:
                yield coffee, spans.descriptor(family).print


def feedback_lines(made: Feedback, called: Mapping[str, str]) -> list[str]:
    """Feedback as lines to read; `called` are the coffees' names by their ids."""
    lines = [f"For {made.taster}, from {made.sessions} session{'s' if made.sessions > 1 else ''}. {CAUTION}"]
    for r in made.repeats:
        coffee = called.get(r.coffee, r.coffee)
        if r.notes is None or r.families is None:
            lines.append(f"  {coffee} and its hidden second pour: one of the two got no words.")
            continue
        lines.append(
            f"  {coffee} and its hidden second pour: {100 * r.notes:.0f} % of the notes shared, "
            f"{100 * r.families:.0f} % of the families ({', '.join(r.first)} / {', '.join(r.second)})"
        )
    if not made.repeats:
        lines.append("  No hidden duplicate was poured: nothing can be said of repeating oneself.")
    for p in made.pets:
        lines.append(
            f"  {p.print}: on {p.coffees} of {p.of} coffees, the others on {p.others} of {p.others_of}; "
            f"used so often, two of a panel would agree on it by chance {100 * p.chance:.0f} times in 100"
        )
    lines += [f"  {called.get(coffee, coffee)}: only {made.taster} found {label}" for coffee, label in made.alone]
    lines += [
        f"  {called.get(coffee, coffee)}: most others found {label}, {made.taster} did not"
        for coffee, label in made.missed
    ]
    return lines
