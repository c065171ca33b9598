"""The one small error family: what is wrong, where, and how to mend it.

Every error a user can cause is a `TastevocabError`; the command line turns it into text and exit status 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in a file: `file` as the user would name it, `line` counted from 1 (0 = the whole file)."""

    file: str
    line: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file


class TastevocabError(Exception):
    """Base of all errors made by what the user gave.

    `what` says what is wrong and what was expected, `place` where, `mend` what to do about it.
    """

    def __init__(self, what: str, *, place: Place | None = None, mend: str = "") -> None:
        self.what = what
        self.place = place
        self.mend = mend
        where = f"{place}: " if place else ""
        then = f"\n  mend: {mend}" if mend else ""
        super().__init__(f"{where}{what}{then}")


class VocabularyError(TastevocabError):
    """A vocabulary or house file is wrong."""


class InputError(TastevocabError):
    """A session, note or caption file is wrong, missing or unreadable."""


class StatisticsError(TastevocabError):
    """A figure was asked of data that cannot give it."""


LISTED = 20
"""Names that an error lists at most."""


def near(name: str, known: Sequence[str]) -> str:
    """How to mend a name that is none of `known`: "did you mean ...?" with the nearest, or the list of them."""
    import difflib

    close = difflib.get_close_matches(name.casefold(), [k.casefold() for k in known], n=1)
    if close:
        return f"did you mean {next(k for k in known if k.casefold() == close[0])}?"
    more = f" and {len(known) - LISTED:,} more" if len(known) > LISTED else ""
    return f"known here: {', '.join(known[:LISTED]) or 'none'}{more}"
