"""A drawing as SVG: outlines only, so that no font is needed and nothing is fetched; same drawing, same bytes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape

from tastevocab.wheel.card import Options, draw_card
from tastevocab.wheel.drawing import Command, Drawing, Lettering, Run, Shape
from tastevocab.wheel.scripts import EM
from tastevocab.wheel.sizes import Size
from tastevocab.wheel.tree import WheelTree
from tastevocab.wheel.typeface import Face, face


def draw_svg(tree: WheelTree, size: str | Size = "page", options: Options | None = None) -> str:
    """The wheel as a print SVG in millimetres, with title and description; arguments and errors as in `draw_card`.

    Lettering is outlines, in any script. Raises `InputError` for letters that no font has.
    """
    options = options or Options()
    return svg_text(draw_card(tree, size, options), options.font)


def svg_text(drawing: Drawing, font: str = "") -> str:
    """A drawing as an SVG document."""
    b = drawing.bleed
    width, height = drawing.width + 2 * b, drawing.height + 2 * b
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="{_n(-b)} {_n(-b)} {_n(width)} {_n(height)}" role="img" aria-labelledby="title desc">\n'
        f'<title id="title">{escape(drawing.title)}</title>\n<desc id="desc">{escape(drawing.description)}</desc>\n'
    )
    return f"{head}<defs>\n{outlines(drawing.items, font)}\n</defs>\n{elements(drawing.items, font)}\n</svg>\n"


def elements(items: Iterable[Shape | Lettering], font: str = "", digits: int = 3) -> str:
    """The items as SVG elements, a line each; their lettering uses `outlines`. `digits` of a mm are written."""
    return "\n".join(_shape(i, digits) if isinstance(i, Shape) else _lettering(i, font) for i in items)


def outlines(items: Iterable[Shape | Lettering], font: str = "") -> str:
    """Every character used, once, as an outline in font units."""
    used = {(line.weight, c) for line in items if isinstance(line, Lettering) and not line.plain for c in line.text}
    drawn = ((w, c, face(w, font).outline(c)) for w, c in sorted(used))
    return "\n".join(f'<path id="{_glyph_id(w, c)}" d="{outline}"/>' for w, c, outline in drawn if outline)


def _glyph_id(weight: str, character: str) -> str:
    return f"{weight[0]}{ord(character):x}"


def _n(value: float, digits: int = 3) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
    return "0" if text in ("-0", "") else text


def _path(commands: Iterable[Command], digits: int = 3) -> str:
    return "".join(str(c[0]) + " ".join(_n(float(v), digits) for v in c[1:]) for c in commands)


def _shape(shape: Shape, digits: int) -> str:
    paint = f' fill="{shape.fill or "none"}"'
    if shape.stroke:
        paint += f' stroke="{shape.stroke}" stroke-width="{_n(shape.width)}" stroke-linejoin="round"'
    if shape.dash:
        paint += f' stroke-dasharray="{" ".join(_n(d) for d in shape.dash)}"'
    rule = ' fill-rule="evenodd"' if shape.fill else ""
    about = f' id="{escape(shape.name)}"' if shape.name else ""
    about += f' data-about="{escape(shape.about)}"' if shape.about else ""
    about += "".join(f' data-{key}="{escape(value)}"' for key, value in shape.data)
    return f'<path class="{shape.kind}"{about}{paint}{rule} d="{_path(shape.commands, digits)}"/>'


def _lettering(line: Lettering, font: str) -> str:
    """A line in units of its font, its y running up: one scale for all, and each run turned into place."""
    about = f' data-about="{escape(line.about)}"' if line.about else ""
    letters = face(line.weight, font)
    scale = line.size / (EM if line.plain else letters.em)
    if line.plain:
        drawn = f'<path {_placed(line.runs[0], scale)} d="{_path(letters.set_whole(line.text).commands, 0)}"/>'
    else:
        drawn = "".join(_run(run, line.weight, scale, letters) for run in line.runs)
    return (
        f'<g class="{line.kind}"{about} data-text="{escape(line.text)}" fill="{line.colour}" '
        f'transform="scale({_n(scale, 7)} {_n(-scale, 7)})">{drawn}</g>'
    )


def _placed(run: Run, scale: float) -> str:
    turned = f"rotate({_n(-math.degrees(run.angle), 2)})" if run.angle else ""
    return f'transform="translate({_n(run.x / scale, 0)} {_n(-run.y / scale, 0)}){turned}"'


def _run(run: Run, weight: str, scale: float, letters: Face) -> str:
    """One straight run of outlines. Kerned, no ligatures."""
    uses = [
        (f'<use xlink:href="#{_glyph_id(weight, c)}"', f' x="{at}"' if at else "")
        for at, c in zip(letters.positions(run.text), run.text, strict=False)
        if letters.outline(c)
    ]
    if len(uses) == 1:
        return f"{uses[0][0]}{uses[0][1]} {_placed(run, scale)}/>"
    return f"<g {_placed(run, scale)}>{''.join(f'{use}{x}/>' for use, x in uses)}</g>" if uses else ""
