"""A name means what the table's own region means by it; the names of that region come first.

What the regions call things is common knowledge of their markets, from memory; no one list was followed.
"""

from __future__ import annotations

from typing import Any

import pytest
from typer.testing import CliRunner

from tastevocab.cli import main
from tastevocab.errors import VocabularyError
from tastevocab.reading.report.answers import answer
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.card import card, card_lines
from tastevocab.vocabulary.pointing import anything_at
from tastevocab.vocabulary.sheet import sheet, sheet_text

MEANINGS = [
    ("limón", {"es": "lemon", "es-ES": "lemon", "es-MX": "lime", "es-CO": "lime", "es-PE": "lime", "es-AR": "lemon"}),
    ("limão", {"pt": "lemon", "pt-PT": "lemon", "pt-BR": "lime"}),
    ("pomelo", {"": "pomelo", "es": "grapefruit_kin", "es-AR": "grapefruit_kin", "es-MX": "pomelo", "pt": "pomelo"}),
    ("batata", {"es": "sweet_potato", "es-AR": "sweet_potato", "pt": "reach/potato", "pt-BR": "reach/potato"}),
    ("bergamota", {"es": "bergamot", "pt": "bergamot", "pt-PT": "bergamot", "pt-BR": "mandarin"}),
    ("malagueta", {"es": "allspice", "pt": "chilli", "pt-BR": "chilli"}),
    ("pimentón", {"es": "sweet_paprika", "es-ES": "sweet_paprika", "es-CO": "green_pepper", "es-CL": "green_pepper"}),
    ("madeira", {"": "nutty_fortified_wine", "pt": "reach/woody", "pt-BR": "reach/woody"}),
    ("goma", {"es": "rubbery", "es-MX": "bubble_gum", "pt-BR": "fruit_gum"}),
    ("nuez", {"es": "walnut", "es-MX": "pecan"}),
    ("plátano", {"es": "ripe_banana", "es-CO": "ripe_plantain", "es-MX": "ripe_banana"}),
    ("hierba luisa", {"es": "verbena_infusion", "es-PE": "lemongrass"}),
    ("marañón", {"es": "cashew_apple", "es-CO": "cashew"}),
    ("castanha", {"pt": "reach/nutty", "pt-PT": "chestnut"}),
    ("granadilla", {"": "passionfruit", "es": "sweet_granadilla"}),
    ("limoncillo", {"es": "lemongrass"}),
    ("horchata", {"": "sweet_rice_drink", "es": "sweet_rice_drink", "es-ES": "tiger_nut"}),
    ("lima", {"pt": "lime", "pt-BR": "sweet_lemon"}),
    ("pinhão", {"pt-PT": "pine_nut", "pt-BR": "chestnut"}),
    ("caju", {"pt": "cashew_apple", "pt-PT": "cashew"}),
    ("fumo", {"pt-PT": "reach/smoky", "pt-BR": "leaf_hide"}),
]  # fmt: skip


USUAL = ("", "es", "es-MX", "pt", "pt-BR")


def told(word: str, tag: str, meant: str | None) -> Any:
    """A case of one region; the lexicon of each takes seconds to make, so that most wait for the slow ones."""
    return pytest.param(word, tag, meant, marks=() if tag in USUAL else pytest.mark.slow)


@pytest.mark.parametrize(("word", "tag", "id"), [told(w, tag, id) for w, of in MEANINGS for tag, id in of.items()])
def test_a_word_means_what_its_region_means(word: str, tag: str, id: str) -> None:
    found = answer(open_lexicon(None, None, *filter(None, [tag])), word, exact=True)["descriptor"]
    assert id in (found, found.rsplit("/", 1)[-1])


@pytest.mark.parametrize(
    ("word", "tag", "said"),
    [told(*case) for case in (
        ("peach", "es-MX", "durazno"), ("peach", "es-ES", "melocotón"), ("avocado", "es-AR", "palta"),
        ("lime", "es-MX", "limón"), ("pineapple", "pt-BR", "abacaxi"), ("pineapple", "pt-PT", "ananás"),
        ("milk caramel", "es-CO", "arequipe"), ("popcorn", "es-PE", "canchita"), ("peach", "", None),
    )],
)  # fmt: skip
def test_find_says_what_the_region_calls_it(word: str, tag: str, said: str | None) -> None:
    assert answer(open_lexicon(None, None, *filter(None, [tag])), word)["said"] == said


