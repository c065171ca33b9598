"""A mention: a flavour or attribute word in a turn, while reading works out what is said of it."""

from __future__ import annotations

from dataclasses import dataclass
from operator import attrgetter


@dataclass(slots=True)
class Mention:
    """Words [start, end) of an utterance that name a descriptor or an attribute, and what is known of them so far.

    `target` is a descriptor id, or an attribute id where `attribute` is true; `level` and `step` belong to attributes.
    `explicit` marks a level that was said in so
    many words ("low acidity"); `reason` is set where the mention is no finding.
    """

    start: int
    end: int
    target: str
    attribute: bool = False
    level: str = ""
    step: float = 0
    state: str | None = None
    parts: tuple[str, ...] = ()
    mark: str = ""
    via: str = "word"
    match: float = 1.0
    present: bool = True
    little: bool = False
    degree: str | None = None
    hedged: bool = False
    certainty: float = 1.0
    place: str | None = None
    moment: str | None = None
    brew: str | None = None
    nose: bool = False
    speaker: str | None = None
    standing: str = "own"
    echo: bool = False
    reason: str | None = None
    explicit: bool = False
    said: tuple[int, int] | None = None
    first: int = -1
    last: int = -1

    def widen(self, start: int, end: int) -> None:
        """Take words [start, end) into the quoted words."""
        self.first = start if self.first < 0 else min(self.first, start)
        self.last = max(self.last, end)

    @property
    def quote(self) -> tuple[int, int]:
        """The word range to quote: the mention with its degree, hedge or denial."""
        first = self.start if self.first < 0 else min(self.first, self.start)
        return first, max(self.last, self.end)


# The order of a turn's words.
in_order = attrgetter("start", "end")
