"""The wheel as a page shows it: the print files' drawing set for a screen, its colours named for light and dark."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from html import escape

from tastevocab.wheel.arcs import Picture, picture
from tastevocab.wheel.colour import theme
from tastevocab.wheel.drawing import MM_PER_POINT, Lettering, Shape, corners
from tastevocab.wheel.look import Box, Look
from tastevocab.wheel.svg import elements, outlines
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.wheel import lay_wheel

EMBEDDED, PREFIX = "flavour-wheel", "fw-"
"""The class of an embedded wheel, and what the ids in it begin with: the page around it has its own."""
Items = tuple[Shape | Lettering, ...]


@dataclass(frozen=True, slots=True)
class Screen:
    """Room for a wheel on a page: width and height in mm of the drawing, lettering in points, usual and smallest."""

    name: str
    width: float
    height: float
    usual: float
    smallest: float


SCREENS = (Screen("wide", 132, 118, 9, 7.5), Screen("narrow", 86, 78, 8.5, 7.5))
"""For some 620 and 320 pixels: lettering is 10 pixels or more on both."""


@dataclass(slots=True)
class Palette:
    """The colours a page needs, each once: what it is in light and in dark surroundings, and the name it goes by."""

    names: dict[tuple[str, str], str] = field(default_factory=dict)

    def name(self, light: str | None, dark: str | None) -> str | None:
        """What a drawing says instead of a colour."""
        if light is None or dark is None:
            return light
        made = self.names.setdefault((light, dark), f"--c{len(self.names)}")
        return f"var({made})"

    def css(self, side: int) -> str:
        """Declarations of all colours in light (0) or dark (1)."""
        return "".join(f"{name}:{pair[side]};" for pair, name in self.names.items())


def wheel_items(tree: WheelTree, screen: Screen, palette: Palette, font: str = "") -> Items:
    """The wheel of a tree for a screen, colours given by name; raises `InputError` where it contradicts itself."""
    shown = picture(tree)
    light, dark = (_laid(shown, screen, name, tree.ring, font) for name in ("light", "dark"))
    return tuple(_recoloured(a, b, palette) for a, b in zip(light, dark, strict=True))


def _laid(shown: Picture, screen: Screen, name: str, ring: tuple[str, ...], font: str) -> Items:
    usual, smallest = screen.usual * MM_PER_POINT, screen.smallest * MM_PER_POINT
    look = Look(theme(name, ring), usual, smallest, max(0.12, usual * 0.06), font)
    return lay_wheel(shown, Box(1, 1, screen.width - 1, screen.height - 1), look).items


def _recoloured(light: Shape | Lettering, dark: Shape | Lettering, palette: Palette) -> Shape | Lettering:
    if isinstance(light, Lettering):
        assert isinstance(dark, Lettering)
        return replace(light, colour=palette.name(light.colour, dark.colour) or light.colour)
    assert isinstance(dark, Shape)
    return replace(
        light, name="", fill=palette.name(light.fill, dark.fill), stroke=palette.name(light.stroke, dark.stroke)
    )


def wheel_svg(items: Items, screen: Screen, label: str, font: str = "", digits: int = 2) -> str:
    """The wheel as an SVG element of a page whose letters are the page's own (`letters_svg`)."""
    body = elements(items, font, digits).replace("xlink:href", "href")
    left, top, right, bottom = extent(items)
    return (
        f'<svg class="wheel {screen.name}" viewBox="{left} {top} {right - left} {bottom - top}" role="img" '
        f'aria-label="{escape(label)}">\n{body}\n</svg>'
    )


