"""What holds for every reading, whatever was said."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from reading_checks import everything, heard_of, lexicon, note, present, short
from trials import TIMES, trials

from tastevocab.reading.read import read_file, read_text, read_turns, stream_file
from tastevocab.reading.records import AttributeFinding, Finding, Reading, Turn
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.words import everyday, fold

# Words of tasting talk, so that random notes hit cues and names often.
TALK = [
    "no", "not", "maybe", "a", "hint", "of", "lots", "plum", "fig", "rose", "lemon", "peel", "cocoa", "nutty", ",",
    ".", "?", "!", "-", "(", ")", "++", "like", "um", "finish", "on", "the", "nose", "hot", "cools", "espresso",
    "filter", "bright", "low", "acidity", "body", "as", "it", "is", "I", "get", "same", "agreed", "rather", "than",
    "but", "and", "or", "without", "getting", "kettle", "orange", "honey", "process", "bag", "says", "peachy",
    "jasmine", "tea", "candied", "pair", "time", "4/5", "sour", "cherry", "black", "current",
]  # fmt: skip
notes = st.lists(st.sampled_from(TALK), max_size=18).map(" ".join)
anything = st.one_of(st.text(max_size=120), notes)
speakers = st.sampled_from(["Ana", "Ben", None])
turns = st.lists(st.tuples(speakers, anything), max_size=6)

# Notes that say different things.
SAID = [
    "Loads of plum.", "No rose at all.", "Maybe a hint of fig.", "Bright, medium body.", "Fermented strawberry.",
    "Peach tea, then cedar on the finish.", "A touch of lemon peel.", "Not lemon but lime.", "Papery.",
]  # fmt: skip


def _read(said: list[tuple[str | None, str]]) -> Reading:
    return read_turns([Turn(text, "t.vtt", speaker=who) for who, text in said], lexicon())


@given(turns)
@trials(20)
@example([("Ana", "\x00\ufeff"), (None, "‮plum")])
@example([("Ana", "plum " * 200)])
@example([("Ana", "no " * 200 + "plum")])
@example([("Ana", "((((plum))))"), ("Ben", "????"), ("Ana", "''''")])
def test_nothing_makes_it_crash(said: list[tuple[str | None, str]]) -> None:
    reading = _read(said)
    assert sum(reading.speakers.values()) == sum(1 for who, _ in said if who)


@given(anything)
@trials(85)
def test_spans_slice_back_to_the_words(text: str) -> None:
    for record in everything(note(text)):
        first, last = record.spot.span
        assert 0 <= first < last <= len(text)
        assert text[first:last] == record.spot.words


ENDS = st.sampled_from(["\n", "\r\n", "\r", "\r\r\n", "\v", "\x85", "\u2028"])


@given(st.lists(st.tuples(st.sampled_from(["", "- ", "Ana: ", "## "]), notes, ENDS), min_size=1, max_size=5))
@trials(25)
@pytest.mark.parametrize("name", ["talk.txt", "sheet.md"])
def test_spans_slice_back_to_the_words_in_a_file_whatever_ends_its_lines(
    tmp_path_factory: pytest.TempPathFactory, name: str, lines: list[tuple[str, str, str]]
) -> None:
    path = tmp_path_factory.getbasetemp() / name
    path.write_bytes("".join(f"{lead}plum {words}{end}" for lead, words, end in lines).encode())
    text = path.read_text(encoding="utf-8")
    for record in everything(read_file(path, lexicon())):
        assert text[slice(*record.spot.span)].replace("\n", " ") == record.spot.words


@given(turns)
@trials(20)
def test_spans_of_talk_slice_back_to_the_words_of_a_turn(said: list[tuple[str | None, str]]) -> None:
    rows = [Turn(text, str(n), speaker=who) for n, (who, text) in enumerate(said)]
    for record in everything(read_turns(rows, lexicon())):
        text = said[int(record.spot.source)][1]
        assert text[slice(*record.spot.span)] == record.spot.words != ""


@given(notes)
@trials(35)
@pytest.mark.parametrize("kind", ["note", "talk"])
def test_fields_keep_their_ranges(kind: str, text: str) -> None:
    reading = read_turns([Turn(text, "t", kind=kind)], lexicon())  # type: ignore[arg-type]
    flavours = [f for f in (*reading.findings, *reading.asked) if isinstance(f, Finding)]
    for f in flavours:
        assert f.descriptor in lexicon().prints
        assert f.certainty in (0.25, 0.5, 1.0)
        assert (f.certainty < 1) == f.hedged
        assert 0 < f.match <= 1
        assert (f.strength is None) == (f.degree is None)
        assert f.spot.moment in (None, "dry", "aroma", "hot", "warm", "cool")
        assert f.spot.place in (None, "front", "middle", "finish")
        assert 0 <= f.sure <= 1
        assert f.standing in ("own", "echo", "led", "informed")
    for a in [*reading.attributes, *(a for a in reading.asked if isinstance(a, AttributeFinding))]:
        assert a.level in ("none", "low", "medium", "high")
        assert 1 <= a.step <= 5
        assert 0 <= a.sure <= 1
        assert a.present == (a.level != "none")
    assert all(f.asked for f in reading.asked)
    assert not any(f.asked for f in (*reading.findings, *reading.attributes))
    assert all(s.reason for s in reading.set_aside)
    assert len({f.id for f in flavours}) == len(flavours)


def _table(path: Path, rows: list[str]) -> list[str]:
    """A table's rows, read one by one: everything of each but where in the table it stands."""
    path.write_text("text\n" + "".join(f'"{row}"\n' for row in rows), encoding="utf-8")
    return [repr(sorted(heard_of(reading))) for reading in stream_file(path, lexicon())]


