"""`tastevocab feature`: the pack of files an editor needs, a folder for each coffee."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.options import HouseFile, VocabFolder
from tastevocab.cli.output import notice, progress, say
from tastevocab.errors import InputError, Place

if TYPE_CHECKING:
    from tastevocab.feature.house_style import HouseStyle
    from tastevocab.feature.pack import Pack


class SizeName(StrEnum):
    """Sheets of the printed wheel."""

    square = "square"
    bag = "bag"
    page = "page"
    board = "board"


class ThemeName(StrEnum):
    """Colour themes of the printed wheel."""

    light = "light"
    dark = "dark"
    grey = "grey"


class PlotlyJs(StrEnum):
    """Where the interactive page has its drawing library from."""

    inline = "inline"
    shared = "shared"


def feature(
    session: Annotated[Path, typer.Argument(help="A session file (YAML).")],
    coffee: Annotated[list[str] | None, typer.Option("--coffee", help="Only this coffee (may be repeated).")] = None,
    brew: Annotated[str | None, typer.Option("--brew", help="The brew that is printed; else the most tasted.")] = None,
    moment: Annotated[
        str | None, typer.Option("--moment", help="The moment that is printed: dry, aroma, hot, warm or cool.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where to write; exports/SESSION if left out.")
    ] = None,
    size: Annotated[list[SizeName] | None, typer.Option("--size", help="Sheet of the wheel (may be repeated).")] = None,
    theme: Annotated[ThemeName | None, typer.Option("--theme", help="Colours of the printed wheel.")] = None,
    style: Annotated[Path | None, typer.Option("--style", metavar="FILE", help="House style (YAML).")] = None,
    templates: Annotated[
        Path | None, typer.Option("--templates", metavar="FOLDER", help="Your copy of the template folder, changed.")
    ] = None,
    plotlyjs: Annotated[
        PlotlyJs, typer.Option("--plotlyjs", help="inline: one page alone; shared: library as a file beside it.")
    ] = PlotlyJs.inline,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Write the feature pack of each coffee: wheels, notes, claims, cautions, findings, brew cards.

    Example: tastevocab feature session.yaml --coffee vale_alto --out exports/spring --size bag
    """
    from tastevocab.cli.panel import open_panel
    from tastevocab.feature.house_style import HouseStyle, read_style
    from tastevocab.feature.pack import Wishes, make_packs, write_packs
    from tastevocab.feature.wording import Wording

    asked = read_style(style) if style else HouseStyle()
    asked = with_options(asked, [s.value for s in size or ()], theme.value if theme else None)
    wording = Wording(templates)
    gathered, tools = open_panel(session, vocab, house)
    folder = out if out is not None else Path("exports") / safe_session(gathered.session.id)
    if folder.exists() and not folder.is_dir():
        raise InputError("is a file, not a folder", place=Place(str(folder)), mend="choose another with --out")
    wishes = Wishes(tuple(coffee or ()), brew, moment, plotlyjs.value)
    with progress("making packs", len(wishes.coffees or gathered.session.coffees)) as step:
        packs = make_packs(gathered, tools, asked, wording, wishes, step=step)
    write_packs(folder, packs)
    tell(packs, folder)


def with_options(style: HouseStyle, sizes: list[str], theme: str | None) -> HouseStyle:
    """The house style with what the command line asks otherwise."""
    if sizes:
        style = replace(style, sizes=tuple(dict.fromkeys(sizes)))
    return replace(style, theme=theme) if theme else style


def safe_session(id: str) -> str:
    """A session's id as a folder name."""
    from tastevocab.feature.files import safe_name

    return safe_name(id)


def tell(packs: tuple[Pack, ...], folder: Path) -> None:
    """What was written, for people: holds first, the line, where the files are."""
    for pack in packs:
        if pack.notes.banner:
            say(pack.notes.banner)
        line = ", ".join(w.print for w in pack.notes.line) or "no shared words"
        say(f"{pack.notes.name}: {line} ({pack.notes.base})")
        if pack.notes.copy.short:
            notice(
                f"{pack.notes.name}: the findings give only {pack.notes.copy.words} words of copy; nothing was invented"
            )
        say(f"  {folder / pack.folder}: {', '.join(pack.files)}")


def templates(
    folder: Annotated[Path, typer.Argument(help="Where to put the copy; made if not there.")],
) -> None:
    """Copy the pack's templates, wording, cautions and house style into a folder, to change and use.

    Example: tastevocab templates my-templates; then tastevocab feature session.yaml --templates my-templates
    """
    from tastevocab.feature.files import write_all
    from tastevocab.feature.wording import template_files

    files = template_files()
    there = [name for name in files if (folder / name).exists()]
    if there:
        raise InputError(
            f"already holds {there[0]}", place=Place(str(folder)), mend="choose another folder: nothing is overwritten"
        )
    for path in write_all(folder, {"": files}):
        say(str(path))


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("feature")(feature)
    app.command("templates")(templates)
