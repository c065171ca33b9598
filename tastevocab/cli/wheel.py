"""`tastevocab wheel`: print files and the interactive page of a flavour map, and the poster of a vocabulary."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tastevocab.cli.output import notice, progress, say
from tastevocab.errors import InputError, Place
from tastevocab.wheel.drawing import Drawing
from tastevocab.wheel.tree import WheelTree


class Kind(StrEnum):
    """Kinds of file a wheel can be written as."""

    svg = "svg"
    png = "png"
    pdf = "pdf"
    html = "html"


class SizeName(StrEnum):
    """Sheets of a wheel."""

    square = "square"
    bag = "bag"
    page = "page"
    board = "board"


class PosterSize(StrEnum):
    """Sheets of a vocabulary's poster."""

    a3 = "a3"
    a2 = "a2"


class ThemeName(StrEnum):
    """Colour themes."""

    light = "light"
    dark = "dark"
    grey = "grey"


PRINT_KINDS = (Kind.svg, Kind.png, Kind.pdf)


def safe_name(text: str) -> str:
    """`text` as a file name that stays in its folder: letters, digits, dash, underscore ("wheel" if none)."""
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in text)[:80].strip("-_")
    return kept or "wheel"


def write_file(folder: Path, name: str, content: str | bytes) -> Path:
    """Write `content` under a temporary name in `folder`, then rename it to `name`; gives the path.

    Raises `InputError` when the folder cannot be written.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    target = folder / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=folder, prefix=".tastevocab-")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.chmod(temporary, 0o644)
        os.replace(temporary, target)
    except OSError as problem:
        raise InputError(
            f"cannot be written ({problem.strerror})", place=Place(str(target)), mend="choose another folder with --out"
        ) from problem
    return target


def write_wheel(
    maps: Mapping[str, WheelTree],
    folder: Path,
    name: str,
    *,
    kinds: Sequence[str] = ("svg", "png", "pdf", "html"),
    sizes: Sequence[str] = ("page",),
    theme: str = "light",
    dpi: float | None = None,
    bleed: float = 0.0,
    safe: float | None = None,
    strips: bool = True,
    plotlyjs: str = "inline",
    font: str = "",
) -> list[Path]:
    """Write one coffee's wheels into `folder` and give the paths, in the order written.

    Print files are made of every map in every size (`NAME-SIZE.svg`, with the map's name between them where there are
    several); the page (`NAME.html`) holds all maps. `dpi` None takes each size's own. Names never
    lead out of the folder.
    """
    from tastevocab.wheel.card import Options, draw_card
    from tastevocab.wheel.page import SHARED_SCRIPT, draw_page, plotly_script
    from tastevocab.wheel.sizes import size_named

    stem = safe_name(name)
    written: list[Path] = []
    options = Options(theme, bleed, safe, strips, font)
    parts = _parts(stem, list(maps))
    for part, tree in zip(parts, maps.values(), strict=True) if any(kind != "html" for kind in kinds) else ():
        for size in sizes:
            drawing = draw_card(tree, size, options)
            for ending, content in _print_files(drawing, kinds, dpi or size_named(size).dpi, font):
                written.append(write_file(folder, f"{part}-{safe_name(size)}.{ending}", content))
    if "html" in kinds:
        if plotlyjs == "shared" and not (folder / SHARED_SCRIPT).exists():
            written.append(write_file(folder, SHARED_SCRIPT, plotly_script()))
        page = draw_page(maps, plotlyjs="shared" if plotlyjs == "shared" else "inline")
        written.append(write_file(folder, f"{stem}.html", page))
    return written


def _parts(stem: str, titles: Sequence[str]) -> list[str]:
    """A file stem for every map, no two alike."""
    if len(titles) == 1:
        return [stem]
    parts: list[str] = []
    for title in titles:
        part = f"{stem}-{safe_name(title)}"
        parts.append(f"{part}-{len(parts) + 1}" if part in parts else part)
    return parts


def _print_files(drawing: Drawing, kinds: Sequence[str], dpi: float, font: str) -> Iterator[tuple[str, str | bytes]]:
    """Ending and content of the print files of one drawing."""
    from tastevocab.wheel.pdf import pdf_bytes
    from tastevocab.wheel.png import svg_to_png
    from tastevocab.wheel.svg import svg_text

    svg = svg_text(drawing, font)
    if "svg" in kinds:
        yield "svg", svg
    if "png" in kinds:
        yield "png", svg_to_png(svg, dpi)
    if "pdf" in kinds:
        yield "pdf", pdf_bytes([drawing], font)


def write_poster(
    folder: Path, vocabulary: Path | None, sizes: Sequence[str], kinds: Sequence[str], theme: str, dpi: float | None
) -> list[Path]:
    """Write a vocabulary's poster (`NAME-poster-a3.svg` ...) and give the paths."""
    from tastevocab.vocabulary.load import load
    from tastevocab.wheel.card import Options
    from tastevocab.wheel.poster import draw_poster, vocabulary_tree
    from tastevocab.wheel.sizes import size_named

    loaded = load(vocabulary)
    tree = vocabulary_tree(loaded)
    written = []
    with progress("drawing", len(sizes) * len(kinds)) as step:
        for size in sizes:
            drawing = draw_poster(tree, f"poster-{size}", Options(theme))
            for ending, content in _print_files(drawing, kinds, dpi or size_named(f"poster-{size}").dpi, ""):
                written.append(write_file(folder, f"{safe_name(loaded.name)}-poster-{size}.{ending}", content))
                step()
    return written


def wheel(
    vocabulary: Annotated[
        bool, typer.Option("--vocabulary", help="Draw the whole vocabulary as a wall poster.")
    ] = False,
    folder: Annotated[
        Path | None, typer.Option("--from", help="Vocabulary folder (the one that ships if left out).")
    ] = None,
    out: Annotated[Path, typer.Option("--out", "-o", help="Folder to write into.")] = Path("."),
    size: Annotated[list[PosterSize] | None, typer.Option("--size", help="Sheet; may be repeated.")] = None,
    kind: Annotated[list[Kind] | None, typer.Option("--as", help="Kind of file; may be repeated.")] = None,
    theme: Annotated[ThemeName, typer.Option(help="Colours.")] = ThemeName.light,
    dpi: Annotated[float | None, typer.Option(min=10, max=2400, help="Pixels an inch of the PNG.")] = None,
) -> None:
    """Draw a wheel.

    Example: tastevocab wheel --vocabulary --size a2 --as pdf --out walls
    """
    if not vocabulary:
        raise InputError("nothing to draw", mend="use --vocabulary for the poster")
    kinds = [k.value for k in kind or PRINT_KINDS if k is not Kind.html]
    if not kinds:
        raise InputError("a poster is no page", mend="use --as svg, png or pdf")
    for path in write_poster(out, folder, [s.value for s in size or list(PosterSize)], kinds, theme.value, dpi):
        say(str(path))
    notice("Print at 100 %: lettering is 5 pt or more on A3, 6.5 pt or more on A2.")


def register(app: typer.Typer) -> None:
    """Add `wheel` to the command tree."""
    app.command("wheel")(wheel)
