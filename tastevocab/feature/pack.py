"""The feature pack: every file of one coffee, made in memory before the first is written."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from typing import Any

from tastevocab.feature.excerpt import excerpt_json
from tastevocab.feature.files import safe_name, write_all
from tastevocab.feature.findings_table import findings_csv
from tastevocab.feature.heard import HeardFact, facts_heard
from tastevocab.feature.hearing import heard_in
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material, Wishes, anonymous, materials_of
from tastevocab.feature.notes import Notes, notes_json, notes_of
from tastevocab.feature.product import product_jsonld
from tastevocab.feature.recording import heard_from
from tastevocab.feature.track import caption_sources, flavours_vtt
from tastevocab.feature.wheel_files import multiples, reports_of, tree_of, wheel_files
from tastevocab.feature.wording import Wording, shipped
from tastevocab.panel.fault_record import fault_markdown, traces_of
from tastevocab.panel.gather import Gathered
from tastevocab.panel.report import contract
from tastevocab.panel.summary import Bench
from tastevocab.panel.why import clock
from tastevocab.reading.records import Finding, Turn


@dataclass(frozen=True, slots=True)
class Pack:
    """One coffee's pack: the `folder` it goes to, its `files` by name, and what they were made from."""

    folder: str
    files: Mapping[str, bytes]
    material: Material
    notes: Notes


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

    Raises as `materials_of` does.
    """
    wishes = wishes or Wishes()
    turns = heard_in(gathered.session)
    heard_from(gathered.session, style, wishes.out)  # refuses voices beside codes, before the codes are laid on
    if style.tasters == "codes":
        codes = anonymous(gathered.session, tools)
        gathered, turns = codes.gathered(gathered), tuple(map(codes.turn, turns))
        style = replace(style, tasters="names")  # nobody is left to be coded
    packs: list[Pack] = []
    for material in materials_of(gathered, tools, style, wishes):
        folder = safe_name(material.coffee.id, [p.folder for p in packs])
        notes = notes_of(material, style, wording, brew_facts(material, turns), turns)
        packs.append(Pack(folder, dict(_files(material, notes, style, wording)), material, notes))
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
    """Write every pack into its folder of `out`; gives the paths. Raises as `write_all` does."""
    return write_all(out, {pack.folder: pack.files for pack in packs})


def _files(material: Material, notes: Notes, style: HouseStyle, wording: Wording) -> Iterator[tuple[str, bytes]]:
    wheels = dict(wheel_files(material, style, wording))
    values = {"notes": notes, "clock": clock}
    yield from wheels.items()
    yield from multiples(material, style, wording)
    yield "notes.md", wording.page("notes.md.j2", values).encode("utf-8")
    yield "notes.html", notes_html(material, notes, style, wording, values).encode("utf-8")
    yield "notes.json", json_bytes(notes_json(notes))
    product = product_jsonld(notes) if style.jsonld else None
    if product:
        yield "product.jsonld", json_bytes(product)
    if notes.cards or notes.heard_facts:
        yield "brews.md", wording.page("brews.md.j2", values).encode("utf-8")
    yield "findings.csv", findings_csv(material)
    told, found = material.gathered, material.whole
    asked = [f for f in told.asked if isinstance(f, Finding)]
    traces = traces_of(told.findings, asked, told.set_aside, material.tools.vocabulary)
    if found.faults or traces:
        record = fault_markdown(found.faults, material.coffee.name, found.evidence, traces)
        yield "faults.md", record.encode("utf-8")
    sources = caption_sources(material)
    for source in sources:
        name = "flavours.vtt" if len(sources) == 1 else f"flavours-{safe_name(PurePath(source).stem)}.vtt"
        yield name, flavours_vtt(material, source).encode("utf-8")
    yield "map.json", json_bytes(contract(reports_of(material), material.tools.vocabulary))
    yield "vocabulary.json", json_bytes(excerpt_json(material))


def notes_html(material: Material, notes: Notes, style: HouseStyle, wording: Wording, values: Mapping[str, Any]) -> str:
    """The editor's page: it loads nothing and runs nothing but its own script."""
    from tastevocab.wheel.page_picture import SCREENS, embed_svg

    script = shipped("notes.js")
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    policy = (
        f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    tree = tree_of(material.page, material, style, wording)
    wheel = embed_svg(tree, SCREENS[0], style.font)
    more = {"headline": tree.headline or "No shared words", "wheel": wheel, "script": script, "policy": policy}
    return wording.page("notes.html.j2", {**values, **more}, html=True)


def json_bytes(value: Any) -> bytes:
    """Indented JSON (RFC 8259), UTF-8, with a line end."""
    return (json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n").encode("utf-8")
