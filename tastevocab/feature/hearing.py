"""The talk of a session's recordings again, for what is heard beside flavours."""

from __future__ import annotations

from dataclasses import replace

from tastevocab.feature.track import CAPTIONS
from tastevocab.panel.session import Session, Source
from tastevocab.panel.windows import turn_inside
from tastevocab.reading.records import Turn


def heard_in(session: Session) -> tuple[Turn, ...]:
    """The turns of every caption file of the session, with the tasters' ids and the source as the session names it."""
    turns: list[Turn] = []
    for source in session.sources:
        if source.source.lower().endswith(CAPTIONS):
            turns.extend(_turns(session, source))
    return tuple(turns)


def _turns(session: Session, source: Source) -> list[Turn]:
    from tastevocab.reading.intake.files import read_turns

    names = {t.casefold(): t for t in session.tasters}
    names |= {spoken.casefold(): t for spoken, t in (*session.speakers.items(), *source.speakers.items())}
    found = read_turns(session.folder / source.source).turns
    return [
        replace(
            turn,
            source=source.source,
            coffee=turn.coffee or source.coffee,
            brew=turn.brew or source.brew,
            speaker=names.get((turn.speaker or "").casefold(), turn.speaker),
        )
        for whole in found
        if (turn := turn_inside(source, whole)) is not None
    ]
