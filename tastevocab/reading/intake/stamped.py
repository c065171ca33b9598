"""Stamped talk: lines that begin with a time, with or without a name, to cues."""

from __future__ import annotations

import re

from tastevocab.reading.intake.names import looks_like_name
from tastevocab.reading.intake.speech import Cue
from tastevocab.reading.intake.strand import Strand

_TIME = r"(?:\d{1,3}:)?\d{1,3}:\d\d(?:[.,]\d{1,3})?"
_RANGE = rf"(?:\s*(?:-->|–|-|—|to)\s*{_TIME})?"
_BOXED = re.compile(rf"[ \t]*(?:[-*•>][ \t]*)*[\[(<{{]\s*(?P<time>{_TIME}){_RANGE}\s*[\])>}}][ \t]*(?:[-–—|:][ \t]+)?")
_BARE = re.compile(rf"[ \t]*(?P<time>{_TIME}){_RANGE}(?:[ \t]*[-–—|:])?(?:[ \t]+|$)")
_NAMED = re.compile(
    rf"[ \t]*(?P<name>[^\W\d_][\w.'’ \t-]{{0,40}}?)[ \t]*"
    rf"(?:[\[(]\s*(?P<boxed>{_TIME}){_RANGE}\s*[\])]|[ \t](?P<bare>{_TIME}))[ \t]*(?::[ \t]*|$)"
)


def stamp_seconds(text: str) -> float:
    """Seconds of a stamp such as `0:23`, `01:02:03` or `75:10.5`."""
    total = 0.0
    for part in text.replace(",", ".").split(":"):
        total = total * 60 + float(part)
    return round(total, 3)


def is_stamped(text: str) -> bool:
    """Whether enough lines begin with a time for the text to be stamped talk."""
    lines = [line for line in text.split("\n") if line.strip()]
    boxed = sum(1 for line in lines if _BOXED.match(line))
    named = sum(1 for line in lines if _named(line))
    bare = sum(1 for line in lines if _BARE.match(line))
    sure = boxed + (named if named > 1 else 0)
    return bool(lines) and (sure * 4 >= len(lines) > 0 or (sure + bare) * 2 >= len(lines))


def stamped_cues(text: str) -> tuple[Cue, ...]:
    """A cue for every stamped line, with the lines below it that carry no stamp of their own."""
    found: list[Cue] = []
    open_: tuple[float | None, str | None, int, int] | None = None
    end = at = 0
    for number, line in enumerate(text.split("\n"), 1):
        stamp = _stamp(line)
        if stamp or (open_ is None and line.strip()):
            if open_:
                found.append(_cue(text, open_, end))
            seconds, name, words = stamp or (None, None, 0)
            open_ = (seconds, name, at + words, number)
        if line.strip():
            end = at + len(line)
        at += len(line) + 1
    if open_:
        found.append(_cue(text, open_, end))
    return tuple(cue for cue in found if cue.voices)


def _cue(text: str, open_: tuple[float | None, str | None, int, int], end: int) -> Cue:
    seconds, name, start, line = open_
    words = Strand.of(text, start, max(end, start)).trim()
    return Cue(seconds, None, ((name, words),) if words.text else (), line)


def _stamp(line: str) -> tuple[float, str | None, int] | None:
    """The time of a line, the name it stands with ("Ana (00:12): plum"), and where the words begin."""
    match = _BOXED.match(line) or _BARE.match(line)
    if match:
        return stamp_seconds(match["time"]), None, match.end()
    named = _named(line)
    return (
        (stamp_seconds(named["boxed"] or named["bare"]), " ".join(named["name"].split()), named.end())
        if named
        else None
    )


def _named(line: str) -> re.Match[str] | None:
    match = _NAMED.match(line)
    return match if match and looks_like_name(match["name"]) else None
