"""The one door to all readers: encodings, kinds, errors, and what holds for any text whatever."""

from __future__ import annotations

import codecs
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials
from turn_checks import LAYOUT, read

from tastevocab.errors import InputError
from tastevocab.reading.intake.files import kind_of, read_turns, stream_turns, turns_of
from tastevocab.reading.intake.strand import Strand, join
from tastevocab.reading.records import Turn

TALK = "Ana: crème brûlée\nBen: fig – not plum\nAna: no\n"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (TALK.encode(), ""),
        (codecs.BOM_UTF8 + TALK.encode(), ""),
        (TALK.replace("\n", "\r\n").encode(), ""),
        (TALK.encode("cp1252"), "Windows-1252"),
        (TALK.encode("utf-16"), "UTF-16"),
    ],
)
def test_encodings(tmp_path: Path, data: bytes, told: str) -> None:
    path = tmp_path / "talk.txt"
    path.write_bytes(data)
    file = read_turns(path, layout=LAYOUT)
    assert (file.turns[0].speaker, file.turns[0].text) == ("Ana", "crème brûlée")
    assert bool(file.notices) == bool(told)
    assert told in " ".join(file.notices)


@pytest.mark.parametrize("lead", [b"", codecs.BOM_UTF8])
def test_places_count_as_python_reads_the_file(tmp_path: Path, lead: bytes) -> None:
    path = tmp_path / "talk.txt"
    path.write_bytes(lead + TALK.replace("\n", "\r\n").encode())
    theirs = path.read_text(encoding="utf-8")
    for turn in read_turns(path, layout=LAYOUT).turns:
        start = turn.file_position(0)
        assert theirs[start : start + len(turn.text)] == turn.text


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "is empty"),
        (b"plum\0fig", "NUL bytes"),
        (b"PK\x03\x04rest", "zip archive"),
        (b"%PDF-1.7", "PDF"),
        (b"plum \x81\x8d\xff\x01", "neither UTF-8, UTF-16 nor Windows-1252"),
        (b"\x01\x02\x03 plum", "control characters"),
        (b" \n\t\n", "is empty"),
    ],
)
def test_what_is_no_text_is_refused(tmp_path: Path, data: bytes, message: str) -> None:
    path = tmp_path / "talk.txt"
    path.write_bytes(data)
    with pytest.raises(InputError, match=rf"talk\.txt.*{message}"):
        read_turns(path, layout=LAYOUT)


@pytest.mark.parametrize(
    "data", [b"ID3\x04", b"fLaC\0", b"RIFF\0\0\0\0WAVE", b"\0\0\0\x1cftypM4A ", b"\x1aE\xdf\xa3\x01"]
)
def test_a_recording_is_told_the_way_to_captions(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "table.m4a"
    path.write_bytes(data)
    with pytest.raises(InputError, match="is not text but a sound") as caught:
        read_turns(path, layout=LAYOUT)
    assert "tastevocab hear" in caught.value.mend


def test_a_missing_file_or_a_folder_is_told_by_name(tmp_path: Path) -> None:
    for path in (tmp_path / "none.vtt", tmp_path):
        with pytest.raises(InputError, match="cannot be read"):
            read_turns(path, layout=LAYOUT)


def test_an_unknown_kind_names_the_known_ones() -> None:
    with pytest.raises(InputError, match='"word" is no kind of notes'):
        read("plum", "word")


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("WEBVTT\n\n00:01.000 --> 00:02.000\nplum\n", "vtt"),
        ("1\n00:00:01,000 --> 00:00:02,000\nplum\n", "srt"),
        ("[0:01] plum\n[0:02] fig\n", "stamped"),
        ("# Sheet\n\n## Hot\n\n- plum\n", "sheet"),
        ('{"text": "plum"}\n', "jsonl"),
        ("plum, fig\n", "text"),
        ("Ratio 1:16\n", "text"),
    ],
)
def test_a_text_is_known_by_its_looks(text: str, kind: str) -> None:
    assert kind_of(text) == kind


def test_base_fills_only_what_the_file_leaves_open() -> None:
    base = Turn("", "", speaker="Otto", coffee="alto", brew="filter")
    file = turns_of("Ana: plum.\nAna: fig.\n\nAnd a quince.\n", source="x", layout=LAYOUT, base=base)
    assert [(t.speaker, t.coffee, t.brew) for t in file.turns] == [
        ("Ana", "alto", "filter"),
        ("Ana", "alto", "filter"),
        ("Otto", "alto", "filter"),
    ]


