"""Words of a report as the pack says them: each printed word with its people, its doubters and its deniers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.feature.wording import Wording
from tastevocab.panel.chance import LIKELY, tables_text
from tastevocab.panel.rungs import Rung
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import Report
from tastevocab.reading.records import Finding
from tastevocab.reading.review.company import quorum


@dataclass(frozen=True, slots=True)
class Word:
    """One word with who stands behind it. `label` adds what it leans to; `unsure` of the `people` only hedged;
    `evidence` are the findings' ids. `chance` (0..1) is how often as many of a table that says as many words at random
    have it (None: not known). `when` is the moment at which `when_people` of them found it, where that may be told
    ("": at several).
    """

    descriptor: str
    print: str
    label: str
    people: int
    of: int
    unsure: int
    denied: int
    why: str
    evidence: tuple[str, ...]
    chance: float | None = None
    when: str = ""
    when_people: int = 0


@dataclass(frozen=True, slots=True)
class Quote:
    """A taster's own words for one descriptor."""

    taster: str
    words: str
    descriptor: str
    unsure: bool
    evidence: tuple[str, ...]


def line_words(report: Report, spans: Spans) -> tuple[Word, ...]:
    """The words of the notes line, in its order."""
    rungs = {r.descriptor: r for r in report.ladder.rungs}
    return tuple(rung_word(rungs[id], report, spans) for id in report.line.words)


def other_words(report: Report, spans: Spans) -> tuple[Word, ...]:
    """The words at quorum that are not on the line."""
    return tuple(rung_word(r, report, spans) for r in report.ladder.rungs if r.descriptor not in report.line.words)


def rung_word(rung: Rung, report: Report, spans: Spans) -> Word:
    """A rung as a word of the pack."""
    node = report.map.by_id[rung.descriptor]
    when = report.when(rung.descriptor)
    return Word(
        descriptor=rung.descriptor,
        print=rung.print,
        label=rung.label,
        people=rung.people,
        of=rung.of,
        unsure=_unsure(rung.descriptor, report, spans),
        denied=rung.denials,
        why=rung.why,
        evidence=node.evidence,
        chance=None if rung.chance is None else float(f"{rung.chance:.6g}"),  # machines differ in the last digits
        when=when.moment if when else "",
        when_people=when.people if when else 0,
    )


def _unsure(id: str, report: Report, spans: Spans) -> int:
    """How many found it with doubt only."""
    support = spans.supports[id]
    best: dict[int, float] = {}
    folded = report.map.folded
    for taster, column, certainty in zip(folded.taster, folded.descriptor, folded.certainty, strict=True):
        if folded.descriptors[int(column)] in support:
            best[int(taster)] = max(best.get(int(taster), 0.0), float(certainty))
    return sum(certainty < 1 for certainty in best.values())


def some_words(report: Report, spans: Spans) -> tuple[Word, ...]:
    """What two tasters or more found and no quorum did, outside what is printed; the narrowest of each place."""
    need = quorum(len(report.map.tasters))
    covered = {id for r in report.ladder.rungs for id in spans.supports[r.descriptor]}
    taken: set[str] = set()
    found = []
    for node in sorted(
        report.map.nodes, key=lambda n: (-n.people, spans.size(n.descriptor), spans.order[n.descriptor])
    ):
        below = node.level != "category" and 2 <= node.people < need and node.descriptor not in covered
        if below and not spans.supports[node.descriptor] & taken:
            taken |= spans.supports[node.descriptor]
            rung = Rung(
                node.descriptor,
                node.print,
                node.level,
                node.people,
                len(report.map.tasters),
                0,
                node.denials,
                None,
                0,
                node.print,
                "",
            )
            found.append(rung_word(rung, report, spans))
    return tuple(found)


def likeness(report: Report) -> Quote | None:
    """One taster's own vivid word that nobody else used: a likeness made of several things before a plain one, a firm
    one before a doubtful one; None where every word was shared. Words the captions garbled are not quoted.
    """
    alone = {n.descriptor for n in report.map.nodes if n.level == "note" and n.named == 1}
    found = [f for f in own(report) if f.descriptor in alone and f.via == "word"]
    best = min(found, key=_vividness, default=None)
    return quote(best) if best else None


def _vividness(f: Finding) -> tuple[bool, bool, int, str]:
    return (not f.parts, f.certainty < 1, -len(f.spot.words), f.id)


def quote(f: Finding) -> Quote:
    """A finding as its taster's own words."""
    return Quote(f.spot.speaker or "", " ".join(f.spot.words.split()), f.descriptor, f.certainty < 1, (f.id,))


def own(report: Report) -> list[Finding]:
    """The findings that count, in order."""
    panel = set(report.map.tasters)
    return [
        f
        for f in report.evidence.values()
        if f.present and not f.fault and f.standing == "own" and f.spot.speaker in panel
    ]


def found_text(words: Sequence[Word], wording: Wording) -> str:
    """ "all five tasters found red fruit, leaning cherries (one of them unsure); three of five found caramel"."""
    parts = []
    for place, word in enumerate(words):
        parts.append(
            wording.say(
                "found.first" if place == 0 else "found.next",
                counted=wording.counted(word.people, word.of),
                many=word.of != 1,
                label=word.label.replace(word.print, wording.in_text(word.descriptor, word.print), 1),
                aside=_aside(word, wording),
                when=when_text(word, wording),
            )
        )
    return "; ".join(parts)


def when_text(word: Word, wording: Wording) -> str:
    """ "when cool", "three of them when cool", "" where it was found at several moments."""
    if not word.when:
        return ""
    at = wording.at("when").get(word.when, word.when)
    return wording.say("found.when", at=at, people=word.when_people, all=word.when_people == word.people)


def _aside(word: Word, wording: Wording) -> str:
    parts = []
    if word.unsure:
        path = "aside.unsure_all" if word.unsure == word.people else "aside.unsure"
        parts.append(wording.say(path, people=word.unsure))
    if word.denied:
        parts.append(wording.say("aside.denied", people=word.denied))
    if word.chance is not None and word.chance >= LIKELY:
        parts.append(wording.say("aside.chance", tables=tables_text(word.chance)))
    return f" ({', '.join(parts)})" if parts else ""


def start(text: str) -> str:
    """With a capital first letter."""
    return text[:1].upper() + text[1:]
