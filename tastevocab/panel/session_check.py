"""What is wrong with a session, all of it at once, before it is used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator

from tastevocab.errors import InputError, Place, near
from tastevocab.panel.session import Session, Source
from tastevocab.reading.records import MOMENTS
from tastevocab.reading.report.told import clock
from tastevocab.vocabulary.load import Problem
from tastevocab.vocabulary.tongues import TAG


def check_session(session: Session) -> tuple[Problem, ...]:
    """Every fault of a session with file and line, in file order; severity "error" stops it, "warning" does not.

    Brew cards that contradict themselves are looked at where they are printed, not here.
    """
    found = [*_keys(session), *_empty(session), *_languages(session), *_audio(session)]
    found += [*_people(session), *_ids(session), *_names(session)]
    for source in session.sources:
        found.extend(_source(session, source))
    return tuple(sorted(found, key=lambda p: (p.place.line, p.code)))


def require_sound(session: Session, *, later: Container[str] = ()) -> None:
    """Raises `InputError` with every error at once if `check_session` finds any; those whose code is in `later` may yet
    be mended by themselves (a table that has no notes yet)."""
    errors = [p for p in check_session(session) if p.severity == "error" and p.code not in later]
    if not errors:
        return
    first = errors[0]
    rest = "".join(f"\n{p.place}: {p.what}\n  mend: {p.mend}" for p in errors[1:])
    raise InputError(first.what, place=first.place, mend=first.mend + rest)


def _keys(session: Session) -> Iterator[Problem]:
    for odd in session.odd:
        yield Problem("key", "error", odd.place, f"{odd.key!r} is no key that is read", near(odd.key, odd.known))
    for odd in session.misspelt:
        what = f"{odd.key!r} is kept as a fact of the brew"
        yield Problem("key", "warning", odd.place, what, near(odd.key, odd.known))


def _empty(session: Session) -> Iterator[Problem]:
    where = session.place
    if not session.tasters:
        yield Problem("tasters", "error", where, "names no tasters", "add `tasters: [mira, otto]`")
    if not session.coffees:
        yield Problem("coffees", "error", where, "names no coffees", "add `coffees: {its_id: {name: Its Name}}`")
    if not session.sources:
        yield Problem("empty", "error", where, "has no notes", "add `notes: [{source: table.vtt}]`")


def _languages(session: Session) -> Iterator[Problem]:
    for tag in session.languages:
        if not TAG.fullmatch(tag):
            what = f"{tag!r} is no language tag"
            yield Problem("language", "error", session.place, what, "write es, es-MX, pt-BR; the usual one first")


def _audio(session: Session) -> Iterator[Problem]:
    if session.audio and not (session.folder / session.audio).is_file():
        what = f"no such recording: {session.audio}"
        yield Problem("audio", "warning", session.place, what, f"paths start at the folder of {Place(session.file)}")


def _people(session: Session) -> Iterator[Problem]:
    seen: set[str] = set()
    for taster, count in Counter(session.tasters).items():
        if count > 1:
            yield Problem("twice", "error", session.place, f"names taster {taster!r} twice", "give each person one id")
        seen.add(taster.casefold())
    cards = [(c.id, c.tasters, c.place) for c in session.coffees.values()]
    cards += [(b.id, b.tasters, b.place) for b in session.brews.values()]
    cards += [("tasters", s.tasters, s.place) for s in session.sources]
    for id, tasters, place in cards:
        for taster in tasters:
            if taster.casefold() not in seen:
                yield Problem(
                    "taster", "error", place, f"{id}: unknown taster {taster!r}", near(taster, session.tasters)
                )
    spoken = [(session.speakers, session.place), *((s.speakers, s.place) for s in session.sources)]
    for speakers, place in spoken:
        for name, taster in speakers.items():
            if taster.casefold() not in seen:
                yield Problem(
                    "taster",
                    "error",
                    place,
                    f"speakers: {name!r} is mapped to unknown taster {taster!r}",
                    near(taster, session.tasters),
                )


def _ids(session: Session) -> Iterator[Problem]:
    for coffee in session.coffees.values():
        if coffee.duplicate_of and coffee.duplicate_of not in session.coffees:
            what = f"{coffee.id}: duplicate of unknown coffee {coffee.duplicate_of!r}"
            yield Problem("duplicate", "error", coffee.place, what, near(coffee.duplicate_of, tuple(session.coffees)))
    for id in (*session.coffees, *session.brews):
        if id == "each":
            yield Problem("reserved", "error", session.place, "'each' cannot be an id", "rename that coffee or brew")


def _names(session: Session) -> Iterator[Problem]:
    """A short name that another coffee has too says of neither that it is meant."""
    called = {c.id: {n.casefold() for n in (c.id, c.name, *c.names)} for c in session.coffees.values()}
    for coffee in session.coffees.values():
        for name in coffee.names:
            other = next((id for id, names in called.items() if id != coffee.id and name.casefold() in names), None)
            if other:
                what = f"{coffee.id}: {other!r} is called {name!r} too"
                yield Problem("name", "error", coffee.place, what, "give each coffee names of its own")


def _window(source: Source) -> Iterator[Problem]:
    if source.since is None and source.until is None:
        return
    if source.text:
        what = "a text stands at no time: from and to are of recordings"
        yield Problem("window", "error", source.place, what, "leave out `from:` and `to:`")
    if source.since is not None and source.until is not None and source.since >= source.until:
        what = f"nothing lies from {clock(source.since)} to {clock(source.until)}"
        yield Problem("window", "error", source.place, what, "write the earlier time as `from:`, the later as `to:`")


def _source(session: Session, source: Source) -> Iterator[Problem]:
    where = source.place
    yield from _window(source)
    if bool(source.source) == bool(source.text):
        yield Problem(
            "source", "error", where, "an entry under notes needs either source or text", "give exactly one of them"
        )
    if source.source and not (session.folder / source.source).is_file():
        yield Problem(
            "missing",
            "error",
            where,
            f"no such note file: {source.source}",
            f"paths start at the folder of {Place(session.file)}",
        )
    if source.text and not source.taster:
        yield Problem("whose", "error", where, "a text without a taster", "add `taster: WHO`")
    known = (
        ("taster", source.taster, session.tasters),
        ("coffee", source.coffee, tuple(session.coffees)),
        ("brew", source.brew, tuple(session.brews)),
        ("moment", source.moment, MOMENTS),
    )
    for what, given, names in known:
        if given and given.casefold() not in {n.casefold() for n in names}:
            yield Problem(what, "error", where, f"unknown {what} {given!r}", near(given, names))
    if not source.coffee and len(session.coffees) > 1 and source.text:
        yield Problem(
            "which", "error", where, "does not say which coffee", f"add `coffee: {next(iter(session.coffees))}`"
        )
