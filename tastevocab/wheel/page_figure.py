"""The wheel as a Plotly sunburst, for notebooks and dashboards: of a weighted tree, or of a map of `panel`'s JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from tastevocab.errors import InputError
from tastevocab.wheel.colour import theme
from tastevocab.wheel.page_rows import PageRow, outermost, page_rows, row_colours
from tastevocab.wheel.tree import WheelNode, WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import percent

if TYPE_CHECKING:
    import plotly.graph_objects as go

LABEL_WIDTH = 12
"""Letters of a label's line: what a ring of the wheel is wide; longer words stand alone."""
HOVER_LINES = 5
HOVER_WIDTH = 48


def draw_figure(map: WheelTree | Mapping[str, Any], theme_name: str = "light") -> go.Figure:
    """See `tastevocab.wheel.figure`."""
    import plotly.graph_objects as go

    tree = map if isinstance(map, WheelTree) else tree_from(map)
    rows = clockwise(page_rows(tree))
    colours = row_colours(rows, theme_name, tree.ring)
    paper = theme(theme_name, tree.ring)
    said = outermost(rows)  # only that is hatched, as on the printed wheel
    burst = go.Sunburst(
        ids=[row.id for row in rows],
        labels=[_label(row) if row.depth else _centre(tree) for row in rows],
        parents=[row.parent for row in rows],
        values=[row.value for row in rows],
        branchvalues="total",
        sort=False,
        rotation=90,
        leaf={"opacity": 1},
        customdata=[hover(row) for row in rows],
        hovertemplate="%{customdata}<extra></extra>",
        insidetextorientation="auto",
        textfont={"color": colours["text"], "family": "system-ui, sans-serif"},
        marker={
            "colors": colours["fill"],
            "line": {"color": colours["line"], "width": 1.5},
            "pattern": {
                "shape": ["/" if row.hedged > 0 and row.id in said else "" for row in rows],
                "fgcolor": colours["hatch"],
                "bgcolor": colours["fill"],
                "fillmode": "replace",
                "fgopacity": 0.5,
                "solidity": 0.18,
                "size": 8,
            },
        },
    )
    layout = {
        "margin": {"l": 4, "r": 4, "t": 4, "b": 4},
        "paper_bgcolor": paper.paper,
        "hoverlabel": {"align": "left", "bgcolor": paper.paper, "font": {"color": paper.ink, "size": 14}},
        "font": {"family": "system-ui, sans-serif", "size": 15},
        "uniformtext": {"minsize": 10, "mode": "hide"},
    }
    return go.Figure(burst, layout)


def clockwise(rows: Sequence[PageRow]) -> tuple[PageRow, ...]:
    """The rows in the order that makes Plotly, which draws the other way round, show the walking order clockwise."""
    return tuple(reversed(rows))


def _label(row: PageRow) -> str:
    """A label as the drawing library wants it: it reads tags and entities, so what people wrote is escaped."""
    lines = textwrap.wrap(row.label, LABEL_WIDTH, break_long_words=False) or [""]
    return "<br>".join(escape(line) for line in lines)


def _centre(tree: WheelTree) -> str:
    """What stands in the middle: title and subtitle, a line each."""
    lines = [escape(clean(line)) for line in (tree.title, *tree.subtitle) if clean(line)]
    return "<br>".join([f"<b>{lines[0]}</b>", *lines[1:]]) if lines else ""


def hover(row: PageRow) -> str:
    """What pointing at a piece says: its name, people, share, doubts, and the very words with speaker and time."""
    if row.depth == 0:
        return f"<b>{escape(row.label)}</b>"
    lines = [f"<b>{escape(row.label)}</b>"]
    people = f"{row.count} tasters" if row.of else ""
    lines.append(", ".join(part for part in (people, f"{percent(row.share)} of the map") if part))
    lines += facts(row)
    for line in row.evidence[:HOVER_LINES]:
        lines.append("<br>".join(escape(part) for part in textwrap.wrap(line, HOVER_WIDTH)))
    if len(row.evidence) > HOVER_LINES:
        lines.append(f"and {len(row.evidence) - HOVER_LINES} more")
    return "<br>".join(lines)


def facts(row: PageRow) -> list[str]:
    """What else is to be known of a row, in plain words."""
    out = ["said broadly"] if row.open else []
    out += [f"{percent(row.hedged)} with doubt"] if row.hedged > 0 else []
    return out + ([f"{row.denials} said no"] if row.denials else [])


def figure_page(tree: WheelTree) -> str:
    """The sunburst as an HTML page that carries Plotly's own library (about 5 MB) and opens without a network."""
    return str(draw_figure(tree).to_html(include_plotlyjs=True, full_html=True, div_id="wheel"))


def tree_from(made: Mapping[str, Any]) -> WheelTree:
    """The weighted tree of a map of `tastevocab panel --format json` or of a pack's map.json.

    Its words were said to nobody in particular: evidence is by id there. Raises `InputError` for what is no such map.
    """
    try:
        nodes = tuple(_node_from(node) for node in made["nodes"] if node["wedge"] > 0)
        said = [made["coffee"], *(made[key] for key in ("brew", "moment") if made.get(key))]
    except (KeyError, TypeError) as problem:
        raise InputError(f"this is no flavour map: {problem}", mend="give one of the `maps` of panel's JSON") from None
    return WheelTree(nodes, _ring(nodes), str(said[0]), tuple(map(str, said[1:])), tasters=int(made["tasters"]))


def _node_from(node: Mapping[str, Any]) -> WheelNode:
    return WheelNode(
        id=node["descriptor"],
        parent=node["parent"],
        label=node["print"],
        level=node["level"],
        wedge=node["wedge"],
        own=node["own"],
        people=node["people"],
        of=node["of"],
        hedged_share=node["hedged_share"],
        denials=node["denials"],
        open=node["level"] == "reach",
        own_people=node["named"],
    )


def _ring(nodes: Sequence[WheelNode]) -> tuple[str, ...]:
    """The shipped vocabulary's ring where the map is of its categories: colours are then those of the print files."""
    from tastevocab.vocabulary.cache import open_vocabulary

    found = tuple(node.id for node in nodes if node.level == "category")
    shipped = open_vocabulary().ring
    return shipped if set(found) <= set(shipped) else found
