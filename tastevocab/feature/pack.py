"""The feature pack: every file of one coffee, made in memory before the first is written."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from typing import Any, Literal

from tastevocab.feature.excerpt import excerpt_json
from tastevocab.feature.files import safe_name, write_all
from tastevocab.feature.findings_table import findings_csv
from tastevocab.feature.heard import HeardFact, facts_heard
from tastevocab.feature.hearing import heard_in
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material, coded, material_of, taster_codes
from tastevocab.feature.notes import Notes, notes_json, notes_of
from tastevocab.feature.setting import how
from tastevocab.feature.track import caption_sources, flavours_vtt
from tastevocab.feature.wording import Wording
from tastevocab.panel.fault_record import fault_markdown
from tastevocab.panel.gather import Gathered
from tastevocab.panel.report import contract
from tastevocab.panel.summary import Bench, Report
from tastevocab.panel.weighted_tree import wheel_tree
from tastevocab.panel.why import clock
from tastevocab.reading.records import Turn
from tastevocab.wheel.tree import WheelTree


@dataclass(frozen=True, slots=True)
class Pack:
    """One coffee's pack: the `folder` it goes to, its `files` by name, and what they were made from."""

    folder: str
    files: Mapping[str, bytes]
    material: Material
    notes: Notes


@dataclass(frozen=True, slots=True)
class Wishes:
    """What was asked for: the coffees (all if none), brew and moment of the printed map (None: as the notes allow),
    and how the interactive page gets its drawing library ("inline", or "shared" for a file beside the pages).
    """

    coffees: tuple[str, ...] = ()
    brew: str | None = None
    moment: str | None = None
    plotlyjs: Literal["inline", "shared"] = "inline"


def make_packs(
    gathered: Gathered,
    tools: Bench,
    style: HouseStyle,
    wording: Wording,
    wishes: Wishes | None = None,
    *,
    step: Callable[[int], object] = lambda steps: None,
) -> tuple[Pack, ...]:
    """The packs of a session's coffees; `step` hears of each coffee. Nothing is written.

    Raises `InputError` for an unknown coffee, brew or moment, and for a coffee nobody described.
    """
    wishes = wishes or Wishes()
    turns = heard_in(gathered.session)
    if style.tasters == "codes":
        codes = taster_codes(gathered.session)
        turns = tuple(replace(t, speaker=codes.get(t.speaker or "", "?")) for t in turns)
        gathered = coded(gathered)
    packs: list[Pack] = []
    materials = [
        material_of(gathered, coffee, tools, style, brew=wishes.brew, moment=wishes.moment)
        for coffee in dict.fromkeys(wishes.coffees or gathered.session.coffees)
    ]
    for material in materials:
        folder = safe_name(material.coffee.id, [p.folder for p in packs])
        notes = notes_of(material, style, wording, brew_facts(material, turns), turns)
        packs.append(Pack(folder, dict(_files(material, notes, style, wording, wishes)), material, notes))
        step(1)
    return tuple(packs)


def brew_facts(material: Material, turns: Sequence[Turn]) -> tuple[HeardFact, ...]:
    """The brew facts heard in the talk about a coffee (talk that names none is taken with it)."""
    names: dict[str, str] = {}
    for card in material.session.brews.values():
        method = card.method.casefold()
        if method in names:
            names[method] = ""  # Two cards of one method: only their ids tell them apart.
        elif method:
            names[method] = card.id
    names |= {id.casefold(): id for id in material.session.brews}
    ours = [t for t in turns if t.coffee in (None, "", material.coffee.id)]
    only = next(iter(material.session.brews)) if len(material.session.brews) == 1 else ""
    return facts_heard(ours, names, only)


def write_packs(out: Path, packs: Sequence[Pack]) -> list[Path]:
    """Write every pack into its folder of `out`; gives the paths. Raises as `files.write_all` does."""
    folders = {pack.folder: pack.files for pack in packs}
    return write_all(out, folders)


