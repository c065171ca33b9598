"""The gallery: the demo's wheel on every sheet in every theme, its pack, and pictures of its pages."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tastevocab.feature.house_style import THEMES, HouseStyle
from tastevocab.feature.pack import Pack
from tastevocab.feature.wheel_files import tree_of
from tastevocab.feature.wording import Wording
from tastevocab.wheel.sizes import CARDS, size_named

PIXELS_WIDE = 600
LEFT_OUT = ("wheel.png", "wheels-moments.png", "wheels-brews.png")
"""Of the pack, what is too big for a gallery or stands in it as another picture."""
MANIFEST = "manifest.json"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
SHOTS: Mapping[str, tuple[str, int, int, str]] = {
    "page-desktop.png": ("wheel.html", 1100, 1000, "light"),
    "page-dark.png": ("wheel.html", 1100, 1000, "dark"),
    "page-phone.png": ("wheel.html", 320, 900, "light"),
    "notes-desktop.png": ("notes.html", 1100, 1000, "light"),
    "notes-phone.png": ("notes.html", 320, 900, "dark"),
}
"""Pictures of pages: which page, width and height in pixels, colour scheme."""


def gallery_sources(pack: Pack) -> dict[str, bytes]:
    """What every file of the gallery is made from, by the file's name: drawings, pages and the pack's own files."""
    sources = {f"wheel-{size}-{theme}.png": svg.encode("utf-8") for size, theme, svg in _drawings(pack)}
    sources |= {f"pack/{name}": data for name, data in pack.files.items() if name not in LEFT_OUT}
    return sources | {name: pack.files[page] for name, (page, *_) in SHOTS.items()}


def manifest(sources: Mapping[str, bytes], vocabulary_hash: str) -> bytes:
    """SHA-256 of what each picture and file is made from: says when the gallery is stale, on any machine.

    The vocabulary's own hash is left out of it: a word added elsewhere in it changes no picture.
    """
    hash = vocabulary_hash.encode("ascii")
    digests = {name: hashlib.sha256(data.replace(hash, b"")).hexdigest() for name, data in sorted(sources.items())}
    return (json.dumps(digests, indent=2) + "\n").encode("utf-8")


def gallery_files(pack: Pack) -> tuple[dict[str, dict[str, bytes]], tuple[str, ...]]:
    """The gallery's files by folder ("" and "pack"), and the names of pictures no browser was there to take."""
    from tastevocab.wheel.png import svg_to_png

    sources = gallery_sources(pack)
    top: dict[str, bytes] = {}
    for size, theme, svg in _drawings(pack):
        drawn = svg_to_png(svg, PIXELS_WIDE * 25.4 / size_named(size).width)
        top[f"wheel-{size}-{theme}.png"] = smaller(drawn)
    shots = dict(_shots(pack))
    missing = tuple(name for name in SHOTS if name not in shots)
    made = {name: data for name, data in sources.items() if name not in missing}
    top |= shots
    top[MANIFEST] = manifest(made, pack.notes.vocabulary["hash"])
    top["README.md"] = _index(pack, [*top])
    return {"": top, "pack": {n: d for n, d in pack.files.items() if n not in LEFT_OUT}}, missing


def _drawings(pack: Pack) -> Iterator[tuple[str, str, str]]:
    from tastevocab.wheel.card import Options
    from tastevocab.wheel.svg import draw_svg

    tree = tree_of(pack.material.page, pack.material, HouseStyle(), Wording())
    for size in CARDS:
        for theme in THEMES:
            yield size, theme, draw_svg(tree, size, Options(theme))


def _shots(pack: Pack) -> Iterator[tuple[str, bytes]]:
    """Pictures of the pages in a real browser without a network; none where there is no browser to drive."""
    browser = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    try:
        from playwright.sync_api import sync_playwright
    except ModuleNotFoundError:
        return
    if browser is None:
        return
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        for page, *_ in SHOTS.values():
            (Path(folder) / page).write_bytes(pack.files[page])
        running = driver.chromium.launch(executable_path=browser, args=["--no-sandbox", "--disable-gpu"])
        for name, (page, width, height, scheme) in SHOTS.items():
            yield name, _shot(running, Path(folder) / page, width, height, scheme)
        running.close()


def _shot(browser: Any, page: Path, width: int, height: int, scheme: str) -> bytes:
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, offline=True, reduced_motion="reduce"
    )
    tab = context.new_page()
    tab.goto(page.as_uri())
    tab.wait_for_timeout(600)
    taken = bytes(tab.screenshot())
    context.close()
    return smaller(taken)


def smaller(png: bytes) -> bytes:
    """A picture with at most 256 colours, for a third of the bytes; unchanged where Pillow is not installed."""
    try:
        from PIL import Image
    except ModuleNotFoundError:
        return png
    out = io.BytesIO()
    Image.open(io.BytesIO(png)).convert("RGB").quantize(256, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return min(out.getvalue(), png, key=len)


def _index(pack: Pack, names: list[str]) -> bytes:
    lines = [
        f"# Gallery: {pack.notes.name}",
        "",
        "The demo's invented table. Made by `tastevocab demo --gallery exports/gallery`; manifest.json says from what.",
        "",
    ]
    for size in CARDS:
        lines += [f"## {size}", ""]
        lines += [f"![{size}, {theme}](wheel-{size}-{theme}.png)" for theme in THEMES]
        lines.append("")
    lines += ["## Pages", "", *(f"![{name}]({name})" for name in SHOTS if name in names), ""]
    lines += ["## Pack", "", *(f"- [pack/{n}](pack/{n})" for n in pack.files if n not in LEFT_OUT), ""]
    return "\n".join(lines).encode("utf-8")
