"""The map and the line of one coffee as they are now, beside the transcript: who stands behind which word."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tastevocab.panel.flavour_map import Node
from tastevocab.panel.gather import Gathered
from tastevocab.panel.servings import brews_found
from tastevocab.panel.summary import Report

MOST = 40  # words of the map that are shown


def live_map(gathered: Gathered, report: Report, marks: Mapping[str, str]) -> dict[str, Any]:
    """The map of one serving set (brews and moments thrown together where none is chosen) as plain values.

    `marks` gives the mark of each finding's id.
    """
    serving = report.map.serving
    return {
        "coffee": serving.coffee,
        "brew": serving.brew,
        "brews": list(brews_found(gathered, serving.coffee)),
        "tasters": len(report.map.tasters),
        "line": _line(report),
        "verdict": report.ladder.verdict,
        "words": [_word(node, report, marks) for node in _shown(report)],
        "claims": [{"claim": c.claim, "wording": c.wording, "people": c.people} for c in report.claims],
        "faults": [{"print": f.print, "people": len(f.tasters)} for f in report.faults],
        "qualities": [{"print": a.print, "words": a.words} for a in report.attributes],
        "beside": dict(report.map.beside),
        "notices": list(report.map.margin.notices),
    }


def _line(report: Report) -> list[dict[str, Any]]:
    rungs = {r.descriptor: r for r in report.ladder.rungs}
    made = []
    for id in report.line.words:
        rung, node = rungs.get(id), report.map.by_id.get(id)
        people = rung.people if rung else node.people if node else 0
        label = rung.label if rung else node.print if node else id
        made.append({"descriptor": id, "print": label, "people": people})
    return made


def _shown(report: Report) -> list[Node]:
    """The words that somebody said, and those on the line: most people first, then the heaviest."""
    line = set(report.line.words)
    nodes = [n for n in report.map.by_id.values() if n.named or n.descriptor in line]
    return sorted(nodes, key=lambda n: (-n.people, -n.weight, n.descriptor))[:MOST]


def _word(node: Node, report: Report, marks: Mapping[str, str]) -> dict[str, Any]:
    found = (report.evidence[id] for id in node.evidence if id in report.evidence)
    heard = [
        {"mark": marks.get(f.id), "taster": f.spot.speaker, "words": " ".join(f.spot.words.split()), "at": f.spot.at}
        for f in found
    ]
    return {
        "descriptor": node.descriptor,
        "print": node.print,
        "people": node.people,
        "denials": node.denials,
        "broad": node.level != "note",
        "heard": heard,
    }
