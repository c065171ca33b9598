"""The files of a coffee's wheel: the interactive page, and the printed map on every sheet."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from tastevocab.feature.files import safe_name
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material
from tastevocab.feature.recording import recording_file
from tastevocab.feature.setting import additions_kind, base_line, chart_lines, how, method_lines
from tastevocab.feature.wording import Wording, as_read
from tastevocab.panel.faults import must_hold
from tastevocab.panel.summary import Report
from tastevocab.panel.weighted_tree import wheel_tree
from tastevocab.wheel.tree import WheelTree

if TYPE_CHECKING:
    from tastevocab.wheel.card import Options

KINDS = ("html", "svg", "png", "pdf")
"""What a pack holds; "plotly" is made on demand."""


@dataclass(frozen=True, slots=True)
class Wheel:
    """One coffee's wheel: the `folder` it goes to, its `files` by name, and what they were made from."""

    folder: str
    files: Mapping[str, bytes]
    material: Material


def make_wheels(
    materials: Iterable[Material],
    style: HouseStyle,
    wording: Wording,
    *,
    kinds: Container[str] = KINDS,
    dpi: float | None = None,
) -> Iterator[Wheel]:
    """The wheels of coffees, one after the other, as a pack has them; `kinds` and `dpi` as in `wheel_files`. Nothing is
    written."""
    folders: list[str] = []
    for material in materials:
        folders.append(safe_name(material.coffee.id, folders))
        yield Wheel(folders[-1], dict(wheel_files(material, style, wording, kinds=kinds, dpi=dpi)), material)


def wheel_files(
    material: Material,
    style: HouseStyle,
    wording: Wording,
    *,
    kinds: Container[str] = KINDS,
    dpi: float | None = None,
) -> Iterator[tuple[str, bytes]]:
    """Name and content of each file: the page with every map, then the printed map in every size of the style.

    The first size is wheel.svg (.png, .pdf), the others wheel-SIZE.*. `kinds` are of `KINDS`, "plotly" for the
    sunburst as wheel-plotly.html, or "embed" for a snippet to put into a page of one's own; `dpi` is the PNG's pixels
    an inch (None: each size's own).
    """
    from tastevocab.wheel.card import draw_card
    from tastevocab.wheel.label import DPI, draw_label
    from tastevocab.wheel.printed import print_files
    from tastevocab.wheel.sizes import LABEL, size_named

    if "html" in kinds:
        yield "wheel.html", _page(material, style, wording).encode("utf-8")
        if material.sound:
            yield from recording_file(material.session, style)
    tree = tree_of(material.page, material, style, wording)
    if "plotly" in kinds:
        from tastevocab.wheel.page_figure import figure_page

        yield "wheel-plotly.html", figure_page(tree).encode("utf-8")
    if "embed" in kinds:
        yield "wheel-embed.html", embedded(tree, style).encode("utf-8")
    options = options_of(style)
    for place, size in enumerate(style.sizes):
        stem = "wheel" if place == 0 else f"wheel-{size}"
        if size == LABEL:
            drawing, dots = draw_label(tree, style.label_width, label_facts(material, wording), options), DPI
        else:
            drawing, dots = draw_card(tree, size, options), size_named(size).dpi
        for ending, data in print_files(drawing, kinds, dpi or dots, style.font, marks=style.marks):
            yield f"{stem}.{ending}", data


def _page(material: Material, style: HouseStyle, wording: Wording) -> str:
    from tastevocab.wheel.page import Around, draw_page

    maps = {how(report, wording): tree_of(report, material, style, wording) for report in reports_of(material)}
    around = Around(picture="wheel-share.png" if "share" in style.sizes[1:] else "", sound=material.sound)
    return draw_page(maps, first=how(material.page, wording), around=around, font=style.font)


