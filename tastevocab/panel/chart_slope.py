"""The contrast picture: a line a family from serving to serving (hot to warm to cool), as people of the panel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tastevocab.panel.chart_text import broken, footer_note, in_lines, plain, title_of
from tastevocab.panel.contrast import families
from tastevocab.panel.flavour_map import FlavourMap
from tastevocab.panel.spans import Spans

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

MOST = 8
GAP = 0.045
"""Least distance between two labels, as a part of the picture's height."""

WIDTH, HEIGHT, LEFT, RIGHT, FOOT = 900, 620, 80, 290, 110
TICK = 8.5
"""Pixels that a letter of a serving's name takes."""

# Okabe & Ito (2008), colours that people with any colour vision can tell apart; black last.
COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00", "#8A6D00", "#000000")
DASHES = ("solid", "dash", "dot", "dashdot")


@dataclass(frozen=True, slots=True)
class Slope:
    """One family's line: `people` at each serving, of `of` tasters each."""

    descriptor: str
    print: str
    people: tuple[int, ...]
    of: tuple[int, ...]


def slopes(maps: Sequence[FlavourMap], spans: Spans, *, most: int = MOST) -> tuple[Slope, ...]:
    """The lines to draw: the families (broad words, things) that move most between the maps, then the biggest."""
    lines = []
    for id in families(*maps, spans=spans):
        nodes = [made.by_id.get(id) for made in maps]
        people = tuple(node.people if node else 0 for node in nodes)
        lines.append(Slope(id, spans.descriptor(id).print, people, tuple(len(made.tasters) for made in maps)))
    ranked = sorted(lines, key=lambda s: (min(s.people) - max(s.people), -max(s.people), spans.order[s.descriptor]))
    kept = set(ranked[:most])
    return tuple(s for s in lines if s in kept)


def spread_labels(heights: Sequence[float], gap: float) -> list[float]:
    """Label heights at least `gap` apart, in the order given, each as near its own height as that allows."""
    order = sorted(range(len(heights)), key=lambda i: heights[i])
    placed = [heights[i] for i in order]
    for _ in range(200):
        moved = False
        for low in range(len(placed) - 1):
            lack = gap - (placed[low + 1] - placed[low])
            if lack > 1e-9:
                placed[low] -= lack / 2
                placed[low + 1] += lack / 2
                moved = True
        if not moved:
            break
    result = [0.0] * len(heights)
    for rank, i in enumerate(order):
        result[i] = placed[rank]
    return result


def slope_figure(lines: Sequence[Slope], labels: Sequence[str], title: str, footer: str) -> Figure:
    """The chart as a Plotly figure: one vertical a serving, people upwards, names at the right end of each line."""
    import plotly.graph_objects as go

    figure = go.Figure()
    last = len(labels) - 1
    most = max((of for s in lines for of in s.of), default=1)
    ends = spread_labels([s.people[-1] / s.of[-1] if s.of[-1] else 0 for s in lines], GAP)
    for number, (line, end) in enumerate(zip(lines, ends, strict=True)):
        colour, dash = COLOURS[number % len(COLOURS)], DASHES[number // len(COLOURS) % len(DASHES)]
        shares = [k / n if n else 0 for k, n in zip(line.people, line.of, strict=True)]
        figure.add_scatter(
            x=list(range(len(labels))),
            y=shares,
            mode="lines+markers",
            name=line.print,
            line={"color": colour, "width": 3, "dash": dash},
            marker={"size": 9, "color": colour},
            hovertext=[f"{line.print}: {k} of {n}" for k, n in zip(line.people, line.of, strict=True)],
            hoverinfo="text",
        )
        figure.add_annotation(
            x=last,
            y=end,
            text=f'<span style="color:{colour}">●</span> {plain(line.print)}  {line.people[-1]} of {line.of[-1]}',
            xanchor="left",
            xshift=14,
            showarrow=False,
            font={"size": 14},
        )
    # The outer names reach half out of the plot: the left margin says how far.
    room = max(8, min((WIDTH - LEFT - RIGHT) / max(last, 1), 2 * LEFT) / TICK)
    lower = 20 * (max(len(broken(label, room)) for label in labels) - 1)
    heading, higher = title_of(title, WIDTH)
    figure.update_layout(
        title=heading,
        height=HEIGHT + lower + higher,
        margin={"l": LEFT, "r": RIGHT, "t": 80 + higher, "b": FOOT + lower},
        **_layout([in_lines(label, room) for label in labels], most),
    )
    figure.add_annotation(**footer_note(footer, 60, 52 + lower))
    return figure


def _layout(labels: Sequence[str], most: int) -> dict[str, object]:
    ticks = [k / most for k in range(most + 1)] if most <= 12 else [0, 0.25, 0.5, 0.75, 1]
    names = [f"{k} of {most}" for k in range(most + 1)] if most <= 12 else ["0 %", "25 %", "50 %", "75 %", "100 %"]
    return {
        "template": "none",
        "showlegend": False,
        "width": WIDTH,
        "xaxis": {
            "tickvals": list(range(len(labels))),
            "ticktext": labels,
            "tickfont": {"size": 16},
            "tickangle": 0,
            "showgrid": True,
            "gridcolor": "#BBBBBB",
            "zeroline": False,
            "range": [-0.08, len(labels) - 1 + 0.02],
        },
        "yaxis": {
            "tickvals": ticks,
            "ticktext": names,
            "range": [-0.06, 1.06],
            "gridcolor": "#E5E5E5",
            "zeroline": False,
        },
        "font": {"family": "Source Sans Pro, Segoe UI, Helvetica, Arial, sans-serif", "color": "#222222"},
    }
