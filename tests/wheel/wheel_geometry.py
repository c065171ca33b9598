"""Our own eyes in tests: which lettering overlaps, leaves the sheet, or has leaders that cross."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np

from tastevocab.wheel.drawing import Drawing, Lettering, Shape, corners

Box = tuple[tuple[float, float], ...]


def apart(one: Box, other: Box, slack: float = 0.02) -> bool:
    """Whether two convex boxes are clear of each other (separating axes)."""
    for box in (one, other):
        for (ax, ay), (bx, by) in pairwise([*box, box[0]]):
            nx, ny = by - ay, ax - bx
            length = (nx * nx + ny * ny) ** 0.5 or 1.0
            first = [(x * nx + y * ny) / length for x, y in one]
            second = [(x * nx + y * ny) / length for x, y in other]
            if max(first) <= min(second) + slack or max(second) <= min(first) + slack:
                return True
    return False


def overlaps(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of lines of lettering that cover each other. Heights are those of small letters."""
    lines = [item for item in drawing.items if isinstance(item, Lettering)]
    boxes = [(line.text, corners(line, rise=0.5, drop=0.0)) for line in lines]
    bounds = [
        (
            min(x for b in bs for x, _ in b),
            min(y for b in bs for _, y in b),
            max(x for b in bs for x, _ in b),
            max(y for b in bs for _, y in b),
        )
        for _, bs in boxes
    ]
    found = []
    for i, j in combinations(range(len(boxes)), 2):
        a, b = bounds[i], bounds[j]
        if a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]:
            continue
        if any(not apart(p, q) for p in boxes[i][1] for q in boxes[j][1]):
            found.append((boxes[i][0], boxes[j][0]))
    return found


def outside_sheet(drawing: Drawing) -> list[str]:
    """What leaves the trimmed sheet."""
    out = []
    for item in drawing.items:
        if isinstance(item, Lettering):
            points = [p for box in corners(item) for p in box]
        elif item.kind == "background":
            continue
        else:
            points = [(float(c[i]), float(c[i + 1])) for c in item.commands for i in range(1, len(c), 2)]
        if any(not (-0.01 <= x <= drawing.width + 0.01 and -0.01 <= y <= drawing.height + 0.01) for x, y in points):
            out.append(item.text if isinstance(item, Lettering) else item.kind)
    return out


def crossings(drawing: Drawing) -> int:
    """How many pairs of leaders cross."""
    leaders = [
        [(float(c[1]), float(c[2])) for c in item.commands]
        for item in drawing.items
        if isinstance(item, Shape) and item.kind == "leader"
    ]
    return sum(any(_cross(p, q) for p in pairwise(a) for q in pairwise(b)) for a, b in combinations(leaders, 2))


def _cross(one: tuple, other: tuple) -> bool:
    (a, b), (c, d) = one, other

    def side(p: tuple, q: tuple, r: tuple) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < -1e-12 and side(c, d, a) * side(c, d, b) < -1e-12


def leaders_through_lettering(drawing: Drawing) -> list[str]:
    """Labels around the wheel that another label's leader runs through."""
    leaders = [item for item in drawing.items if isinstance(item, Shape) and item.kind == "leader"]
    rim = next(item for item in drawing.items if isinstance(item, Shape) and item.kind == "rim")
    ys = [float(c[i + 1]) for c in rim.commands for i in range(1, len(c), 2)]
    xs = [float(c[i]) for c in rim.commands for i in range(1, len(c), 2)]
    cx, cy, r = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, (max(ys) - min(ys)) / 2
    found = []
    for line in (i for i in drawing.items if isinstance(i, Lettering) and i.kind in ("label", "count")):
        for box in corners(line, rise=0.5, drop=0.0):
            if any((x - cx) ** 2 + (y - cy) ** 2 < r * r for x, y in box):
                continue
            edges = list(pairwise([*box, box[0]]))
            for leader in leaders:
                points = [(float(c[1]), float(c[2])) for c in leader.commands]
                if any(_cross(p, e) for p in pairwise(points) for e in edges):
                    found.append(line.text)
    return found


def scale_through_lettering(drawing: Drawing) -> list[str]:
    """Lettering that a circle of the scale runs through."""
    scale = [item for item in drawing.items if isinstance(item, Shape) and item.kind in ("guide", "rim", "quorum")]
    points = np.array([point for shape in scale for point in _along(shape)])
    if not len(points):
        return []
    found = []
    for line in (item for item in drawing.items if isinstance(item, Lettering)):
        for box in corners(line, rise=0.45, drop=0.0):
            if _any_within(points, box):
                found.append(line.text)
    return sorted(set(found))


def _any_within(points: np.ndarray, box: Box, slack: float = 0.02) -> bool:
    """Whether a point lies in a rectangle given by its corners, more than `slack` mm from its edge."""
    first, second, _, last = (np.array(corner) for corner in box)
    inside = np.ones(len(points), dtype=bool)
    for side in (second - first, last - first):
        length = np.linalg.norm(side)
        along = (points - first) @ side / length
        inside &= (along > slack) & (along < length - slack)
    return bool(inside.any())


def _along(shape: Shape) -> list[tuple[float, float]]:
    """Points along curves, close together."""
    out, at = [], (0.0, 0.0)
    for command in shape.commands:
        if command[0] == "C":
            b, c, d = ((float(command[i]), float(command[i + 1])) for i in (1, 3, 5))
            for step in range(65):
                t = step / 64
                weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
                out.append(tuple(sum(w * p[i] for w, p in zip(weights, (at, b, c, d), strict=True)) for i in (0, 1)))
            at = d
        elif len(command) > 2:
            at = (float(command[1]), float(command[2]))
    return out
