"""Every reader of files against broken ones: an `InputError` or turns, no traceback; every word where it stands."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from trials import trials
from turn_checks import LAYOUT, read

from tastevocab.errors import InputError
from tastevocab.feature.heard import _speech
from tastevocab.reading.intake.files import TurnFile, read_turns, stream_turns
from tastevocab.reading.intake.spoken_number import number_at, tokens

# A whole small file of every kind, to be broken.
WHOLE = {
    "a.vtt": "WEBVTT\n\nNOTE x\n\n1\n00:01.000 --> 00:02.000 align:start\n<v Ana>plum &amp; <i>rose</i>\n\n"
    "00:02.000 --> 00:03.000\n- <v Ben>no plum</v>\n",
    "a.srt": "1\n00:00:01,000 --> 00:00:02,000\n{\\an8}ANA: plum\n\n2\n00:00:02,100 --> 00:00:03,000\n[Ben] not plum\n",
    "a.txt": "[0:01] Ana: plum and\nfig.\n[0:05] Ben: no.\nAna (00:12): rose\n",
    "b.txt": "Ana: plum\nBen: not fig; Ana: rose\n\nBody: medium\n- lemon\n",
    "a.md": "# Bench\n\nTasters: Ana (A), Ben\n\n## Hot\n\n- Ana: ~~plum~~ *rose*\n> Ben: fig\n\n"
    "| Taster | Flavour | Acidity |\n|---|---|---|\n| Ana | plum \\| fig | 4 |\n| Ben | no |\n| A | b | c | d |\n",
    "a.csv": 'taster,text,acidity,id\r\nAna,"plum, ""red""",4,1\r\nBen,"no\r\nfig",2,2\r\n',
    "a.tsv": "taster\ttext\nAna\tplum\n",
    "a.jsonl": '{"text": "plum \\ud83c", "taster": "Ana", "id": 1}\n{"notes": null, "text": "fig"}\n',
    "a.json": '{\n"notes": [{"text": "plum"},\n {"text": "fig", "moment": "hot"}]}\n',
}
KIND = {".vtt": "vtt", ".srt": "srt", ".txt": "text", ".md": "sheet", ".csv": "csv", ".tsv": "csv"}
# Line ends of every age, and pieces that mean something to one reader or another.
ENDS = ["\n", "\n\n", "\r", "\r\n", "\r\r\n", "\n\r", "\v", "\f", "\x85", "\u2028", "\u2029"]
PIECES = [
    "plum", " fig ", "rose. ", "Ana: ", "Ben: ", "<v Ana>", "</v>", "<br>", "&amp;", "&lt;", ">>", "-->", "- ", "> ",
    "00:01.000 --> 00:02.000\n", "1\n", "[0:01] ", "[9999:99] ", "# ", "|", "|---|\n", "| Ana | plum |\n", "Taster",
    "**", "~~", "_", "\\", "<!--", "-->", "`", '"', '""', ",", ";", "\t", "sep=;\n", "{", "}", '{"text": ', "[", "null",
    "1e999", "²", "½", "٣", "\ufeff", "\x1b", "\u200b", "🍑", "é",
]  # fmt: skip
bits = st.one_of(st.sampled_from(PIECES), st.sampled_from(ENDS), st.text(max_size=5))
names = st.sampled_from(sorted(WHOLE))
WORD = re.compile(r"\w+")
MARKUP = re.compile(r"[<>&*_~`\\{}\[\]]|-->")


def every_word_stands_there(file: TurnFile) -> None:
    for turn in file.turns:
        for word in WORD.finditer(turn.text):
            start, end = turn.file_position(word.start()), turn.file_position(word.end() - 1) + 1
            there = file.text[start:end] if file.text else turn.text[start:end]  # a table's places count in its cell
            assert there == word[0] or MARKUP.search(there), (turn, word[0], there)


def told_or_read(reads: Callable[[], TurnFile]) -> TurnFile | str:
    """What a reader gives, its words in their places, or what its error says."""
    try:
        file = reads()
    except InputError as problem:
        return str(problem)
    every_word_stands_there(file)
    return file


