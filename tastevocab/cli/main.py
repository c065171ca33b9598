"""The `tastevocab` command: registers every room's commands and turns our errors into text and an exit status."""

from __future__ import annotations

import importlib
import sys
from functools import cache
from typing import Annotated

import typer

from tastevocab import __version__
from tastevocab.cells import visible
from tastevocab.errors import TastevocabError

TOPICS = (
    "start", "demo", "hear", "read", "corpus", "panel", "wheel", "feature", "archive", "vocab", "session", "desk",
    "table",
)  # fmt: skip

app = typer.Typer(
    name="tastevocab",
    help="Turns a tasting table's loose words into counted, traceable flavour maps and charts.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"tastevocab {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Turns a tasting table's loose words into counted, traceable flavour maps and charts."""


@cache
def build() -> typer.Typer:
    """The whole command tree, put together once."""
    for topic in TOPICS:
        try:
            module = importlib.import_module(f"tastevocab.cli.{topic}")
        except ModuleNotFoundError as missing:
            if missing.name != f"tastevocab.cli.{topic}":
                raise
            continue
        module.register(app)
    return app


def run() -> None:
    """The entry point: exit 0 done, 1 bad input, 2 wrong use; results on stdout, everything else on stderr."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="replace")
    try:
        build()()
    except TastevocabError as problem:
        sys.stderr.write(visible(f"tastevocab: {problem}\n"))
        sys.exit(1)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except KeyboardInterrupt:
        sys.stderr.write("tastevocab: stopped\n")
        sys.exit(1)
