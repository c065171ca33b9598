"""A drawing as PDF/X-3 for the press, without a browser; the same drawing gives the same bytes.

All colour is DeviceCMYK for the condition that the output intent names; black lettering is black ink alone and
overprints. Lettering is real text in an embedded subset of the typeface, placed and kerned as in the SVG, so that it
can be searched and read out; what follows a curve, and scripts set as outlines, carry their text as one piece
(ActualText). Structure after ISO 15930-6:2003 (PDF/X-3:2003).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.wheel.drawing import Command, Drawing, Lettering, Run, Shape
from tastevocab.wheel.press import CONDITION, inks
from tastevocab.wheel.scripts import EM
from tastevocab.wheel.typeface import face

if TYPE_CHECKING:
    from fpdf import FPDF

POINTS_PER_MM = 72 / 25.4
NO_DATE = datetime(2000, 1, 1, tzinfo=UTC)
"""PDF wants a date; a real one would make every run's bytes different."""
SLUG = 9.0
"""mm around the bleed in which the crop marks stand."""
MARK, MARK_FROM = 5.0, 3.0
"""Length of a crop mark, and how far from the trimmed edge it starts at least (mm)."""
STANDARD = "PDF/X-3:2003"
OVERPRINT, KNOCKOUT = "GS0", "GS1"


def pdf_bytes(drawings: list[Drawing], font: str = "", *, marks: bool = False) -> bytes:
    """Drawings as the pages of one PDF: the trimmed sheet with its bleed, and crop marks around it with `marks`.

    TrimBox and BleedBox say which is which. Raises `InputError` for letters that no font has.
    """
    from fpdf import FPDF
    from fpdf.enums import OutputIntentSubType
    from fpdf.fonts import TTFFont

    pdf = FPDF(unit="mm")
    pdf.set_creation_date(NO_DATE)
    pdf.set_producer("tastevocab")
    pdf.set_creator("tastevocab")
    pdf.set_title(drawings[0].title)
    pdf.set_subject(" ".join(drawing.description for drawing in drawings))
    pdf.set_lang("en")
    pdf.set_auto_page_break(False)
    pdf.set_display_mode("default", "default")
    pdf.allow_images_transparency = False
    pdf.add_output_intent(
        OutputIntentSubType.PDFX,
        CONDITION,
        "Offset, coated paper types 1 and 2, ISO 12647-2:2004/Amd 1",
        "http://www.color.org",
        info="Colours are matched to this condition by their aim values.",
    )
    _states(pdf)
    further = frozenset(c for c in _characters(drawings) if ord(c) > USUAL)
    for weight in ("regular", "semibold"):
        file = BytesIO(_slim(face(weight, font).path, further))
        pdf.fonts[weight] = TTFFont(pdf, file, weight, "")  # type: ignore[arg-type]
    for drawing in drawings:
        _page(pdf, drawing, font, SLUG if marks else 0.0)
    return bytes(pdf.output(output_producer_class=_producer()))


USUAL = 0x24F
"""The last character of Latin writing: those up to it are in every subset, so that one serves all files of a coffee."""


def _characters(drawings: Iterable[Drawing]) -> Iterator[str]:
    for drawing in drawings:
        for item in drawing.items:
            if isinstance(item, Lettering) and not item.plain:
                yield from item.text


@lru_cache(maxsize=8)
def _slim(path: Path, further: frozenset[str]) -> bytes:
    """The font cut down to Latin writing and `further` characters: the library reads all of a font for every file."""
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    font = TTFont(BytesIO(path.read_bytes()), recalcTimestamp=False, lazy=True)
    options = Options(notdef_outline=True, recommended_glyphs=True, name_IDs=["*"], hinting=False)
    options.drop_tables += ["GDEF", "GPOS", "GSUB"]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=[*range(0x20, USUAL + 1), *map(ord, further)])
    subsetter.subset(font)
    out = BytesIO()
    font.flavor = None
    font.save(out, reorderTables=False)
    return out.getvalue()


def _states(pdf: FPDF) -> None:
    """The two states lettering is printed in: over what lies below it, or cut out of it."""
    for name, over in ((OVERPRINT, "true"), (KNOCKOUT, "false")):
        state = f"<</Type /ExtGState /OP {over} /op {over} /OPM 1>>"
        pdf._resource_catalog.graphics_styles[state] = name  # type: ignore[assignment]


@lru_cache(maxsize=1)
def _producer() -> Any:
    """The library's writer, with the two entries of the document's information that PDF/X asks for."""
    from fpdf.output import OutputProducer, PDFInfo

    class Info(PDFInfo):
        def _build_obj_dict(self, *args: Any, **more: Any) -> dict[str, object]:
            made = super()._build_obj_dict(*args, **more)
            added = {"/ModDate": made["/CreationDate"], "/Trapped": "/False", "/GTS_PDFXVersion": f"({STANDARD})"}
            return made | added

    class Producer(OutputProducer):
        def _add_info(self) -> PDFInfo:
            info = super()._add_info()
            info.__class__ = Info
            return info

    return Producer


