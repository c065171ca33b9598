"""Reports for programs: the map contract as plain values, and rows for tables. Keys may be added, never renamed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from tastevocab.panel.agreement import Agreement, agreement_json
from tastevocab.panel.attributes import AttributeStrip
from tastevocab.panel.claims import Claim
from tastevocab.panel.crowd import apart_json
from tastevocab.panel.fault_record import fault_json
from tastevocab.panel.flavour_map import Node
from tastevocab.panel.intervals import share_interval
from tastevocab.panel.line import NotesLine
from tastevocab.panel.rungs import Rung
from tastevocab.panel.summary import Report
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.model import Vocabulary

COLUMNS = (
    "coffee",
    "brew",
    "moment",
    "bowl",
    "descriptor",
    "print",
    "level",
    "people",
    "of",
    "low",
    "high",
    "named",
    "denials",
    "frequency",
    "intensity",
    "weight",
    "wedge",
    "share",
    "hedged_share",
    "weighting",
    "evidence",
)


def contract(reports: Sequence[Report], vocabulary: Vocabulary, figures: Sequence[Agreement] = ()) -> dict[str, Any]:
    """The object `tastevocab panel SESSION --format json` answers: one map for each report, and agreement over all."""
    first = reports[0] if reports else None
    return {
        "session": first.session.id if first else None,
        "vocabulary": {"name": vocabulary.name, "version": vocabulary.version, "hash": vocabulary.hash},
        "weighting": first.map.weighting if first else "mark",
        "maps": [map_json(report) for report in reports],
        "agreement": agreement_json(figures),
    }


def map_json(report: Report) -> dict[str, Any]:
    """One serving set as plain values. Numbers keep six decimals; shares of the categories (and words without a home)
    add up to 1."""
    made = report.map
    return {
        "coffee": made.serving.coffee,
        "brew": made.serving.brew,
        "moment": made.serving.moment,
        "bowl": made.serving.bowl,
        "tasters": len(made.tasters),
        "quorum": quorum(len(made.tasters)),
        "moments": list(made.margin.moments),
        "absent": list(made.margin.absent),
        "pooled": list(made.margin.pooled),
        "notices": list(made.margin.notices),
        "nodes": [_node(node, report) for node in made.nodes],
        "denied": [
            {"descriptor": d.descriptor, "print": d.print, "people": len(d.tasters), "evidence": list(d.evidence)}
            for d in made.denied
        ],
        "rungs": [_rung(rung, report) for rung in report.ladder.rungs],
        "ladder": [asdict(step) for step in report.ladder.steps],
        "verdict": report.ladder.verdict,
        **_line(report.line),
        "claims": [_claim(claim) for claim in report.claims],
        "claims_coverage": round(report.claims_coverage, 6),
        "attributes": [_attribute(strip) for strip in report.attributes],
        "faults": [fault_json(fault) for fault in report.faults],
        "hold": any(fault.hold for fault in report.faults),
        "questions": [
            {"word": q.word, "tasters": list(q.tasters), "ask": q.ask, "evidence": list(q.evidence)}
            for q in report.questions
        ],
        "beside": dict(made.beside),
        "apart": [apart_json(apart) for apart in report.apart],
        "intervals": {
            "level": 0.95,
            "of_wedges": report.intervals.method if report.intervals else None,
            "of_rungs": "allows for the word having been chosen because it reached quorum",
        },
        "chance": {"table": _six(report.chance.table), "choice": report.chance_choice} if report.chance else None,
    }


def _line(line: NotesLine) -> dict[str, Any]:
    return {
        "line": list(line.words),
        "line_coverage": round(line.coverage, 6),
        "line_order": line.order,
        "line_why": line.why,
        "line_without": None if line.unstable is None else [{"taster": t, "line": list(w)} for t, w in line.unstable],
        "best_lines": [
            {"size": b.size, "line": list(b.words), "coverage": round(b.coverage, 6), "exact": b.exact}
            for b in line.best
        ],
    }


def _node(node: Node, report: Report) -> dict[str, Any]:
    of = len(report.map.tasters)
    row: dict[str, Any] = {
        "descriptor": node.descriptor,
        "print": node.print,
        "level": node.level,
        "people": node.people,
        "denials": node.denials,
        "frequency": round(node.frequency, 6),
        "intensity": round(node.intensity, 6),
        "weight": round(node.weight, 6),
        "wedge": round(node.wedge, 6),
        "share": round(node.share, 6),
        "hedged_share": round(node.hedged_share, 6),
        "evidence": list(node.evidence),
        "parent": node.parent,
        "of": of,
        "named": node.named,
        "own": round(node.own, 6),
        "people_interval": _rounded(share_interval(node.people, of)),
    }
    if report.intervals:
        row["wedge_interval"] = _rounded(report.intervals.weight[node.descriptor])
        row["share_interval"] = _rounded(report.intervals.share[node.descriptor])
    return row


def _rung(rung: Rung, report: Report) -> dict[str, Any]:
    return {
        "descriptor": rung.descriptor,
        "print": rung.print,
        "people": rung.people,
        "of": rung.of,
        "leaning": rung.leaning,
        "why": rung.why,
        "label": rung.label,
        "came": rung.came,
        "leaning_people": rung.leaning_people,
        "denials": rung.denials,
        "interval": _rounded(share_interval(rung.people, rung.of, least=quorum(rung.of))),
        "chance": _six(rung.chance),
        "chance_quorum": _six(rung.chance_quorum),
        "moments": dict(report.by_moment(rung.descriptor)),
    }


def _attribute(strip: AttributeStrip) -> dict[str, Any]:
    return {
        "attribute": strip.attribute,
        "print": strip.print,
        "scale": list(strip.scale),
        "median": strip.median,
        "low": strip.low,
        "high": strip.high,
        "words": strip.words,
        "marks": [{"taster": t, "step": s} for t, s in strip.marks],
        "of": strip.of,
        "evidence": list(strip.evidence),
    }


def _claim(claim: Claim) -> dict[str, Any]:
    return {
        "claim": claim.claim,
        "state": claim.state,
        "people": claim.people,
        "of": claim.of,
        "denials": claim.denials,
        "descriptor": claim.descriptor,
        "near": [{"descriptor": id, "why": why, "people": people} for id, why, people in claim.near],
        "wording": claim.wording,
    }


def rows(reports: Sequence[Report]) -> list[tuple[Any, ...]]:
    """A row a node under `COLUMNS`, for CSV: shares and intervals as fractions, evidence ids joined by spaces."""
    made = []
    for report in reports:
        of, serving = len(report.map.tasters), report.map.serving
        for node in report.map.nodes:
            low, high = share_interval(node.people, of)
            made.append(
                (
                    serving.coffee,
                    serving.brew,
                    serving.moment,
                    serving.bowl,
                    node.descriptor,
                    node.print,
                    node.level,
                    node.people,
                    of,
                    f"{low:.3f}",
                    f"{high:.3f}",
                    node.named,
                    node.denials,
                    f"{node.frequency:.4f}",
                    f"{node.intensity:.4f}",
                    f"{node.weight:.4f}",
                    f"{node.wedge:.4f}",
                    f"{node.share:.6f}",
                    f"{node.hedged_share:.4f}",
                    report.map.weighting,
                    " ".join(node.evidence),
                )
            )
    return made


def _six(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def _rounded(pair: tuple[float, float]) -> list[float]:
    return [round(pair[0], 6), round(pair[1], 6)]
