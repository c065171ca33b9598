"""Who said which words, where and when: every figure traced back to its findings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tastevocab.panel.spans import Spans
from tastevocab.reading.records import MOMENTS, Finding
from tastevocab.vocabulary.model import Vocabulary

ROLES = {"own": "counted", "echo": "echo", "led": "led", "informed": "informed"}


@dataclass(frozen=True, slots=True)
class Trace:
    """One finding that bears on a descriptor, and how: counted, denied, echo, led or informed."""

    taster: str
    words: str
    descriptor: str
    print: str
    role: str
    coffee: str
    brew: str
    moment: str
    bowl: str
    where: str
    at: float | None
    degree: str
    certainty: float
    id: str


def traces(id: str, findings: Iterable[Finding], spans: Spans) -> tuple[Trace, ...]:
    """Every finding at `id` or below (a reach word: inside its span), counted ones first, then by taster and time.

    `id` may be a fault; then only its own findings are given.
    """
    support = spans.supports.get(id) or _at_or_below_fault(id, spans)
    found = [_trace(f, spans) for f in findings if f.descriptor in support]
    return tuple(sorted(found, key=lambda t: (t.role != "counted", t.taster, _when(t.moment), t.at or 0.0, t.id)))


def _when(moment: str) -> int:
    return [*MOMENTS, moment].index(moment)


def _at_or_below_fault(id: str, spans: Spans) -> frozenset[str]:
    return frozenset(d for d in spans.vocabulary.descriptors if d == id or d.startswith(id + "/"))


def _trace(f: Finding, spans: Spans) -> Trace:
    spot = f.spot
    note = f" {spot.note}" if spot.note else ""
    return Trace(
        taster=spot.speaker or "?",
        words=spot.words,
        descriptor=f.descriptor,
        print=spans.descriptor(f.descriptor).print,
        role=ROLES[f.standing] if f.present else "denied",
        coffee=spot.coffee or "",
        brew=spot.brew or "",
        moment=spot.moment or "",
        bowl=spot.bowl or "",
        where=f"{spot.source}{note} {spot.span[0]}-{spot.span[1]}",
        at=spot.at,
        degree=f.degree or "",
        certainty=f.certainty,
        id=f.id,
    )


def clock(seconds: float | None) -> str:
    """Seconds as minutes and seconds: 83.2 is "1:23"."""
    return "" if seconds is None else f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def quoted(f: Finding, vocabulary: Vocabulary) -> str:
    """A finding's words on one line; where they were mis-heard or misspelt, beside them what they are taken for."""
    words = " ".join(f.spot.words.split())
    return words if f.via == "word" else f"{words} [{vocabulary.descriptors[f.descriptor].print}]"
