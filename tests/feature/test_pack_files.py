"""Files: names stay inside, tables run nothing, nothing is half-written."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.errors import InputError
from tastevocab.feature.files import csv_bytes, safe_name, write_all


@given(st.text(max_size=120))
def test_any_name_stays_in_its_folder(text):
    name = safe_name(text)
    assert name
    assert Path(name).name == name
    assert name not in (".", "..")
    assert not set(name) & set('/\\:\0*?"<>|. \n')
    assert safe_name(text, {name}) != name


@pytest.mark.parametrize(
    ("text", "name"),
    [("../../etc", "etc"), ("a/b", "a-b"), ("..", "coffee"), ("NUL", "NUL-"), ("x\0y", "x-y"), ("Café 7", "Café-7")],
)
def test_hostile_names(text, name):
    assert safe_name(text) == name


@given(st.lists(st.lists(st.text(max_size=20), min_size=2, max_size=2), max_size=5))
def test_tables_come_back_and_nothing_runs(rows):
    text = csv_bytes(("a", "b"), rows).decode("utf-8")
    back = list(csv.reader(io.StringIO(text, newline="")))[1:]
    for given_row, row in zip(rows, back, strict=True):
        for cell, read in zip(given_row, row, strict=True):
            assert read.removeprefix("'") == cell.removeprefix("'") or read == cell
            assert read[:1] not in ("=", "+", "-", "@", "\t", "\r")


def test_lines_end_as_the_standard_says():
    assert csv_bytes(("a",), [["x,y"], ['q"q']]) == b'a\r\n"x,y"\r\n"q""q"\r\n'


def test_a_link_out_of_the_folder_is_refused(tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    out = tmp_path / "out"
    out.mkdir()
    (out / "one").symlink_to(outside)
    with pytest.raises(InputError, match="leads out of the chosen folder"):
        write_all(out, {"one": {"notes.md": b"x"}})
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("name", ["../x", "a/b", "..", ""])
def test_a_name_with_a_path_in_it_is_refused(tmp_path, name):
    with pytest.raises(InputError):
        write_all(tmp_path / "out", {"one": {name: b"x"}})
    assert not (tmp_path / "x").exists()


def test_no_temporary_file_is_left(tmp_path):
    paths = write_all(tmp_path, {"one": {"a.txt": b"1", "b.txt": b"2"}})
    assert sorted(p.name for p in (tmp_path / "one").iterdir()) == ["a.txt", "b.txt"]
    assert [p.read_bytes() for p in paths] == [b"1", b"2"]


def test_a_file_in_the_way_is_an_error(tmp_path):
    (tmp_path / "one").write_text("x")
    with pytest.raises(InputError, match="cannot be written"):
        write_all(tmp_path, {"one": {"a.txt": b"1"}})
