"""The timeline of one text: in which stretch which coffee, brew and moment was in hand, and who spoke."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.errors import InputError
from tastevocab.reading.review.context import Texts
from tastevocab.reading.review.decisions import Decision
from tastevocab.reading.review.details import NOTHING, Details, seconds_of
from tastevocab.reading.review.said import Said

LANES = ("coffee", "brew", "moment", "taster")


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of one lane with one value (None: not said): [start, end) of the text, from second `at` on."""

    start: int
    end: int
    value: str | None
    at: float | None


def lane(said: Said, name: str) -> tuple[Run, ...]:
    """One lane: runs that cover the text without gap or overlap; no two neighbours have the same value."""
    field = "speaker" if name == "taster" else name
    made: list[Run] = []
    for start, piece in zip(said.starts, said.pieces, strict=True):
        value, end = getattr(piece, field), start + len(piece.words)
        if made and made[-1].value == value:
            made[-1] = Run(made[-1].start, end, value, made[-1].at)
        else:
            if made:
                made[-1] = Run(made[-1].start, start, made[-1].value, made[-1].at)
            made.append(Run(start, end, value, piece.at))
    return tuple(made)


def alike(said: Said, name: str, place: int) -> tuple[Run, ...]:
    """The runs of a lane that have the value which it has at a place: a voice without a name, wherever it speaks."""
    runs = lane(said, name)
    value = next((run.value for run in reversed(runs) if run.start <= place), None)
    return tuple(run for run in runs if run.value == value)


def moved(said: Said, name: str, border: int, to: int) -> tuple[int, int, str]:
    """What dragging the border of a lane at place `border` to place `to` says: of [start, end) it is that value.

    Raises `InputError` where no border is.
    """
    runs = lane(said, name)
    n = next((n for n, run in enumerate(runs) if run.start == border and n), None)
    if n is None:
        raise InputError("there is no such border any more", mend="look at the timeline again")
    if to == border or not 0 <= to <= len(said.text):
        raise InputError("the border stays where it is", mend="drag it to another place")
    start, end, value = (to, border, runs[n].value) if to < border else (border, to, runs[n - 1].value)
    return start, end, value or ""


def stretch(said: Said, texts: Texts, start: int, end: int | None, details: Details) -> Decision:
    """The decision that says `details` of [start, end) of a text (None: to its end).

    Raises `InputError` for an empty stretch or one of which nothing is said.
    """
    if details.of_stretch() == NOTHING:
        raise InputError("nothing is said of this stretch", mend="choose a taster, coffee, brew or moment")
    if not 0 <= start < len(said.text) or (end is not None and end <= start):
        raise InputError("this stretch holds no words", mend="let it end after its beginning")
    till = None if end is None or end >= len(said.text) else said.mark_at(end, texts)
    return Decision("stretch", "", details=details.of_stretch(), start=said.mark_at(start, texts), end=till)


def place_typed(said: Said, typed: str) -> int:
    """The place that a person typed: a time of the recording, or "line 14" where there are no times.

    Raises `InputError` for what is neither.
    """
    text = typed.strip().casefold()
    timed = any(piece.at is not None for piece in said.pieces)
    if timed and (at := seconds_of(text)) is not None:
        later = (s for s, p in zip(said.starts, said.pieces, strict=True) if p.at is not None and p.at >= at - 0.0005)
        return next(later, len(said.text))
    number = text.removeprefix("line").strip()
    if number.isdecimal() and int(number) > 0:
        begins = line_starts(said)
        return begins[int(number) - 1] if int(number) <= len(begins) else len(said.text)
    mend = 'write minutes and seconds, like "12:30"' if timed else 'write a line, like "line 14"'
    raise InputError(f"{typed!r} is no place in this text", mend=mend)


def line_starts(said: Said) -> Sequence[int]:
    """Where each line of the text begins."""
    made = [0]
    made.extend(n + 1 for n, c in enumerate(said.text) if c == "\n" and n + 1 < len(said.text))
    return made
