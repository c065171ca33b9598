"""`tastevocab demo`: an invented table, read and made into a feature, to see what the whole does."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.output import folded, notice, progress, say

if TYPE_CHECKING:
    from tastevocab.feature.pack import Pack


def demo(
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where to write; exports/demo if left out.")
    ] = Path("exports/demo"),
    full: Annotated[bool, typer.Option("--full", help="Tell all of it: ladder, figures, story, faults.")] = False,
    gallery: Annotated[
        Path | None, typer.Option("--gallery", metavar="FOLDER", help="Make the gallery of pictures there instead.")
    ] = None,
) -> None:
    """Run the whole way on an invented table: five tasters, one coffee, two brews, hot to cool.

    Example: tastevocab demo --out my-demo
    """
    from tastevocab.feature.demo import TABLE, told
    from tastevocab.feature.pack import write_packs

    if gallery is not None:
        _make_gallery(gallery)
        return
    pack = demo_pack(out)
    paths = write_packs(out, [pack])
    session = out / "table" / "session.yaml"
    for line in told(pack.material, pack.notes, full=full):
        say(folded(line))
    if full:
        say("")
        say("Files")
        say(f"  {session.parent}{os.sep}: {', '.join(TABLE)}")
        say(folded(f"  {out / pack.folder}{os.sep}: {', '.join(pack.files)}"))
    say(f"Open {paths[0]} in a browser. `--full` tells the rest. Where a word comes from:")
    say(f"  tastevocab why {session} caramel")


def demo_pack(folder: Path) -> Pack:
    """The demo's pack, with its table put into `folder`."""
    from tastevocab.cli.panel import open_panel
    from tastevocab.feature.demo import copy_table
    from tastevocab.feature.house_style import HouseStyle
    from tastevocab.feature.pack import make_packs
    from tastevocab.feature.wording import Wording

    gathered, tools = open_panel(copy_table(folder), None, None)
    return make_packs(gathered, tools, HouseStyle(), Wording())[0]


def _make_gallery(folder: Path) -> None:
    from tastevocab.feature.files import write_all
    from tastevocab.feature.gallery import gallery_files

    with tempfile.TemporaryDirectory() as table:
        pack = demo_pack(Path(table))
    with progress("drawing the gallery", None):
        files, missing = gallery_files(pack)
    paths = write_all(folder, files)
    for name in missing:
        notice(f"{name}: not taken, for there is no browser to drive (chromium and playwright)")
    say(f"{folder}: {len(paths)} files, {sum(p.stat().st_size for p in paths):,} bytes")


def register(app: typer.Typer) -> None:
    """Add the command of this file."""
    app.command("demo")(demo)
