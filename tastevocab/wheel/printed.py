"""One drawing as print files."""

from __future__ import annotations

from collections.abc import Container, Iterator

from tastevocab.wheel.drawing import Drawing
from tastevocab.wheel.pdf import pdf_bytes
from tastevocab.wheel.png import svg_to_png
from tastevocab.wheel.svg import svg_text


def print_files(
    drawing: Drawing, kinds: Container[str], dpi: float, font: str = "", *, marks: bool = False
) -> Iterator[tuple[str, bytes]]:
    """Ending and content of each of `kinds`: svg, png and pdf, in this order.

    `dpi` is the PNG's pixels an inch, `font` a font file to letter with ("": the one that ships), `marks` asks for crop
    marks around the PDF's sheet. Raises as `svg_to_png` does.
    """
    svg = svg_text(drawing, font) if "svg" in kinds or "png" in kinds else ""
    if "svg" in kinds:
        yield "svg", svg.encode("utf-8")
    if "png" in kinds:
        yield "png", svg_to_png(svg, dpi)
    if "pdf" in kinds:
        yield "pdf", pdf_bytes([drawing], font, marks=marks)
