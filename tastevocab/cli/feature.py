"""`tastevocab feature`: the pack of files an editor needs, a folder for each coffee."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.options import (
    CoffeeOption,
    HouseFile,
    PageBrew,
    PageMoment,
    Paper,
    SoundName,
    SoundOption,
    StyleFile,
    TemplateFolder,
    ThemeName,
    ThemeOption,
    VocabFolder,
)
from tastevocab.cli.output import notice, progress, say
from tastevocab.errors import InputError, Place

if TYPE_CHECKING:
    from tastevocab.feature.house_style import HouseStyle
    from tastevocab.feature.pack import Pack


class SizeName(StrEnum):
    """Sheets of the printed wheel."""

    square = "square"
    story = "story"
    share = "share"
    bag = "bag"
    shelf = "shelf"
    label = "label"
    page = "page"
    board = "board"


def feature(
    session: Annotated[Path, typer.Argument(help="A session file (YAML).")],
    coffee: CoffeeOption = None,
    brew: PageBrew = None,
    moment: PageMoment = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where to write; exports/SESSION if left out.")
    ] = None,
    size: Annotated[list[SizeName] | None, typer.Option("--size", help="Sheet of the wheel (may be repeated).")] = None,
    theme: ThemeOption = None,
    sound: SoundOption = None,
    style: StyleFile = None,
    templates: TemplateFolder = None,
    archive: Annotated[
        Path | None,
        typer.Option("--archive", metavar="FILE", help="Your archive: the notes say what each word is worth there."),
    ] = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Write the feature pack of each coffee: wheels, notes, claims, cautions, findings, brew cards.

    Example: tastevocab feature session.yaml --coffee vale_alto --out exports/spring --size bag
    """
    from tastevocab.cli.panel import open_panel
    from tastevocab.feature.material import Wishes
    from tastevocab.feature.pack import make_packs, write_packs
    from tastevocab.feature.wording import Wording

    asked = styled(style, [s.value for s in size or ()], theme, sound=sound)
    if archive:
        asked = replace(asked, archive=str(archive))
    wording = Wording(templates)
    gathered, tools = open_panel(session, vocab, house)
    folder = export_folder(out, gathered.session.id)
    wishes = Wishes(tuple(coffee or ()), brew, moment, folder)
    with progress("making packs", len(wishes.coffees or gathered.session.coffees)) as step:
        packs = make_packs(gathered, tools, asked, wording, wishes, step=step)
    write_packs(folder, packs)
    tell(packs, folder)


def styled(
    file: Path | None,
    sizes: list[str],
    theme: ThemeName | None,
    *,
    bleed: float | None = None,
    safe: float | None = None,
    marks: bool = False,
    paper: Paper | None = None,
    label_width: float | None = None,
    sound: SoundName | None = None,
) -> HouseStyle:
    """The house style in `file` (the one that ships if None) with what the command line asks otherwise."""
    from tastevocab.feature.house_style import HouseStyle, read_style

    style = read_style(file) if file else HouseStyle()
    asked = {
        "sizes": tuple(dict.fromkeys(sizes)) or None,
        "theme": theme.value if theme else None,
        "bleed": bleed,
        "safe": safe,
        "marks": marks or None,
        "label_width": label_width,
        "paper": paper.value if paper else None,
        "sound": sound.value if sound else None,
    }
    return replace(style, **{key: value for key, value in asked.items() if value is not None})  # type: ignore[arg-type]


def export_folder(out: Path | None, session: str) -> Path:
    """Where a session's files go: `out`, or exports/SESSION. Raises `InputError` where that is a file."""
    from tastevocab.feature.files import safe_name

    folder = out if out is not None else Path("exports") / safe_name(session)
    if folder.exists() and not folder.is_dir():
        raise InputError("is a file, not a folder", place=Place(str(folder)), mend="choose another with --out")
    return folder


def tell(packs: tuple[Pack, ...], folder: Path) -> None:
    """What was written, for people: holds first, the line, where the files are."""
    for pack in packs:
        for banner in filter(None, (pack.notes.banner, pack.notes.banner_open)):
            say(banner)
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
