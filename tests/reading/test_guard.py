"""Flavour words that are no findings, and findings that only look like such: by frame, head noun and set phrase."""

from __future__ import annotations

import pytest
from reading_checks import denied, expect, lexicon, note, present, short, talk

DECOYS = [
    ("Basil and Hazel packed the boxes.", "no tasting in it:basil"),
    ("Ask Ginger when she gets in.", "name:reach/ginger"),
    ("She's bringing her little one in later, Olive, the one who drew on the wall.", "name:olive"),
    ("Melon, get your lead, we're going home.", "address:melon"),
    ("The shelf's pine, so that's not helping.", "another thing:conifer_needle"),
    ("The pavement went violet.", "another thing:violet"),
    ("That hopper smells of cedar.", "another thing:cedar"),
    ("Toast your cups on the machine first.", "recipe:toast"),
    ("There's a ginger cat.", "another thing:reach/ginger"),
    ("Ginger? Nah, forget I said it.", "withdrawn:reach/ginger"),
    ("Black jelly beans, but I had one in the car, so don't write that down.", "withdrawn:liquorice_sweet"),
    ("The knocker's lemon.", "another thing:lemon"),
    ("We're billing this one as peach and rose.", "claim:rose"),
    ("The new kettle comes in thyme.", "equipment:thyme"),
    ("The timer glows orange at two minutes.", "equipment:sweet_orange"),
    ("Pass me the honey spoon.", "equipment:honeys"),
    ("Careful with the plum mug.", "equipment:plums"),
    ("That kettle's the colour of butter.", "colour:butter"),
    ("Stop when it goes straw blond.", "colour:straw"),
    ("Red honey, so they left half of it on.", "process:honeys"),
    ("The whole cherry goes onto the drying beds.", "process:cherries"),
    ("It sat in a bourbon barrel for a month.", "process:bourbon_whiskey"),
    ("They grow papaya between the rows.", "process:papaya"),
    ("Lemon trees shade the lower plots.", "process:lemon"),
    ("Orange Bourbon, from two farms.", "variety:bourbon_whiskey"),
    ("It should pour like golden syrup.", "recipe:golden_syrup"),
    ("Add a spoon of honey for the iced one.", "recipe:honeys"),
    ("Someone peeled a tangerine in here.", "nearby food:tangerine"),
    ("I've just eaten a banana.", "nearby food:ripe_banana"),
    ("There's garlic in the staff kitchen.", "nearby food:roast_garlic"),
    ("My gum is still spearmint.", "taster state:mint"),
    ("A slice of lemon cake goes well with it.", "advice:sponge_cake"),
    ("That roaster is a piece of cake.", "idiom:sponge_cake"),
    ("She went nuts about it.", "idiom:reach/nutty"),
    ("Not my cup of tea.", "idiom:reach/tea_like"),
    ("That's the cherry on top.", "idiom:cherries"),
    ("Last month's was all blueberry, this one isn't.", "other coffee:blueberry"),
    ("The bag says fig.", "claim:reach/fig"),
    ("The importer reckons there's guava in it.", "claim:pink_guava"),
    ("My flatmate swears it's marzipan.", "claim:marzipan"),
    ("I'd love some peach.", "wish:peach"),
    ("You'll get peach with a finer grind.", "prediction:peach"),
    ("Does anyone get lychee?", "question:lychee"),
    ("Where's the cinnamon stick?", "question:cinnamon"),
    ("Peach Street was closed again.", "named place:peach"),
    ("Cheers honey.", "idiom:honeys"),
    ("New mugs: peach, lemon and sage.", "equipment:peach"),
    ("He's the apple of her eye.", "idiom:reach/apple"),
    ("The husk gets burned for fuel.", "process:burnt_taste"),
]

COUNTER_TRAPS = [
    ("It tastes of honey, and it's a honey lot, but proper chestnut honey.", ["honeys", "chestnut_honey"]),
    ("Lime-green kettle, lime-green cup: key lime all through.", ["small_sharp_lime"]),
    ("Cardboard, sadly, and the papers were rinsed.", ["cardboard_stale"]),
    ("The bloom smelled of elderflower.", ["elderflower"]),
    ("Tastes the way golden syrup pours, and like golden syrup too.", ["golden_syrup"]),
    ("We aged it in rum casks and now I taste rum.", ["reach/rum"]),
    ("There's banana in the cup, not just on the farm.", ["ripe_banana"]),
    ("Unlike yesterday's, this one is blackcurrant.", ["blackcurrant"]),
    ("On the label it says cocoa, but I'm getting cedar.", ["cedar"]),
    ("Peach kettle or not, I get peach.", ["peach"]),
    ("The apron is plum, the cup is plum as well.", ["plums"]),
]


