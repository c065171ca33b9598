"""How the poster's notes are packed: each family is a wedge, its notes stand in rows of radial lines, row behind row.

Nothing here knows of colours or files.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tastevocab.wheel.lettering import Style, wrap

INDENT = 0.7
"""How far the second line of a name stands in, in em: so it is not taken for another name."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One note in its place: the lines of its name, its row (0 innermost), and the columns it takes in that row."""

    lines: tuple[str, ...]
    row: int
    column: int
    columns: int


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a wheel: where each begins (mm from the centre), how long it is, and the distance between lines."""

    starts: tuple[float, ...]
    length: float
    pitch: float
    pad: float

    def columns(self, row: int, angle: float) -> int:
        """How many lines stand side by side in `angle` radians of a row."""
        return max(0, int((angle * self.starts[row] - self.pad) / self.pitch + 1e-9))


def pack_family(names: Sequence[Sequence[str]], angle: float, rows: Rows) -> list[Slot] | None:
    """Every name in the innermost row that still has its columns free, in order; None when `angle` is too narrow."""
    total = [rows.columns(row, angle) for row in range(len(rows.starts))]
    used = [0] * len(total)
    taken: list[tuple[tuple[str, ...], int, int]] = []
    for lines in names:
        row = next((r for r in range(len(total)) if used[r] + len(lines) <= total[r]), None)
        if row is None:
            return None
        taken.append((tuple(lines), row, used[row]))
        used[row] += len(lines)
    return [Slot(lines, row, column, used[row]) for lines, row, column in taken]


def share_angles(
    families: Sequence[Sequence[Sequence[str]]], least: Sequence[float], rows: Rows, whole: float
) -> list[tuple[float, list[Slot]]] | None:
    """An angle and slots for every family so that all fit into `whole` radians; None when they cannot.

    Each family takes the narrowest angle that holds it, but not under its `least`; what is left over is shared in
    proportion.
    """

    def narrowest_of(names: Sequence[Sequence[str]]) -> float:
        return _narrowest(lambda angle: pack_family(names, angle, rows), whole)

    narrowest = [max(narrowest_of(names), floor) for names, floor in zip(families, least, strict=True)]
    needed = sum(narrowest)
    if needed > whole or not families:
        return None
    out = []
    for names, angle in zip(families, narrowest, strict=True):
        wider = angle * whole / needed
        slots = pack_family(names, wider, rows)
        out.append((wider, slots or pack_family(names, angle, rows) or []))
    return out


def _narrowest(packed: Callable[[float], list[Slot] | None], whole: float) -> float:
    low, high = 0.0, whole
    if packed(high) is None:
        return whole * 2
    for _ in range(14):
        middle = (low + high) / 2
        low, high = (low, middle) if packed(middle) is not None else (middle, high)
    return high


def broken(names: Sequence[str], style: Style, longest: float) -> list[tuple[str, ...]] | None:
    """Names as lines of at most `longest` mm, later lines a little shorter; None when a word alone is longer."""
    lines = [
        wrap(name, style, longest - (0 if style.width(name) <= longest else style.size * INDENT)) for name in names
    ]
    return [line for line in lines if line is not None] if all(line is not None for line in lines) else None