def embed_svg(tree: WheelTree, screen: Screen = SCREENS[1], font: str = "") -> str:
    """The wheel as one SVG element to stand in any page: its own letters and colours, by day and by night.

    Raises as `wheel_items` does.
    """
    palette = Palette()
    items = tuple(replace(i, data=()) if isinstance(i, Shape) else i for i in wheel_items(tree, screen, palette, font))
    night = f"@media screen and (prefers-color-scheme:dark){{.{EMBEDDED}{{{palette.css(1)}}}}}"
    own = f"<style>.{EMBEDDED}{{{palette.css(0)}}}{night}</style><defs>{outlines(items, font)}</defs>"
    svg = wheel_svg(items, screen, f"Flavour wheel: {spoken(tree)}", font, 1)
    svg = svg.replace(f'class="wheel {screen.name}"', f'class="{EMBEDDED}" xmlns="http://www.w3.org/2000/svg"', 1)
    svg = svg.replace("\n", f"\n{own}\n", 1)
    svg = re.sub(r' data-[a-z]+="[^"]*"| class="(?!flavour-wheel")[^"]*"| stroke-linejoin="round"', "", svg)
    svg = re.sub(r' fill-rule="evenodd"( d="M[^M"]*")', r"\1", svg)
    svg = _coarser(svg)
    return re.sub(r'(id="|href="#)([rs][0-9a-f]+")', rf"\1{PREFIX}\2", svg)


COARSE = 5
"""Letters of an embedded wheel lie on a grid of 200 to the em, a tenth of a pixel: a third of their bytes less."""


def _coarser(svg: str) -> str:
    """Our letters, their places and their scale on the coarser grid."""

    def grid(value: str) -> int:
        return round(int(value) / COARSE)

    svg = re.sub(
        r'transform="scale\(([\d.]+) -[\d.]+\)"',
        lambda m: f'transform="scale({float(m[1]) * COARSE:.5f} -{float(m[1]) * COARSE:.5f})"',
        svg,
    )
    svg = re.sub(
        r'transform="translate\((-?\d+) (-?\d+)\)', lambda m: f'transform="translate({grid(m[1])} {grid(m[2])})', svg
    )
    svg = re.sub(r'(<use [^>]*)x="(-?\d+)"', lambda m: f'{m[1]}x="{grid(m[2])}"', svg)
    return re.sub(r'(<path id="[^"]*" d=")([^"]*)"', lambda m: f'{m[1]}{_coarse_outline(m[2])}"', svg)


def _coarse_outline(outline: str) -> str:
    """An outline of relative commands with its points on the coarser grid; nothing drifts, for points are rounded."""
    x = y = left = top = start_x = start_y = 0
    out = []
    for command, rest in re.findall(r"([mlcqz])([^mlcqz]*)", outline):
        numbers = [int(n) for n in re.findall(r"-?\d+", rest)]
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
        moved = [(round((x + a) / COARSE), round((y + b) / COARSE)) for a, b in pairs]
        out.append(command + " ".join(f"{a - left} {b - top}" for a, b in moved).replace(" -", "-"))
        if command == "z":
            x, y = start_x, start_y
        else:
            x, y = x + pairs[-1][0], y + pairs[-1][1]
            if command == "m":
                start_x, start_y = x, y
        left, top = round(x / COARSE), round(y / COARSE)
    return "".join(out)


def extent(items: Items) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of what is drawn, in whole mm: no empty rim on a small screen."""
    points = [corner for i in items if isinstance(i, Lettering) for box in corners(i) for corner in box]
    for shape in items:
        if isinstance(shape, Shape):
            numbers = [float(v) for command in shape.commands for v in command[1:]]
            points += zip(numbers[::2], numbers[1::2], strict=True)
    across, down = zip(*points, strict=True) if points else ((0.0, 1.0), (0.0, 1.0))
    return math.floor(min(across)), math.floor(min(down)), math.ceil(max(across)), math.ceil(max(down))


def letters_svg(every: Iterable[Items], font: str = "") -> str:
    """The outlines of all characters that the wheels of a page use, once."""
    drawn = outlines([item for items in every for item in items], font)
    return f'<svg class="letters" width="0" height="0" aria-hidden="true"><defs>\n{drawn}\n</defs></svg>'


def spoken(tree: WheelTree) -> str:
    """ "Red fruit, 4 of 5; caramel, 3 of 5": the printed words as they are read aloud."""
    said = "; ".join(f"{word.label}, {word.people} of {word.of}" for word in tree.printed)
    said = said or tree.headline or ("no shared word" if tree.nodes else "nothing was found")
    return said[:1].upper() + said[1:]
