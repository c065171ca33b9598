"""The file itself: whole or unchanged whatever happens, brought up from old versions, two writers, looked after."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from archive_tables import ROWS, said, write_session

from tastevocab.archive import adding, schema, upkeep
from tastevocab.archive.recall import editions, gathered_of, read_again
from tastevocab.archive.store import default_path, opened
from tastevocab.errors import InputError
from tastevocab.panel.session import open_session

HERE = Path(__file__).parent


# --- versions of the file ---


def old_file(path: Path, version: int) -> None:
    """A file as an earlier version left it: `version1.sql` is a dump of one, `version2.sql` what 2 has more."""
    db = sqlite3.connect(path)
    for number in range(1, version + 1):
        db.executescript((HERE / f"version{number}.sql").read_text("utf-8"))
    db.close()


@pytest.mark.parametrize("version", [1, 2])
def test_an_old_file_is_brought_up_to_date(tmp_path, keeper, version):
    old_file(tmp_path / "old.sqlite", version)
    with opened(tmp_path / "old.sqlite") as archive:
        assert archive.db.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
        assert upkeep.check(archive) == []
        facts = archive.db.execute(
            "SELECT f.key, f.value FROM fact AS f JOIN coffee AS c ON c.id = f.coffee WHERE c.key = 'vale'"
        )
        assert dict(facts) == {"process": "washed", "roasted": "2026-02-20", "origin": "Huehuetenango"}
        query = "SELECT people FROM arc JOIN coffee ON id = coffee WHERE key = 'rio' AND descriptor LIKE '%/caramel'"
        assert archive.db.execute(query).fetchall() == [(3,)]
        (edition,) = editions(archive.db)
        kept = gathered_of(archive.db, edition)
        assert len(kept.findings) == 12
        assert said(read_again(archive.db, edition, keeper.lexicon)) == said(kept)


def test_a_step_that_fails_leaves_the_old_version(tmp_path, monkeypatch):
    old_file(tmp_path / "old.sqlite", 1)
    before = (tmp_path / "old.sqlite").read_bytes()

    def broken(db: sqlite3.Connection) -> None:
        schema._to_2(db)
        raise RuntimeError("power gone")

    monkeypatch.setattr(schema, "STEPS", (schema.STEPS[0], broken))
    with pytest.raises(RuntimeError, match="power gone"), opened(tmp_path / "old.sqlite"):
        pass
    assert (tmp_path / "old.sqlite").read_bytes() == before


def test_a_file_of_a_later_program_is_left_alone(archive):
    archive.db.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    with pytest.raises(InputError, match="written by a later tastevocab"), opened(archive.path):
        pass


@pytest.mark.parametrize("content", [b"taster,text\nmira,peach\n" * 200, None], ids=["text", "another database"])
def test_what_is_no_archive_is_refused_and_not_touched(tmp_path, content):
    path = tmp_path / "notes.sqlite"
    if content is None:
        db = sqlite3.connect(path)
        db.execute("CREATE TABLE shopping (milk)")
        db.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(InputError, match="is no archive"), opened(path, make=True):
        pass
    assert path.read_bytes() == before


def test_without_a_file_there_is_nothing_to_look_at(tmp_path):
    with pytest.raises(InputError, match="there is no archive"), opened(tmp_path / "none.sqlite"):
        pass
    assert not (tmp_path / "none.sqlite").exists()


def test_the_file_lies_in_the_users_data_folder_unless_named(monkeypatch, tmp_path):
    monkeypatch.delenv("TASTEVOCAB_ARCHIVE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    if sys.platform == "linux":
        assert default_path() == tmp_path / "tastevocab" / "archive.sqlite"
    monkeypatch.setenv("TASTEVOCAB_ARCHIVE", str(tmp_path / "own.sqlite"))
    assert default_path() == tmp_path / "own.sqlite"


def test_the_file_is_its_owners_alone(archive):
    if os.name == "posix":
        assert archive.path.stat().st_mode & 0o077 == 0


# --- nothing half, nothing lost ---


def test_a_full_disk_changes_nothing(archive, tmp_path, keeper):
    (pages,) = archive.db.execute("PRAGMA page_count").fetchone()
    archive.db.execute(f"PRAGMA max_page_count = {pages}")
    path = write_session(tmp_path / "big", "big", rows=ROWS * 20)
    with pytest.raises(InputError, match="full"):
        keeper.add(archive, path)
    archive.db.execute(f"PRAGMA max_page_count = {pages + 1000}")
    assert [e.session for e in editions(archive.db)] == ["spring"]
    assert upkeep.check(archive) == []
    assert keeper.add(archive, path).state == "added"


@pytest.mark.skipif(not hasattr(signal, "SIGXFSZ"), reason="limits of a file's size are POSIX")
def test_a_disk_that_takes_no_more_is_told_as_such(archive, tmp_path):
    """The system itself refuses to let the file grow."""
    code = (
        "import resource, signal, sys\n"
        "from pathlib import Path\n"
        "from tastevocab.archive.store import opened\nfrom tastevocab.errors import InputError\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\npath = Path(sys.argv[1])\n"
        "with opened(path) as a:\n"
        "    size = path.stat().st_size\n    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))\n"
        "    try:\n"
        "        with a.writing() as db:\n"
        "            db.executemany('INSERT INTO session (name) VALUES (?)', ((str(i) * 50,) for i in range(20000)))\n"
        "    except InputError as problem:\n        print(problem.what)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, str(archive.path)], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("cannot be used: ")
    assert [e.session for e in editions(archive.db)] == ["spring"]
    assert upkeep.check(archive) == []


def test_two_writers_at_once_lose_nothing(tmp_path, keeper):
    path = tmp_path / "a.sqlite"
    taken = []
    for number in range(12):
        session = open_session(write_session(tmp_path / "tables", f"s{number:02}", rows=ROWS[:3]))
        taken.append(adding.intake(session, keeper.lexicon, adding.digest_of(session)))
    problems: list[Exception] = []

    def work(mine):
        try:
            with opened(path, make=True) as archive:
                for one in mine:
                    adding.write(archive, one, keeper.vocabulary)
        except Exception as problem:
            problems.append(problem)

    # Both also write s00: the second finds it there, or the other way round.
    threads = [threading.Thread(target=work, args=(part,)) for part in (taken[::2], [taken[0], *taken[1::2]])]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert problems == []
    with opened(path) as archive:
        assert [(e.session, e.number) for e in editions(archive.db)] == [(f"s{n:02}", 1) for n in range(12)]
        assert archive.db.execute("SELECT COUNT(*) FROM person").fetchone() == (3,)
        assert upkeep.check(archive) == []


def test_a_file_that_another_makes_meanwhile_is_an_archive(tmp_path, monkeypatch):
    path = tmp_path / "a.sqlite"
    connect = sqlite3.connect
    tried = []

    def made_by_another(statement):
        if "sqlite_master" not in statement or tried:
            return
        other = connect(path, timeout=0, isolation_level=None)
        try:
            tried.append(statement)
            other.execute("BEGIN IMMEDIATE")
            schema.bring_up(other, 0)
            other.execute("COMMIT")
        except sqlite3.OperationalError as problem:
            assert "locked" in str(problem)  # noqa: PT017
        finally:
            other.close()

    def watched(*arguments, **named):
        db = connect(*arguments, **named)
        db.set_trace_callback(made_by_another)
        return db

    monkeypatch.setattr(sqlite3, "connect", watched)
    with opened(path, make=True) as archive:
        assert upkeep.check(archive) == []
    assert tried


KILLED = """
import os, signal, sqlite3, sys
from pathlib import Path
from tastevocab.archive import adding
from tastevocab.archive.store import opened
from tastevocab.panel.session import BrewCard, Coffee, Session, Source, open_session
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary

