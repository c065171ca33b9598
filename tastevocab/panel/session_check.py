"""What is wrong with a session, all of it at once, before it is used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from tastevocab.errors import InputError, Place
from tastevocab.panel.session import Session, Source
from tastevocab.reading.records import MOMENTS
from tastevocab.vocabulary.load import Problem


def check_session(session: Session) -> tuple[Problem, ...]:
    """Every fault of a session with file and line, in file order; severity "error" stops it, "note" does not.

    Brew cards that contradict themselves are looked at where they are printed, not here.
    """
    found = [*_empty(session), *_people(session)]
    for source in session.sources:
        found.extend(_source(session, source))
    return tuple(sorted(found, key=lambda p: (p.place.line, p.code)))


def require_sound(session: Session) -> None:
    """Raises `InputError` with every error at once if `check_session` finds any."""
    errors = [p for p in check_session(session) if p.severity == "error"]
    if not errors:
        return
    first = errors[0]
    rest = "".join(f"\n{p.place}: {p.what}\n  mend: {p.mend}" for p in errors[1:])
    raise InputError(first.what, place=first.place, mend=first.mend + rest)


def near(name: str, known: Sequence[str]) -> str:
    """ "did you mean ...?" with the nearest of `known`, or the list of them."""
    import difflib

    close = difflib.get_close_matches(name.casefold(), [k.casefold() for k in known], n=1)
    if close:
        return f"did you mean {next(k for k in known if k.casefold() == close[0])}?"
    return f"known here: {', '.join(known) or 'none'}"


def _empty(session: Session) -> Iterator[Problem]:
    where = session.place
    if not session.tasters:
        yield Problem("tasters", "error", where, "names no tasters", "add `tasters: [mira, otto]`")
    if not session.coffees:
        yield Problem("coffees", "error", where, "names no coffees", "add `coffees: {its_id: {name: Its Name}}`")
    if not session.sources:
        yield Problem("empty", "error", where, "has no notes", "add `notes: [{source: table.vtt}]`")


def _people(session: Session) -> Iterator[Problem]:
    seen: set[str] = set()
    for taster, count in Counter(session.tasters).items():
        if count > 1:
            yield Problem("twice", "error", session.place, f"names taster {taster!r} twice", "give each person one id")
        seen.add(taster.casefold())
    cards = [(c.id, c.tasters, c.place) for c in session.coffees.values()]
    cards += [(b.id, b.tasters, b.place) for b in session.brews.values()]
    for id, tasters, place in cards:
        for taster in tasters:
            if taster.casefold() not in seen:
                yield Problem(
                    "taster", "error", place, f"{id}: unknown taster {taster!r}", near(taster, session.tasters)
                )
    for coffee in session.coffees.values():
        if coffee.duplicate_of and coffee.duplicate_of not in session.coffees:
            what = f"{coffee.id}: duplicate of unknown coffee {coffee.duplicate_of!r}"
            yield Problem("duplicate", "error", coffee.place, what, near(coffee.duplicate_of, tuple(session.coffees)))
    for id in (*session.coffees, *session.brews):
        if id == "each":
            yield Problem("reserved", "error", session.place, "'each' cannot be an id", "rename that coffee or brew")
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


def _source(session: Session, source: Source) -> Iterator[Problem]:
    where = source.place
    if bool(source.source) == bool(source.text):
        yield Problem(
            "source", "error", where, "an entry under notes needs either source or text", "give exactly one of them"
        )
    if source.source and not (session.folder / source.source).is_file():
        yield Problem(
            "missing", "error", where, f"no such note file: {source.source}", f"paths start at {Place(session.file)}"
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
