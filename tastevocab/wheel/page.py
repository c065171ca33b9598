"""The interactive page: one HTML file that opens offline, with a wheel to point at and a table that says the same.

Nothing is loaded from outside; a content security policy in the page sees to it. Scripts are allowed by their hash,
data stand in a block that is never run, and everything people wrote is escaped. The same maps give the same bytes.
"""

from __future__ import annotations

import base64
import hashlib
import json
import textwrap
from collections.abc import Mapping, Sequence
from functools import lru_cache
from html import escape
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

from tastevocab.errors import InputError
from tastevocab.wheel.colour import theme
from tastevocab.wheel.page_rows import ROOT, PageRow, outermost, page_rows, row_colours
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import CAUTION, NOT_QUALITY, alt_text, percent, step_word

if TYPE_CHECKING:
    import plotly.graph_objects as go

SHARED_SCRIPT = "plotly.min.js"
LABEL_WIDTH = 12
"""Letters of a label's line: what a ring of the wheel is wide; longer words stand alone."""
HOVER_LINES = 5
HOVER_WIDTH = 48


def figure(tree: WheelTree, theme_name: str = "light") -> go.Figure:
    """The wheel as a Plotly sunburst in our colours (branch values are totals). Neither shown nor saved.

    Raises `InputError` when the tree contradicts itself.
    """
    import plotly.graph_objects as go

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
        lines.append(f"and {len(row.evidence) - HOVER_LINES} more in the table")
    return "<br>".join(lines)


def facts(row: PageRow) -> list[str]:
    """What else is to be known of a row, in plain words."""
    out = ["said broadly"] if row.open else []
    out += [f"{percent(row.hedged)} with doubt"] if row.hedged > 0 else []
    return out + ([f"{row.denials} said no"] if row.denials else [])


def draw_page(
    maps: Mapping[str, WheelTree],
    *,
    first: str | None = None,
    plotlyjs: Literal["inline", "shared"] = "inline",
    shared: str = SHARED_SCRIPT,
) -> str:
    """The page as HTML. `maps` are the wheels to switch between, by the name that the switch shows (brew, moment).

    `first` names the one that shows when the page opens (None: the first of them).

    `plotlyjs` "inline" puts the drawing library into the page (about 5 MB); "shared" expects it at `shared`, a path as
    seen from the page (`plotly_script` gives its text, to be written once for many pages). Raises `InputError` when
    there is no map or one contradicts itself.
    """
    if not maps:
        raise InputError("there is no map to draw", mend="give at least one")
    if plotlyjs not in ("inline", "shared"):
        raise InputError(f"no way {plotlyjs!r} to bring plotly", mend="use inline or shared")
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("tastevocab.wheel"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    own = _template("page.js")
    library = plotly_script() if plotlyjs == "inline" else ""
    opened = first if first is not None and first in maps else next(iter(maps))
    main = maps[opened]
    return environment.get_template("page.html.j2").render(
        views=[_view(i, name, tree) for i, (name, tree) in enumerate(maps.items())],
        opened=list(maps).index(opened),
        title=clean(main.title) or "Flavour wheel",
        data=_json({"root": ROOT, "maps": [_map_data(tree) for tree in maps.values()]}),
        light=theme("light", main.ring),
        dark=theme("dark", main.ring),
        css=_template("page.css"),
        script=own,
        library=library,
        shared=shared,
        policy=_policy([own, *([library] if library else [])], shared=plotlyjs == "shared"),
        not_quality=NOT_QUALITY,
    )


@lru_cache(maxsize=1)
def plotly_script() -> str:
    """The drawing library's own text, as shipped with plotly, safe to stand inside a script element."""
    import plotly.offline

    return str(plotly.offline.get_plotlyjs()).replace("</script", "<\\/script")


def _template(name: str) -> str:
    return (resources.files("tastevocab.wheel") / "templates" / name).read_text(encoding="utf-8")


def _policy(scripts: Sequence[str], *, shared: bool) -> str:
    """Nothing but the page's own scripts (by hash), styles and drawn pictures."""
    hashes = " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(s.encode()).digest()).decode()}'" for s in scripts)
    beside = " 'self' file:" if shared else ""
    return (
        f"default-src 'none'; script-src {hashes}{beside}; style-src 'unsafe-inline'; img-src data: blob:; "
        "base-uri 'none'; form-action 'none'"
    )


def _json(value: Any) -> str:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e").replace("\u2028", "\\u2028")


def _map_data(tree: WheelTree) -> dict[str, Any]:
    """One map's figure, and its colours for dark surroundings."""
    rows = clockwise(page_rows(tree))
    drawn = figure(tree).to_plotly_json()
    dark, night = row_colours(rows, "dark", tree.ring), theme("dark", tree.ring)
    drawn["layout"].pop("template", None)
    return {
        "data": drawn["data"],
        "layout": drawn["layout"],
        "dark": {"colours": dict(dark), "paper": night.paper, "ink": night.ink},
    }


def _view(index: int, name: str, tree: WheelTree) -> dict[str, Any]:
    """What the template says of one map. Words stand where they were said, not again at all that they lie in."""
    rows = page_rows(tree)
    said = outermost(rows)
    return {
        "index": index,
        "name": clean(name) or f"map {index + 1}",
        "subtitle": [clean(line) for line in tree.subtitle if clean(line)],
        "alt": alt_text(tree),
        "footer": [clean(line) for line in (tree.footer or (CAUTION,))],
        "rows": [
            {
                "id": row.id,
                "label": row.label,
                "depth": row.depth,
                "level": ("", "category", "family", "note")[row.depth],
                "count": row.count,
                "share": percent(row.share),
                "facts": ", ".join(facts(row)),
                "evidence": row.evidence if row.id in said else (),
            }
            for row in rows
            if row.depth
        ],
        "strips": [
            {
                "label": clean(strip.label),
                "median": step_word(strip) or "no median",
                "marks": ", ".join(f"{clean(who)} {mark:g}" for who, mark in strip.marks),
                "scale": " · ".join(clean(word) for word in strip.scale),
            }
            for strip in tree.strips
        ],
    }
