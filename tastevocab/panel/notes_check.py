"""What would be lost or booked on nothing once a session's notes are read, each with the line that mends it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

from tastevocab.panel.gather import Entry, Told, check_gathered, name_of, pooled, read_source
from tastevocab.panel.scaffold import METHODS
from tastevocab.panel.session import BrewCard, Session, Source
from tastevocab.panel.settling import Settler, is_table, some
from tastevocab.panel.table import table_of, told_names
from tastevocab.panel.windows import cut
from tastevocab.reading.records import AttributeFinding, Finding
from tastevocab.reading.report.told import clock, quoted
from tastevocab.reading.review.decisions import beside
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.load import Problem
from tastevocab.vocabulary.sources import is_bare

Judged = Finding | AttributeFinding


@dataclass(frozen=True, slots=True)
class _Lost:
    """Findings of an entry that lack something, of all that were `read` in it, both in the order they were said."""

    entry: Entry
    read: Sequence[Judged]
    lost: Sequence[Judged]


def check_told(told: Told, lexicon: Lexicon) -> tuple[Problem, ...]:
    """All that is wrong once a session's entries have been read: as `check_notes`, and coffees that nobody described,
    where that does not follow from findings that are of no coffee yet."""
    problems = check_notes(told, lexicon)
    if any(p.code in ("no-coffee", "one-coffee") for p in problems):
        return problems
    return (*check_gathered(pooled(told)), *problems)


def check_notes(told: Told, lexicon: Lexicon) -> tuple[Problem, ...]:
    """Problems of entries that have been read, in their order: findings of no coffee where several were poured, or all
    of one that nothing names; of no brew card where several are; a `brew:` that the talk itself contradicts; and, as a
    warning, talk of which it is unsure to which coffee it belongs."""
    found: list[Problem] = []
    for entry in told.entries:
        found.extend(_no_coffee(told.session, entry))
        found.extend(_all_of_one(told.session, entry))
        found.extend(_crossed(told.session, entry))
        found.extend(_no_brew(told.session, entry))
        found.extend(_no_card(told.session, entry))
        found.extend(_contradicted(told.session, entry, lexicon))
    return tuple(found)


# --- left without a coffee or a brew ---


def _no_coffee(session: Session, entry: Entry) -> Iterator[Problem]:
    read = _said(entry)
    lost = [f for f in read if f.spot.coffee is None]
    if len(session.coffees) < 2 or not lost:
        return
    described = {f.spot.coffee for f in read}
    coffee = next((id for id in session.coffees if id not in described), next(iter(session.coffees)))
    yield _problem(session, _Lost(entry, read, lost), "coffee", coffee)


def _all_of_one(session: Session, entry: Entry) -> Iterator[Problem]:
    """A recording at a table of several coffees that is read as all of one, though nothing in it names that one."""
    source, read = entry.source, _said(entry)
    coffees = {f.spot.coffee for f in (*read, *entry.reading.asked)}
    coffee = coffees.pop() if len(coffees) == 1 else None
    if coffee is None or source.coffee or source.text or is_table(source) or len(session.coffees) < 2:
        return
    if any(f.crossing for f in entry.reading.asked):  # another coffee was spoken of, and that is asked
        return
    poured = next(p for p in table_of(session, source).coffees if p.id == coffee)
    said = " ".join(" ".join(piece.words for piece in entry.reading.said).split())
    if any(_is_said(name, said) for name in (*poured.names, coffee.replace("_", " "))):
        return
    what = (
        f"{name_of(session, source)}: {some(len(read))} of {told_names(session)[coffee]}, and nothing in it says "
        "that coffee or another: they are not told apart"
    )
    mend = (
        f"write below coffees what people call each (`names: [cup A]`), or `{line_of(source, coffee=coffee)}` if all "
        "of it is of one"
    )
    yield Problem("one-coffee", "error", source.place, what, mend)


def _is_said(name: str, text: str) -> bool:
    """Whether a name falls in talk; one letter only as it is written ("A" is no "a")."""
    words = r"\s+".join(map(re.escape, name.split()))
    return bool(re.search(rf"(?<!\w){words}(?!\w)", text, 0 if len(name) == 1 else re.IGNORECASE))


def _crossed(session: Session, entry: Entry) -> Iterator[Problem]:
    """Stretches of talk that may be of another coffee: nothing said there counts until a person says which."""
    names = told_names(session)
    stretches: dict[tuple[int, int], list[Judged]] = {}
    for f in entry.reading.asked:
        if f.crossing:
            stretches.setdefault((f.crossing.start, f.crossing.end), []).append(f)
    for _, unsure in sorted(stretches.items()):
        first = min(unsure, key=lambda f: f.spot.span)
        crossing = first.crossing
        if crossing is None:
            continue
        here, coffee = first.spot.coffee or "", crossing.other
        what = (
            f"{name_of(session, entry.source)}: of which coffee? {quoted(crossing.words)}"
            f"{'' if crossing.at is None else f' at {clock(crossing.at)}'}: {names.get(here, here)} or "
            f"{names.get(coffee, coffee)}; "
            f"{some(len(unsure))} counted for nobody until somebody says, the first {quoted(first.spot.words)}"
        )
        mend = f"answer in `tastevocab review {session.file}`"
        if crossing.at is not None:
            until = "" if crossing.until is None else f', to: "{clock(crossing.until)}"'
            line = f'- {{decide: stretch, from: "{clock(crossing.at)}"{until}, coffee: {coffee}}}'
            file = beside(session.folder / entry.source.source).name
            mend += f", or write `{line}` with the coffee it was under decisions: in {file}"
        yield Problem("crossed", "warning", entry.source.place, what, mend)


def _no_brew(session: Session, entry: Entry) -> Iterator[Problem]:
    read = _said(entry)
    lost = [f for f in read if f.spot.brew is None and f.spot.moment != "dry"]  # dry grounds are of no brew yet
    if len(session.brews) < 2 or not lost:
        return
    tasted = {f.spot.brew for f in read}
    brew = next((id for id in session.brews if id not in tasted), next(iter(session.brews)))
    yield _problem(session, _Lost(entry, read, lost), "brew", brew)


def _problem(session: Session, found: _Lost, what: str, id: str) -> Problem:
    first, source = found.lost[0], found.entry.source
    said = (
        f"{name_of(session, source)}: {some(len(found.lost))} of {len(found.read)} said of no {what}, the first "
        f"{quoted(first.spot.words)}{f' at {clock(first.spot.at)}' if first.spot.at is not None else ''}"
    )
    ours = {what: id, **(_stretch(found) if len(found.lost) < len(found.read) else {})}
    row = f"fill in the column {what}, or " if is_table(source) else ""
    more = " and one line more for each other stretch" if "from" in ours else ""
    mend = f"{row}write `{line_of(source, **ours)}` with the {what} it was{more}"
    return Problem(f"no-{what}", "error", source.place, said, mend)


def _stretch(found: _Lost) -> dict[str, str]:
    """From and to of the first run of lost findings, where the file says times."""
    lost = {id(f) for f in found.lost}
    start = found.lost[0].spot.at
    if start is None:
        return {}
    behind = list(found.read)[[id(f) for f in found.read].index(id(found.lost[0])) :]
    run = list(takewhile(lambda f: id(f) in lost, behind))
    after = behind[len(run)].spot.at if len(run) < len(behind) else None
    return {
        "from": clock(start),
        **({"to": clock(after)} if after is not None and clock(after) != clock(start) else {}),
    }


def _no_card(session: Session, entry: Entry) -> Iterator[Problem]:
    """Brews that were heard and are of no card, or of more than one."""
    settler = Settler(session)
    heard = dict.fromkeys(f.spot.brew for f in _said(entry) if f.spot.brew and f.spot.brew not in session.brews)
    for brew in heard if session.brews else ():
        count = sum(f.spot.brew == brew for f in _said(entry))
        cards = settler.methods.get(str(brew).casefold(), [])
        what = f"{name_of(session, entry.source)}: {some(count)} of {brew!r}, which "
        if cards:
            mend = f"write `{line_of(entry.source, brew=cards[0])}` with the brew it was"
            yield Problem("no-card", "error", entry.source.place, f"{what}is {' or '.join(cards)}", mend)
        else:
            mend = f"add `{_plain(str(brew).replace(' ', '_'))}: {{method: {_plain(str(brew))}}}` below `brews:`"
            yield Problem("no-card", "warning", entry.source.place, f"{what}is no brew card", mend)


# --- a brew that the talk contradicts ---


def _contradicted(session: Session, entry: Entry, lexicon: Lexicon) -> Iterator[Problem]:
    """The entry is read again without its `brew:`, to hear what the talk says of itself."""
    source, settler = entry.source, Settler(session)
    own = session.brews.get(settler.brew_of(source.brew) or "")
    if own is None or source.text or is_table(source):
        return
    open_source = replace(source, brew=None)
    reading = cut(session, source, read_source(session, open_source, lexicon))
    read = _said(Entry(open_source, reading))
    brews = [settler.brew_of(f.spot.brew) if f.spot.brew else None for f in read]
    others = [(f, brew) for f, brew in zip(read, brews, strict=True) if brew and _other(session, own, brew)]
    if others:
        first, brew = others[0]
        what = (
            f"{name_of(session, source)}: brew {own.id!r} is given, and the talk says {brew!r} of {some(len(others))}, "
            f"the first {quoted(first.spot.words)}"
        )
        # A passing word for a brew that was not made is no reason to stop; talk that is mostly of another brew is.
        severity = "error" if brew in session.brews or 2 * len(others) > len(read) else "warning"
        yield Problem("brew-said", severity, source.place, what, _mend(session, source, first, brew))


def _other(session: Session, own: BrewCard, brew: str) -> bool:
    """Whether a brew heard is another than the card's: another card, or another method where its own is a known one."""
    if brew in session.brews:
        return brew != own.id
    return brew.casefold() != own.method.casefold() and own.method.casefold() in METHODS


