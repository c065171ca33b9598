"""Killed, out of disk, or two at once: a file is as it was or as it becomes, and what is in the way is told."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).parents[1] / "bench"))

from kills import COMMANDS, DECIDED, SESSION, kills, run, table, together

from tastevocab.errors import InputError, TastevocabError
from tastevocab.reading.review.decisions import read_decisions
from tastevocab.written import locked, write_together, write_whole

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="children are forked")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    table(tmp_path)
    return tmp_path


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
@pytest.mark.parametrize("command", [c for c in COMMANDS if c.name == "session sheets"], ids=lambda c: c.name)
def test_killed_at_any_moment_no_file_is_half(command) -> None:
    """One of them, which is quick; a hundred kills of each: `tests/bench/kills.py`."""
    outcome = kills(command, 2)
    assert outcome.bad == ()
    assert outcome.left == ()
    assert outcome.killed


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
def test_two_writers_of_a_house_file_lose_nothing() -> None:
    words = ("hawberry", "slatterberry")
    more = ("--under", "dark_berries", "--as", "note", "--house", "house.yaml")
    made = together([("vocab", "add", word, *more) for word in words])["house.yaml"].decode()
    assert all(f"{word}:\n" in made for word in words)


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
def test_two_reviews_at_once_lose_nothing(tmp_path: Path) -> None:
    def prepare(folder: Path) -> None:
        table(folder)
        for n, line in enumerate(DECIDED.splitlines()):
            (folder / f"{n}.yaml").write_text(f"{line}\n")

    made = together([("review", "session.yaml", "--decide", f"{n}.yaml") for n in (0, 1)], prepare)
    (tmp_path / "d.yaml").write_bytes(made["sheet.decisions.yaml"])
    assert {d.words for d in read_decisions(tmp_path / "d.yaml")} == {"kumquish", "slatterberry"}
    assert not [name for name in made if name.startswith(".")]


# --- what is in the way ---


def test_what_a_killed_writer_left_goes_with_the_next(tmp_path: Path) -> None:
    (tmp_path / ".tastevocab-dead.part").write_text("half")
    (tmp_path / ".tastevocab-kept.txt").write_text("mine")
    write_whole(tmp_path / "a.txt", b"1")
    assert sorted(p.name for p in tmp_path.iterdir()) == [".tastevocab-kept.txt", "a.txt"]


def test_a_living_writer_is_left_alone(tmp_path: Path) -> None:
    from tastevocab.written import _clear, whole_file

    with whole_file(tmp_path / "a.txt") as out:
        out.write(b"1")
        _clear.cache_clear()
        write_whole(tmp_path / "b.txt", b"2")
    assert (tmp_path / "a.txt").read_bytes() == b"1"


def test_a_lock_is_for_one_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tastevocab.written.WAIT", 0.05)
    path = tmp_path / "a.yaml"
    with locked(path):
        with pytest.raises(InputError, match="another program is writing it"), locked(path):
            pass
        assert [p.name for p in tmp_path.iterdir()] == [".a.yaml.lock"]
    assert list(tmp_path.iterdir()) == []
    (tmp_path / ".a.yaml.lock").write_text("")  # of a killed one
    with locked(path):
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_link_goes_on_pointing_where_it_did(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "a.txt").write_text("old")
    (tmp_path / "a.txt").symlink_to(tmp_path / "real" / "a.txt")
    write_whole(tmp_path / "a.txt", b"new")
    assert (tmp_path / "a.txt").is_symlink()
    assert (tmp_path / "real" / "a.txt").read_text() == "new"


@pytest.mark.parametrize(("make", "what"), [(Path.mkdir, "it is a folder"), (os.mkfifo, "it is no plain file")])
def test_what_is_no_file_is_not_written_over(tmp_path: Path, make, what: str) -> None:
    make(tmp_path / "house.yaml")
    with pytest.raises(InputError, match=what):
        write_whole(tmp_path / "house.yaml", b"1")
    assert [p.name for p in tmp_path.iterdir()] == ["house.yaml"]
    assert not (tmp_path / "house.yaml").is_file()


def test_a_full_disk_leaves_all_files_as_they_were(tmp_path: Path) -> None:
    import resource
    import signal

    paths = [tmp_path / name for name in "ab"]
    for path in paths:
        path.write_text("old")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, before[1]))
    try:
        with pytest.raises(InputError, match="b: cannot be written: File too large"):
            write_together({paths[0]: b"new", paths[1]: bytes(200_000)})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)
    assert sorted((p.name, p.read_text()) for p in tmp_path.iterdir()) == [("a", "old"), ("b", "old")]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(InputError, match="Permission denied"):
            write_whole(tmp_path / "a.txt", b"1")
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.parametrize(
    "words",
    [
        ("session", "check", "pipe"),
        ("read", "pipe"),
        ("review", "pipe", "--list"),
        ("vocab", "check", "--house", "pipe"),
        ("session", "check", "piped.yaml"),
    ],
    ids=" ".join,
)
def test_a_pipe_in_a_files_place_is_told_at_once(folder: Path, words: tuple[str, ...]) -> None:
    os.mkfifo(folder / "pipe")
    (folder / "piped.yaml").write_text(SESSION.replace("sheet.csv", "pipe"))
    assert told(folder, words)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
def test_a_folder_where_a_file_goes_is_told_and_nothing_half(folder: Path, command) -> None:
    places = {
        "feature": "pack/one/notes.md",
        "review": "sheet.decisions.yaml",
        "vocab add": "house.yaml",
        "session sheets": "sheets/sheets.pdf",
    }
    (folder / places[command.name]).mkdir(parents=True)
    before = {p for p in folder.rglob("*") if p.is_file()}
    assert told(folder, command.new)
    assert {p for p in folder.rglob("*") if p.is_file()} == before


def told(folder: Path, words: tuple[str, ...]) -> bool:
    """Whether a command ends with an error of the program's own."""
    try:
        return run(folder, words) == 1
    except TastevocabError:
        return True
