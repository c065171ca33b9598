"""What `tastevocab read` prints, text by text: a file of notes, or each source of a session in the session's ids."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from tastevocab.cli.output import notice

if TYPE_CHECKING:
    from tastevocab.panel.gather import Entry
    from tastevocab.panel.session import Session, Source
    from tastevocab.reading.records import Reading
    from tastevocab.reading.review.context import Texts
    from tastevocab.reading.words.lexicon import Lexicon


class Part(NamedTuple):
    """One text and its reading, decisions applied: what it is called, the file as it would be typed, the ids of
    findings that were decided about, the text that spans count in (read where it is asked for), and coffees' names by
    id."""

    name: str
    file: str
    reading: Reading
    decided: frozenset[str]
    texts: Callable[[], Texts]
    coffees: Mapping[str, str] = MappingProxyType({})


def is_yaml(path: Path) -> bool:
    """Whether a file can only be a session."""
    return path.suffix.lower() in (".yaml", ".yml")


def parts_of(path: Path, lexicon: Lexicon, defaults: Mapping[str, str]) -> list[Part]:
    """The texts of a file of notes or of a session; sentences about them go to standard error.

    `defaults` fill what is not said of taster, coffee, brew and moment. Raises `InputError` where a file cannot be
    read, a YAML file is no session, or the session is unsound.
    """
    return _session_parts(path, lexicon, defaults) if is_yaml(path) else [_file_part(path, lexicon, defaults)]


def _file_part(path: Path, lexicon: Lexicon, defaults: Mapping[str, str]) -> Part:
    from tastevocab.reading.read import read_file
    from tastevocab.reading.review.apply import apply, settled
    from tastevocab.reading.review.context import texts_of
    from tastevocab.reading.review.decisions import load_beside

    reading = read_file(path, lexicon, defaults=defaults)
    decisions = load_beside(path, known=lexicon.prints)
    if decisions.entries:
        count = len(decisions.entries)
        notice(f"{decisions.file}: {count} decision{'' if count == 1 else 's'} applied")
        reading = apply(reading, decisions, strengths=lexicon.strength)
    for sentence in reading.notices:
        notice(sentence)
    return Part(path.name, str(path), reading, settled(reading, decisions), lambda: texts_of(path))


def _session_parts(path: Path, lexicon: Lexicon, defaults: Mapping[str, str]) -> list[Part]:
    from tastevocab.panel.gather import name_of, read_entries
    from tastevocab.panel.session import open_session

    session = open_session(path)
    session = replace(session, sources=tuple(_filled(source, defaults) for source in session.sources))
    told = read_entries(session, lexicon)
    for sentence in (*told.notices, *told.unsettled):
        notice(sentence)
    by_name: dict[str, list[Entry]] = {}
    for entry in told.entries:
        by_name.setdefault(name_of(session, entry.source), []).append(entry)
    return [_session_part(session, path, name, entries) for name, entries in by_name.items()]


def _filled(source: Source, defaults: Mapping[str, str]) -> Source:
    return replace(
        source,
        taster=source.taster or defaults.get("taster"),
        coffee=source.coffee or defaults.get("coffee"),
        brew=source.brew or defaults.get("brew"),
        moment=source.moment or defaults.get("moment"),
    )


def _session_part(session: Session, path: Path, name: str, entries: list[Entry]) -> Part:
    """Entries about one file are one text, however many parts it was cut into."""
    from tastevocab.panel.table import told_names
    from tastevocab.reading.records import Reading
    from tastevocab.reading.review.context import Texts, texts_of

    source = entries[0].source
    typed = path.parent / source.source if source.source else path
    reading = sum((e.reading for e in entries), Reading())
    decided = frozenset(id for e in entries for id in e.decided)
    here = session.folder / source.source

    def texts() -> Texts:
        return texts_of(here) if source.source else Texts.of(source.text)

    return Part(name, str(typed), reading, decided, texts, told_names(session))
