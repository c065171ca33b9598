"""A table without names: codes for tasters, numbers for files and rows, and codes for the names people call out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import PurePath
from typing import TypeVar

from tastevocab.panel.gather import Gathered
from tastevocab.panel.session import Session
from tastevocab.reading.records import AttributeFinding, Finding, SetAside, Spot, Turn, Unresolved

Judged = TypeVar("Judged", Finding, AttributeFinding, Finding | AttributeFinding)
Beside = TypeVar("Beside", SetAside, Unresolved)
SHORTEST = 2
"""Letters of a name that is looked for in what was said."""


class Anonymous:
    """Codes T1, T2, ... for a session's tasters, in its order, wherever a name may stand.

    `is_word` says of a name that it is a flavour word too (a taster called Rose): that is left in what was said.
    """

    def __init__(self, session: Session, is_word: Callable[[str], bool] = lambda name: False) -> None:
        self.codes = {taster: f"T{i}" for i, taster in enumerate(session.tasters, 1)}
        self.sources: dict[str, str] = {}
        self.ids: dict[str, str] = {}
        self.rows: dict[str, str] = {}
        called = {t.casefold(): code for t, code in self.codes.items()}
        for spoken in (session.speakers, *(s.speakers for s in session.sources)):
            for name, taster in spoken.items():
                if taster.casefold() in called:
                    called.setdefault(name.casefold(), called[taster.casefold()])
        self.called = called
        told = {n.replace("_", " "): c for n, c in called.items() if len(n) >= SHORTEST and not is_word(n)}
        self.told = told
        longest = sorted(map(re.escape, told), key=len, reverse=True)
        self.pattern = re.compile(rf"\b(?:{'|'.join(longest)})\b", re.IGNORECASE) if longest else None

    def speaker(self, name: str | None) -> str | None:
        """The code of whoever spoke; "?" for somebody who is no taster."""
        return self.called.get(name.casefold(), "?") if name else None

    def words(self, text: str) -> str:
        """What was said, with codes for the tasters' names in it."""
        return self.pattern.sub(lambda m: self.told[m[0].casefold()], text) if self.pattern else text

    def source(self, name: str) -> str:
        """A file's name without its words: "notes-1.vtt"."""
        return self.sources.setdefault(name, f"notes-{len(self.sources) + 1}{PurePath(name).suffix.lower()}")

    def id(self, id: str) -> str:
        """A finding's id without its file's name."""
        return self.ids.setdefault(id, f"f{len(self.ids) + 1}")

    def spot(self, spot: Spot) -> Spot:
        note = None if spot.note is None else self.rows.setdefault(spot.note, f"row-{len(self.rows) + 1}")
        return replace(
            spot,
            words=self.words(spot.words),
            speaker=self.speaker(spot.speaker),
            source=self.source(spot.source),
            note=note,
        )

    def turn(self, turn: Turn) -> Turn:
        """A turn of the recordings; its places in the file still hold at its beginning."""
        return replace(
            turn, text=self.words(turn.text), speaker=self.speaker(turn.speaker), source=self.source(turn.source)
        )

    def judged(self, found: Iterable[Judged]) -> tuple[Judged, ...]:
        return tuple(replace(f, id=self.id(f.id), spot=self.spot(f.spot)) for f in found)

    def beside(self, found: Iterable[Beside]) -> tuple[Beside, ...]:
        return tuple(replace(f, spot=self.spot(f.spot)) for f in found)

    def names(self, tasters: Iterable[str]) -> tuple[str, ...]:
        return tuple(self.codes.get(t, t) for t in tasters)

    def gathered(self, gathered: Gathered) -> Gathered:
        """All that was gathered, so that no file made of it holds a name."""
        session = gathered.session
        return replace(
            gathered,
            session=replace(
                session,
                tasters=self.names(session.tasters),
                coffees={k: replace(c, tasters=self.names(c.tasters)) for k, c in session.coffees.items()},
                brews={k: replace(b, tasters=self.names(b.tasters)) for k, b in session.brews.items()},
                speakers={},
                sources=(),
            ),
            present={seat: frozenset(self.names(who)) for seat, who in gathered.present.items()},
            findings=self.judged(gathered.findings),
            attributes=self.judged(gathered.attributes),
            unattributed=self.judged(gathered.unattributed),
            unattributed_attributes=self.judged(gathered.unattributed_attributes),
            asked=self.judged(gathered.asked),
            set_aside=self.beside(gathered.set_aside),
            unresolved=self.beside(gathered.unresolved),
        )