def _mend(session: Session, source: Source, first: Judged, brew: str) -> str:
    if brew not in session.brews:
        return f"write `{line_of(replace(source, brew=None))}`, and add a card for {brew!r} below `brews:`"
    if first.spot.at is None or clock(first.spot.at) == clock(source.since or 0.0):
        return f"write `{line_of(source, brew=brew)}`, or `{line_of(replace(source, brew=None))}` if it is both"
    before = line_of(source, to=clock(first.spot.at))
    then = line_of(source, brew=brew, **{"from": clock(first.spot.at)})
    return f"write `{before}` and `{then}`"


# --- lines of YAML ---


def line_of(source: Source, **other: str) -> str:
    """An entry as the line to write under `notes:`, with `other` values (coffee, brew, from, to)."""
    values: dict[str, str | None] = {
        "source": source.source or None,
        "taster": source.taster,
        "coffee": source.coffee,
        "brew": source.brew,
        "moment": source.moment,
        "bowl": source.bowl,
        "from": None if source.since is None else clock(source.since),
        "to": None if source.until is None else clock(source.until),
        "reveal": None if source.reveal is None else clock(source.reveal),
        "closing": None if source.closing is None else clock(source.closing),
        "text": source.text or None,
        **other,
    }
    cells = [f"{key}: {_plain(value)}" for key, value in values.items() if value]
    if source.tasters:
        cells.append(f"tasters: [{', '.join(map(_plain, source.tasters))}]")
    if source.speakers:
        pairs = ", ".join(f"{_plain(name)}: {_plain(taster)}" for name, taster in source.speakers.items())
        cells.append(f"speakers: {{{pairs}}}")
    return f"- {{{', '.join(cells)}}}"


def _plain(text: str) -> str:
    """Text as a YAML value inside braces: plain where every reader takes it for these words."""
    return text if is_bare(text.replace(".", "")) else json.dumps(text, ensure_ascii=False)


def _said(entry: Entry) -> list[Judged]:
    """Everything judged in an entry, in the order it was said."""
    found: list[Judged] = [*entry.reading.findings, *entry.reading.attributes]
    return sorted(found, key=lambda f: (f.spot.at or 0.0, f.spot.line, f.spot.span))
