"""`tastevocab demo`: an invented table, read and made into a feature, to see what the whole does."""

from __future__ import annotations

import os
import shutil
import textwrap
from pathlib import Path
from typing import Annotated

import typer

from tastevocab.cli.output import progress, say


def demo(
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where to write; exports/demo if left out.")
    ] = Path("exports/demo"),
    gallery: Annotated[
        Path | None, typer.Option("--gallery", metavar="FOLDER", help="Make the gallery of pictures there instead.")
    ] = None,
) -> None:
    """Run the whole way on an invented table: five tasters, one coffee, two brews, hot to cool.

    Example: tastevocab demo --out my-demo
    """
    from tastevocab.cli.panel import open_panel
    from tastevocab.feature.demo import TABLE, copy_table, told
    from tastevocab.feature.house_style import HouseStyle
    from tastevocab.feature.pack import make_packs, write_packs
    from tastevocab.feature.wording import Wording

    session = copy_table(out)
    gathered, tools = open_panel(session, None, None)
    with progress("making the pack", None):
        packs = make_packs(gathered, tools, HouseStyle(), Wording())
    paths = write_packs(out, packs)
    for pack in packs:
        for line in told(pack.material, pack.notes):
            say(wrapped(line))
    say("")
    say("Files")
    say(f"  {session.parent}{os.sep}: {', '.join(TABLE)}")
    for pack in packs:
        say(wrapped(f"  {out / pack.folder}{os.sep}: {', '.join(pack.files)}"))
    say("")
    say(f"Open {paths[0]} in a browser. To ask where a word comes from:")
    say(f"  tastevocab why {session} caramel")


def wrapped(line: str) -> str:
    """A line broken at words to the width of the screen, hanging under its own start."""
    width = max(40, min(120, shutil.get_terminal_size((100, 24)).columns))
    indent = " " * (len(line) - len(line.lstrip()))
    return (
        textwrap.fill(line, width, subsequent_indent=indent + "  ", break_on_hyphens=False)
        if len(line) > width
        else line
    )


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("demo")(demo)
