"""Colours of the wheel: one even ramp along the vocabulary's ring, turned so that readers do not stumble.

Petals carry the colour. Their hues step evenly in OKLCH (Ottosson 2020) along the walking order, over part of the hue
circle; lightness and chroma run along straight lines; every second category is a little lighter, so that neighbours
part without any hue (colour-blind readers, grey print). Where the ramp starts, which way it runs and its lines are
fitted to how people name the colours of foods (`colour_fit.py`). Petals that recede, and the rings of the taxonomy, are
pale tints of the same hue. What sRGB cannot show keeps its lightness and hue and loses chroma. Contrast as in WCAG 2.x:
4.5:1 for text, 3:1 for outlines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from tastevocab.errors import InputError

ThemeName = Literal["light", "dark", "grey"]


@dataclass(frozen=True, slots=True)
class Ramp:
    """Petals' colours along a ring: first hue and step in degrees, lightness and chroma at its two ends (OKLCH).

    The step is that of a ring of `FITTED` categories; other rings share the same span of hues.
    """

    hue: float
    step: float
    light: tuple[float, float]
    chroma: tuple[float, float]


FITTED = 14
RAMP = Ramp(hue=144.0, step=-17.0, light=(0.685, 0.535), chroma=(0.11, 0.08))
"""Fitted by `python -m tastevocab.wheel.colour_fit` to 110 names of the xkcd colour survey (2010, CC0), and rounded."""
SWAY = 0.035
"""What every second category is lighter, and every other darker."""

TEXT_CONTRAST = 4.5
GRAPHIC_CONTRAST = 3.0
DARK_LETTERS = "#000000"
LIGHT_LETTERS = "#ffffff"


@dataclass(frozen=True, slots=True)
class Tints:
    """One category's colours as #rrggbb, and what lettering on each is set in.

    Two pale rings, the petal (`note`), the petal that recedes (`quiet`), the field of a printed word behind its petals
    (`wash`), and the line round them.
    """

    category: str
    family: str
    note: str
    quiet: str
    wash: str
    edge: str
    on_category: str
    on_family: str
    on_note: str
    on_quiet: str

    def fill(self, ring: str) -> str:
        """The colour of a ring ("category", "family", "petal" or "quiet", a petal that recedes)."""
        return {"category": self.category, "family": self.family, "petal": self.note, "quiet": self.quiet}[ring]

    def letters(self, ring: str) -> str:
        """The colour of lettering on that ring."""
        return {
            "category": self.on_category,
            "family": self.on_family,
            "petal": self.on_note,
            "quiet": self.on_quiet,
        }[ring]


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
    """A theme's fixed colours; for category, family, quiet petal and wash the lightness and the part of the chroma.

    `petal` is what is added to the ramp's lightness, `colourful` the part of its chroma that all keep.
    """

    paper: str
    ink: str
    muted: str
    line: str
    guide: str
    lightness: tuple[float, float, float, float]
    chroma: tuple[float, float, float, float]
    petal: float
    sway: float
    edge: float
    colourful: float = 1.0


_RECIPES: dict[str, _Recipe] = {
    "light": _Recipe(
        *("#fcfbf8", "#1b1c20", "#5a5b62", "#76777e", "#e3e1da"),
        lightness=(0.91, 0.945, 0.885, 0.82), chroma=(0.32, 0.20, 0.40, 0.62), petal=0.0, sway=SWAY, edge=0.45,
    ),
    "dark": _Recipe(
        *("#16171b", "#f4f3ef", "#b3b2ad", "#8d8d92", "#33343a"),
        lightness=(0.32, 0.27, 0.37, 0.45), chroma=(0.36, 0.26, 0.45, 0.62), petal=0.03, sway=SWAY, edge=0.84,
    ),
    "grey": _Recipe(
        *("#ffffff", "#161616", "#565656", "#6e6e6e", "#dedede"),
        lightness=(0.92, 0.955, 0.88, 0.81), chroma=(0.0,) * 4, petal=-0.14, sway=0.045, edge=0.38, colourful=0.0,
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


def _on_ramp(index: int, count: int) -> tuple[float, float, float]:
    """Lightness, chroma and hue of a category's petals, without sway."""
    at = index / max(1, count - 1)
    light, chroma = (low + (high - low) * at for low, high in (RAMP.light, RAMP.chroma))
    return light, chroma, RAMP.hue + RAMP.step * at * (FITTED - 1)


def _tints(recipe: _Recipe, place: tuple[float, float, float], sway: float) -> Tints:
    light, chroma, hue = place
    chroma *= recipe.colourful
    note = _hex(light + recipe.petal + sway * recipe.sway, chroma, hue)
    category, family, quiet, wash = (
        _hex(at + sway * recipe.sway * 0.4, chroma * part, hue)
        for at, part in zip(recipe.lightness, recipe.chroma, strict=True)
    )
    edge = _hex(recipe.edge + sway * 0.02, chroma, hue)
    letters = (letters_on(fill) for fill in (category, family, note, quiet))
    return Tints(category, family, note, quiet, wash, edge, *letters)


@lru_cache(maxsize=32)
def theme(name: str, ring: tuple[str, ...]) -> Theme:
    """The theme `name` ("light", "dark" or "grey") with tints for every category of `ring`, in ring order.

    Raises `InputError` for another name.
    """
    if name not in _RECIPES:
        raise InputError(f"no theme {name!r}", mend=f"use one of {', '.join(_RECIPES)}")
    recipe = _RECIPES[name]
    count = len(ring)
    tints = {id: _tints(recipe, _on_ramp(i, count), _sway(i, count)) for i, id in enumerate(ring)}
    neutral = _tints(recipe, (sum(RAMP.light) / 2, 0.0, 0.0), 0.0)
    return Theme(name, recipe.paper, recipe.ink, recipe.muted, recipe.line, recipe.guide, tints, neutral)
