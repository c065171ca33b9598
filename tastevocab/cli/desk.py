"""`tastevocab desk`: the page on which a person puts the reading of a session right."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tastevocab.cli.options import HouseFile, VocabFolder
from tastevocab.cli.output import notice, progress, say
from tastevocab.errors import InputError


def desk(
    session: Annotated[Path, typer.Argument(help="A session file (YAML).")],
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port (0: any that is free).")] = 8747,
    lan: Annotated[bool, typer.Option("--lan", help="Open it to the local network too.")] = False,
    address: Annotated[str, typer.Option("--address", help="With --lan: the address of this machine to open.")] = "",
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")] = True,
    vocab: VocabFolder = None,
    house: HouseFile = None,
) -> None:
    """Put a reading right in the browser: every finding in its place, the map beside it, keep, wrong or change.

    Every action is kept at once in the decisions beside the notes, as `review` keeps them. Ctrl-C ends it.

    Example: tastevocab desk table.yaml --house house.yaml
    """
    try:
        from tastevocab.web.desk.app import desk_app
    except ModuleNotFoundError as missing:
        if (missing.name or "").partition(".")[0] == "tastevocab":
            raise
        what = f"the desk needs {missing.name}, which is not installed"
        raise InputError(what, mend="in the program's folder: pip install '.[web]'") from None
    from tastevocab.panel.session import open_session
    from tastevocab.web.desk.sitting import Sitting
    from tastevocab.web.serve import open_door, serve
    from tastevocab.web.tokens import new_token

    entries = len(open_session(session).sources)
    door = open_door(port, lan=lan, address=address)
    with progress("reading", entries) as step:
        sitting = Sitting(session, vocab=vocab, house=house, step=step)
    token = new_token()
    url = f"{door.url}/open/{token}"

    def ready() -> None:
        say(f"The desk is open at {url}")
        notice("Ctrl-C ends it; every decision is kept already.")
        if browser:
            import webbrowser

            webbrowser.open(url)

    serve(desk_app(sitting, token), door, ready=ready)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("desk")(desk)