def test_streaming_gives_the_turns_of_reading(tmp_path: Path) -> None:
    path = tmp_path / "talk.txt"
    path.write_bytes(TALK.encode("cp1252"))
    told: list[str] = []
    assert tuple(stream_turns(path, layout=LAYOUT, notice=told.append)) == read_turns(path, layout=LAYOUT).turns
    assert len(told) == 1


# Pieces that files of talk are made of, so that random texts reach into every reader.
PIECES = st.sampled_from(
    [
        "WEBVTT\n\n", "00:01.000 --> 00:02.000\n", "00:00:01,000 --> x\n", "<v Ana>", "</v>", "<i>", "&amp;", "&#0;",
        ">>", "- ", "\n", "\n\n", "# Hot\n", "## ", "| a | b |\n", "|---|---|\n", "| Ana | plum |\n", "**Ben:** ",
        "~~x~~", "> ", "[0:01] ", "Ana: ", "Ben: ", "[Ben] ", "plum", " not fig. ", "Hot: ", "Tasters: Ana (A), Ben\n",
        "<!-- ", " -->", "\\|", "_", "**", "{\\an8}", "NOTE ", "STYLE\n", "\ufeff", "“", "\u2028", "\xa0", "\r", ",",
        '"', "text,id\n", "===\n",
    ]
)  # fmt: skip
TEXTS = st.one_of(st.text(max_size=80), st.lists(st.one_of(PIECES, st.text(max_size=6)), max_size=30).map("".join))
KINDS = st.sampled_from([None, "vtt", "srt", "stamped", "text", "sheet"])


@trials(135)
@given(TEXTS, KINDS)
def test_no_text_crashes_a_reader_and_every_character_stands_in_the_file(text: str, kind: str | None) -> None:
    try:
        file = read(text, kind)
    except InputError:
        return
    for turn in file.turns:
        assert turn.text.strip() == turn.text.strip("\n")
        assert [p for p, _ in turn.offsets] == sorted({p for p, _ in turn.offsets})
        places = [turn.file_position(n) for n in range(len(turn.text))]
        if file.text:
            assert all(0 <= place <= len(file.text) for place in places)
            for character, place in zip(turn.text, places, strict=True):
                there = file.text[place : place + 1]
                assert character in (there, " ") or there in ("&", "<"), (turn, place)


@trials(65)
@given(TEXTS, st.sampled_from(["csv", "jsonl"]))
def test_no_text_crashes_a_table(text: str, kind: str) -> None:
    try:
        assert all(turn.text for turn in read(text, kind).turns)
    except InputError:
        return


@given(
    st.lists(
        st.tuples(st.sampled_from(["Ana", "Ben", "Cy"]), st.from_regex(r"[a-z]+( [a-z]+){0,4}\.", fullmatch=True)),
        min_size=4,
    )
)
def test_named_talk_says_the_same_in_every_form(lines: list[tuple[str, str]]) -> None:
    names = [name for name, _ in lines]
    lines = [
        *lines,
        ("Ana", "over."),
        ("Ben", "over."),
        ("Cy", "over."),
        ("Ana", "out."),
        ("Ben", "out."),
        ("Cy", "out."),
    ]
    plain = "".join(f"{name}: {words}\n" for name, words in lines)
    voiced = "WEBVTT\n\n" + "".join(f"00:01.000 --> 00:02.000\n<v {name}>{words}\n\n" for name, words in lines)
    numbered = "".join(f"{n}\n00:00:01,000 --> 00:00:02,000\n{a}: {w}\n\n" for n, (a, w) in enumerate(lines, 1))
    sheet = "".join(f"- {name}: {words}\n" for name, words in lines)
    assert names == [t.speaker for t in read(plain, "text").turns][: len(names)]
    for text, kind in ((voiced, "vtt"), (numbered, "srt"), (sheet, "sheet")):
        by_name = {name: " ".join(t.text for t in read(text, kind).turns if t.speaker == name) for name in set(names)}
        assert by_name == {name: " ".join(w for who, w in lines if who == name) for name in set(names)}


@given(st.text(max_size=40), st.lists(st.integers(0, 40), max_size=6))
def test_strands_cut_and_joined_still_know_their_places(text: str, cuts: list[int]) -> None:
    whole = Strand.of("..." + text, 3, 3 + len(text))
    bounds = sorted({0, len(text), *(c for c in cuts if c <= len(text))})
    again = join([whole.cut(a, b) for a, b in pairwise(bounds)])
    assert again.text == text
    assert [again.where(n) for n in range(len(text))] == [n + 3 for n in range(len(text))]
    assert len(again.offsets) == 1
