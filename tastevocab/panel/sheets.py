"""Printable tasting sheets, one a taster and moment, and the sealed key that says which code is which sample."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from tastevocab.cells import csv_text
from tastevocab.panel.designs import Plan
from tastevocab.vocabulary.model import Attribute
from tastevocab.written import locked, make_folder, write_together

KEY_COLUMNS = ("code", "taster", "place", "sample", "kind", "of", "brew")
ASKED = ("acidity", "sweetness", "bitterness", "body", "finish")
"""Attributes on the sheet, as far as the vocabulary has them."""

CAUTIONS = (
    "Write before anybody speaks, in your own words; a blank is an answer too.",
    "Taste below about 60 °C, from your own spoon; spit; water between cups.",
    "Mould, chemical, fuel or detergent: stop, do not swallow, say so at once. Taste no reference you must not eat.",
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page: whose, of which brew ("": of the only one), at which moment, the codes in serving order, and the scales
    to mark."""

    session: str
    date: str
    taster: str
    moment: str
    codes: tuple[str, ...]
    scales: tuple[tuple[str, tuple[str, ...]], ...]
    bowls: int
    seal: str
    brew: str = ""

    @property
    def title(self) -> str:
        """Whose page it is, and of what."""
        return f"{self.taster}: {', '.join(part for part in (self.brew.replace('_', ' '), self.moment) if part)}"


def key_csv(made: Plan) -> str:
    """The key: which code is which sample. Keep it closed until every sheet is in."""
    rows = [
        (code, sitting.taster, place, sample.id, sample.kind, sample.of, sitting.brew)
        for sitting in made.sittings
        for place, (code, sample) in enumerate(sitting.order, 1)
    ]
    return csv_text(KEY_COLUMNS, rows)


def seal(key: str) -> str:
    """The first 12 hex digits of the key's SHA-256: printed on every sheet, so that a changed key shows."""
    return hashlib.sha256(key.encode()).hexdigest()[:12]


def sheets(
    made: Plan,
    moments: Sequence[str],
    attributes: Mapping[str, Attribute],
    *,
    session: str,
    date: str = "",
    bowls: int = 0,
) -> tuple[Sheet, ...]:
    """A sheet for each taster, brew and moment, tasters together. No word list is on them: it would write the notes."""
    scales = tuple((attributes[a].print, attributes[a].scale) for a in ASKED if a in attributes)
    mark = seal(key_csv(made))
    order = {taster: place for place, taster in enumerate(dict.fromkeys(s.taster for s in made.sittings))}
    return tuple(
        Sheet(session, date, s.taster, moment, tuple(code for code, _ in s.order), scales, bowls, mark, s.brew)
        for s in sorted(made.sittings, key=lambda s: order[s.taster])
        for moment in moments
    )


