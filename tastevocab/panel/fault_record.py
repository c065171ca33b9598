"""The fault record: facts about these bowls on this day, as Markdown and for programs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from tastevocab.panel.faults import CAUTION, HOLD, NO_VERDICT, Fault, must_hold, taken_back
from tastevocab.reading.records import Finding, SetAside, Spot
from tastevocab.vocabulary.model import Vocabulary

OPEN = ("kit ruled out (how)", "decision (release, re-taste, hold, query)", "decided by")


class Trace(NamedTuple):
    """A fault that somebody named and that stands in no record: what is told of it, and whether a decision waits."""

    told: str
    waiting: bool = False


def fault_json(fault: Fault) -> dict[str, Any]:
    """One fault as plain values, stable keys; what only people can fill in is null."""
    return {
        "descriptor": fault.descriptor,
        "print": fault.print,
        "family": fault.family,
        "hold": fault.hold,
        "people": len(fault.tasters),
        "of": fault.of,
        "tasters": list(fault.tasters),
        "denied": list(fault.denied),
        "words": list(fault.words),
        "bowls": list(fault.bowls),
        "bowls_affected": len(fault.bowls),
        "bowls_poured": fault.poured or None,
        "moment": fault.moment,
        "sense": fault.sense,
        "degree": fault.degree,
        "strength": fault.strength,
        "certainty": fault.certainty,
        "brews": list(fault.brews),
        "stage": fault.stage,
        "ask": fault.ask,
        "beside": fault.beside,
        "evidence": list(fault.evidence),
        "kit_ruled_out": None,
        "decision": None,
        "decided_by": None,
    }


def traces_of(
    findings: Iterable[Finding], asked: Iterable[Finding], aside: Iterable[SetAside], vocabulary: Vocabulary
) -> tuple[Trace, ...]:
    """Faults that somebody named and that stand in no record, each with the reason: taken back by the taster, asked and
    not yet decided, or rejected in review."""
    told: list[Trace] = []
    by_fault: dict[str, list[Finding]] = {}
    for f in findings:
        if f.fault:
            by_fault.setdefault(f.descriptor, []).append(f)
    for id, group in by_fault.items():
        for who in sorted(taken_back(group)):
            words = next(f.spot.words for f in group if f.spot.speaker == who and f.present)
            back = f"taken back by {_names((who,))} ({' '.join(words.split())!r})"
            told.append(Trace(f"{vocabulary.descriptors[id].print}: {back}"))
    for f in asked:
        if f.fault and f.present:
            waits = f"asked, nobody has decided ({_quote(f.spot)})"
            told.append(Trace(f"{vocabulary.descriptors[f.descriptor].print}: {waits}", waiting=True))
    for s in aside:
        d = vocabulary.descriptors.get(s.descriptor or "")
        if d and d.fault and "review" in s.reason:
            told.append(Trace(f"{d.print}: {s.reason} ({_quote(s.spot)})"))
    return tuple(dict.fromkeys(told))


def fault_markdown(
    faults: Sequence[Fault], heading: str, findings: Mapping[str, Finding], traces: Sequence[Trace] = ()
) -> str:
    """The record to keep and to send: one section a fault, with everybody's words; lines to fill in by hand; what is
    not in it (`traces`)."""
    lines = [f"# Fault record: {heading}", ""]
    if must_hold(faults):
        lines += [f"**{HOLD}.** {CAUTION}", ""]
    if not faults:
        waiting = any(trace.waiting for trace in traces)
        lines += ["No fault is decided yet: see below." if waiting else "No fault was found.", ""]
    for fault in faults:
        lines += [f"## {fault.print} ({fault.family})", "", *_facts(fault), "", "Words used:", ""]
        lines += [_said(findings[id]) for id in fault.evidence if id in findings]
        lines += ["", *(f"- {what}: ____" for what in OPEN), ""]
    if traces:
        lines += ["## Not in this record", "", *(f"- {trace.told}" for trace in traces), ""]
    lines.append(NO_VERDICT)
    return "\n".join(lines) + "\n"


def _facts(fault: Fault) -> list[str]:
    strength = fault.degree or "not said"
    facts = [
        ("Tasters", f"{len(fault.tasters)} of {fault.of} ({_names(fault.tasters)})"),
        ("Said it is not there", _names(fault.denied)),
        ("Bowls", fault.bowls_text),
        ("First noticed", fault.moment or "not said"),
        ("Nose or mouth", fault.sense),
        ("Strength", strength),
        ("Certainty", {1.0: "firm", 0.5: "leaning", 0.25: "a guess"}.get(fault.certainty, f"{fault.certainty:g}")),
        ("Brew", _names(fault.brews) or "not said"),
        ("Suspected stage", fault.stage or "not known"),
        ("First question", fault.ask),
    ]
    return [f"- {name}: {value}" for name, value in facts if value]


def _quote(spot: Spot) -> str:
    return f"{_names((spot.speaker or '?',))}, {' '.join(spot.words.split())!r}"


def _names(ids: Iterable[str]) -> str:
    return ", ".join(ids).replace("_", " ")


def _said(f: Finding) -> str:
    at = f", {int(f.spot.at) // 60}:{int(f.spot.at) % 60:02}" if f.spot.at is not None else ""
    words = f.spot.words.replace("\n", " ")
    return f'- {_names((f.spot.speaker or "?",))}: "{words}" ({f.spot.source}{at})'
