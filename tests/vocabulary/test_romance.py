"""Spanish and Portuguese phrases, plural and feminine too, mean what a taster from there means by them.

The phrases (data/phrases.*.txt) were written before they were looked up; what they should mean was settled by hand.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.compose import whole
from tastevocab.vocabulary.framed import meant
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.words import romance

DATA = Path(__file__).with_name("data")


@pytest.mark.parametrize("language", ["es", "pt"])
def test_phrases_of_tasters(names: Names, language: str) -> None:
    wrong = []
    lines = (DATA / f"phrases.{language}.txt").read_text("utf-8").splitlines()
    for line in lines:
        phrase, _, wanted = line.partition(" = ")
        meant = whole(names, phrase)
        id = (meant.descriptor if meant else None) or ""
        if wanted not in (id, id.rsplit("/", 1)[-1]):
            wrong.append(f"{line}: {id or 'unknown'}")
    assert not wrong, wrong
    assert len(lines) > 200


@pytest.mark.parametrize(
    ("word", "form"),
    [
        ("limones", "limon"), ("nueces", "nuez"), ("limoes", "limao"), ("florales", "floral"), ("florais", "floral"),
        ("negras", "negro"), ("jasmins", "jasmim"), ("papeis", "papel"), ("maos", "mao"), ("dulces", "dulce"),
    ],
)  # fmt: skip
def test_plurals_and_feminines_lead_back(word: str, form: str) -> None:
    """Regular forms as grammars give them (Real Academia Espanola 2009, 3.2; Cunha and Cintra 1984; from memory)."""
    assert form in tuple(romance(word))


def test_english_words_are_left_alone(names: Names) -> None:
    assert whole(names, "motos") is None
    assert whole(names, "grandes") is None


def test_everyday_words_of_one_language_are_no_names_of_another(names: Names) -> None:
    """ "pay" is a pie in Mexico, "Rosas" many a family's name."""
    assert whole(names, "pay") is None
    assert whole(names, "rosas") is None
    assert whole(open_lexicon(None, None, "es").names, "rosas").descriptor == "flower_bench/rose_petal/rose"


@pytest.mark.parametrize(
    ("phrase", "note"),
    [
        ("porta", None), ("linha", None), ("madura", None), ("panela", None),  # no port, linen, plantain, cane sugar
        ("tomate podre", None), ("queijo fumado", None), ("pão mofado", "mouldy"), ("manga bem madura", "ripe_mango"),
        ("cerejas bem secas", "dried_cherry"), ("dióspiros bem moles", "ripe_persimmon"), ("polvo", "cooked_shellfish"),
        ("salsa", "parsley"), ("pinhão cozido", "chestnut"), ("pêssego de vinha", "peach"),
        ("chá de hibisco com canela", "hibiscus_infusion"), ("talo de aipo", "celery"), ("salada", None),
        ("semente de papaia", None), ("semente de linhaça", "flaxseed"), ("medronho maduro", None),
        ("alfarroba torrada", "carob"), ("chicória tostada", "roasted_chicory"), ("milho cozido", "sweetcorn"),
        ("manga crocante", "ripe_mango"), ("garapa azeda", None), ("polvilho azedo", None),
        ("cajá azedinho", "hog_plum"),
        ("pipoca queimada", "burnt_toast"), ("barril de aroeira", None), ("barril de ipê", "dark_hardwood"),
        ("barril de carvalho", "oak"), ("castanha de caju queimada", None), ("pão amanteigado", "bread_grain"),
        ("madeira seco", "nutty_fortified_wine"), ("madeira seca", "woody"), ("porto tawny", "fortified_red_wine"),
        ("queijo da Madeira", "aged_cheese"), ("chá preto açoriano", "black_tea"), ("aparas de cedro", "cedar"),
    ],
)  # fmt: skip
def test_what_changes_a_thing_is_not_passed_over(phrase: str, note: str | None) -> None:
    """Portuguese, as people from there say it (common knowledge): how much is passed over, what was done to it is not;
    an everyday word is no form of a name that it looks like."""
    found = meant(open_lexicon(None, None, "pt").names, phrase)
    assert (found and (found.descriptor or "").rsplit("/", 1)[-1]) == note


@pytest.mark.parametrize(
    ("tag", "phrase"),
    [
        ("pt", "banana da Madeira"), ("pt", "cajuzinho do mato"), ("pt", "chocolate do mato"), ("pt", "mel em pó"),
        ("pt", "pêssego da praia"), ("pt", "goiaba cozida"), ("pt", "goiaba tostada"), ("es", "guayaba tostada"),
        ("es", "manzana cocida"), ("es", "pera crocante"), ("es", "higo de la tierra"),
        ("pt", "laranja de Cabo Verde"), ("pt", "caju passa"), ("pt", "queijo caramelizado"),
    ],
)  # fmt: skip
def test_where_it_grows_and_what_was_done_to_it_add_no_second_thing(tag: str, phrase: str) -> None:
    """No wood, cut grass, stew, toast or brittle in a fruit of that place, or cooked so."""
    found = meant(open_lexicon(None, None, tag).names, phrase)
    assert found is not None
    assert set(found.parts) <= {found.descriptor}


def test_a_region_has_the_first_say() -> None:
    """In Mexico limón is the lime (common practice)."""
    for tag, note in (("", "lemon"), ("es", "lemon"), ("es-MX", "lime")):
        meant = whole(open_lexicon(None, None, *filter(None, [tag])).names, "limón")
        assert meant is not None
        assert (meant.descriptor or "").endswith(f"/{note}"), tag
