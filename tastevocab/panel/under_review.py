"""What of a session is under review: who tasted what, and every text of it as it reads without any decision."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tastevocab.panel.gather import read_source
from tastevocab.panel.session import Session, Source
from tastevocab.panel.table import table_of
from tastevocab.panel.windows import cut
from tastevocab.reading.review.company import Company
from tastevocab.reading.review.context import Texts, texts_of
from tastevocab.reading.review.walk import Notes
from tastevocab.reading.words.lexicon import Lexicon


@dataclass(frozen=True, slots=True)
class Part:
    """One entry under notes with its text; decisions about it lie beside `notes.path`."""

    source: Source
    notes: Notes


def company_of(session: Session) -> Company:
    """Who tasted what, and by which names people and coffees go."""
    spoken = [*session.speakers.items(), *(pair for s in session.sources for pair in s.speakers.items())]
    voices = {taster.casefold(): taster for taster in session.tasters}
    voices |= {name.casefold(): voices.get(taster.casefold(), taster) for name, taster in spoken}
    return Company(session.tasters, voices, table_of(session))


def parts_of(session: Session, lexicon: Lexicon, *, step: Callable[[int], object] = lambda n: None) -> Iterator[Part]:
    """Every entry of a sound session, read; `step` hears of each. Raises `InputError` where one cannot be read."""
    texts: dict[Path, Texts] = {}
    for source in session.sources:
        reading = cut(session, source, read_source(session, source, lexicon))
        if source.text:
            notes = Notes(Path(session.file), reading, Texts.of(source.text))
        else:
            path = session.folder / source.source
            if path not in texts:
                texts[path] = texts_of(path)
            notes = Notes(path, reading, texts[path])
        yield Part(source, notes)
        step(1)
