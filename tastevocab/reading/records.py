"""The records reading gives: turns, findings, attribute findings, set-asides and unresolved words.

Frozen values; `span` counts characters in the decoded file (for a table: in that row's `text`).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

Moment = Literal["dry", "aroma", "hot", "warm", "cool"]
Standing = Literal["own", "echo", "led", "informed"]
Via = Literal["word", "spelling", "sound", "heard"]

_FAR = 1 << 62

MOMENTS: tuple[Moment, ...] = ("dry", "aroma", "hot", "warm", "cool")


@dataclass(frozen=True, slots=True)
class Turn:
    """What one speaker says without a break.

    `text` is the joined text, `offsets` pairs (position in `text`, position in the file) at each joined piece, in
    order; `times` pairs (position in `text`, seconds). The other fields are what the file itself says of it:
    `note` the row id of a table, `taster`/`coffee`/`brew`/`moment`/`bowl` its columns, `topic` the attribute a table
    column is about ("acidity"). `offers` are places [start, end) of `text` at which a recogniser that was given the
    house's words heard others, and those words: nothing of them counts by itself.
    """

    text: str
    source: str
    offsets: tuple[tuple[int, int], ...] = ((0, 0),)
    times: tuple[tuple[int, float], ...] = ()
    speaker: str | None = None
    note: str | None = None
    coffee: str | None = None
    brew: str | None = None
    moment: str | None = None
    bowl: str | None = None
    topic: str | None = None
    kind: Literal["talk", "heading", "cell", "note"] = "talk"
    line: int = 0
    offers: tuple[tuple[int, int, str], ...] = ()

    def file_position(self, position: int) -> int:
        """The place in the file of the character at `position` in `text`."""
        if not self.offsets:
            return position
        start, at = self.offsets[max(bisect_right(self.offsets, (position, _FAR)) - 1, 0)]
        return at + position - min(start, position)

    def part(self, start: int, end: int) -> Turn:
        """The characters [start, end) of `text` as a turn of their own, standing where they do."""
        offsets = ((0, self.file_position(start)), *((p - start, at) for p, at in self.offsets if start < p < end))
        before = self.time_at(start)
        first = () if before is None else ((0, before),)
        times = (*first, *((p - start, at) for p, at in self.times if start < p < end))
        offers = tuple((a - start, b - start, words) for a, b, words in self.offers if start <= a and b <= end)
        return replace(self, text=self.text[start:end], offsets=offsets, times=times, offers=offers)

    def time_at(self, position: int) -> float | None:
        """Seconds from the start of the recording at `position` in `text`, if the file says."""
        place = bisect_right(self.times, (position, _FAR)) - 1
        return self.times[place][1] if place >= 0 else None


@dataclass(frozen=True, slots=True)
class Poured:
    """One coffee of a table as talk may call it: its id, then its names (full, short, codes, "the natural")."""

    id: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """What is known of a table before its talk is read: who tasted, what was poured and how it was brewed.

    `coffees` stand in serving order; `brews` pairs a brew card's id with its method; `claims` are the roasters' words.
    """

    tasters: tuple[str, ...] = ()
    coffees: tuple[Poured, ...] = ()
    brews: tuple[tuple[str, str], ...] = ()
    claims: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where words stand and in what circumstances: shared by everything a reading gives.

    `line` is the line of the file in which the turn (in a table: the row) begins, 0 where it is not known; `closing`
    says that it was said in a closing round, when each sums up a cup in a few words, `revealed` after the coffee was
    named; `or_coffee` is the coffee it may be of instead, where the reader is unsure.
    """

    words: str
    span: tuple[int, int]
    source: str
    note: str | None = None
    speaker: str | None = None
    at: float | None = None
    coffee: str | None = None
    brew: str | None = None
    moment: str | None = None
    place: str | None = None
    bowl: str | None = None
    line: int = 0
    closing: bool = False
    revealed: bool = False
    or_coffee: str | None = None