def sheets_html(pages: Sequence[Sheet]) -> str:
    """All sheets as one page to print: each starts a new sheet of A4."""
    body = "\n".join(_page_html(sheet) for sheet in pages)
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Tasting sheets</title>
<style>
@page {{ size: A4; margin: 14mm }}
body {{ font: 11pt/1.35 "Source Sans Pro", "Segoe UI", Helvetica, Arial, sans-serif; color: #222 }}
body {{ margin: 0 auto; max-width: 182mm }}
section {{ break-after: page; padding: 4mm 0 }}
h1 {{ font-size: 15pt; margin: 0 0 1mm }}
.sample {{ border: 0.4mm solid #444; border-radius: 1.5mm; margin: 3.5mm 0; padding: 2.5mm 3.5mm; break-inside: avoid }}
.code {{ font-size: 19pt; font-weight: 600; margin-right: 5mm }}
.line {{ border-bottom: 0.2mm solid #888; height: 8mm }}
table {{ border-collapse: collapse; table-layout: fixed; width: 100%; font-size: 9.5pt; margin: 2mm 0 }}
td {{ padding: 0.8mm 1mm }} td:first-child {{ color: #555; width: 22mm }}
.foot {{ font-size: 8.5pt; color: #555 }}
</style></head><body>
{body}
</body></html>
"""


def _page_html(sheet: Sheet) -> str:
    samples = "\n".join(_sample_html(sheet, code) for code in sheet.codes)
    cautions = " ".join(escape(c) for c in CAUTIONS)
    return f"""<section>
<h1>{escape(sheet.title)}</h1>
<div class="foot">{escape(_heading(sheet))}</div>
{samples}
<p class="foot">{cautions}</p>
</section>"""


def _sample_html(sheet: Sheet, code: str) -> str:
    rows = "".join(
        f"<tr><td>{escape(name)}</td>{''.join(f'<td>{escape(word)}</td>' for word in scale)}</tr>"
        for name, scale in sheet.scales
    )
    bowls = f"<div class='foot'>{escape(_bowls(sheet))}</div>" if sheet.bowls else ""
    return f"""<div class="sample"><span class="code">{escape(code)}</span> What is it like?
<div class="line"></div><div class="line"></div>
<table>{rows}</table>{bowls}</div>"""


def _heading(sheet: Sheet) -> str:
    parts = (sheet.session, sheet.date, f"taste in this order; circle one word a row; key {sheet.seal}")
    return " · ".join(part for part in parts if part)


def _bowls(sheet: Sheet) -> str:
    numbers = "\u00a0\u00a0\u00a0\u00a0".join(str(n) for n in range(1, sheet.bowls + 1))
    return f"A bowl that differs? Circle it and say how:\u00a0\u00a0\u00a0{numbers}"


def sheets_pdf(pages: Sequence[Sheet]) -> bytes:
    """The same sheets as a PDF (A4), the same bytes for the same sheets."""
    from datetime import UTC, datetime

    import font_source_sans_pro as fonts
    from fpdf import FPDF

    pdf = FPDF(format="A4")
    pdf.set_creation_date(datetime(2000, 1, 1, tzinfo=UTC))
    pdf.set_title("Tasting sheets")
    pdf.add_font("sans", "", fonts.font_files_ttf["SourceSansPro"])
    pdf.add_font("sans", "B", fonts.font_files_ttf["SourceSansProSemibold"])
    pdf.set_margins(14, 14)
    pdf.set_auto_page_break(True, 14)
    for sheet in pages:
        _page_pdf(pdf, sheet)
    return bytes(pdf.output())


def _page_pdf(pdf, sheet: Sheet) -> None:  # type: ignore[no-untyped-def]
    _top_pdf(pdf, sheet)
    for code in sheet.codes:
        _sample_pdf(pdf, sheet, code)
    pdf.ln(2)
    pdf.set_font("sans", "", 8.5)
    pdf.set_text_color(85)
    pdf.multi_cell(0, 4.2, " ".join(CAUTIONS), new_x="LMARGIN", new_y="NEXT")
    pdf.set_text_color(0)


def _top_pdf(pdf, sheet: Sheet) -> None:  # type: ignore[no-untyped-def]
    """A new page that says whose it is: loose pages get mixed up."""
    pdf.add_page()
    pdf.set_font("sans", "B", 16)
    pdf.cell(0, 8, sheet.title, new_x="LMARGIN", new_y="NEXT")
    pdf.set_font("sans", "", 9)
    pdf.set_text_color(85)
    pdf.cell(0, 5, _heading(sheet), new_x="LMARGIN", new_y="NEXT")
    pdf.set_text_color(0)


def _sample_pdf(pdf, sheet: Sheet, code: str) -> None:  # type: ignore[no-untyped-def]
    height = 31 + 5 * len(sheet.scales) + (5 if sheet.bowls else 0)
    if pdf.will_page_break(height):
        _top_pdf(pdf, sheet)
    pdf.ln(2)
    top, left, width = pdf.get_y(), pdf.l_margin, pdf.epw
    pdf.set_draw_color(70)
    pdf.rect(left, top, width, height - 3, round_corners=True, corner_radius=1.5)
    pdf.set_xy(left + 3, top + 2)
    pdf.set_font("sans", "B", 19)
    pdf.cell(20, 8, code)
    pdf.set_font("sans", "", 11)
    pdf.cell(60, 8, "What is it like?")
    pdf.set_draw_color(140)
    for y in (top + 17, top + 25):
        pdf.line(left + 3, y, left + width - 3, y)
    pdf.set_y(top + 26.5)
    for name, scale in sheet.scales:
        _scale_pdf(pdf, left + 3, width - 6, name, scale)
    if sheet.bowls:
        pdf.set_font("sans", "", 9)
        pdf.set_x(left + 3)
        pdf.cell(0, 5, _bowls(sheet))
    pdf.set_y(top + height - 3)


def _scale_pdf(pdf, left: float, width: float, name: str, scale: Sequence[str]) -> None:  # type: ignore[no-untyped-def]
    pdf.set_font("sans", "", 9)
    pdf.set_x(left)
    pdf.set_text_color(85)
    pdf.cell(26, 5, name)
    pdf.set_text_color(0)
    for word in scale:
        pdf.cell((width - 26) / max(len(scale), 1), 5, word)
    pdf.ln(5)


def write_all(folder: Path, made: Plan, pages: Sequence[Sheet]) -> Iterator[Path]:
    """Write `sheets.html`, `sheets.pdf` and the key into `folder`, all or none: a key fits its sheets; gives the paths.
    Raises as `write_together` does."""
    files = {
        folder / "sheets.html": sheets_html(pages).encode(),
        folder / "sheets.pdf": sheets_pdf(pages),
        folder / "key-keep-closed.csv": key_csv(made).encode(),
    }
    make_folder(folder)
    with locked(folder / "key-keep-closed.csv"):
        write_together(files)
    yield from files
