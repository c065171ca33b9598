"""A corpus cut into parts, and one part read: the same findings as `read` gives of the same notes."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from corpus_tables import found_in, notes, read_as_one, same, write_csv, write_lines, write_parquet

from tastevocab.corpus import parts as cutting
from tastevocab.corpus.columns import COLUMNS, SERVED
from tastevocab.corpus.frame import empty_frame, read_frame
from tastevocab.corpus.parts import cut, cut_file
from tastevocab.corpus.reading import job_of, read_part
from tastevocab.errors import InputError


@pytest.mark.parametrize(
    ("write", "name", "size", "count"),
    [
        (write_csv, "notes.csv", 3, 14),
        (write_csv, "notes.csv", 10, 4),
        (write_csv, "notes.csv", 1000, 1),
        (write_lines, "notes.jsonl", 3, 14),
        (write_lines, "notes.jsonl", 1000, 1),
        (write_parquet, "notes.parquet", 3, 17),  # six row groups, of seven rows and one of five
        (write_parquet, "notes.parquet", 1000, 6),
    ],
)
def test_however_a_table_is_cut_it_reads_as_one(tmp_path: Path, write, name: str, size: int, count: int) -> None:
    path, out = write(tmp_path / name, notes(40)), tmp_path / "found"
    out.mkdir()
    job = job_of(out)
    parts = list(cut([path], size))
    assert len(parts) == count
    assert [read_part(part, job).failure for part in parts] == [""] * count
    own = [row for row in found_in(out) if row["kind"] != SERVED]
    whole = read_as_one(write_lines(tmp_path / "whole.jsonl", notes(40)))
    assert len(own) == len(whole) > 40
    assert all(same(row, told) for row, told in zip(own, whole, strict=True))
    served = [row["note"] for row in found_in(out) if row["kind"] == SERVED]
    assert served == [f"n{i}" for i in range(40)]


def test_lines_of_a_piece_are_lines_of_the_file(tmp_path: Path) -> None:
    table = tmp_path / "notes.csv"
    table.write_text('sep=,\ntaster,text\na,plum\nb,"two\nlines, peach"\nc,jasmine\nd,cocoa\n', "utf-8")
    assert [(part.line, part.head) for part in cut_file(table, 2)] == [(3, "taster,text\n"), (6, "taster,text\n")]


def test_a_part_knows_its_bytes(tmp_path: Path) -> None:
    """A change in one piece leaves the others as they are."""
    before = [p.digest for p in cut_file(write_lines(tmp_path / "n.jsonl", notes(12)), 4)]
    changed = [*notes(12)[:5], {**notes(12)[5], "text": "quince!"}, *notes(12)[6:]]
    after = [p.digest for p in cut_file(write_lines(tmp_path / "n.jsonl", changed), 4)]
    assert [a == b for a, b in zip(before, after, strict=True)] == [True, False, True]


@pytest.mark.parametrize("text", ['[{"text": "plum"},\n{"text": "peach"}]', '{"notes": [{"text": "plum"}]}\n'])
def test_one_json_value_is_one_part(tmp_path: Path, text: str) -> None:
    path = tmp_path / "n.json"
    path.write_text(text, "utf-8")
    assert [(p.start, p.stop) for p in cut_file(path, 1)] == [(0, cutting.END)]


def test_two_files_of_one_name_are_refused(tmp_path: Path) -> None:
    for name in "ab":
        (tmp_path / name).mkdir()
        write_lines(tmp_path / name / "n.jsonl", notes(2))
    with pytest.raises(InputError, match=r"two files are called n\.jsonl"):
        list(cut([tmp_path / "a" / "n.jsonl", tmp_path / "b" / "n.jsonl"]))


def test_a_frame_is_read_with_columns_of_its_own_names() -> None:
    frame = pd.DataFrame({"review": ["plum", None], "user": ["ann", "bo"], "sku": [7, 8], "notes": ["not read", ""]})
    made = read_frame(frame, text="review", taster="user", coffee="sku")
    assert list(made.columns) == list(COLUMNS)
    assert list(made.dtypes) == list(empty_frame().dtypes)
    assert made[["kind", "speaker", "coffee", "words"]].to_numpy(na_value="-").tolist() == [
        [SERVED, "ann", "7", "-"], ["flavour", "ann", "7", "plum"], [SERVED, "bo", "8", "-"]
    ]  # fmt: skip


def test_an_empty_frame_gives_the_same_columns() -> None:
    made = read_frame(pd.DataFrame({"text": pd.Series([], dtype=str)}))
    assert made.empty
    assert list(made.dtypes) == list(empty_frame().dtypes)


def test_a_missing_column_is_named() -> None:
    with pytest.raises(InputError, match='has no column "review"; the columns are: text'):
        read_frame(pd.DataFrame({"text": ["plum"]}), text="review")
