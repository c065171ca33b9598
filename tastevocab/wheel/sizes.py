"""The sheets a wheel is printed on: their size, how small lettering may get, and the dpi of their PNG."""

from __future__ import annotations

from dataclasses import dataclass

from tastevocab.errors import InputError
from tastevocab.wheel.drawing import MM_PER_POINT

SMALLEST_POINTS = 7.0
MOST_BLEED, MOST_SAFE = 50, 30
"""mm; a small sheet takes less of a safe margin, and says so."""


@dataclass(frozen=True, slots=True)
class Size:
    """One sheet. `width` and `height` in mm; `margin` keeps all lettering and lines off the trimmed edge.

    `smallest` and `usual` are the least and the preferred size of lettering in points, `title` that of the coffee's
    name, `foot` that of strips, key and footer. `dpi` is for its PNG (for screens; SVG and PDF are what is printed).
    `strips` says in how many columns attributes stand below (0: not on this size).
    """

    name: str
    width: float
    height: float
    margin: float
    smallest: float
    usual: float
    title: float
    foot: float
    dpi: float
    strips: int

    @property
    def smallest_mm(self) -> float:
        """Least em in mm."""
        return self.smallest * MM_PER_POINT

    @property
    def usual_mm(self) -> float:
        """Preferred em in mm."""
        return self.usual * MM_PER_POINT


SIZES: dict[str, Size] = {
    size.name: size
    for size in (
        # 108 mm at 254 dpi is 1080 pixels, the square that feeds show.
        Size("square", 108, 108, 4, 7, 7.5, 13, 7, 254, 0),
        # 1080 x 1920 pixels for stories, 1200 x 630 for the preview of a link.
        Size("story", 108, 192, 7, 8, 9, 20, 8, 254, 0),
        Size("share", 180, 94.5, 6, 7, 8, 26, 7, 169.34, 0),
        Size("bag", 90, 150, 4, 7, 7, 12, 7, 250, 2),
        Size("shelf", 105, 148, 6, 7, 7.5, 15, 7, 200, 0),
        Size("page", 148, 210, 8, 7, 8, 17, 7, 200, 2),
        Size("board", 297, 420, 15, 7, 14, 34, 10, 100, 2),
        Size("poster-a1", 594, 841, 16, 10, 14, 50, 12, 106, 0),
        Size("poster-a2", 420, 594, 8, 8.5, 10, 32, 9, 150, 0),
    )
}

CARDS = ("square", "story", "share", "bag", "shelf", "page", "board")
LABEL = "label"
"""Letters only, as wide as asked (see `label.py`)."""
POSTERS = ("poster-a2", "poster-a1")


def size_named(name: str) -> Size:
    """The sheet called `name`. Raises `InputError` for another name."""
    if name not in SIZES:
        raise InputError(f"no size {name!r}", mend=f"use one of {', '.join(SIZES)}")
    return SIZES[name]
