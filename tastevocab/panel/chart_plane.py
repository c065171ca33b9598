"""The map of coffees and families: the plane drawn, ellipses about the coffees, what each axis holds, a warning if
thin."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from tastevocab.panel.chart_text import broken, footer_note, in_lines, letters, plain, title_of
from tastevocab.panel.correspondence import Correspondence
from tastevocab.panel.ellipses import Ellipse
from tastevocab.panel.plane import Plane

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

NAMED = 16
WIDTH, HEIGHT = 900, 700
PLOT = (WIDTH - 140, HEIGHT - 190)
"""Width and height of what lies between the margins, in pixels."""

COFFEE, FAMILY = (24, 8.6, 19), (28, 7.0, 16)
"""Of a coffee's and a family's name: letters a line, pixels a letter, pixels a line."""


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the plane: `x`, `y` principal coordinates, `size` its part of all findings (0..1)."""

    name: str
    kind: str
    x: float
    y: float
    size: float
    label: bool


def points(made: Correspondence, *, named: int = NAMED) -> tuple[Point, ...]:
    """Coffees, then families; only the `named` families that shape the two axes most carry a label."""
    coffees = [
        _point(name, "coffee", made.column_points[i], float(made.column_mass[i]), True)
        for i, name in enumerate(made.columns)
    ]
    weight = made.row_mass * (made.row_points[:, :2] ** 2).sum(axis=1)
    top = set(np.argsort(-weight, kind="stable")[:named].tolist())
    families = [
        _point(name, "family", made.row_points[i], float(made.row_mass[i]), i in top)
        for i, name in enumerate(made.rows)
    ]
    return (*coffees, *families)


def _point(name: str, kind: str, place: np.ndarray, size: float, label: bool) -> Point:
    return Point(name, kind, float(place[0]), float(place[1]) if len(place) > 1 else 0.0, size, label)


def plane_figure(plane: Plane, title: str, called: Mapping[str, str]) -> Figure:
    """The plane as a Plotly figure, both axes on one scale: coffees as squares in their ellipses, families as dots;
    `called` are the coffees' names by their ids."""
    import plotly.graph_objects as go

    columns = tuple(called.get(id, id) for id in plane.made.columns)
    figure, found = go.Figure(), points(replace(plane.made, columns=columns))
    _draw_ellipses(figure, [replace(e, coffee=called.get(e.coffee, e.coffee)) for e in plane.ellipses])
    _draw_points(figure, found)
    _name_points(figure, found, plane.ellipses)
    heading, higher = title_of(title, WIDTH)
    figure.update_layout(
        title=heading,
        height=HEIGHT + higher,
        margin={"l": 70, "r": 70, "t": 70 + higher, "b": 120},
        **_layout(plane, found),
    )
    figure.add_annotation(**footer_note(_footer(plane), 50))
    return figure


def _draw_ellipses(figure: Figure, ellipses: Sequence[Ellipse]) -> None:
    for ellipse in ellipses:
        x, y = ellipse.outline()
        figure.add_scatter(
            x=x.tolist(),
            y=y.tolist(),
            mode="lines",
            fill="toself",
            fillcolor="rgba(213,94,0,0.08)",
            line={"color": "#D55E00", "width": 1.5, "dash": "dot"},
            hoverinfo="skip",
            name=plain(f"{ellipse.coffee}, 95 %"),
        )


def _draw_points(figure: Figure, found: Sequence[Point]) -> None:
    for kind, symbol, colour in (("family", "circle", "#0072B2"), ("coffee", "square", "#D55E00")):
        some = [p for p in found if p.kind == kind]
        figure.add_scatter(
            x=[p.x for p in some],
            y=[p.y for p in some],
            mode="markers",
            marker={
                "symbol": symbol,
                "color": colour,
                "opacity": 0.85,
                "size": [14 if kind == "coffee" else 5 + 30 * p.size**0.5 for p in some],
                "line": {"width": 1, "color": "white"},
            },
            hovertext=[f"{plain(p.name)}: {100 * p.size:.1f} % of the findings" for p in some],
            hoverinfo="text",
            name=kind,
        )


def _name_points(figure: Figure, found: Sequence[Point], ellipses: Sequence[Ellipse]) -> None:
    for p, (dx, dy) in zip(found, _label_shifts(found, ellipses), strict=True):
        if not p.label:
            continue
        figure.add_annotation(
            x=p.x,
            y=p.y,
            ax=dx,
            ay=dy,
            text=f"<b>{in_lines(p.name, COFFEE[0])}</b>" if p.kind == "coffee" else in_lines(p.name, FAMILY[0]),
            showarrow=True,
            arrowhead=0,
            arrowwidth=0.7,
            arrowcolor="#999999",
            standoff=4,
            bgcolor="rgba(255,255,255,0.65)",
            borderpad=0,
            font={"size": 15 if p.kind == "coffee" else 12, "color": "#A34700" if p.kind == "coffee" else "#10507A"},
        )