@given(st.permutations(SAID), st.lists(notes.filter(lambda n: n.strip(" ")), max_size=3))
@trials(25)
def test_rows_of_a_table_are_read_each_on_its_own(
    tmp_path_factory: pytest.TempPathFactory, order: list[str], more: list[str]
) -> None:
    path = tmp_path_factory.getbasetemp() / "rows.csv"
    alone = {row: repr(sorted(heard_of(note(row)))) for row in (*SAID, *more)}
    assert _table(path, [*order, *more]) == [alone[row] for row in (*order, *more)]
    together = read_turns([Turn(row, "rows", kind="note") for row in order], lexicon(), isolated=True)
    assert sorted(heard_of(together)) == sorted(what for row in order for what in heard_of(note(row)))


@given(
    st.text(alphabet="bcdfgjkqvwxz", min_size=5, max_size=12),
    st.sampled_from(["getting {}", "notes of {}", "{}", "a {} note"]),
)
@trials(35)
def test_an_unknown_word_is_never_a_finding(word: str, frame: str) -> None:
    reading = note(frame.format(word))
    assert reading.findings == ()
    assert reading.attributes == ()


FLAVOURS = ["plum", "rose", "cocoa", "jasmine", "walnut", "lemon peel", "black tea", "dried apricot", "peach tea"]


@given(st.sampled_from(FLAVOURS), st.sampled_from(["maybe {}", "{}?", "perhaps {}"]))
@trials(20)
def test_a_doubt_never_raises_certainty(flavour: str, doubt: str) -> None:
    (sure,), (unsure,) = note(flavour).findings, note(doubt.format(flavour)).findings
    assert sure.descriptor == unsure.descriptor
    assert unsure.certainty < sure.certainty


@given(notes)
@trials(20)
def test_the_same_words_give_the_same_reading(text: str) -> None:
    assert read_text(text, lexicon()) == read_text(text, lexicon())


@given(turns)
@trials(20)
def test_the_same_talk_gives_the_same_reading(said: list[tuple[str | None, str]]) -> None:
    assert _read(said) == _read(said)


@given(st.lists(st.tuples(st.sampled_from(["Ana", "Ben"]), st.sampled_from(SAID)), min_size=1, max_size=5))
@trials(20)
def test_renaming_a_speaker_renames_every_figure(said: list[tuple[str, str]]) -> None:
    renamed = [("Cy" if who == "Ben" else who, text) for who, text in said]
    before, after = _read(list(said)), _read(list(renamed))
    swap = {"Ben": "Cy"}
    assert heard_of(before) == heard_of(after)
    assert [swap.get(str(f.spot.speaker), f.spot.speaker) for f in before.findings] == [
        f.spot.speaker for f in after.findings
    ]


def _listed() -> list[str]:
    """Every name a descriptor lists, but those that name an attribute as well ("salt", "creamy"), and everyday words
    that are names in another language alone ("jamaica")."""
    language = lexicon()
    made = set()
    for d in open_vocabulary().descriptors.values():
        for word in (*(w for ws in d.words.values() for w in ws), *d.heard):
            senses = language.names.book.exact(language.names.keys(word))
            if all(s.kind == "flavour" for s in senses) and (senses or fold(word) not in everyday("en")):
                made.add(word)
    return sorted(made)


def test_reading_knows_the_listed_names_as_look_up_does() -> None:
    """Each name alone as a note: what is found, if it is no thing of the room ("paper towel"), is what look-up says.

    One name in five, or all.
    """
    language, other, aside, listed = lexicon(), {}, [], _listed()
    assert len(listed) > 4000
    tried = listed[:: 1 if TIMES > 1 else 5]
    for phrase in tried:
        known = whole(language.names, phrase)
        assert known is not None, phrase
        found = present(note(phrase))
        if not found:
            aside.append(phrase)
        elif found != [short(known.descriptor)] and "%" not in phrase:  # a percent sign parts the two words
            other[phrase] = f"{short(known.descriptor)} read as {found}"
    assert other == {}
    assert len(aside) < len(tried) / 50, aside  # house value


def test_what_nobody_has_said_of_brew_and_moment_stays_open() -> None:
    (found,) = read_turns([Turn("I get plum.", "t", speaker="Ana")], lexicon()).findings
    assert (found.spot.brew, found.spot.moment) == (None, None)


@pytest.mark.parametrize("kind", ["talk", "note", "cell"])
def test_an_empty_turn_of_any_kind_is_nothing(kind: str) -> None:
    reading = read_turns([Turn("", "t", kind=kind)], lexicon())  # type: ignore[arg-type]
    assert not everything(reading)
