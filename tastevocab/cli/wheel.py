"""`tastevocab wheel`: the wheel of each coffee of a session, or the poster of a vocabulary."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.feature import export_folder, styled
from tastevocab.cli.options import (
    CoffeeOption,
    HouseFile,
    PageBrew,
    PageMoment,
    Paper,
    SoundOption,
    StyleFile,
    TemplateFolder,
    ThemeName,
    ThemeOption,
    VocabFolder,
)
from tastevocab.cli.output import notice, progress, say
from tastevocab.cli.panel import open_panel
from tastevocab.wheel.sizes import MOST_BLEED, MOST_SAFE

if TYPE_CHECKING:
    from tastevocab.feature.house_style import HouseStyle
    from tastevocab.feature.material import Wishes
    from tastevocab.feature.wording import Wording
    from tastevocab.panel.gather import Gathered
    from tastevocab.panel.summary import Bench
    from tastevocab.vocabulary.model import Vocabulary
    from tastevocab.wheel.card import Options


class Kind(StrEnum):
    """Kinds of file a wheel can be written as."""

    html = "html"
    svg = "svg"
    png = "png"
    pdf = "pdf"
    plotly = "plotly"
    embed = "embed"


class Sheet(StrEnum):
    """Sheets of a coffee's wheel, and of the poster."""

    square = "square"
    story = "story"
    share = "share"
    bag = "bag"
    shelf = "shelf"
    label = "label"
    page = "page"
    board = "board"
    a1 = "a1"
    a2 = "a2"


FILES = (Kind.html, Kind.svg, Kind.png, Kind.pdf)
"""What is made where nobody says; the poster has the last three."""
POSTERS = (Sheet.a2, Sheet.a1)