def _footer(plane: Plane) -> str:
    key = "Squares are coffees, dots are families, bigger where more was found."
    drawn = (
        "Dotted: 95 % confidence ellipses (the tasters drawn again); where two overlap, the coffees may be alike. They "
        "lie nearer to the middle than their squares, for a small table draws coffees apart by chance."
    )
    without = f"No ellipses: {plane.without}." if plane.without else ""
    return " ".join(part for part in (plane.made.warning, key, drawn if plane.ellipses else without) if part)


def _layout(plane: Plane, found: Sequence[Point]) -> dict[str, object]:
    x_range, y_range = _frame(found, plane.ellipses)
    held = [f"{100 * share:.0f} % of the pattern" for share in (*plane.made.share, 0.0)]
    grid = {"gridcolor": "#E5E5E5", "zerolinecolor": "#888888", "zeroline": True, "showticklabels": False}
    return {
        "template": "none",
        "showlegend": False,
        "width": WIDTH,
        "xaxis": {"title": {"text": held[0]}, "range": x_range, **grid},
        "yaxis": {"title": {"text": held[1]}, "range": y_range, **grid},
        "font": {"family": "Source Sans Pro, Segoe UI, Helvetica, Arial, sans-serif", "color": "#222222"},
    }


def _label_shifts(found: Sequence[Point], drawn: Sequence[Ellipse]) -> list[tuple[float, float]]:
    """Where each label goes, in pixels from its point: of a ring of places the one that covers least and stays in the
    picture.

    Worked on the plane as it will be drawn, biggest points first; boxes of text are taken by their letters.
    """
    (left, right), (_, top) = _frame(found, drawn)
    scale = PLOT[0] / (right - left)
    at = [((p.x - left) * scale, (top - p.y) * scale) for p in found]
    taken = [(x - 10, y - 10, x + 10, y + 10) for x, y in at]
    shifts: list[tuple[float, float]] = [(0.0, 0.0)] * len(found)
    labelled = [i for i in range(len(found)) if found[i].label]
    for i in sorted(labelled, key=lambda i: (found[i].kind != "coffee", -found[i].size)):
        size = _size(found[i])
        places = [_box(at[i], size, angle, far) for far in (22, 34, 50, 70, 95) for angle in range(0, 360, 30)]
        best = min(places, key=lambda place: (round(_covered(place[1], taken) + 4 * _outside(place[1]), 1), place[2]))
        shifts[i] = best[0]
        taken.append(best[1])
    return shifts


def _size(point: Point) -> tuple[float, float]:
    """Width and height of a label in pixels."""
    width, letter, line = COFFEE if point.kind == "coffee" else FAMILY
    lines = broken(point.name, width)
    return letter * max(map(letters, lines)), line * len(lines) + 3


def _frame(found: Sequence[Point], drawn: Sequence[Ellipse]) -> tuple[list[float], list[float]]:
    """The ranges of both axes, on one scale, with room for the labels."""
    outlines = [ellipse.outline() for ellipse in drawn]
    xs = [p.x for p in found] + [float(x) for line, _ in outlines for x in line]
    ys = [p.y for p in found] + [float(y) for _, line in outlines for y in line]
    wide, high = PLOT
    span = max(max(xs) - min(xs), (max(ys) - min(ys)) * wide / high, 1e-9) * (1.05 if drawn else 1.2)
    x, y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    return [x - span / 2, x + span / 2], [y - span * high / wide / 2, y + span * high / wide / 2]


Box = tuple[float, float, float, float]


def _box(
    point: tuple[float, float], size: tuple[float, float], angle: int, far: float
) -> tuple[tuple[float, float], Box, float]:
    radians, (width, height) = np.deg2rad(angle), size
    dx = float(np.cos(radians)) * (far + width / 2)
    dy = float(np.sin(radians)) * (far + height / 2 - 10)
    x, y = point[0] + dx, point[1] + dy
    return (dx, dy), (x - width / 2, y - height / 2, x + width / 2, y + height / 2), far


def _covered(box: Box, taken: Sequence[Box]) -> float:
    """The area of `box` that lies on others."""
    return sum(_shared(box, other) for other in taken)


def _outside(box: Box) -> float:
    """The area of `box` that lies outside the plot."""
    return (box[2] - box[0]) * (box[3] - box[1]) - _shared(box, (0.0, 0.0, *PLOT))


def _shared(a: Box, b: Box) -> float:
    wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
    return max(wide, 0.0) * max(high, 0.0)
