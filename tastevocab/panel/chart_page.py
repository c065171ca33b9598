"""The picture of a comparison as a page that works offline: the map of coffees and families, a cup as it cools, or a
slope chart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tastevocab.errors import StatisticsError
from tastevocab.panel.chart_moments import moments_figure
from tastevocab.panel.chart_plane import plane_figure
from tastevocab.panel.chart_slope import slope_figure, slopes
from tastevocab.panel.chart_text import plain
from tastevocab.panel.comparison import Comparison
from tastevocab.panel.over_moments import courses
from tastevocab.panel.plane import plane
from tastevocab.panel.spans import Spans
from tastevocab.written import make_folder, write_whole

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

CAUTION = "Small panels: a change that may be told is not proved. Flavour words are likenesses, not ingredients."

PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
:root {{ color-scheme: light; }}
body {{ margin: 0; background: #fff; overflow-x: auto; }}
body > div {{ width: 900px; margin: 0 auto; break-inside: avoid; }}
@page {{ size: A4 landscape; margin: 8mm; }}
</style>
</head>
<body>
{picture}
</body>
</html>
"""
"""A picture is drawn once, light and 900 pixels wide: smaller screens scroll, paper is turned."""

BARS = "Bars are 95 % intervals, each of its own share, of those who were there at that moment."


def figure_of(comparison: Comparison, spans: Spans) -> Figure:
    """The map of coffees and families for three coffees or more that have a pattern, small panels with intervals for
    moments, a slope chart for all else."""
    if comparison.axis == "coffee" and len(comparison.labels) > 2:
        try:
            return plane_figure(plane(comparison, spans), comparison.title, comparison.called)
        except StatisticsError:
            pass
    maps = tuple(comparison.maps.values())
    pooled = {p for made in maps for p in made.margin.pooled}
    caption = "".join(f"Pooled over {p}. " for p in sorted(pooled))
    sentence = comparison.pairs[-1].sentence if comparison.axis != "coffee" else ""
    footer = f"{caption}{sentence} {CAUTION}".strip()
    if comparison.axis == "moment":
        return moments_figure(courses(maps, spans), comparison.title, f"{BARS} {footer}")
    return slope_figure(slopes(maps, spans), [*map(comparison.name, comparison.labels)], comparison.title, footer)


def write_chart(comparison: Comparison, spans: Spans, path: Path) -> None:
    """Write the picture as one HTML page (script inside, nothing fetched); the file appears whole or not at all.

    Raises `InputError` where the folder is missing or cannot be written.
    """
    picture = figure_of(comparison, spans).to_html(
        include_plotlyjs=True, full_html=False, div_id="contrast", config={"displayModeBar": False, "responsive": False}
    )
    make_folder(path.parent)
    write_whole(path, PAGE.format(title=plain(comparison.title), picture=picture).encode())