left = int(sys.argv[3])

def tick():
    global left
    left -= 1
    if left <= 0:
        os.kill(os.getpid(), signal.SIGKILL)

with opened(Path(sys.argv[1]), make=True) as archive:
    archive.db.execute("PRAGMA cache_size = 4")
    archive.db.set_progress_handler(tick, 50)
    print(adding.add(archive, open_session(Path(sys.argv[2])), open_lexicon(), open_vocabulary()).state)
"""


@pytest.mark.skipif(os.name != "posix", reason="kill -9 is POSIX")
@pytest.mark.parametrize("steps", [1, 40, 90])
def test_killed_in_the_middle_of_an_add(archive, tmp_path, steps, keeper):
    """SIGKILL from inside SQLite after so many steps of it; the small cache makes it write before the end.

    A hundred points are tried by `tests/bench/test_archive_bench.py`.
    """
    path = write_session(tmp_path / "next", "next", rows=ROWS * 20)
    run = [sys.executable, "-c", KILLED, str(archive.path), str(path), str(steps)]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert [e.session for e in editions(archive.db)] == ["spring"]
    assert upkeep.check(archive) == []
    assert keeper.add(archive, path).state == "added"


# --- looked after ---


def test_a_copy_is_whole_while_another_writes(archive, tmp_path):
    with archive.writing() as db:
        db.execute("INSERT INTO session (name) VALUES ('half')")
        with opened(archive.path) as other:
            upkeep.backup(other, tmp_path / "copy.sqlite")
    with opened(tmp_path / "copy.sqlite") as copy:
        assert [e.session for e in editions(copy.db)] == ["spring"]
        assert upkeep.check(copy) == []
    with pytest.raises(InputError, match="is the archive itself"):
        upkeep.backup(archive, archive.path)


def test_check_finds_what_is_half(archive):
    with archive.writing() as db:
        db.execute("DELETE FROM arc WHERE coffee = 1")
        db.execute("UPDATE edition SET current = 0")
        db.execute("DROP TRIGGER turn_gone")
        db.execute("DELETE FROM turn WHERE id = 1")
    assert upkeep.check(archive) == [
        "the full-text index does not fit what was said",
        "session 'spring': 0 versions of it count",
        "the kept maps do not fit the findings",
    ]


def test_a_damaged_file_is_told(archive):
    raw = bytearray(archive.path.read_bytes())
    raw[4096 * 3 : 4096 * 12] = b"\xff" * (4096 * 9)
    archive.path.write_bytes(raw)
    with pytest.raises(InputError, match="damaged"), opened(archive.path) as broken:
        upkeep.check(broken)


def test_rows_of_the_export(archive):
    rows = list(upkeep.exported(archive, codes=True))
    assert len(rows) == 12
    assert rows[0] | {"end": 0} == rows[0] | {
        "end": 0,
        "session": "spring",
        "coffee": "vale",
        "taster": "P1",
        "words": "jasmine",
    }
    assert {row["taster"] for row in upkeep.exported(archive)} == {"mira", "otto", "pilar"}
