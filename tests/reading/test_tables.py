"""Tables of notes: CSV in its dialects, JSON lines, JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from turn_checks import LAYOUT, read

from tastevocab.errors import InputError
from tastevocab.reading.intake.files import read_turns, stream_turns


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_every_dialect_gives_the_same_turns(mark: str) -> None:
    rows = [["Taster", "COFFEE", "Method", "Temperature", "Cup", "Id", "Tasting notes"]]
    rows += [["Ana", "alto", "filter", "hot", "2", "n1", f'"plum{mark} not ""fig"""']]
    (turn,) = read("\ufeff" + "\r\n".join(mark.join(row) for row in rows), "csv").turns
    assert (turn.speaker, turn.coffee, turn.brew, turn.moment, turn.bowl, turn.note) == (
        "Ana",
        "alto",
        "filter",
        "hot",
        "2",
        "n1",
    )
    assert (turn.text, turn.offsets, turn.kind, turn.line) == (f'plum{mark} not "fig"', ((0, 0),), "note", 2)


def test_columns_of_attributes_and_moments_become_turns_of_their_own() -> None:
    turns = read("name,hot,cold,Acidity,Price\nAna,plum,fig,high,12\n", "csv").turns
    assert [(t.text, t.moment, t.topic) for t in turns] == [
        ("plum", "hot", None),
        ("fig", "cool", None),
        ("high", None, "acidity"),
    ]


def test_line_breaks_in_a_cell_count_as_lines_of_the_file() -> None:
    turns = read('text,id\n"plum\nfig",1\n\ndate,2\n', "csv").turns
    assert [(t.text, t.line) for t in turns] == [("plum\nfig", 2), ("date", 5)]


def test_commas_too_many_belong_to_a_last_column_of_words() -> None:
    assert read("taster,notes\nAna,plum, fig, not lemon\n", "csv").turns[0].text == "plum, fig, not lemon"
    with pytest.raises(InputError, match=r"table\.txt:2: has 3 cells where the first line names 2 columns"):
        read("notes,taster\nplum, fig,Ana\n", "csv")


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("a,b\n1,2\n", "csv", r"table\.txt:2: has no column of words; the columns are: a, b"),
        ("text,text\n1,2\n", "csv", r'table\.txt:1: has two columns named "text"'),
        ('text,id\nfine,1\n"plum,2\nfig,3\n', "csv", r"table\.txt:3: cannot be read as a table"),
        ('{"text": "plum"}\n{"text": \n', "jsonl", r"table\.txt:2: is not JSON"),
        ('{"text": "plum"}\n{"id": 1}\n', "jsonl", r"table\.txt:2: has no column of words; the columns are: id"),
        ('{"text": ["plum"]}\n', "jsonl", r'table\.txt:1: "text" holds a list'),
        ("17\n", "jsonl", r"table\.txt:1: holds 17 where an object"),
        ("[" * 100_000, "jsonl", r"table\.txt:1: is not JSON"),
    ],
)
def test_bad_tables_are_told_with_their_line(text: str, kind: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        read(text, kind)


@pytest.mark.parametrize(
    "text",
    [
        '{"id": 1, "text": "plum", "Taster": "Ana"}\n\n{"id": 2, "text": "fig", "Taster": null}\n',
        '[{"id": 1, "text": "plum", "Taster": "Ana"},\n {"id": 2, "text": "fig"}]',
        '{"notes": [{"id": 1, "text": "plum", "Taster": "Ana"}, {"id": 2, "text": "fig"}]}',
        '{\n"rows": [\n{"id": 1, "text": "plum", "Taster": "Ana"}, {"id": 2, "text": "fig"}]}\n',
    ],
)
def test_json_lines_and_arrays_give_the_same_turns(text: str) -> None:
    assert [(t.note, t.text, t.speaker) for t in read(text, "jsonl").turns] == [
        ("1", "plum", "Ana"),
        ("2", "fig", None),
    ]


def test_half_a_character_is_made_printable() -> None:
    assert read('{"text": "plum \\ud83c"}', "jsonl").turns[0].text == "plum \ufffd"


def test_a_table_streams_row_by_row(tmp_path: Path) -> None:
    path = tmp_path / "notes.jsonl"
    path.write_text('{"text": "plum"}\n{broken\n', encoding="utf-8")
    rows = stream_turns(path, layout=LAYOUT)
    assert next(rows).text == "plum"
    with pytest.raises(InputError, match=r"notes\.jsonl:2: is not JSON"):
        next(rows)


def test_a_table_in_an_old_encoding_is_read_and_told(tmp_path: Path) -> None:
    path = tmp_path / "notes.csv"
    path.write_bytes("id;text\n1;crème brûlée\n".encode("cp1252"))
    file = read_turns(path, layout=LAYOUT)
    assert file.turns[0].text == "crème brûlée"
    assert "Windows-1252" in file.notices[0]


def test_rows_come_back_as_written(tmp_path: Path) -> None:
    texts = ["plum", " fig ", "“curly” – dash\xa0…", 'quote " and \\ and\nbreak']
    path = tmp_path / "notes.jsonl"
    path.write_text("".join(json.dumps({"text": t}, ensure_ascii=False) + "\n" for t in texts), encoding="utf-8")
    assert [t.text for t in read_turns(path, layout=LAYOUT).turns] == texts


@pytest.mark.parametrize("cell", ["plum\rfig", '"plum\rfig"'])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_bare_carriage_return_breaks_a_cell_and_no_row(cell: str, end: str) -> None:
    turns = read(f"text,id{end}{cell},1{end}date,2{end}", "csv").turns
    assert [(t.text, t.note, t.line) for t in turns] == [("plum\nfig", "1", 2), ("date", "2", 3)]


def test_a_table_of_an_old_mac_ends_its_rows_in_carriage_returns() -> None:
    assert [(t.text, t.note) for t in read("text,id\rplum,1\rfig,2\r", "csv").turns] == [("plum", "1"), ("fig", "2")]


def test_a_first_line_too_long_for_a_cell_is_told() -> None:
    with pytest.raises(InputError, match=r"table\.txt:1: cannot be read as a table"):
        read("text" * 50_000 + "\n", "csv")
