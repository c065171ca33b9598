"""One lexicon for all tests of the archive, and a small archive of one session."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from archive_tables import Keeper, write_session

from tastevocab.archive.store import Archive, opened
from tastevocab.panel.spans import Spans
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary


@pytest.fixture(scope="session")
def keeper() -> Keeper:
    return Keeper(open_lexicon(), open_vocabulary())


@pytest.fixture(scope="session")
def spans(keeper: Keeper) -> Spans:
    return Spans(keeper.vocabulary)


@pytest.fixture(scope="session")
def spring(tmp_path_factory: pytest.TempPathFactory, keeper: Keeper) -> Path:
    """The file of an archive that holds one session: read once, copied for each test."""
    folder = tmp_path_factory.mktemp("spring")
    with opened(folder / "archive.sqlite", make=True) as made:
        keeper.add(made, write_session(folder / "table"))
    return folder / "archive.sqlite"


@pytest.fixture
def archive(tmp_path: Path, spring: Path) -> Iterator[Archive]:
    """An archive that holds `spring`: two coffees, three tasters."""
    shutil.copy(spring, tmp_path / "archive.sqlite")
    with opened(tmp_path / "archive.sqlite") as made:
        yield made
