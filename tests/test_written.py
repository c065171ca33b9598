"""What leaves the program: files whole or not at all, tables that run nothing."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.cells import csv_lines, csv_text, safe_cell
from tastevocab.errors import InputError, VocabularyError
from tastevocab.written import make_folder, whole_file, write_whole

# --- tables ---


@given(st.lists(st.lists(st.text(max_size=20), min_size=2, max_size=2), max_size=5))
def test_tables_come_back_and_nothing_runs(rows):
    back = list(csv.reader(io.StringIO(csv_text(("a", "b"), rows), newline="")))[1:]
    for given_row, row in zip(rows, back, strict=True):
        for cell, read in zip(given_row, row, strict=True):
            assert read in (cell, f"'{cell}")
            assert read[:1] not in ("=", "+", "-", "@", "\t", "\r") or float(read) == float(cell)


@pytest.mark.parametrize("cell", ["=1+1", "+peach", "-peach", "@SUM(A1)", "\t=1", "\r=1", "-1+1", "=-5"])
def test_what_would_run_is_text(cell):
    assert safe_cell(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", [-5, -0.5, "-5", "+0.25", "peach", "", None])
def test_numbers_and_words_stay_as_they_are(cell):
    assert safe_cell(cell) == ("" if cell is None else str(cell))


def test_lines_end_as_the_standard_says():
    assert csv_text(("a",), [["x,y"], ['q"q']]) == 'a\r\n"x,y"\r\n"q""q"\r\n'
    assert csv_text(("=a",), []) == csv_lines([("=a",)]) == "'=a\r\n"


# --- files ---


def test_a_file_appears_whole_and_keeps_its_rights(tmp_path: Path):
    path = tmp_path / "a.txt"
    write_whole(path, b"1")
    assert (path.read_bytes(), path.stat().st_mode & 0o777) == (b"1", 0o644)
    path.chmod(0o600)
    write_whole(path, b"2")
    assert (path.read_bytes(), path.stat().st_mode & 0o777) == (b"2", 0o600)
    assert list(tmp_path.iterdir()) == [path]


def test_half_a_file_is_never_there(tmp_path: Path):
    path = tmp_path / "a.txt"
    write_whole(path, b"old")

    def break_off() -> None:
        with whole_file(path) as out:
            out.write(b"half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        break_off()
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_what_cannot_be_written_is_named(tmp_path: Path):
    with pytest.raises(VocabularyError, match="cannot be written: No such file or directory") as error:
        write_whole(tmp_path / "none" / "a.txt", b"1", error=VocabularyError)
    assert str(error.value.place) == str(tmp_path / "none" / "a.txt")
    (tmp_path / "folder").mkdir()
    with pytest.raises(InputError, match="cannot be written"):
        write_whole(tmp_path / "folder", b"1")
    assert [p.name for p in tmp_path.iterdir()] == ["folder"]
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="cannot be written"):
        make_folder(tmp_path / "file" / "below")
