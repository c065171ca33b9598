"""How the poster's notes are packed: each family is a wedge, its notes stand in rows of radial lines, row behind row.

Rows grow longer outward, and every name takes the shortest row that holds it: long names where there is most room.
Nothing here knows of colours or files.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from tastevocab.wheel.lettering import Style, force, wrap

INDENT = 0.5
"""How far the second line of a name stands in, in em: so it is not taken for another name."""
SLOPE = 0.8
"""How much longer the outermost row is than the innermost, as a part of the middle one's length."""


@dataclass(frozen=True, slots=True)
class Name:
    """A name to be packed: the ways to break it, fewest lines first, each with the mm that its longest line takes."""

    forms: tuple[tuple[tuple[str, ...], float], ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """One note in its place: the lines of its name, its row (0 innermost), and the columns it takes in that row."""

    lines: tuple[str, ...]
    row: int
    column: int
    columns: int


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a wheel: where lettering begins (mm from the centre), its room in mm, and the distance of lines."""

    starts: tuple[float, ...]
    rooms: tuple[float, ...]
    pitch: float
    pad: float

    def columns(self, row: int, angle: float) -> int:
        """How many lines stand side by side in `angle` radians of a row."""
        return max(0, int((angle * self.starts[row] - self.pad) / self.pitch + 1e-9))


def rows_between(inner: float, outer: float, count: int, size: float, pitch: float) -> Rows:
    """`count` rows of radial lettering of `size` mm from `inner` to `outer` mm, each longer than the one before."""
    parts = [1 + SLOPE * (i / (count - 1) - 0.5) if count > 1 else 1.0 for i in range(count)]
    lengths = [(outer - inner) * part / sum(parts) for part in parts]
    starts = [inner + sum(lengths[:i]) + size * 0.22 for i in range(count)]
    return Rows(tuple(starts), tuple(length - size * 0.44 for length in lengths), pitch, size * 0.2)


def pack_family(names: Sequence[Name], angle: float, rows: Rows) -> list[Slot] | None:
    """A slot for every name, in the order given along each row; None when `angle` is too narrow.

    The longest name chooses first, unbroken if any row takes it so, and of such rows the shortest.
    """
    free = [rows.columns(row, angle) for row in range(len(rows.starts))]
    shortest_first = sorted(range(len(free)), key=lambda row: rows.rooms[row])
    taken: dict[int, tuple[tuple[str, ...], int]] = {}
    for at in sorted(range(len(names)), key=lambda at: -names[at].forms[0][1]):
        spots = (
            (lines, row)
            for lines, width in names[at].forms
            for row in shortest_first
            if width <= rows.rooms[row] and len(lines) <= free[row]
        )
        spot = next(spots, None)
        if spot is None:
            return None
        taken[at] = spot
        free[spot[1]] -= len(spot[0])
    return _in_order(taken, len(free))


def _in_order(taken: dict[int, tuple[tuple[str, ...], int]], rows: int) -> list[Slot]:
    used, begins = [0] * rows, {}
    for at in sorted(taken):
        lines, row = taken[at]
        begins[at] = used[row]
        used[row] += len(lines)
    return [Slot(taken[at][0], taken[at][1], begins[at], used[taken[at][1]]) for at in sorted(taken)]


def share_angles(
    families: Sequence[Sequence[Name]], least: Sequence[float], rows: Rows, whole: float
) -> list[tuple[float, list[Slot]]] | None:
    """An angle and slots for every family so that all fit into `whole` radians; None when they cannot.

    Each family takes the narrowest angle that holds it, but not under its `least`; what is left over is shared in
    proportion.
    """
    narrowest: list[float] = []
    for names, floor in zip(families, least, strict=True):
        narrowest.append(max(_narrowest(partial(pack_family, names, rows=rows), whole), floor))
        if sum(narrowest) > whole:
            return None
    if not families:
        return None
    out = []
    for names, angle in zip(families, narrowest, strict=True):
        wider = angle * whole / sum(narrowest)
        out.append((wider, pack_family(names, wider, rows) or pack_family(names, angle, rows) or []))
    return out


def _narrowest(packed: Callable[[float], list[Slot] | None], whole: float) -> float:
    low, high = 0.0, whole
    if packed(high) is None:
        return whole * 2
    for _ in range(14):
        middle = (low + high) / 2
        low, high = (low, middle) if packed(middle) is not None else (middle, high)
    return high


def name_forms(text: str, style: Style, longest: float, *, cut: bool = False) -> Name | None:
    """The ways to set `text` in lines of at most `longest` mm: whole, in two lines of about one length, in more.

    None when a word alone is longer, unless words may be `cut` with a hyphen.
    """
    whole = style.width(text)
    room = longest - style.size * INDENT
    words = max(style.width(word) for word in text.split(" "))
    ways: list[tuple[str, ...]] = [(text,)] if whole <= longest else []
    broken = [wrap(text, style, width) for width in (min(room, max(whole * 0.6, words)), room)]
    ways += [lines for lines in broken if lines]
    ways += [force(text, style, room)] if cut and not ways else []
    forms = {len(lines): (lines, max(_line_widths(lines, style))) for lines in reversed(ways)}
    return Name(tuple(forms[count] for count in sorted(forms))) if forms else None


def _line_widths(lines: Sequence[str], style: Style) -> list[float]:
    return [style.width(line) + (style.size * INDENT if i else 0.0) for i, line in enumerate(lines)]
