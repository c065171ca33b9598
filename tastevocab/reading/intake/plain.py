"""Typed talk and notes without times: "Name: sentence" lines, bullets and paragraphs, to turns."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tastevocab.reading.intake.layout import Layout
from tastevocab.reading.intake.names import Names, learn
from tastevocab.reading.intake.speech import said
from tastevocab.reading.intake.strand import Strand
from tastevocab.reading.records import Turn

# House value: a line this long was broken by the page, a shorter one by its writer.
WRAPPED = 55
_LEAD = re.compile(r"[ \t\ufeff]*(?:>>+|[-–—*•·][ \t]+|\d{1,2}[.)][ \t]+)?[ \t]*")
_INLINE = re.compile(r"(?:^|(?<=[.;!?,…/|])|(?<=[.;!?,…][\"”'’»)])|(?=\n))\s*")


def plain_turns(text: str, *, source: str, layout: Layout) -> tuple[Turn, ...]:
    """A turn for every named line (with the lines that go on from it), every bullet and every paragraph."""
    lines = text.split("\n")
    names = learn([_after_lead(line) for line in lines if line.strip()], layout, whole=text)
    return tuple(turn for strand, line in _entries(text, names) for turn in _named(strand, names, source, line))


def _after_lead(line: str) -> str:
    match = _LEAD.match(line)
    return line[match.end() :] if match else line


def _entries(text: str, names: Names) -> Iterator[tuple[Strand, int]]:
    """Runs of lines that belong together, marks before them taken off."""
    start: int | None = None
    end = at = first = 0
    before = ""
    for number, line in enumerate(text.split("\n"), 1):
        lead = _LEAD.match(line)
        skip = lead.end() if lead else 0
        marked = bool(line[:skip].strip(" \t\ufeff"))
        if start is not None and (
            not line.strip() or marked or names.before(line, skip) or not _goes_on(before, names)
        ):
            yield Strand.of(text, start, end), first
            start = None
        if line.strip():
            if start is None:
                start, first = at + skip, number
            end = at + len(line)
        before = line
        at += len(line) + 1
    if start is not None:
        yield Strand.of(text, start, end), first


def _goes_on(before: str, names: Names) -> bool:
    """Whether the line after `before` belongs to it: the page broke the line, or somebody named was speaking."""
    return len(before) >= WRAPPED or bool(names)


def _named(strand: Strand, names: Names, source: str, line: int) -> Iterator[Turn]:
    for speaker, words in by_name(strand, names):
        yield said(words, source, speaker=speaker, line=line + strand.text.count("\n", 0, _inside(strand, words)))


def _inside(strand: Strand, words: Strand) -> int:
    return max(words.where(0) - strand.where(0), 0)


def by_name(strand: Strand, names: Names) -> Iterator[tuple[str | None, Strand]]:
    """Words cut at every known name with a colon after it: "Ana: plum; Ben: not plum" is two people's.

    Where they open with nobody's words, a new line after a full stop is nobody's again.
    """
    cuts: list[tuple[int, int, str | None]] = [(0, 0, None)]
    if names:
        opening = names.before(strand.text)
        for match in _INLINE.finditer(strand.text):
            if named := names.before(strand.text, match.end()):
                cuts.append((match.start(), named[1], named[0]))
            elif (
                "\n" in match.group()
                and not opening
                and cuts[-1][2]
                and match.start()
                and _full_stop(strand.text, match)
            ):
                cuts.append((match.start(), match.end(), None))
    for (_, begin, name), after in zip(cuts, [*(c[0] for c in cuts[1:]), len(strand.text)], strict=True):
        words = strand.cut(begin, max(after, begin)).trim()
        if words.text:
            yield name, words


def _full_stop(text: str, match: re.Match[str]) -> bool:
    return text[max(match.start() - 8, 0) : match.start()].rstrip("\"”'’»)")[-1:] in (".", "!", "?", "…")