def _page(pdf: Any, drawing: Drawing, font: str, slug: float) -> None:
    from fpdf.enums import PDFResourceType

    b, k = drawing.bleed, POINTS_PER_MM
    edge = b + slug
    width, height = drawing.width + 2 * edge, drawing.height + 2 * edge
    pdf.add_page(format=(width, height))
    fonts = {}
    for weight in ("regular", "semibold"):
        pdf.set_font(weight, size=10)
        pdf.text(0, 0, " ")  # the library lists a font among the page's resources when it sets its first character
        fonts[weight] = pdf.current_font
    page = pdf.pages[pdf.page]
    page.trim_box = _box(edge, edge, edge + drawing.width, edge + drawing.height)
    page.bleed_box = _box(slug, slug, width - slug, height - slug)
    for state in (OVERPRINT, KNOCKOUT):
        pdf._resource_catalog.add(PDFResourceType.EXT_G_STATE, state, pdf.page)
    body = [f"q {_n(k, 6)} 0 0 {_n(-k, 6)} {_n(edge * k)} {_n((edge + drawing.height) * k)} cm 1 j"]
    for item in drawing.items:
        body.append(_shape(item) if isinstance(item, Shape) else _lettering(item, fonts[item.weight], font))
    if slug:
        body.append(_crop_marks(drawing))
    pdf._out("\n".join([*body, "Q"]))


def _box(left: float, bottom: float, right: float, top: float) -> str:
    return f"[{' '.join(_n(v * POINTS_PER_MM) for v in (left, bottom, right, top))}]"


def _crop_marks(drawing: Drawing) -> str:
    """Hairlines in line with the trimmed edges, in all four inks."""
    start = max(MARK_FROM, drawing.bleed)
    ends = (-start - MARK, -start)
    lines = [(x, a, x, b) for x in (0, drawing.width) for a, b in (ends, tuple(drawing.height - e for e in ends))]
    lines += [(a, y, b, y) for y in (0, drawing.height) for a, b in (ends, tuple(drawing.width - e for e in ends))]
    drawn = " ".join(f"{_n(x1)} {_n(y1)} m {_n(x2)} {_n(y2)} l S" for x1, y1, x2, y2 in lines)
    return f"1 1 1 1 K {_n(0.25 / POINTS_PER_MM)} w [] 0 d {drawn}"


def _n(value: float, digits: int = 3) -> str:
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _colour(value: str, operator: str) -> str:
    return f"{' '.join(_n(share) for share in inks(value))} {operator}"


def _path(commands: Iterable[Command]) -> str:
    operators = {"M": "m", "L": "l", "C": "c", "Z": "h"}
    return " ".join(" ".join([*(_n(float(v)) for v in c[1:]), operators[str(c[0])]]) for c in commands)


def _shape(shape: Shape) -> str:
    parts = [_colour(shape.fill, "k")] if shape.fill else []
    if shape.stroke:
        parts += [_colour(shape.stroke, "K"), f"{_n(shape.width)} w", f"[{' '.join(_n(d) for d in shape.dash)}] 0 d"]
    paint = {(True, True): "B*", (True, False): "f*", (False, True): "S", (False, False): "n"}
    return " ".join([*parts, _path(shape.commands), paint[bool(shape.fill), bool(shape.stroke)]])


def _lettering(line: Lettering, font: Any, file: str) -> str:
    if line.plain:
        drawn = _whole(line, file)
    else:
        pieces = (_run(run, line, font, file) for run in line.runs if run.text.strip())
        drawn = f"BT /F{font.i} {_n(line.size)} Tf {_colour(line.colour, 'k')} {' '.join(pieces)} ET"
    if inks(line.colour) == (0, 0, 0, 1):
        drawn = f"/{OVERPRINT} gs {drawn} /{KNOCKOUT} gs"
    return _tagged(line.text, drawn) if line.plain or len(line.runs) > 1 else drawn


def _tagged(text: str, body: str) -> str:
    """Drawing that reads as `text`."""
    coded = b"\xfe\xff" + text.encode("utf-16-be")
    return f"/Span <</ActualText <{coded.hex()}>>> BDC {body} EMC"


def _whole(line: Lettering, file: str) -> str:
    """A line set as one outline."""
    run, scale = line.runs[0], line.size / EM
    a, b = scale * math.cos(run.angle), scale * math.sin(run.angle)
    place = f"{_n(a, 7)} {_n(b, 7)} {_n(b, 7)} {_n(-a, 7)} {_n(run.x)} {_n(run.y)} cm"
    outline = _path(face(line.weight, file).set_whole(line.text).commands)
    return f"q {_colour(line.colour, 'k')} {place} {outline} f Q"


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