@st.composite
def broken(draw: st.DrawFn) -> tuple[str, str]:
    """(file name, text): a whole file with pieces put in, cut out or doubled, its lines ended in any way."""
    name = draw(names)
    text = WHOLE[name]
    for _ in range(draw(st.integers(1, 4))):
        a, b = sorted((draw(st.integers(0, len(text))), draw(st.integers(0, len(text)))))
        kept = draw(st.sampled_from([text[a:b], "", text[a:b] * 2]))
        text = text[:a] + draw(bits) + kept + text[b:]
    return name, text.replace("\n", draw(st.sampled_from(ENDS))) if draw(st.booleans()) else text


@given(broken())
@trials(100)
@example(("a.md", "|\n| Ana | plum |\n| Ben | fig |\n\n- Ana: x\n- Ben: y\n- Ana: z\n- Ben: z\n"))
@example(("a.csv", "text,id\nplum\rfig,1\n"))
@example(("a.csv", "text" * 50_000))
def test_a_broken_text_is_told_or_read(given_: tuple[str, str]) -> None:
    name, text = given_
    for kind in (KIND.get(Path(name).suffix, "jsonl"), None):
        made = told_or_read(partial(read, text, kind))
        assert isinstance(made, TurnFile) or made.startswith("table.txt")


@given(names, st.lists(st.tuples(st.integers(0, 400), st.binary(max_size=3)), min_size=1, max_size=4))
@trials(100)
@example("a.csv", [(0, b"\xff\xfe")])
@example("a.vtt", [(6, b"\r\r")])
def test_a_file_with_broken_bytes_is_told_or_read(
    tmp_path_factory: pytest.TempPathFactory, name: str, changes: list[tuple[int, bytes]]
) -> None:
    data = bytearray(WHOLE[name].encode("utf-8"))
    for at, new in changes:
        data[at % len(data) : at % len(data) + 1] = new
    path = tmp_path_factory.getbasetemp() / name
    path.write_bytes(data)
    made = told_or_read(partial(read_turns, path, layout=LAYOUT))
    if isinstance(made, TurnFile):
        assert tuple(stream_turns(path, layout=LAYOUT)) == made.turns
    else:
        assert name in made


@pytest.mark.parametrize("end", ["\r", "\r\n", "\n"])
@pytest.mark.parametrize("name", sorted(WHOLE))
def test_the_line_end_of_a_whole_file_changes_no_word(tmp_path: Path, name: str, end: str) -> None:
    path = tmp_path / name
    path.write_bytes(WHOLE[name].replace("\r\n", "\n").replace("\n", end).encode())
    kind = None if name == "a.txt" else KIND.get(path.suffix, "jsonl")
    plain = [(t.speaker, t.text.split(), t.line) for t in read(WHOLE[name], kind).turns]
    file = read_turns(path, layout=LAYOUT)
    assert [(t.speaker, t.text.split(), t.line) for t in file.turns] == plain
    every_word_stands_there(file)
    if file.text:
        assert file.text == path.read_text(encoding="utf-8")


NUMBERS = ["two", "fifty", "hundred", "and", "a", "half", "point", "²", "1²", "½", "٣", "2:50", "15.5", "oh", "°", "."]


@given(st.lists(st.one_of(st.sampled_from(NUMBERS), st.text(max_size=4)), max_size=8))
@trials(100)
def test_no_words_crash_the_reader_of_numbers(said: list[str]) -> None:
    text = " ".join(said)
    words = tokens(text)
    assert all(text[w.start : w.end].casefold() == w.text for w in words)
    for at in range(len(words)):
        number = number_at(words, at, _speech()["numbers"])
        assert number is None or (at < number.end <= len(words) and number.value >= 0)


@pytest.mark.parametrize("said", ["²", "³ grams", "¹"])
def test_a_superscript_is_no_number(said: str) -> None:
    assert number_at(tokens(said), 0, _speech()["numbers"]) is None