def wheel(
    session: Annotated[Path | None, typer.Argument(help="A session file (YAML), or a table of notes.")] = None,
    vocabulary: Annotated[
        bool, typer.Option("--vocabulary", help="Draw the whole vocabulary as a wall poster instead.")
    ] = False,
    coffee: CoffeeOption = None,
    brew: PageBrew = None,
    moment: PageMoment = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FOLDER", help="Where to write; exports/SESSION, or here for the poster."),
    ] = None,
    size: Annotated[
        list[Sheet] | None, typer.Option("--size", help="Sheet (may be repeated); a2 and a1 are the poster's.")
    ] = None,
    kind: Annotated[
        list[Kind] | None,
        typer.Option("--as", help="Kind of file; may be repeated. plotly: a sunburst, embed: a snippet."),
    ] = None,
    theme: ThemeOption = None,
    dpi: Annotated[float | None, typer.Option(min=10, max=2400, help="Pixels an inch of the PNG.")] = None,
    bleed: Annotated[
        float | None, typer.Option(min=0, max=MOST_BLEED, metavar="MM", help="Paper colour beyond the trimmed edge.")
    ] = None,
    safe: Annotated[
        float | None,
        typer.Option(min=0, max=MOST_SAFE, metavar="MM", help="Kept free of lettering inside the trimmed edge."),
    ] = None,
    width: Annotated[
        float | None, typer.Option(min=40, max=120, metavar="MM", help="How wide a label is (with --size label).")
    ] = None,
    marks: Annotated[bool, typer.Option("--marks", help="Crop marks around the sheet of the PDF.")] = False,
    paper: Annotated[
        Paper | None, typer.Option("--paper", help="tint, or none where the stock has a colour of its own.")
    ] = None,
    sound: SoundOption = None,
    style: StyleFile = None,
    templates: TemplateFolder = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Draw the wheel of each coffee, as the feature pack has it, or the vocabulary's poster.

    Example: tastevocab wheel session.yaml --coffee vale_alto --size bag --as png; then
    tastevocab wheel --vocabulary --size a2 --as pdf --out walls
    """
    if vocabulary:
        only = {"SESSION": session, "--coffee": coffee, "--brew": brew, "--moment": moment}
        _refuse("does not go with --vocabulary", only | {"--style": style, "--templates": templates})
        _refuse("is no sheet of the poster", {f"--size {s}": s not in POSTERS for s in size or ()})
        from tastevocab.vocabulary.cache import open_vocabulary
        from tastevocab.wheel.card import Options

        _refuse("is no kind of poster", {f"--as {k}": k not in FILES[1:] for k in kind or ()})
        folder, colours = export_folder(out or Path("."), ""), (theme or ThemeName.light).value
        options = Options(colours, bleed or 0.0, safe, paper=paper is not Paper.none, marks=marks)
        draw_posters(folder, size or POSTERS, kind or FILES[1:], options, dpi, open_vocabulary(vocab, house))
        return
    if session is None:
        raise typer.BadParameter("nothing to draw: give a session file, or --vocabulary", param_hint="SESSION")
    _refuse("is a sheet of the poster; use --vocabulary", {f"--size {s}": s in POSTERS for s in size or ()})
    from tastevocab.feature.material import Wishes
    from tastevocab.feature.wording import Wording

    sizes = [s.value for s in size or ()]
    looks = styled(
        style, sizes, theme, bleed=bleed, safe=safe, marks=marks, paper=paper, label_width=width, sound=sound
    )
    wishes = Wishes(tuple(coffee or ()), brew, moment)
    draw_wheels(open_panel(session, vocab, house), looks, Wording(templates), wishes, out, kind or FILES, dpi)


def _refuse(why: str, given: Mapping[str, object]) -> None:
    """Raises `typer.BadParameter` (wrong use) for the first option that was given."""
    for option, value in given.items():
        if value:
            raise typer.BadParameter(why, param_hint=option)


def draw_wheels(
    opened: tuple[Gathered, Bench],
    style: HouseStyle,
    wording: Wording,
    wishes: Wishes,
    out: Path | None,
    kinds: Collection[Kind],
    dpi: float | None,
) -> None:
    """Write the wheel of each coffee wished for into its folder of `out`, and say so; coffees on hold first."""
    from tastevocab.feature.files import write_all
    from tastevocab.feature.material import materials_of
    from tastevocab.feature.wheel_files import make_wheels
    from tastevocab.panel.faults import banner, open_banner

    gathered, tools = opened
    folder = export_folder(out, gathered.session.id)
    wishes = replace(wishes, out=folder)
    with progress("drawing", len(wishes.coffees or gathered.session.coffees)) as step:
        wheels = []
        for wheel in make_wheels(
            materials_of(gathered, tools, style, wishes), style, wording, kinds=set(kinds), dpi=dpi
        ):
            wheels.append(wheel)
            step(1)
    paths = write_all(folder, {w.folder: w.files for w in wheels})
    for made in wheels:
        whole, coffee = made.material.whole, made.material.coffee.name
        for line in filter(None, (banner(whole.faults, coffee), open_banner(whole.open_faults, coffee))):
            say(line)
    for path in paths:
        say(str(path))


def draw_posters(
    out: Path,
    sizes: Iterable[Sheet],
    kinds: Iterable[Kind],
    options: Options,
    dpi: float | None,
    vocabulary: Vocabulary,
) -> None:
    """Write the vocabulary's poster on every sheet (`NAME-poster-a2.svg` ...), and say so."""
    from tastevocab.feature.files import safe_name, write_all
    from tastevocab.wheel.poster import draw_poster, vocabulary_tree
    from tastevocab.wheel.printed import print_files
    from tastevocab.wheel.sizes import size_named

    wanted, sheets = set(kinds), [size_named(f"poster-{name}") for name in dict.fromkeys(sizes)]
    tree = vocabulary_tree(vocabulary)
    files: dict[str, bytes] = {}
    with progress("drawing", len(sheets)) as step:
        for sheet in sheets:
            drawing = draw_poster(tree, sheet.name, options)
            for ending, data in print_files(drawing, wanted, dpi or sheet.dpi, marks=options.marks):
                files[f"{safe_name(vocabulary.name)}-{sheet.name}.{ending}"] = data
            step(1)
    for path in write_all(out, {"": files}):
        say(str(path))
    notice(f"Print at 100 %: lettering is {min(sheet.smallest for sheet in sheets):g} pt or more.")


def register(app: typer.Typer) -> None:
    """Add `wheel` to the command tree."""
    app.command("wheel")(wheel)
