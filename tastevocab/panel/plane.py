"""Coffees and families on one plane, with how far each coffee may lie from its point."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from tastevocab.errors import StatisticsError
from tastevocab.panel.comparison import Comparison
from tastevocab.panel.contrast import who_found
from tastevocab.panel.correspondence import Correspondence, correspondence
from tastevocab.panel.ellipses import Ellipse, ellipses
from tastevocab.panel.folding import Floats
from tastevocab.panel.spans import Spans

MAP_FAMILIES = (5, 1)
"""Findings a coffee that a family needs on average to stand on the map of coffees and families; the second where fewer
than four families have the first."""


@dataclass(frozen=True, slots=True)
class Plane:
    """The correspondence analysis of families (rows) and coffees (columns), people counted; `without` says why there
    are no ellipses ("" where there are)."""

    made: Correspondence
    ellipses: tuple[Ellipse, ...]
    without: str


def plane(comparison: Comparison, spans: Spans, *, samples: int = 1000, seed: int = 1) -> Plane:
    """The plane of a comparison of coffees. Raises `StatisticsError` as `correspondence` does."""
    maps = tuple(comparison.maps.values())
    ids = sorted({n.descriptor for m in maps for n in m.nodes if n.level == "family"}, key=spans.order.__getitem__)
    _, had, found = who_found(maps, ids, spans)
    counts = found.sum(axis=0).T.astype(np.float64)
    per_coffee = counts.sum(axis=1) / len(maps)
    least = next((least for least in MAP_FAMILIES if np.count_nonzero(per_coffee >= least) >= 4), 0)
    rows = np.flatnonzero((per_coffee >= least) & (per_coffee > 0))
    columns = np.flatnonzero(counts[rows].sum(axis=0) > 0)
    made = correspondence(
        counts[rows][:, columns],
        [spans.descriptor(ids[i]).print for i in rows],
        [comparison.labels[i] for i in columns],
    )
    try:
        drawn, without = ellipses(found[:, columns][:, :, rows], had[:, columns], made, samples=samples, seed=seed), ""
    except StatisticsError as problem:
        drawn, without = (), problem.what
    return Plane(made, drawn, without)


def plane_json(plane: Plane) -> dict[str, Any]:
    """For programs: what the axes hold, where coffees and families lie, the ellipses; figures keep six decimals."""
    made = plane.made

    def at(names: tuple[str, ...], points: Any) -> dict[str, list[float]]:
        return {name: [round(float(v), 6) for v in point[:2]] for name, point in zip(names, points, strict=True)}

    return {
        "axes": [round(float(share), 6) for share in made.share[:2]],
        "coffees": at(made.columns, made.column_points),
        "families": at(made.rows, made.row_points),
        "ellipses": [
            {"coffee": e.coffee, "tasters": e.tasters}
            | {name: round(getattr(e, name), 6) for name in ("x", "y", "long", "short", "turned")}
            for e in plane.ellipses
        ],
        "warning": " ".join(part for part in (made.warning, plane.without) if part),
    }


PLANE_COLUMNS = ("coffee", "x", "y", "middle_x", "middle_y", "long", "short", "turned", "tasters")


def plane_rows(plane: Plane) -> list[tuple[object, ...]]:
    """A row a coffee under `PLANE_COLUMNS`: its point, then its ellipse (empty where there is none)."""
    around = {e.coffee: (e.x, e.y, e.long, e.short, e.turned) for e in plane.ellipses}
    people = {e.coffee: e.tasters for e in plane.ellipses}
    return [
        (
            coffee,
            *_two(point),
            *((f"{value:.4f}" for value in around[coffee]) if coffee in around else ("",) * 5),
            people.get(coffee, ""),
        )
        for coffee, point in zip(plane.made.columns, plane.made.column_points, strict=True)
    ]


def _two(point: Floats) -> tuple[str, str]:
    return f"{point[0]:.4f}", f"{point[1] if len(point) > 1 else 0.0:.4f}"


def plane_lines(plane: Plane, called: Mapping[str, str]) -> list[str]:
    """What the axes hold and where each coffee lies, in plain lines; `called` are the coffees' names by their ids."""
    held = ", ".join(f"{100 * share:.0f} %" for share in plane.made.share[:2])
    lines = [f"The plane of coffees and families: its axes hold {held} of the pattern (draw it with --chart)"]
    around = {e.coffee: e for e in plane.ellipses}
    for coffee, point in zip(plane.made.columns, plane.made.column_points, strict=True):
        y = float(point[1]) if len(point) > 1 else 0.0
        line = f"  {called.get(coffee, coffee)}: at {point[0]:.2f}, {y:.2f}"
        if e := around.get(coffee):
            line += f"; 95 % ellipse about {e.x:.2f}, {e.y:.2f}, half axes {e.long:.2f} and {e.short:.2f}"
        lines.append(line)
    if plane.without:
        lines.append(f"  No ellipses: {plane.without}.")
    return lines + ([f"  {plane.made.warning}"] if plane.made.warning else [])
