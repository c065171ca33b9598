"""One reader of notes for all tests of the pages: opening a vocabulary takes seconds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from desk_table import make_table
from screens import browsing

from tastevocab.reading.review.decisions import beside
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.table.worker import Work, WorkHere


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Chromium, once a file."""
    with browsing() as made:
        yield made


@pytest.fixture(scope="session")
def work() -> WorkHere:
    return WorkHere(Work())


@pytest.fixture(scope="session")
def sitting(tmp_path_factory: pytest.TempPathFactory) -> Sitting:
    """The desk's invented table, read once; `quay` gives it without a decision."""
    return Sitting(make_table(tmp_path_factory.mktemp("quay")))


@pytest.fixture
def quay(sitting: Sitting) -> Sitting:
    """The desk's table as if nothing had ever been decided."""
    for path in sitting.kept.notes:
        beside(path).unlink(missing_ok=True)
    sitting.kept.past.clear()
    sitting.kept.future.clear()
    return sitting
