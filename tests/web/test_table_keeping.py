"""The day that people were told: written once, held to at the next start, and deleting asks first."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tastevocab.cli.main import build
from tastevocab.errors import InputError
from tastevocab.web.table.keeping import UNTIL, delete_table, kept_until, overdue, promise, refuse_overdue

FIRST = date(2026, 5, 1)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "spring-table"
    made.mkdir()
    (tmp_path / "spring.yaml").write_text("session: spring\n", encoding="utf-8")
    promise(made, 30, FIRST)
    (made / "notes.csv").write_text("said\n", encoding="utf-8")
    return made


def test_the_day_is_written_once_and_never_moved(folder: Path) -> None:
    assert kept_until(folder) == date(2026, 5, 31)
    assert promise(folder, 300, date(2026, 5, 20)) == date(2026, 5, 31)
    assert "deleted after 30 days" in (folder / UNTIL).read_text(encoding="utf-8")


def test_it_opens_on_its_last_day_and_not_after(folder: Path) -> None:
    session = folder.with_name("spring.yaml")
    refuse_overdue(folder, session, date(2026, 5, 31))
    with pytest.raises(InputError, match="deleted after 2026-05-31"):
        refuse_overdue(folder, session, date(2026, 6, 1))
    assert list(overdue(folder.parent, date(2026, 5, 31))) == []
    assert list(overdue(folder.parent, date(2026, 6, 1))) == [(folder, date(2026, 5, 31))]
    assert (folder / "notes.csv").exists()


def test_a_start_after_the_last_day_stops_before_anything_is_read(folder: Path) -> None:
    from tastevocab.web.serve import Door
    from tastevocab.web.table.opening import open_table
    from tastevocab.web.table.setting import Wanted

    (folder / UNTIL).write_text("2026-01-01\n", encoding="utf-8")
    with pytest.raises(InputError, match="deleted after 2026-01-01"):
        open_table(folder.with_name("spring.yaml"), folder, Wanted(), Door(None, "127.0.0.1", 1, frozenset()))  # type: ignore[arg-type]


@pytest.mark.parametrize(("answer", "gone"), [("n\n", False), ("y\n", True)])
def test_deleting_asks_first(folder: Path, answer: str, gone: bool) -> None:
    ran = CliRunner().invoke(build(), ["table", str(folder.with_name("spring.yaml")), "--delete"], input=answer)
    assert "with its 2 files" in ran.output
    assert folder.exists() is not gone
    assert folder.with_name("spring.yaml").exists()
    assert (ran.exit_code == 0) is gone


def test_only_a_table_is_deleted(folder: Path) -> None:
    with pytest.raises(InputError, match="holds no table"):
        delete_table(folder.parent, folder.with_name("spring.yaml"))
    (folder / "own.yaml").write_text("session: own\n", encoding="utf-8")
    with pytest.raises(InputError, match="holds the session file itself"):
        delete_table(folder, folder / "own.yaml")
    (folder / UNTIL).write_text("soon\n", encoding="utf-8")
    with pytest.raises(InputError, match="'soon' is no day"):
        kept_until(folder)
