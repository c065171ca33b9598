"""What a person says of stretches of talk, what they add, whose a finding is: kept, and applied at every reading."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.errors import InputError
from tastevocab.reading.intake.files import read_turns
from tastevocab.reading.language.items import Judged, pieces_of
from tastevocab.reading.records import AttributeFinding, Finding, Reading, Spot, Turn
from tastevocab.reading.review.apply import apply, settled
from tastevocab.reading.review.context import Texts, keyed, texts_of
from tastevocab.reading.review.decisions import Decision, Decisions, decided, read_decisions, save
from tastevocab.reading.review.details import Details, seconds_of, time_of
from tastevocab.reading.review.said import Mark, Said
from tastevocab.reading.review.stretches import Stretches

PLUM = "orchard/plums/plum"
LEMON = "citrus_crate/lemons/lemon"
VTT = """WEBVTT

00:00:01.000 --> 00:00:04.000
<v Mira>So this one, plum for me, and
some more plum later.</v>

00:00:04.500 --> 00:00:07.000
<v Mira>Okay. On to the espresso.</v>

00:00:08.000 --> 00:00:11.250
It is a bit like lemon here.

00:00:11.250 --> 00:00:14.000
<v Otto>Plum again.</v>
"""


@pytest.fixture
def table(tmp_path: Path) -> tuple[Path, Reading, Texts]:
    """A recording, as if one finding had been read in it: the first plum."""
    path = tmp_path / "table.vtt"
    path.write_text(VTT, encoding="utf-8")
    said = tuple(p for turn in read_turns(path).turns for p in pieces_of(turn, {"brew": "filter", "coffee": "one"}))
    text = Said(said)
    first = text.text.index("plum")
    spot = text.spot(first, first + 4)
    return path, Reading((Finding("f1", PLUM, spot),), speakers={"Mira": 2, "Otto": 1}, said=said), texts_of(path)


def applied(table: tuple[Path, Reading, Texts], *entries: Decision, **how: object) -> Reading:
    path, reading, texts = table
    return apply(reading, Decisions(path, entries, texts), **how)  # type: ignore[arg-type]


def test_the_text_is_what_was_said_and_every_word_leads_to_its_place_in_the_file(table) -> None:
    said = Said(table[1].said)
    assert "and some more plum later." in said.text
    for start, end in said.places("plum"):
        spot = said.spot(start, end)
        assert VTT[spot.span[0] : spot.span[1]].casefold() == "plum"
        assert said.place(spot) == start
    assert [said.spot(*p).at for p in said.places("plum")] == [1.0, 1.0, 11.25]
    assert [p.speaker for p in said.pieces][-1] == "Otto"


@trials(20)
@given(
    st.lists(st.text("ab c.", min_size=1, max_size=9), min_size=1, max_size=6),
    st.data(),
)
def test_there_and_back(words: list[str], data) -> None:
    """Any words of any turns are found again by their spot, and by their mark."""
    turns, at = [], 0
    for n, text in enumerate(words):
        turns.append(Turn(text, "t.txt", ((0, at),), ((0, float(n)),), f"s{n}", line=n + 1))
        at += len(text) + 3
    file = "   ".join(words)
    said = Said(p for t in turns for p in pieces_of(t, {}))
    n = data.draw(st.integers(0, len(words) - 1))
    start = data.draw(st.integers(0, len(words[n]) - 1))
    end = data.draw(st.integers(start + 1, len(words[n])))
    place = said.starts[n] + start
    spot = said.spot(place, place + end - start)
    assert (spot.words, file[spot.span[0] : spot.span[1]], spot.speaker) == (words[n][start:end],) * 2 + (f"s{n}",)
    assert said.place(spot) == place
    if words[n][start:end].strip() == words[n][start:end] and said.text[place : place + 1].isalnum():
        texts = Texts.of(file)
        found = said.find(said.mark(place, place + end - start, texts), texts)
        whole = (place, place + end - start) in set(said.places(spot.words))
        assert found == spot or not whole or spot.span != found.span  # a twin with the same words around is as good


def test_a_stretch_says_who_and_what_of_all_that_is_in_it(table) -> None:
    stretch = Decision(
        "stretch", "", details=Details(taster="pilar", brew="espresso"), start=Mark(at=8.0), end=Mark(at=11.25)
    )
    lemon = Decision("add", "a bit like lemon", occurrence=1, descriptor=LEMON)
    reading = applied(table, stretch, lemon)
    found = {f.spot.words: f for f in reading.findings}
    assert (found["a bit like lemon"].spot.speaker, found["a bit like lemon"].spot.brew) == ("pilar", "espresso")
    assert (found["plum"].spot.speaker, found["plum"].spot.brew) == ("Mira", "filter")
    assert found["a bit like lemon"].spot.at == 8.0
    assert reading.speakers["pilar"] == 1
    assert "a bit like lemon" in VTT[slice(*found["a bit like lemon"].spot.span)]
    assert found["a bit like lemon"].id in settled(reading, Decisions(table[0], (stretch, lemon), table[2]))


def test_it_begins_at_any_word_and_the_later_of_two_counts(table) -> None:
    said, texts = Said(table[1].said), table[2]
    here = said.text.index("more plum")
    one = Decision("stretch", "", details=Details(coffee="two"), start=said.mark_at(here, texts))
    two = Decision("stretch", "", details=Details(coffee="three"), start=Mark("Okay"), end=Mark(at=8.0))
    reading = applied(table, one, two, Decision("add", "more plum", occurrence=1, descriptor=PLUM))
    assert [f.spot.coffee for f in reading.findings] == ["one", "two"]
    pieces = [(p.words.strip(), p.coffee) for p in reading.said if p.words.strip()]
    assert ("more plum later.", "two") in [(w.split("some ")[-1], c) for w, c in pieces]
    assert [c for w, c in pieces if w.startswith("Okay")] == ["three"]
    assert [c for w, c in pieces if w.startswith("Plum again")] == ["two"]


def test_what_is_of_no_moment_is_said_with_nothing(table) -> None:
    reading = applied(table, Decision("stretch", "", details=Details(brew=""), start=Mark(at=0.0)))
    assert reading.findings[0].spot.brew is None


def test_a_stretch_after_the_reveal_counts_nobody(table) -> None:
    reading = applied(table, Decision("stretch", "", details=Details(standing="informed"), start=Mark(at=0.0)))
    assert reading.findings[0].standing == "informed"


def test_details_of_one_finding_outrank_its_stretch(table) -> None:
    (key, _), *_ = keyed(table[1].findings, table[2])
    stretch = Decision("stretch", "", details=Details(taster="pilar", moment="hot"), start=Mark(at=0.0))
    mine = decided(key, "accept", details=Details(taster="otto", degree="strong", doubt=True))
    reading = applied(table, mine, stretch, strengths={"strong": 35.4})
    (f,) = reading.findings
    assert (f.spot.speaker, f.spot.moment) == ("otto", "hot")
    assert (f.degree, f.strength, f.hedged, f.certainty) == ("strong", 35.4, True, 0.5)
    assert applied((table[0], reading, table[2]), mine, stretch, strengths={"strong": 35.4}) == reading


def test_a_quality_is_added_and_what_was_a_flavour_becomes_one(table) -> None:
    (key, _), *_ = keyed(table[1].findings, table[2])
    reading = applied(
        table,
        decided(key, "change", details=Details(attribute="acidity", level="low")),
        Decision("add", "some more", occurrence=1, details=Details(attribute="body", level="none")),
    )
    assert reading.findings == ()
    told = [(a.attribute, a.level, a.present, a.spot.words) for a in reading.attributes]
    assert told == [("acidity", "low", True, "plum"), ("body", "none", False, "some more")]
    assert all(isinstance(a, AttributeFinding) and a.sure == 1.0 for a in reading.attributes)


def test_what_is_no_longer_there_is_told_by_file_and_line(table, tmp_path: Path) -> None:
    file = tmp_path / "table.decisions.yaml"
    file.write_text(
        "decisions:\n- {words: gooseberry fool, decide: add, occurrence: 1, descriptor: x/y/z}\n"
        '- {decide: stretch, from: "9:99:99", brew: espresso}\n',
        encoding="utf-8",
    )
    reading = applied(table, *read_decisions(file))
    assert [n.split(": ")[0].rpartition(":")[2] for n in reading.notices] == ["2", "3"]
    assert applied(table, *read_decisions(file), whole=False).notices == ()


def test_what_is_written_is_what_is_read(table, tmp_path: Path) -> None:
    said, texts = Said(table[1].said), table[2]
    kept = [
        Decision("add", "plum", occurrence=2, context="some more | later", descriptor=PLUM, present=False),
        Decision("add", "On to", occurrence=1, details=Details(attribute="body", level="high", taster="otto")),
        Decision("stretch", "", details=Details(moment="", coffee="two"), start=said.mark_at(30, texts)),
        Decision("stretch", "", details=Details(taster="otto"), start=Mark(at=8.0), end=Mark(at=3723.25)),
    ]
    file = tmp_path / "kept.decisions.yaml"
    save(file, kept, "table.vtt")
    assert read_decisions(file) == kept


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("{decide: stretch, coffee: x}", "from where"),
        ("{decide: stretch, from: soon, coffee: x}", "no place"),
        ('{decide: stretch, from: "1:00"}', "of what"),
        ('{decide: stretch, from: "1:00", degree: weak}', "of what"),
        ("{decide: add, words: plum}", "add what"),
        ("{decide: add, words: plum, attribute: body}", "add what"),
        ("{decide: accept, words: plum, moment: tepid}", "moment: 'tepid'"),
        ("{decide: accept, words: plum, degree: loads}", "degree: 'loads'"),
        ("{decide: accept, words: plum, doubt: perhaps}", "no yes or no"),
        ("{decide: accept, words: plum, taster: [a, b]}", "no word"),
    ],
)
def test_what_is_not_understood_is_refused(tmp_path: Path, entry: str, said: str) -> None:
    file = tmp_path / "x.decisions.yaml"
    file.write_text(f"decisions:\n- {entry}\n", encoding="utf-8")
    with pytest.raises(InputError, match=said) as problem:
        read_decisions(file)
    assert problem.value.place.line == 2


@given(st.integers(0, 36_000_000))
def test_times_are_read_as_they_are_written(ms: int) -> None:
    assert seconds_of(time_of(ms / 1000)) == pytest.approx(ms / 1000, abs=1e-9)


def test_pieces_hold_what_a_spot_of_the_same_words_would(table) -> None:
    turn = Turn("so plum, yes", "s.txt", ((0, 5),), ((0, 2.0), (8, 4.0)), "Mira", moment="hot", line=3)
    one, two = pieces_of(turn, {"moment": "cool", "coffee": "c"})
    assert (one.words, one.span, one.at, one.moment, one.coffee) == ("so plum,", (5, 13), 2.0, "hot", "c")
    assert (two.words, two.span, two.at) == (" yes", (13, 17), 4.0)
    assert isinstance(one, Spot)
    assert Judged(0, 1, PLUM, 1.0).scene == {}


def test_rows_of_a_table_each_count_anew() -> None:
    rows = [Turn(text, "t.csv", line=n) for n, text in enumerate(("plum", "plum jam", "a plum"), 2)]
    said = Said(p for row in rows for p in pieces_of(row, {}))
    spots = [said.spot(*place) for place in said.places("plum")]
    assert [(s.line, s.span) for s in spots] == [(2, (0, 4)), (3, (0, 4)), (4, (2, 6))]
    assert [said.text[said.place(s) - 1 :][:5].strip() for s in spots[1:]] == ["plum", "plum"]


def test_without_stretches_nothing_is_made_anew(table) -> None:
    path, reading, texts = table
    assert Stretches(reading, Decisions(path, (), texts)).said.pieces is reading.said
    assert replace(reading, said=()) != reading
