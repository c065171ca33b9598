"""Two processes that work, and the commands of a corpus."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import typer
from distributed import Client

from tastevocab.cli import corpus as corpora
from tastevocab.cli import panel
from tastevocab.cli import read as reading
from tastevocab.corpus.cluster import cluster


@pytest.fixture(scope="module")
def client() -> Iterator[Client]:
    """Two processes that work; one that is killed is started again."""
    with cluster(None, 2) as two:
        yield two


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    for commands in (reading, corpora, panel):
        commands.register(made)
    return made
