"""Colours of the wheel: chosen by computation along the vocabulary's ring, never by the food.

Hues step evenly round OKLCH (Ottosson 2020) in walking order; the three rings step evenly in lightness; every second
category is a little lighter, so that neighbours part without any hue (colour-blind readers, grey print). What sRGB
cannot show keeps its lightness and hue and loses chroma. Contrast as in WCAG 2.x: 4.5:1 for text, 3:1 for outlines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from tastevocab.errors import InputError

ThemeName = Literal["light", "dark", "grey"]

START_HUE = 300.0
"""Degrees. Turned so that no category wears the colour of its food: greens are not green, nor citrus yellow."""

TEXT_CONTRAST = 4.5
GRAPHIC_CONTRAST = 3.0
DARK_LETTERS = "#0c0d10"
LIGHT_LETTERS = "#ffffff"


@dataclass(frozen=True, slots=True)
class Tints:
    """One category's colours as #rrggbb: the three rings, the line round them, and what lettering on each is set in."""

    category: str
    family: str
    note: str
    edge: str
    on_category: str
    on_family: str
    on_note: str

    def fill(self, ring: str) -> str:
        """The colour of a ring ("category", "family" or "petal")."""
        return {"category": self.category, "family": self.family, "petal": self.note}[ring]

    def letters(self, ring: str) -> str:
        """The colour of lettering on that ring."""
        return {"category": self.on_category, "family": self.on_family, "petal": self.on_note}[ring]


@dataclass(frozen=True, slots=True)
class Theme:
    """All colours of a sheet: paper, lettering (`ink`, `muted`), lines with meaning, faint guides, tints by id."""

    name: str
    paper: str
    ink: str
    muted: str
    line: str
    guide: str
    tints: Mapping[str, Tints]
    neutral: Tints


@dataclass(frozen=True, slots=True)
class _Recipe:
    paper: str
    ink: str
    muted: str
    line: str
    guide: str
    lightness: tuple[float, float, float]
    chroma: tuple[float, float, float]
    sway: tuple[float, float, float]
    edge: float


_RECIPES: dict[str, _Recipe] = {
    "light": _Recipe(
        *("#fcfbf8", "#1b1c20", "#5a5b62", "#76777e", "#e3e1da"),
        lightness=(0.44, 0.65, 0.86), chroma=(0.13, 0.115, 0.068), sway=(0.04, 0.035, 0.035), edge=0.48,
    ),
    "dark": _Recipe(
        *("#16171b", "#f4f3ef", "#b3b2ad", "#8d8d92", "#33343a"),
        lightness=(0.84, 0.64, 0.44), chroma=(0.12, 0.115, 0.085), sway=(0.04, 0.035, 0.035), edge=0.80,
    ),
    "grey": _Recipe(
        *("#ffffff", "#161616", "#565656", "#6e6e6e", "#dedede"),
        lightness=(0.41, 0.65, 0.89), chroma=(0.0, 0.0, 0.0), sway=(0.05, 0.045, 0.04), edge=0.42,
    ),
}  # fmt: skip


def _hex(lightness: float, chroma: float, hue: float) -> str:
    from coloraide import Color

    mapped = Color("oklch", [lightness, chroma, hue % 360]).fit("srgb", method="oklch-chroma")
    return str(mapped.convert("srgb").to_string(hex=True))


def contrast(one: str, other: str) -> float:
    """WCAG 2.x contrast ratio of two colours, 1 to 21."""
    from coloraide import Color

    return float(Color(one).contrast(other, method="wcag21"))


def letters_on(fill: str) -> str:
    """Dark or light lettering, whichever stands out more on `fill`."""
    return max((DARK_LETTERS, LIGHT_LETTERS), key=lambda letters: contrast(letters, fill))


def _sway(index: int, count: int) -> float:
    """+1 or -1 by turns; in an odd ring the last stands between."""
    if count % 2 and index == count - 1 and count > 1:
        return 0.0
    return 1.0 if index % 2 else -1.0


def _tints(recipe: _Recipe, hue: float, sway: float, chroma: float = 1.0) -> Tints:
    category, family, note = (
        _hex(light + sway * by, colourful * chroma, hue)
        for light, by, colourful in zip(recipe.lightness, recipe.sway, recipe.chroma, strict=True)
    )
    edge = _hex(recipe.edge + sway * 0.02, recipe.chroma[0] * chroma, hue)
    return Tints(category, family, note, edge, letters_on(category), letters_on(family), letters_on(note))


@lru_cache(maxsize=32)
def theme(name: str, ring: tuple[str, ...]) -> Theme:
    """The theme `name` ("light", "dark" or "grey") with tints for every category of `ring`, in ring order.

    Raises `InputError` for another name.
    """
    if name not in _RECIPES:
        raise InputError(f"no theme {name!r}", mend=f"use one of {', '.join(_RECIPES)}")
    recipe = _RECIPES[name]
    step = 360 / max(1, len(ring))
    tints = {id: _tints(recipe, START_HUE + i * step, _sway(i, len(ring))) for i, id in enumerate(ring)}
    neutral = _tints(recipe, 0.0, 0.0, chroma=0.0)
    return Theme(name, recipe.paper, recipe.ink, recipe.muted, recipe.line, recipe.guide, tints, neutral)
