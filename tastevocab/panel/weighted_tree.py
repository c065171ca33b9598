"""A report as the weighted tree that the wheel draws: the one place where the panel knows of the wheel's records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from tastevocab.panel.crowd_tree import CROWD, fold_small, ranked
from tastevocab.panel.flavour_map import FlavourMap, Node
from tastevocab.panel.spans import Spans
from tastevocab.panel.summary import Bench, Report
from tastevocab.panel.why import clock, quoted
from tastevocab.reading.records import Finding
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.model import CROSSING, Vocabulary
from tastevocab.wheel.tree import Printed, Ranked, Strip, WheelNode, WheelTree

EVIDENCE = 12
"""Quotations a node carries at most; the rest is counted."""

CAUTION = "Flavour words are likenesses tasted by these people, not ingredients."


def wheel_tree(report: Report, tools: Bench) -> WheelTree:
    """The wheel of one serving set: only what was found, in walking order, with the words behind it.

    Empty (no nodes) where nothing was found; faults are never in it.
    """
    made, serving, vocabulary = report.map, report.map.serving, tools.vocabulary
    of = len(made.tasters)
    printed, nodes = printed_words(report, tools.spans), wheel_nodes(made, report.evidence, vocabulary)
    by_people = ranked(made, printed) if of >= CROWD else ()
    if of >= CROWD:
        nodes, printed = fold_small(nodes, printed, made.folded)
    panel = f"{of:,} taster{'s' if of != 1 else ''}"
    blind = {True: ", blind", False: ", not blind", None: ""}[report.session.blind]
    brewed = ", ".join(
        part
        for part in (
            (serving.brew or "").replace("_", " "),
            made.margin.passes,
            f"bowl {serving.bowl}" if serving.bowl else "",
        )
        if part
    )
    pooled = tuple(f"pooled over {what}" for what in made.margin.pooled)
    lines = (brewed, *pooled, panel + blind, report.session.date)
    return WheelTree(
        nodes=nodes,
        ring=vocabulary.ring,
        title=report.coffee.name,
        subtitle=tuple(line for line in lines if line),
        footer=(CAUTION,),
        tasters=of,
        strips=tuple(Strip(a.print, a.scale, a.marks, a.median) for a in report.attributes),
        printed=printed,
        quorum=quorum(of) if of > 1 else 0,
        headline="" if printed else _headline(report, by_people),
        method=(f"Weighting: {made.weighting}. Vocabulary {vocabulary.name} {vocabulary.version}.",),
        ranked=by_people,
    )


def _headline(report: Report, by_people: Sequence[Ranked]) -> str:
    """What stands where the notes line would: nothing was named, one person tasted, or the table did not converge."""
    of = len(report.map.tasters)
    if not report.map.nodes:
        return "Nobody named a flavour" if of else "Nobody tasted"
    if of == 1:
        return "One person’s notes"
    if by_people:
        most = ", ".join(f"{row.label} {row.people:,}" for row in by_people[:3])
        return f"Most named: {most} of {of:,}. None by more than half"
    return f"No word shared by {quorum(of):,} of {of:,}"


def printed_words(report: Report, spans: Spans) -> tuple[Printed, ...]:
    """The words of the notes line in its order, each with its people and the nodes that count for it."""
    rungs = {rung.descriptor: rung for rung in report.ladder.rungs}
    drawn = [node.descriptor for node in report.map.nodes if node.wedge > 0]
    return tuple(
        Printed(
            word,
            rung.print,
            rung.people,
            rung.of,
            tuple(id for id in drawn if id in spans.supports[word]),
            leaning=rung.came,
        )
        for word in report.line.words
        if (rung := rungs.get(word))
    )


def wheel_nodes(made: FlavourMap, evidence: Mapping[str, Finding], vocabulary: Vocabulary) -> tuple[WheelNode, ...]:
    """The nodes of a map that have a wedge. A broad word's hatching is that of its own arc alone."""
    doubt = _own_doubt(made)
    return tuple(_node(n, len(made.tasters), doubt, evidence, vocabulary) for n in made.nodes if n.wedge > 0)


def _node(
    node: Node, of: int, doubt: Mapping[str, float], evidence: Mapping[str, Finding], vocabulary: Vocabulary
) -> WheelNode:
    findings = [evidence[id] for id in node.evidence if id in evidence]
    return WheelNode(
        id=node.descriptor,
        parent=node.parent,
        label=node.print,
        level="reach" if node.level in CROSSING else node.level,  # type: ignore[arg-type]
        wedge=node.wedge,
        own=node.own,
        people=node.people,
        of=of,
        hedged_share=doubt[node.descriptor] if node.level in CROSSING else node.hedged_share,
        denials=node.denials,
        open=node.level in CROSSING,
        evidence=evidence_lines(findings, vocabulary),
        own_people=node.named,
        heard=tuple(f.spot.at for f in _in_order(findings)[:EVIDENCE]),
    )


def _own_doubt(made: FlavourMap) -> dict[str, float]:
    folded = made.folded
    size = len(folded.descriptors)
    sure = np.bincount(folded.descriptor, folded.certainty, minlength=size)
    unsure = np.bincount(folded.descriptor, np.where(folded.certainty < 1, folded.certainty, 0.0), minlength=size)
    return {id: float(u / s) for id, u, s in zip(folded.descriptors, unsure, sure, strict=True)}


def evidence_lines(findings: Sequence[Finding], vocabulary: Vocabulary) -> tuple[str, ...]:
    """Findings as lines to read: 'mira: "a whiff of bergamot" (filter, hot, table.vtt 1:23)'; a long list is cut."""
    ordered = _in_order(findings)
    lines = [_line(f, vocabulary) for f in ordered[:EVIDENCE]]
    if len(ordered) > EVIDENCE:
        lines.append(f"and {len(ordered) - EVIDENCE:,} more")
    return tuple(lines)


def _in_order(findings: Sequence[Finding]) -> list[Finding]:
    return sorted(findings, key=lambda f: (f.spot.speaker or "", f.spot.at or 0.0, f.id))


def _line(f: Finding, vocabulary: Vocabulary) -> str:
    where = f"{f.spot.source} {clock(f.spot.at)}".strip()
    parts = ((f.spot.brew or "").replace("_", " "), f.spot.moment, where)
    who = (f.spot.speaker or "?").replace("_", " ")
    return f'{who}: "{quoted(f, vocabulary)}" ({", ".join(p for p in parts if p)})'