def embedded(tree: WheelTree, style: HouseStyle) -> str:
    """The wheel as a snippet of HTML: a figure with its words below, which needs no file beside it."""
    from html import escape

    from tastevocab.wheel.page_picture import embed_svg

    words = ", ".join(f"{word.label} ({word.people} of {word.of})" for word in tree.printed) or tree.headline
    told = " ".join((f"{tree.title}: {words}.", f"{', '.join(tree.subtitle)}.", *tree.footer))
    hold = f"<p><strong>{escape(tree.hold)}</strong></p>\n" if tree.hold else ""
    svg = embed_svg(tree, font=style.font)
    return f"<figure>\n{hold}{svg}\n<figcaption>{escape(told)}</figcaption>\n</figure>\n"


def label_facts(material: Material, wording: Wording) -> tuple[str, ...]:
    """What a label says below its words, the most needed first: process, brew, likenesses, who tasted."""
    coffee = material.coffee
    likenesses = str(wording.at("message_likeness")["none" if additions_kind(coffee) == "none" else "other"])
    return coffee.process, how(material.page, wording), likenesses, base_line(material.page, wording, "")


def options_of(style: HouseStyle) -> Options:
    """What the style asks of every printed sheet."""
    from tastevocab.wheel.card import Options

    return Options(style.theme, style.bleed, style.safe, style.strips, style.font, style.paper == "tint", style.marks)


def reports_of(material: Material) -> list[Report]:
    """Every map that the page switches between, each once: brew by brew, the printed one's first, from hot to cool."""
    made: dict[Any, Report] = {material.page.map.serving: material.page}
    for brew in material.brews:
        own = (r for r in material.maps if r.map.serving.brew == brew.map.serving.brew)
        for report in (brew, *own):
            made.setdefault(report.map.serving, report)
    for report in material.maps:
        made.setdefault(report.map.serving, report)
    return list(made.values())


def tree_of(report: Report, material: Material, style: HouseStyle, wording: Wording) -> WheelTree:
    """A report's wheel in words that people read, below it the house's own footer and what must stand below every
    picture."""
    tree = wheel_tree(report, material.tools)
    brews = [id for id in material.session.brews if as_read(id) != id]

    def read(line: str) -> str:
        for id in brews:
            line = line.replace(f"({id}, ", f"({as_read(id)}, ")
        return line

    nodes = tuple(replace(n, evidence=tuple(map(read, n.evidence))) for n in tree.nodes) if brews else tree.nodes
    served = tuple(as_read(line) for line in tree.subtitle)
    return replace(
        tree,
        nodes=nodes,
        title=material.coffee.name,
        subtitle=served,
        footer=_footer(report, style, wording),
        method=method_lines(report, material.tools.vocabulary, wording),
        hold=wording.say("on_hold") if must_hold(material.whole.faults) else "",
    )


def _footer(report: Report, style: HouseStyle, wording: Wording, served: str = "") -> tuple[str, ...]:
    own = " · ".join(part for part in (style.house, style.footer) if part)
    return (*([own] if own else []), *chart_lines(report, wording, served))


def multiples(material: Material, style: HouseStyle, wording: Wording) -> Iterator[tuple[str, bytes]]:
    """The same wheel small, for every moment of the printed brew and every brew, on one scale."""
    from tastevocab.wheel.multiples import draw_multiples
    from tastevocab.wheel.printed import print_files
    from tastevocab.wheel.sizes import size_named

    brew = material.page.map.serving.brew
    moments = {str(r.map.serving.moment): r for r in material.moments if r.map.nodes}
    brews = {how(r, wording): r for r in material.brews if r.map.nodes}
    name, size = material.coffee.name, style.sizes[0]
    cooling = ", ".join(part for part in (as_read(brew or ""), wording.listed(list(moments))) if part)
    sheets = (
        ("wheels-moments", f"{name}, {as_read(brew)}" if brew else name, cooling, moments),
        ("wheels-brews", name, "; ".join(brews), brews),
    )
    for stem, title, served, reports in sheets:
        if len(reports) > 1:
            trees = {label: tree_of(report, material, style, wording) for label, report in reports.items()}
            fullest = max(reports.values(), key=lambda r: len(r.map.tasters))
            below = _footer(fullest, style, wording, served)
            drawing = draw_multiples(trees, size, options_of(style), title, below)
            for ending, data in print_files(drawing, ("svg", "png"), size_named(size).dpi, style.font):
                yield f"{stem}.{ending}", data
