"""How a wheel is set: the box it stands in, its colours and the sizes of its lettering."""

from __future__ import annotations

from dataclasses import dataclass

from tastevocab.wheel.colour import Theme, Tints
from tastevocab.wheel.lettering import Style

STRONG = 1.4
"""The lettering of a printed word beside the wheel, as a multiple of the usual."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class Look:
    """How things are set: theme, font file ("" = ours), lettering sizes in mm, thickness of a fine line in mm."""

    theme: Theme
    usual: float
    smallest: float
    fine: float
    font: str = ""

    @property
    def inside(self) -> float:
        """Least size on the wheel itself: a name that would have to shrink more stands better outside."""
        return max(self.smallest, self.usual * 0.7)

    def style(self, kind: str, colour: str, *, size: float = 0.0, weight: str = "regular", about: str = "") -> Style:
        """A style of this look."""
        return Style(size or self.usual, colour, weight, kind, about, self.font)

    def tints(self, category: str) -> Tints:
        """The colours of a category; neutral ones where there is none."""
        return self.theme.tints.get(category, self.theme.neutral)
