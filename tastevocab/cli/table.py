"""`tastevocab table`: the live table, where tasters type on their phones."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tastevocab.cli.options import (
    HiddenDuplicate,
    HouseControl,
    HouseFile,
    PerSitting,
    PouredMoments,
    StyleFile,
    VocabFolder,
)
from tastevocab.cli.output import notice, say
from tastevocab.errors import InputError

if TYPE_CHECKING:
    from tastevocab.web.serve import Door
    from tastevocab.web.table.opening import Opened


def table(
    session: Annotated[Path, typer.Argument(help="A session file (YAML): tasters, coffees, brews; notes come later.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Where all is kept; SESSION-table if left out.")
    ] = None,
    lan: Annotated[bool, typer.Option("--lan", help="Open one address of the local network, for phones.")] = False,
    address: Annotated[
        str, typer.Option("--address", help="Which address of this machine, where it has several (with --lan).")
    ] = "",
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port; 0 takes any that is free.")] = 8760,
    guests: Annotated[int, typer.Option("--guests", min=0, help="Seats for guests of a public tasting.")] = 0,
    moment: PouredMoments = None,
    duplicate: HiddenDuplicate = False,
    control: HouseControl = "",
    per_sitting: PerSitting = 0,
    shared_codes: Annotated[
        bool, typer.Option("--shared-codes", help="One code a coffee for all, poured from the same pots.")
    ] = False,
    seed: Annotated[int, typer.Option("--seed", help="Repeats orders and codes.")] = 1,
    keep_days: Annotated[
        int, typer.Option("--keep-days", min=1, max=3650, help="How long you tell people that their notes are kept.")
    ] = 30,
    delete: Annotated[bool, typer.Option("--delete", help="Delete this table with all that was said at it.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask before deleting.")] = False,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the leader's page.")] = True,
    style: StyleFile = None,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Run the live table: tasters type on their phones, blind until you reveal; ends as session files and a pack.

    Example: tastevocab table table.yaml --lan
    """
    from tastevocab.reading.records import MOMENTS

    _need_web()
    from tastevocab.web.table.opening import folder_of

    folder = out or folder_of(session)
    if delete:
        _delete(folder, session, yes)
        return
    from tastevocab.web.serve import open_door, serve
    from tastevocab.web.table.app import make_app
    from tastevocab.web.table.opening import Means, open_table
    from tastevocab.web.table.setting import Wanted

    moments = [part.strip() for one in moment or () for part in one.split(",") if part.strip()]
    unknown = [m for m in moments if m not in MOMENTS]
    if unknown:
        raise typer.BadParameter(f"{unknown[0]!r} is none of {', '.join(MOMENTS)}", param_hint="--moment")
    if address and not lan:
        raise typer.BadParameter("goes with --lan", param_hint="--address")
    wanted = Wanted(
        guests=guests,
        moments=tuple(moments) or Wanted().moments,
        duplicate=duplicate,
        control=control,
        per_sitting=per_sitting,
        shared=shared_codes,
        seed=seed,
        keep_days=keep_days,
    )
    door = open_door(port, lan=lan, address=address)
    try:
        _readable(style)
        opened = open_table(session, folder, wanted, door, Means(vocab, house, style))
    except BaseException:
        door.socket.close()
        raise
    try:
        app, live = make_app(opened.live), opened.live
        serve(app, door, ready=lambda: _tell(opened, door, lan, browser), closing=live.lines.close)
    finally:
        opened.store.close()
    notice(f"closed; all is kept in {opened.folder}; the same command takes it up again")


def _delete(folder: Path, session: Path, yes: bool) -> None:
    """Delete a table, after asking; what goes is counted first."""
    from tastevocab.web.table.keeping import delete_table

    files = sum(path.is_file() for path in folder.rglob("*")) if folder.is_dir() else 0
    if not yes and files:
        typer.confirm(f"Delete {folder} with its {files} files, notes and pack and all?", abort=True, err=True)
    delete_table(folder, session)
    say(f"deleted: {folder}")


def _need_web() -> None:
    from importlib.util import find_spec

    if not all(find_spec(name) for name in ("starlette", "uvicorn", "segno")):
        raise InputError("the table needs three libraries more", mend="in the program's folder: pip install '.[web]'")


def _readable(style: Path | None) -> None:
    """Raises `InputError` now for a house style that would stop the pack at the end."""
    if style is not None:
        from tastevocab.feature.house_style import read_style

        read_style(style)


def _tell(opened: Opened, door: Door, lan: bool, browser: bool) -> None:
    """Where everybody finds their page; the leader's link is a secret and good once."""
    say(f"tasters: {door.url}   code {opened.live.entrance.code}")
    say(f"leader:  {opened.enter}")
    sys.stdout.flush()
    from tastevocab.web.table.keeping import kept_until, overdue

    for old, until in overdue(opened.folder.parent, date.today()):
        notice(f"{old} was to be deleted after {until}, people were told: `tastevocab table ... --out {old} --delete`")
    notice(f"kept until {kept_until(opened.folder)}, as people are told; then it opens no more and asks to be deleted")
    if opened.again:
        notice("taken up where it was left; options about seats and codes are as they were")
    if not lan:
        notice("open on this machine alone: give --lan to let phones in")
    notice(f"who pours opens {opened.folder / 'key-keep-closed.csv'}; nobody else before the reveal")
    notice("Ctrl-C closes the table; nothing that was kept is lost")
    if browser:
        from tastevocab.web.serve import open_browser

        open_browser(opened.enter)


def register(app: typer.Typer) -> None:
    """Add the commands of this file."""
    app.command("table")(table)
