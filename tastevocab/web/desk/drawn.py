"""The printed wheel of one coffee at the desk: the drawing as it stands now, and which marks lie behind each arc."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tastevocab.panel.summary import Bench, Report
from tastevocab.panel.weighted_tree import wheel_tree
from tastevocab.wheel.page_picture import SCREENS, Palette, spoken, wheel_items, wheel_svg
from tastevocab.wheel.svg import outlines

SCREEN = SCREENS[1]


def drawn_wheel(report: Report, tools: Bench, marks: Mapping[str, str]) -> dict[str, Any]:
    """The wheel of a report as SVG, its colours by name (light, dark), and the marks behind each of its arcs.

    `marks` gives the mark of each finding's id. A word that is printed has the marks of all that counts for it. Where
    nothing was found, `svg` is "".
    """
    tree = wheel_tree(report, tools)
    if not tree.nodes:
        return {"svg": "", "colours": {}, "arcs": {}}
    palette = Palette()
    items = wheel_items(tree, SCREEN, palette)
    svg = wheel_svg(items, SCREEN, f"Flavour wheel: {spoken(tree)}")
    svg = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    svg = svg.replace("\n", f"\n<defs>{outlines(items)}</defs>\n", 1)
    by_id = report.map.by_id
    behind = {node.id: by_id[node.id].evidence for node in tree.nodes if node.id in by_id}
    for word in tree.printed:
        behind[word.id] = tuple(dict.fromkeys(f for id in (word.id, *word.over) for f in behind.get(id, ())))
    arcs = {id: list(dict.fromkeys(marks[f] for f in found if f in marks)) for id, found in behind.items()}
    return {"svg": svg, "colours": {name: list(pair) for pair, name in palette.names.items()}, "arcs": arcs}