def test_a_card_has_the_names_of_the_region_first() -> None:
    made = card(open_vocabulary(), "orchard/golden_stone/peach", "es-MX")
    assert list(made.names)[:2] == ["es-MX", "es"]
    assert next(heading for heading, _ in card_lines(made) if heading.startswith("names")) == "names (es-MX)"
    assert next(iter(card(open_vocabulary(), "orchard/golden_stone/peach").names)) == "en"


def test_a_kitchen_sheet_understands_the_region_and_speaks_it() -> None:
    vocabulary = open_vocabulary()
    text = sheet_text(sheet(vocabulary, anything_at(vocabulary, ["limón", "durazno"], "es-MX"), "es-MX"))
    assert "**lime / limón**" in text
    assert "**peach / durazno**" in text
    assert "**lemon**" in sheet_text(sheet(vocabulary, anything_at(vocabulary, ["limón"])))


def test_commands_take_the_region() -> None:
    def said(*words: str) -> str:
        done = CliRunner().invoke(main.build(), list(words))
        assert done.exit_code == 0, done.output
        return done.output

    assert '"citrus_crate/lemon_lime/lime"' in said("find", "limón", "--lang", "es-MX", "--format", "json")
    assert "names (es-MX)" in said("vocab", "show", "limón", "--lang", "es-MX")
    assert "lime / limón" in said("vocab", "sheet", "--for", "limón", "--lang", "es-MX")


def test_a_language_that_is_not_spoken_is_refused() -> None:
    with pytest.raises(VocabularyError, match="speaks no 'fi'"):
        open_lexicon(None, None, "fi")
    assert open_lexicon(None, None, "es-BO").language == "es"  # a region without names of its own


def test_small_forms_lead_back() -> None:
    lexicon = open_lexicon(None, None, "pt")
    for phrase, id in (("moranguinho", "strawberry"), ("casquinha de laranja", "orange_zest"), ("florzinha", "floral")):
        assert (answer(lexicon, phrase, exact=True)["descriptor"] or "").endswith(f"/{id}"), phrase


def test_words_that_open_a_phrase_change_nothing() -> None:
    lexicon = open_lexicon(None, None, "es")
    for phrase in ("notas de almendra", "un toque de almendra", "huele a almendra", "almendra"):
        assert answer(lexicon, phrase, exact=True)["descriptor"] == "bakers_bench/pale_nuts/almond"
    assert answer(open_lexicon(), "a hint of vanilla", exact=True)["descriptor"] == "spice_tin/root_pod/vanilla_pod"


# Foods that were once a mere name of a neighbour which tastes otherwise.
APART = """amchur = mango_powder; mango pickle = oil_pickle; ber = ber_fruit; kewra water = kewra; supari = areca_nut
betel leaf = betel_leaf; banana leaf = wrapping_leaf; perilla oil = perilla_seed; bilimbi = bilimbi; koji = koji
kimchi = kimchi; za'atar = zaatar; berbere = berbere; toum = garlic_sauce; cardamom buns = cardamom_bun
aquavit = caraway_spirit; fresh yellow dates = fresh_date; green almonds = green_almond; shea butter = shea_butter
huesillos = dried_peach
cabello de ángel = candied_squash; plátano paso = dried_banana; tres leches = tres_leches_cake
mazapán de cacahuate = peanut_marzipan; pacharán = sloe_liqueur; melao de caña = cane_honey
coconut vinegar = sharp_ferment; lime pickle = oil_pickle; turnip pickles = pickle_brine
cassava leaves = leafy_greens; tamarind rice = cooked_rice; cocoa tea = hot_chocolate; coca tea = mountain_herb_infusion
pickled herring = smoked_fish; plum stone = plums; fig leaf = fig_leaf; sulaimani chai = brisk_black_tea
hoja de nogal = fruit_leaf_infusion; pimienta verde = black_pepper; barra de chocolate = milk_chocolate
golden milk = golden_milk; masala peanuts = spiced_nuts
piña pasada = pineapple; melocotón de viña = peach; sorghum porridge = millet_teff; jerk seasoning = spice_rub"""


@pytest.mark.parametrize("case", [c.strip() for line in APART.splitlines() for c in line.split(";")])
def test_a_food_is_not_its_neighbour(case: str) -> None:
    phrase, _, wanted = case.partition(" = ")
    found = answer(open_lexicon(None, None), phrase, exact=True)["descriptor"]
    assert (found or "").rsplit("/", 1)[-1] == wanted
