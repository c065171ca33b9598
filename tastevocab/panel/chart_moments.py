"""The picture of a cup as it cools: a small panel a word, its share of those who were there, the interval as a bar."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tastevocab.panel.chart_slope import COLOURS
from tastevocab.panel.chart_text import broken, footer_note, plain, title_of
from tastevocab.panel.over_moments import Course, Share

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

MOST, WIDE = 8, 4
"""Panels at most, and in a row."""

PANEL_HEIGHT, WIDTH, LEFT, RIGHT = 220, 900, 70, 20
GAP = 0.03
"""Between two panels, as a part of the width."""


def moments_figure(made: Sequence[Course], title: str, footer: str) -> Figure:
    """The words that swing most as small panels on one scale: dots the share, bars its 95 % interval, people under
    each moment."""
    from plotly.subplots import make_subplots

    shown = made[:MOST]
    rows, columns = -(-len(shown) // WIDE), min(WIDE, len(shown))
    wide = (WIDTH - LEFT - RIGHT) * (1 - GAP * (columns - 1)) / columns
    names = [broken(c.print, wide / 7.8) for c in shown]
    figure = make_subplots(
        rows=rows,
        cols=columns,
        shared_yaxes=True,
        horizontal_spacing=GAP,
        vertical_spacing=0.24 if rows > 1 else 0,
        subplot_titles=[f"<b>{'<br>'.join(map(plain, lines))}</b>" for lines in names],
    )
    for place, course in enumerate(shown):
        _panel(figure, course, place // WIDE + 1, place % WIDE + 1, wide)
    last = max(len(shown[0].shares) - 1, 1)
    heading, higher = title_of(title, WIDTH)
    higher += 19 * (max(map(len, names)) - 1)
    figure.update_layout(
        title=heading,
        template="none",
        showlegend=False,
        width=WIDTH,
        height=190 + PANEL_HEIGHT * rows + higher,
        margin={"l": LEFT, "r": RIGHT, "t": 100 + higher, "b": 130},
        font={"family": "Source Sans Pro, Segoe UI, Helvetica, Arial, sans-serif", "color": "#222222"},
    )
    figure.update_annotations(font={"size": 14, "color": "#222222"})
    figure.update_xaxes(range=[-0.25 * last, 1.25 * last], gridcolor="#E5E5E5", zeroline=False, tickfont={"size": 13})
    figure.update_yaxes(
        tickvals=[0, 0.5, 1],
        ticktext=["0 %", "50 %", "100 %"],
        range=[-0.08, 1.08],
        gridcolor="#E5E5E5",
        zeroline=False,
    )
    figure.add_annotation(**footer_note(footer, 50, 66))
    return figure


def _panel(figure: Figure, course: Course, row: int, column: int, wide: float) -> None:
    x = list(range(len(course.shares)))
    room = wide / 1.5 / max(len(x) - 1, 1) / 6  # in letters, from one moment to the next
    colour = COLOURS[0]
    for place, share in enumerate(course.shares):
        figure.add_scatter(
            x=[place, place],
            y=[share.low, share.high],
            mode="lines",
            line={"width": 11, "color": "rgba(0,114,178,0.2)"},
            hoverinfo="skip",
            row=row,
            col=column,
        )
    figure.add_scatter(
        x=x,
        y=[s.people / s.of for s in course.shares],
        mode="lines+markers",
        line={"color": colour, "width": 2},
        marker={"size": 9, "color": colour},
        hovertext=[
            f"{plain(course.print)}, {s.moment}: {s.people} of {s.of} ({100 * s.low:.0f} to {100 * s.high:.0f} %)"
            for s in course.shares
        ],
        hoverinfo="text",
        name=course.print,
        row=row,
        col=column,
    )
    figure.update_xaxes(
        tickvals=x,
        ticktext=[plain(s.moment) + "<br>" + _people(s, room) for s in course.shares],
        tickangle=0,
        row=row,
        col=column,
    )


def _people(share: Share, room: float) -> str:
    told = f"{share.people} of {share.of}"
    return told if len(told) <= room else told.replace(" ", "<br>", 1)