def _files(
    material: Material, notes: Notes, style: HouseStyle, wording: Wording, wishes: Wishes
) -> Iterator[tuple[str, bytes]]:
    wheels = dict(_wheels(material, style))
    picture = base64.b64encode(wheels["wheel.svg"]).decode("ascii")
    values = {"notes": notes, "clock": clock, "picture": f"data:image/svg+xml;base64,{picture}"}
    yield from _page(material, style, wording, wishes)
    yield from wheels.items()
    yield from _multiples(material, style, wording)
    yield "notes.md", wording.page("notes.md.j2", values).encode("utf-8")
    yield "notes.html", wording.page("notes.html.j2", values, html=True).encode("utf-8")
    yield "notes.json", json_bytes(notes_json(notes))
    if notes.cards or notes.heard_facts:
        yield "brews.md", wording.page("brews.md.j2", values).encode("utf-8")
    yield "findings.csv", findings_csv(material)
    if material.whole.faults:
        record = fault_markdown(material.whole.faults, material.coffee.name, material.whole.evidence)
        yield "faults.md", record.encode("utf-8")
    sources = caption_sources(material)
    for source in sources:
        name = "flavours.vtt" if len(sources) == 1 else f"flavours-{safe_name(PurePath(source).stem)}.vtt"
        yield name, flavours_vtt(material, source).encode("utf-8")
    yield "map.json", json_bytes(contract(_reports(material), material.tools.vocabulary))
    yield "vocabulary.json", json_bytes(excerpt_json(material))


def json_bytes(value: Any) -> bytes:
    """Indented JSON (RFC 8259), UTF-8, with a line end."""
    return (json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n").encode("utf-8")


def _reports(material: Material) -> list[Report]:
    """The printed map first, then every other, each once."""
    made: dict[Any, Report] = {}
    for report in (material.page, *material.brews, *material.maps):
        made.setdefault(report.map.serving, report)
    return list(made.values())


def tree_of(report: Report, material: Material, style: HouseStyle) -> WheelTree:
    """A report's wheel with the house's own footer."""
    tree = wheel_tree(report, material.tools.vocabulary)
    own = tuple(line for line in (" · ".join(p for p in (style.house, style.footer) if p),) if line)
    return replace(tree, footer=(*own, *tree.footer))


def _wheels(material: Material, style: HouseStyle) -> Iterator[tuple[str, bytes]]:
    """The printed wheel in every size: the first as wheel.*, the others as wheel-SIZE.*."""
    from tastevocab.wheel.card import Options, draw_card
    from tastevocab.wheel.pdf import pdf_bytes
    from tastevocab.wheel.png import svg_to_png
    from tastevocab.wheel.sizes import size_named
    from tastevocab.wheel.svg import svg_text

    tree = tree_of(material.page, material, style)
    options = Options(style.theme, style.bleed, font=style.font)
    for place, size in enumerate(style.sizes):
        stem = "wheel" if place == 0 else f"wheel-{size}"
        drawing = draw_card(tree, size, options)
        svg = svg_text(drawing, style.font)
        yield f"{stem}.svg", svg.encode("utf-8")
        yield f"{stem}.png", svg_to_png(svg, size_named(size).dpi)
        yield f"{stem}.pdf", pdf_bytes([drawing], style.font)


def _page(material: Material, style: HouseStyle, wording: Wording, wishes: Wishes) -> Iterator[tuple[str, bytes]]:
    from tastevocab.wheel.page import SHARED_SCRIPT, draw_page, plotly_script

    maps = dict(named_maps(material, style, wording))
    yield "wheel.html", draw_page(maps, plotlyjs=wishes.plotlyjs).encode("utf-8")
    if wishes.plotlyjs == "shared":
        yield SHARED_SCRIPT, plotly_script().encode("utf-8")


def named_maps(material: Material, style: HouseStyle, wording: Wording) -> Iterator[tuple[str, WheelTree]]:
    """The maps that the page switches between, by name: the printed one first, then every brew and moment."""
    for report in _reports(material):
        yield how(report, wording), tree_of(report, material, style)


def _multiples(material: Material, style: HouseStyle, wording: Wording) -> Iterator[tuple[str, bytes]]:
    """The same wheel small, for every moment of the printed brew and every brew, on one scale."""
    from tastevocab.wheel.card import Options
    from tastevocab.wheel.multiples import draw_multiples
    from tastevocab.wheel.png import svg_to_png
    from tastevocab.wheel.sizes import size_named
    from tastevocab.wheel.svg import svg_text

    brew = material.page.map.serving.brew
    moments = {str(r.map.serving.moment): r for r in material.moments if r.map.nodes}
    brews = {how(r, wording): r for r in material.brews if r.map.nodes}
    name = material.coffee.name
    sheets = (("wheels-moments", f"{name}, {brew}" if brew else name, moments), ("wheels-brews", name, brews))
    for stem, title, reports in sheets:
        if len(reports) > 1:
            trees = {label: tree_of(report, material, style) for label, report in reports.items()}
            options = Options(style.theme, style.bleed, font=style.font)
            svg = svg_text(draw_multiples(trees, style.sizes[0], options, title), style.font)
            yield f"{stem}.svg", svg.encode("utf-8")
            yield f"{stem}.png", svg_to_png(svg, size_named(style.sizes[0]).dpi)
