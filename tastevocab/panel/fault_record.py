"""The fault record: facts about these bowls on this day, as Markdown and for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tastevocab.panel.faults import CAUTION, HOLD, Fault, must_hold
from tastevocab.reading.records import Finding

OPEN = ("kit ruled out (how)", "decision (release, re-taste, hold, query)", "decided by")


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


def fault_markdown(faults: Sequence[Fault], heading: str, findings: Mapping[str, Finding]) -> str:
    """The record to keep and to send: one section a fault, with everybody's words; lines to fill in by hand."""
    lines = [f"# Fault record: {heading}", ""]
    if must_hold(faults):
        lines += [f"**{HOLD}.** {CAUTION}", ""]
    if not faults:
        lines += ["No fault was found.", ""]
    for fault in faults:
        lines += [f"## {fault.print} ({fault.family})", "", *_facts(fault), "", "Words used:", ""]
        lines += [_said(findings[id]) for id in fault.evidence if id in findings]
        lines += ["", *(f"- {what}: ____" for what in OPEN), ""]
    lines.append("Facts about these bowls on this day: no verdict on farm or roaster, no statement on safety.")
    return "\n".join(lines) + "\n"


def _facts(fault: Fault) -> list[str]:
    strength = fault.degree or "not said"
    facts = [
        ("Tasters", f"{len(fault.tasters)} of {fault.of} ({', '.join(fault.tasters)})"),
        ("Said it is not there", ", ".join(fault.denied)),
        ("Bowls", fault.bowls_text),
        ("First noticed", fault.moment or "not said"),
        ("Nose or mouth", fault.sense),
        ("Strength", strength),
        ("Certainty", {1.0: "firm", 0.5: "leaning", 0.25: "a guess"}.get(fault.certainty, f"{fault.certainty:g}")),
        ("Brew", ", ".join(fault.brews) or "not said"),
        ("Suspected stage", fault.stage or "not known"),
        ("First question", fault.ask),
    ]
    return [f"- {name}: {value}" for name, value in facts if value]


def _said(f: Finding) -> str:
    at = f", {int(f.spot.at) // 60}:{int(f.spot.at) % 60:02}" if f.spot.at is not None else ""
    words = f.spot.words.replace("\n", " ")
    return f'- {f.spot.speaker}: "{words}" ({f.spot.source}{at})'
