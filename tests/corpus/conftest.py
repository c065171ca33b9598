"""Two processes that work, and the commands of a corpus."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import typer
from distributed import Client, LocalCluster

from tastevocab.cli import corpus as corpora
from tastevocab.cli import panel
from tastevocab.cli import read as reading
from tastevocab.corpus.cluster import ANY_PORT


@pytest.fixture(scope="module")
def client() -> Iterator[Client]:
    """Two processes that work; one that is killed is started again."""
    with (
        LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            scheduler_kwargs=ANY_PORT,
            silence_logs=50,
        ) as two,
        Client(two) as client,
    ):
        yield client


@pytest.fixture(scope="module")
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    for commands in (reading, corpora, panel):
        commands.register(made)
    return made
