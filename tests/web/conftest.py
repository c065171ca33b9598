"""One reader of notes for all tests of the pages: opening a vocabulary takes seconds."""

from __future__ import annotations

import pytest

from tastevocab.web.table.worker import Work, WorkHere


@pytest.fixture(scope="session")
def work() -> WorkHere:
    return WorkHere(Work())
