"""A drawing as vector PDF, without a browser; the same drawing gives the same bytes.

Lettering is real text in an embedded subset of the typeface, placed and kerned as in the SVG, so that it can be
searched and read out; what follows a curve carries its text as one piece (ActualText). Characters that the typeface
lacks are drawn as boxes: their text is in the document all the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from typing import Any

from tastevocab.wheel.drawing import Command, Drawing, Lettering, Run, Shape
from tastevocab.wheel.typeface import face

POINTS_PER_MM = 72 / 25.4
NO_DATE = datetime(2000, 1, 1, tzinfo=UTC)
"""PDF wants a date; a real one would make every run's bytes different."""


def pdf_bytes(drawings: list[Drawing], font: str = "") -> bytes:
    """Drawings as the pages of one PDF: the trimmed sheet with its bleed; TrimBox and BleedBox say which is which."""
    from fpdf import FPDF

    pdf = FPDF(unit="mm")
    pdf.set_creation_date(NO_DATE)
    pdf.set_producer("tastevocab")
    pdf.set_title(drawings[0].title)
    pdf.set_subject(" ".join(drawing.description for drawing in drawings))
    pdf.set_lang("en")
    pdf.set_auto_page_break(False)
    for weight in ("regular", "semibold"):
        pdf.add_font(weight, "", str(face(weight, font).path))
    for drawing in drawings:
        _page(pdf, drawing, font)
    return bytes(pdf.output())


def _page(pdf: Any, drawing: Drawing, font: str) -> None:
    b = drawing.bleed
    width, height = drawing.width + 2 * b, drawing.height + 2 * b
    pdf.add_page(format=(width, height))
    fonts = {}
    for weight in ("regular", "semibold"):
        pdf.set_font(weight, size=10)
        pdf.text(0, 0, " ")  # the library lists a font among the page's resources when it sets its first character
        fonts[weight] = pdf.current_font
    k = POINTS_PER_MM
    page = pdf.pages[pdf.page]
    trim = f"[{_n(b * k)} {_n(b * k)} {_n((b + drawing.width) * k)} {_n((b + drawing.height) * k)}]"
    page.trim_box, page.bleed_box = trim, f"[0 0 {_n(width * k)} {_n(height * k)}]"
    body = [f"q {_n(k, 6)} 0 0 {_n(-k, 6)} {_n(b * k)} {_n((b + drawing.height) * k)} cm 1 j"]
    for item in drawing.items:
        body.append(_shape(item) if isinstance(item, Shape) else _lettering(item, fonts[item.weight], font))
    pdf._out("\n".join([*body, "Q"]))


def _n(value: float, digits: int = 3) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _colour(value: str, operator: str) -> str:
    return " ".join(_n(int(value[i : i + 2], 16) / 255, 4) for i in (1, 3, 5)) + f" {operator}"


def _path(commands: Iterable[Command]) -> str:
    operators = {"M": "m", "L": "l", "C": "c", "Z": "h"}
    return " ".join(" ".join([*(_n(float(v)) for v in c[1:]), operators[str(c[0])]]) for c in commands)


def _shape(shape: Shape) -> str:
    parts = [_colour(shape.fill, "rg")] if shape.fill else []
    if shape.stroke:
        parts += [_colour(shape.stroke, "RG"), f"{_n(shape.width)} w", f"[{' '.join(_n(d) for d in shape.dash)}] 0 d"]
    paint = {(True, True): "B*", (True, False): "f*", (False, True): "S", (False, False): "n"}
    return " ".join([*parts, _path(shape.commands), paint[bool(shape.fill), bool(shape.stroke)]])


def _lettering(line: Lettering, font: Any, file: str) -> str:
    if line.plain:
        return _tagged(line.text, " ".join(_boxes(line)))
    pieces = (_run(run, line, font, file) for run in line.runs if run.text.strip())
    text = f"BT /F{font.i} {_n(line.size)} Tf {_colour(line.colour, 'rg')} {' '.join(pieces)} ET"
    return _tagged(line.text, text) if len(line.runs) > 1 else text


def _tagged(text: str, body: str) -> str:
    """Drawing that reads as `text`."""
    coded = b"\xfe\xff" + text.encode("utf-16-be")
    return f"/Span <</ActualText <{coded.hex()}>>> BDC {body} EMC"


def _run(run: Run, line: Lettering, font: Any, file: str) -> str:
    letters = face(line.weight, file)
    cos, sin = _n(math.cos(run.angle), 5), _n(math.sin(run.angle), 5)
    matrix = f"{cos} {sin} {sin} {_n(-math.cos(run.angle), 5)} {_n(run.x)} {_n(run.y)} Tm"
    return f"{matrix} [{' '.join(_kerned(run.text, letters, font))}] TJ"


def _kerned(text: str, letters: Any, font: Any) -> Iterator[str]:
    """Pieces of the text between kerned pairs, and kerns as PDF wants them: thousandths of an em, closer > 0."""
    start = 0
    for i in range(1, len(text)):
        kern = letters.kern(text[i - 1], text[i])
        if kern:
            yield _encoded(text[start:i], font)
            yield _n(-kern * 1000 / letters.em)
            start = i
    yield _encoded(text[start:], font)


def _encoded(text: str, font: Any) -> str:
    return str(font.encode_text(text)).removesuffix(" Tj")


def _boxes(line: Lettering) -> Iterator[str]:
    """An empty box a character."""
    run = line.runs[0]
    step = line.width / max(1, len(line.text))
    yield f"{_colour(line.colour, 'RG')} {_n(line.size * 0.05)} w [] 0 d"
    along, up = (math.cos(run.angle), math.sin(run.angle)), (math.sin(run.angle), -math.cos(run.angle))
    for i, character in enumerate(line.text):
        if character == " ":
            continue
        spots = [(i * step + step * u, line.size * v) for u, v in ((0.1, 0), (0.9, 0), (0.9, 0.66), (0.1, 0.66))]
        points = [(run.x + along[0] * u + up[0] * v, run.y + along[1] * u + up[1] * v) for u, v in spots]
        yield " ".join(f"{_n(x)} {_n(y)} {'m' if j == 0 else 'l'}" for j, (x, y) in enumerate(points)) + " s"