@dataclass(frozen=True, slots=True)
class Crossing:
    """A stretch of talk that may be of another coffee (`other`) than was taken to be in hand: from `start` to before
    `end` in the file, from second `at` to `until`, beginning with `words`. `alone` is true where nothing else keeps the
    item from being counted.
    """

    start: int
    end: int
    words: str
    other: str
    at: float | None = None
    until: float | None = None
    alone: bool = True


@dataclass(frozen=True, slots=True)
class Finding:
    """One taster, one descriptor, one serving, with the exact words (`present` false: a denial).

    `degree` is one of the five words of the Labelled Magnitude Scale or None, `strength` its number 0..100 or None;
    `certainty` 1 firm, 0.5 leaning, 0.25 guess. `via` and `match` (0..1) say how the words were matched; `state` is a
    state word the descriptor has no note for, `parts` what a likeness is made of; `nose` True where it was smelled,
    `echo` where the word itself was not said (assent, or a bare "not for me"). `sure` is the calibrated probability
    (0..1) that this speaker perceives it in this cup; `signs` name what moved the judgement most,
    `asked` is true where it is left to a person (and stands in `Reading.asked`); `crossing` says why its coffee is
    unsure.
    """

    id: str
    descriptor: str
    spot: Spot
    present: bool = True
    standing: Standing = "own"
    degree: str | None = None
    strength: float | None = None
    certainty: float = 1.0
    hedged: bool = False
    via: Via = "word"
    match: float = 1.0
    state: str | None = None
    parts: tuple[str, ...] = ()
    fault: bool = False
    two_faced: bool = False
    nose: bool = False
    echo: bool = False
    sure: float = 1.0
    signs: tuple[str, ...] = ()
    asked: bool = False
    crossing: Crossing | None = None


@dataclass(frozen=True, slots=True)
class AttributeFinding:
    """One taster, one attribute, one serving: `level` none/low/medium/high, `step` 1..5 on its word scale."""

    id: str
    attribute: str
    level: str
    step: float
    spot: Spot
    present: bool = True
    standing: Standing = "own"
    hedged: bool = False
    sure: float = 1.0
    signs: tuple[str, ...] = ()
    asked: bool = False
    crossing: Crossing | None = None


@dataclass(frozen=True, slots=True)
class SetAside:
    """A flavour word that is no finding, with the `reason` (equipment, process, recipe, idiom, claim, wish, ...)."""

    spot: Spot
    reason: str
    descriptor: str | None = None
    sure: float = 0.0
    signs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A descriptor an unknown word may have meant, and how near it is (0..1)."""

    descriptor: str
    match: float


@dataclass(frozen=True, slots=True)
class Unresolved:
    """Words in the place of a flavour that the vocabulary does not know."""

    spot: Spot
    suggestions: tuple[Suggestion, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything one or more files gave, in file order. `notices` are sentences about the files themselves.

    `asked` are findings too unsure to count: they wait for a person and count for nobody until then. `said` is the text
    itself, piece by piece as far as place in the file and second run on evenly, with what was in hand.
    """

    findings: tuple[Finding, ...] = ()
    attributes: tuple[AttributeFinding, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    unresolved: tuple[Unresolved, ...] = ()
    notices: tuple[str, ...] = ()
    speakers: Mapping[str, int] = field(default_factory=dict)
    asked: tuple[Finding | AttributeFinding, ...] = ()
    said: tuple[Spot, ...] = ()

    def __add__(self, other: Reading) -> Reading:
        speakers = dict(self.speakers)
        for name, turns in other.speakers.items():
            speakers[name] = speakers.get(name, 0) + turns
        return Reading(
            self.findings + other.findings,
            self.attributes + other.attributes,
            self.set_aside + other.set_aside,
            self.unresolved + other.unresolved,
            self.notices + other.notices,
            speakers,
            self.asked + other.asked,
            self.said + other.said,
        )