@pytest.mark.parametrize(("said", "aside"), DECOYS)
def test_decoys_are_set_aside_with_their_reason(said: str, aside: str) -> None:
    reading = talk(f"Ana: {said}")
    assert present(reading) == []
    assert aside in [f"{s.reason}:{short(s.descriptor)}" for s in reading.set_aside]


def test_what_a_coffee_is_billed_as_is_a_claim() -> None:
    reading = talk("Ana: We're billing this one as peach and rose.")
    assert "peach" not in present(reading)
    assert "claim:peach" in [f"{s.reason}:{short(s.descriptor)}" for s in reading.set_aside]


@pytest.mark.parametrize(("said", "flavours"), COUNTER_TRAPS)
def test_findings_that_look_like_decoys_survive(said: str, flavours: list[str]) -> None:
    assert present(talk(f"Ana: {said}")) == flavours


def test_a_place_in_the_room_leaves_the_cup_alone() -> None:
    expect(note("There is an orange kettle on the shelf and the cup is plum."), "equipment:sweet_orange", "plums")


def test_a_denial_of_something_else_leaves_the_flavour() -> None:
    expect(talk("Ana: Hazelnut, and no, nobody brought a snack."), "hazelnut")


@pytest.mark.parametrize(
    "word",
    ["kettle", "apron", "mug", "tin"],
)
def test_a_head_noun_takes_the_word_over_wherever_it_stands(word: str) -> None:
    """The same word before the noun and alone: only the one alone is a finding."""
    reading = note(f"a peach {word}, and the cup is all raspberry")
    assert present(reading) == ["raspberry"]
    assert [s.reason for s in reading.set_aside] == ["equipment"]


def test_the_same_word_with_and_without_its_decoy() -> None:
    expect(note("the honey lot is all honey"), "process:honeys", "honeys")


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("This cup is rosemary.", ["rosemary"]),
        ("We said rosemary.", ["rosemary"]),
        ("Then old Rosemary said it was fine.", []),
    ],
)
def test_names_of_people_are_told_by_their_capital_and_verb(said: str, found: list[str]) -> None:
    assert present(talk(f"Ana: {said}")) == found


def test_a_speaker_s_own_name_is_no_flavour() -> None:
    reading = talk("Clementine: I get plum.", "Ana: What Clementine said.", "Clementine: Thanks.")
    assert "clementine" not in present(reading)
    assert "clementine" not in denied(reading)


@pytest.mark.parametrize("reason", ["equipment", "process", "recipe", "idiom", "claim", "wish", "question", "report"])
def test_every_reason_is_data(reason: str) -> None:
    """The reasons named in the reading contract come from the cue lists, not from code."""
    values = {s.value for _, senses in lexicon().cues for s in senses if s.kind.startswith("decoy.")}
    assert reason in values


def test_what_is_set_aside_keeps_its_words_and_its_flavour() -> None:
    reading = note("There is an orange kettle in the corner and the cup is plum.")
    (aside,) = reading.set_aside
    assert (aside.spot.words, aside.reason) == ("orange kettle", "equipment")
    assert aside.descriptor == "citrus_crate/orange_mandarin/sweet_orange"
    assert present(reading) == ["plums"]


@pytest.mark.parametrize(
    ("said", "flavours"),
    [
        ("Mine's hazelnut.", ["hazelnut"]),
        ("The finish is walnut.", ["walnut"]),
        ("The first sip smells of rose.", ["rose"]),
        ("What I have on the spoon is treacle.", ["black_treacle"]),
        ("It's got an oniony taint.", ["onion_ferment"]),
        ("The plum works.", ["plums"]),
    ],
)
def test_the_cup_s_own_parts_are_no_other_thing(said: str, flavours: list[str]) -> None:
    assert present(talk(f"Ana: {said}")) == flavours
