"""A house file laid over a vocabulary, and words added to it."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest
from vocabulary_toys import TOY

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary import house as house_module
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.card import card
from tastevocab.vocabulary.check import check, errors, over
from tastevocab.vocabulary.house import lay_over, parse_house
from tastevocab.vocabulary.house_edit import Addition, add_word
from tastevocab.vocabulary.load import build, read_draft
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.vocabulary.pointing import point_at

HOUSE = """\
# What the corner bar says.
house: corner-bar

notes:
  # Ana's word, spring table
  tinned_peach:
    under: stones
    print: tinned peach
    about: Peach gone soft and syrupy in the tin.
    words: {en: [tinned peach], es: [melocotón en almíbar]}
    kin: [peach]

words:
  peach: {en: [donut peach]}      # the flat one
  tinned_peach: {en: [peach from the can]}
heard:
  peach: [peetch]
print: {stones: "stones & peaches"}
ignore: [house blend]
two_faced:
  sharp: fault
"""


def laid(text: str) -> Vocabulary:
    return build(lay_over(read_draft(TOY), parse_house(text, "house.yaml")))


def test_the_form_in_the_docstring_is_sound(tmp_path: Path) -> None:
    told = (house_module.__doc__ or "").split("left out:\n\n")[1]
    path = tmp_path / "house.yaml"
    path.write_text(textwrap.dedent(told), "utf-8")
    assert [p for p in check(over(None, path)) if p.place and p.place.file == str(path)] == []
    assert "hedgerow_vine/dark_berries/slatterberry" in open_vocabulary(house=path).descriptors


def test_base_rates_of_the_house_take_the_place_of_the_vocabularys() -> None:
    made = laid("base_rates: {peach: 0.4, tinned_peach: 1e-1}\nnotes: {tinned_peach: {under: stones, print: tinned}}")
    assert set(made.language["base_rates"]["rates"].values()) == {0.4, 0.1}
    assert all(id in made.descriptors for id in made.language["base_rates"]["rates"])


@pytest.mark.parametrize(
    ("line", "what"),
    [("peach: often", "'often'"), ("peach: 0", "is 0"), ("peach: 1.2", "is 1.2"), ("pech: 0.1", "'pech' is no one")],
)
def test_a_rate_that_is_none_is_told(line: str, what: str) -> None:
    draft = lay_over(read_draft(TOY), parse_house(f"base_rates:\n  {line}\n", "house.yaml"))
    (problem,) = draft.problems
    assert (problem.place.file, problem.place.line) == ("house.yaml", 2)
    assert what in problem.what


def test_everything_is_laid_over() -> None:
    v = laid(HOUSE)
    new = v.descriptors["orchard_row/stones/tinned_peach"]
    assert (new.home, new.level, new.kin) == ("orchard_row/stones", "note", ("orchard_row/stones/peach",))
    assert new.words == {"en": ("tinned peach", "peach from the can"), "es": ("melocotón en almíbar",)}
    peach = v.descriptors["orchard_row/stones/peach"]
    assert peach.words["en"] == ("peach", "donut peach")
    assert peach.heard == ("peech", "peetch")
    assert v.descriptors["orchard_row/stones"].print == "stones & peaches"
    assert v.ignored == ("house blend",)
    assert v.version == "1.0+corner-bar"


def test_a_two_faced_decision_moves_the_word() -> None:
    as_fault, as_flavour = laid("two_faced: {sharp: fault}"), laid("two_faced: {sharp: flavour}")
    assert not as_fault.two_faced
    assert not as_flavour.two_faced
    assert "sharp" in as_fault.descriptors["tank_faults/sharp_tank/vinegar_taint"].words["en"]
    assert "sharp" in as_flavour.descriptors["citrus_row/lemon_side"].words["en"]
    own = laid("two_faced: {dull: {flavour: green_apple, fault: vinegar_taint, ask: Which?}}")
    assert own.two_faced["dull"].flavour == "orchard_row/pips/green_apple"
    assert set(own.two_faced) == {"sharp", "dull"}


def test_a_decided_word_leaves_its_other_owners() -> None:
    v = laid("words: {lemon_side: {en: [sharp]}}\ntwo_faced: {sharp: fault}")
    assert "sharp" not in v.descriptors["citrus_row/lemon_side"].words["en"]
    assert errors(check(lay_over(read_draft(TOY), parse_house("two_faced: {sharp: fault}", "h.yaml")))) == []


def test_the_base_is_not_changed() -> None:
    draft = read_draft(TOY)
    lay_over(draft, parse_house(HOUSE, "house.yaml"))
    assert build(draft) == build(read_draft(TOY))


def test_the_house_changes_the_hash(tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text(HOUSE)
    with_house, without = open_vocabulary(TOY, house), open_vocabulary(TOY)
    assert with_house.hash != without.hash
    assert card(with_house, point_at(with_house, "donut peach").id).label == "peach"
    house.write_text(HOUSE.replace("donut", "flat"))
    assert open_vocabulary(TOY, house).hash != with_house.hash


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ("notes:\n  x:\n    print: x\n    about: y\n", 2, "has no family"),
        ("words:\n  nowhere: {en: [x]}\n", 2, "'nowhere' is no one descriptor"),
        ("two_faced: {sharp: perhaps}\n", 1, "is decided as 'perhaps'"),
        ("two_faced: {blue: fault}\n", 1, "no two-faced word"),
        ("notes:\n  x: {under: peach, print: x, about: y}\n", 2, "hangs from orchard_row/stones/peach, a note"),
        ("notes:\n  x: {under: nowhere, print: x, about: y}\n", 2, "hangs from 'nowhere'"),
        ("word: {peach: {en: [x]}}\n", 1, "'word' is no key"),
        ("words: {peach: {en: [limes]}}\n", 1, "'limes' (en) of orchard_row/stones/peach belongs to"),
    ],
)
def test_faults_are_told_by_line(tmp_path: Path, text: str, line: int, told: str) -> None:
    house = tmp_path / "house.yaml"
    house.write_text(text)
    problems = check(over(TOY, house))
    assert any(told in p.what and p.place.file == str(house) and p.place.line == line for p in problems), problems


# --- adding ---


@pytest.fixture
def house(tmp_path: Path) -> Path:
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE)
    return path


def test_adding_keeps_comments_and_order(house: Path) -> None:
    changed = add_word(house, Addition("saucer peach", under="peach"), folder=TOY)
    assert [line for line in changed.splitlines() if line[0] in "+-" and line[:3] not in ("+++", "---")] == [
        "-  peach: {en: [donut peach]}      # the flat one",
        "+  peach: {en: [donut peach, saucer peach]} # the flat one",
    ]
    assert house.read_text() == HOUSE.replace("[donut peach]}     ", "[donut peach, saucer peach]}")


def test_adding_a_note_to_a_new_file(tmp_path: Path) -> None:
    house = tmp_path / "new.yaml"
    changed = add_word(house, Addition("Candied lime", under="lemon_side", about="Lime peel in sugar."), folder=TOY)
    assert changed.startswith(f"--- {house} (before)\n+++ {house} (now)\n")
    v = open_vocabulary(TOY, house)
    made = v.descriptors["citrus_row/lemon_side/candied_lime"]
    assert (made.print, made.about, made.words) == ("Candied lime", "Lime peel in sugar.", {"en": ("Candied lime",)})
    assert add_word(house, Addition("limón verde", under="lime", language="es"), folder=TOY)
    assert open_vocabulary(TOY, house).descriptors["citrus_row/lemon_side/lime"].words["es"] == ("lima", "limón verde")


def test_every_kind(house: Path) -> None:
    add_word(house, Addition("peesh", under="peach", as_="heard"), folder=TOY)
    add_word(house, Addition("staff blend", as_="ignore"), folder=TOY)
    add_word(house, Addition("sharp", as_="flavour"), folder=TOY)
    add_word(house, Addition("anything sour", under="reach/citrus", as_="name"), folder=TOY)
    v = open_vocabulary(TOY, house)
    assert v.descriptors["orchard_row/stones/peach"].heard[-1] == "peesh"
    assert v.ignored == ("house blend", "staff blend")
    assert "sharp" in v.descriptors["citrus_row/lemon_side"].words["en"]
    assert v.descriptors["reach/citrus"].words["en"] == ("citrus", "anything sour")


def test_adding_twice_changes_nothing(house: Path) -> None:
    assert add_word(house, Addition("donut peach", under="peach"), folder=TOY) == ""
    assert house.read_text() == HOUSE


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"text": "lemons", "under": "peach"}, "word-twice"),
        ({"text": "time", "under": "lime", "as_": "heard"}, "everyday word"),
        ({"text": "peaches", "under": "stones"}, "looks like"),
        ({"text": "zest", "under": "nowhere"}, "no one id"),
        ({"text": "zest"}, "no place to go"),
        ({"text": "zest", "as_": "uncle"}, "'uncle' is nothing a word can become"),
        ({"text": "zest", "under": "lemon", "as_": "note"}, "only be a note under a family"),
        ({"text": "zest", "as_": "heard"}, "is a heard of what"),
        ({"text": "  ", "under": "lemon"}, "no word to add"),
        ({"text": "???", "under": "lemon"}, "holds no letter"),
        ({"text": "zest", "under": "lemon", "language": "qq"}, "no language of this vocabulary"),
        ({"text": "tinned peach", "under": "stones"}, "has a note 'tinned_peach' already"),
    ],
)
def test_what_would_break_a_rule_is_refused(house: Path, given: dict[str, str], told: str) -> None:
    with pytest.raises(VocabularyError, match=told):
        add_word(house, Addition(**given), folder=TOY)
    assert house.read_text() == HOUSE
    assert [p.name for p in house.parent.iterdir()] == ["house.yaml"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("words: lychee", "house.yaml:2: words should hold a mapping"),
        ("words: {lemon: citron}", "words should hold a mapping|lemon should hold a mapping"),
        ("words: {lemon: {en: citron}}", "house.yaml:2: en should be a list of words"),
        ("heard: [lemmon]", "house.yaml:2: heard should hold a mapping"),
        ("heard: {lemon: lemmon}", "house.yaml:2: lemon should be a list of words"),
        ("notes: zest", "house.yaml:2: notes should hold a mapping"),
        ("notes: {zest: peel}", "house.yaml:2: 'zest' should hold a mapping"),
        ("ignore: blend", "house.yaml:2: ignore should be a list of words"),
        ("two_faced: sharp", "house.yaml:2: two_faced should hold a mapping"),
    ],
)
@pytest.mark.parametrize("given", [{"as_": "name", "under": "lemon"}, {"as_": "ignore"}])
def test_a_part_of_the_wrong_kind_is_named_and_left(
    tmp_path: Path, text: str, told: str, given: dict[str, str]
) -> None:
    house = tmp_path / "house.yaml"
    house.write_text(f"house: corner\n{text}\n")
    with pytest.raises(VocabularyError, match=told):
        add_word(house, Addition("zesty lemon", **given), folder=TOY)
    with pytest.raises(VocabularyError, match=told):
        open_vocabulary(TOY, house)
    assert house.read_text() == f"house: corner\n{text}\n"


def test_a_bomb_is_not_opened(tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text("a: &a [x, x]\nb: [*a, *a]\n")
    with pytest.raises(VocabularyError, match="alias"):
        add_word(house, Addition("zest", under="lemon"), folder=TOY)


def test_line_ends_are_kept(tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_bytes(HOUSE.replace("\n", "\r\n").encode())
    add_word(house, Addition("saucer peach", under="peach"), folder=TOY)
    data = house.read_bytes()
    assert b"[donut peach, saucer peach]" in data
    assert data.count(b"\n") == data.count(b"\r\n") == HOUSE.count("\n")
