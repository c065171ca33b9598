"""Rules that whole tables taught: talk beside the cup, mis-hearings inside longer names, what ends or starts where."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_checks import denied, levels, lexicon, note, present, talk

from tastevocab.reading.read import read_file


@pytest.mark.parametrize(
    ("said", "flavours"),
    [
        # other coffees, by number, year or "the last ..."
        ("Lot three-one-six was all cherry. This is plum.", ["plums"]),
        ("The 2021 crop was hazelnut.", []),
        ("The last training batch was all rum and raisin.", []),
        ("The last sip was all plum.", ["plums"]),
        # stock, orders, and who is at work
        ("We're out of the vanilla. The syrup.", []),
        ("Two flat whites and a ginger beer, please.", []),
        ("Tell her the cake's got almond.", []),
        ("Olive's doing the till.", []),
        ("Rosa has the keys.", []),
        ("Ron!", []),
        ("Don't mention the chocolate. Plum, though.", ["plums"]),
        ("Four espressos, some tonic and a peach shrub.", []),
        ("Condensed milk, two spoons, at the bottom.", []),
        ("It's in the fridge, next to the beetroot.", []),
        ("I'm on the peppermint tea today.", []),
        ("Send it with the ginger snaps.", []),
        ("How much is it? Peanuts. Nine dollars a kilo.", []),
        ("Last harvest was all grass and green peas.", []),
        ("It's coming out like treacle.", []),
        ("I don't know barley tea.", []),
        ("And that apron, is it, like, tangerine?", []),
        # the room
        ("Who's eating? I can smell vinegar.", []),
        ("Is that hand cream? It's all coconut.", []),
        ("The colour's nice. It's proper chestnut.", []),
        ("Does anyone mind the candle? It's, um, it's fig, I think.", []),
        ("Whose hand cream is that? It's pure coconut.", []),
        ("Sandalwood, but, you know, that's the incense from the hall.", []),
        ("Your apron's got, like, turmeric all down it.", []),
        ("A mandarin's like the little one in the net.", []),
        ("They plant lemongrass between the rows.", []),
        ("Papaya and ginger, it says.", []),
        ("Order up, two small, no peanuts, extra coriander.", []),
        ("The cardamom, I'm, um, I'm on the fence.", []),
        ("Anything floral?", []),
        # weighing and wishing
        ("Not so much lemon. More of a plum.", ["plums"]),
        ("I should like some chocolate in there.", []),
        ("A splash of coconut milk and this would sing.", []),
        ("Hazelnut's a stretch.", []),
        # searches for the word, and questions to oneself
        ("There's, what is it, stewed plum?", ["stewed_plum"]),
        ("Something floral. Is it jasmine?", ["reach/floral", "jasmine"]),
        ("Better. Fruit?", []),
        # withdrawn
        ("I wrote plum and crossed it out. Settled on prune.", ["prune"]),
        # more than I expected: what is compared with is elsewhere, what is found is here
        ("More plum than I expected.", ["plums"]),
    ],
)
def test_talk_beside_the_cup(said: str, flavours: list[str]) -> None:
    assert present(talk(f"Ana: {said}")) == flavours


def test_what_another_said_is_read_back_and_not_found() -> None:
    reading = talk("Ana: Plum.", "Ben: Caramel.", "Cy: Recorded: plum from Ana, caramel from Ben.")
    assert [f.spot.speaker for f in reading.findings] == ["Ana", "Ben"]


def test_a_question_about_another_thing_takes_the_answer() -> None:
    reading = talk("Ana: No lemon.", "Ben: Who's picking up the van on Friday?", "Cy: Me. No. You.")
    assert denied(reading) == ["lemon"]


@pytest.mark.parametrize(
    ("asked", "answered", "flavours"),
    [
        ("What's in the copper pan?", "Caramel.", []),
        ("Is that jacket new?", "It's, um, pistachio.", []),
        ("What was the sticker on the tub?", "Tangerine. Little tangerine dot.", []),
        ("What do you get in the middle?", "Caramel.", ["caramel"]),
        ("What's on the finish?", "Pistachio.", ["pistachio"]),
    ],
)
def test_a_bare_answer_is_about_what_was_asked(asked: str, answered: str, flavours: list[str]) -> None:
    assert present(talk(f"Ana: {asked}", f"Ben: {answered}")) == flavours


def test_a_question_for_a_level_is_no_other_question() -> None:
    assert levels(talk("Ana: What are we giving bitterness?", "Ben: Medium.")) == {"bitterness": "medium"}
    assert levels(talk("Ana: Acidity three. At a push.")) == {"acidity": "medium"}


def test_not_for_me_denies_before_one_s_own_word() -> None:
    reading = talk("Ana: Black cherry, big time.", "Ben: Not for me. It's a blackberry.")
    assert (present(reading), denied(reading)) == (["black_cherry", "blackberry"], ["black_cherry"])


@pytest.mark.parametrize(
    ("said", "flavours"),
    [
        ("Caraway I do not have.", ["caraway"]),
        ("No vinegar, and no, um, lemon.", ["sharp_ferment", "lemon"]),
        ("I keep hunting for raspberry and coming up short.", ["raspberry"]),
    ],
)
def test_ways_to_say_that_it_is_not_there(said: str, flavours: list[str]) -> None:
    assert denied(talk(f"Ana: {said}")) == flavours


def test_another_s_word_is_denied_where_one_s_own_would_be_withdrawn() -> None:
    reading = talk("Ana: Caramel, a lot.", "Ben: Caramel? No. It's plum.")
    assert (present(reading), denied(reading)) == (["caramel", "plums"], ["caramel"])


@pytest.mark.parametrize(
    ("said", "flavours"),
    [
        ("I get rue barb and custard.", ["rhubarb_custard_sweet"]),
        ("It's quints paste.", ["quince_paste"]),
        ("Toasted all mond.", ["toasted_almond"]),
        ("I get, um, hi biscus.", ["reach/hibiscus"]),
    ],
)
def test_a_mis_heard_word_inside_a_longer_name(said: str, flavours: list[str]) -> None:
    assert present(talk(f"Ana: {said}")) == flavours


def test_a_mis_heard_quality_is_that_quality() -> None:
    assert levels(talk("Ana: It's grassy, and it's, um, a stringent.")) == {"astringency": "high"}


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("Sweetness, I'd write medium.", {"sweetness": "medium"}),
        ("Acidity's only medium now.", {"acidity": "medium"}),
        ("Finish on this one's short.", {"finish": "low"}),
        ("Bitter? Not even slightly.", {"bitterness": "none"}),
        ("It dries my gums, a bit.", {"astringency": "low"}),
        ("The body's lighter than I thought it'd be.", {"body": "low"}),
        ("Heavier now, almost syrupy.", {"body": "high"}),
        ("The finish is just, like, gone.", {"finish": "low"}),
        ("The acid's come right down.", {"acidity": "low"}),
        ("There's a drying thing on the sides.", {"astringency": "high"}),
        ("And how long is that finish?", {}),
        ("B's finish is long.", {"finish": "high"}),
        ("He's been at the crisps.", {}),
        ("Mind the table, it's sticky.", {}),
        ("Body's light. Tea-like.", {"body": "low"}),
    ],
)
def test_qualities_in_talk(said: str, found: dict[str, str]) -> None:
    assert levels(talk(f"Ana: {said}")) == found


def test_the_last_question_is_the_one_that_is_answered() -> None:
    assert levels(talk("Ana: Body, medium. Balance?", "Ben: High.")) == {"body": "medium", "balance": "high"}


def test_an_order_to_wait_answers_no_question() -> None:
    assert levels(talk("Ana: Sweetness?", "Ben: Let it come down a while.")) == {}


def test_tea_like_after_talk_of_the_body_is_a_texture() -> None:
    thin = talk("Ana: It's gone thin.", "Ben: Tea-like, even.")
    assert (present(thin), levels(thin)) == ([], {"body": "low"})
    assert present(talk("Ana: Caramel.", "Ben: Tea-like.")) == ["caramel", "reach/tea_like"]


def test_fine_answers_nothing() -> None:
    assert levels(talk("Ana: I've put medium for the body.", "Ben: Fine. Did anyone feed the meter?")) == {
        "body": "medium"
    }


def test_bowls_do_not_end_the_dry_smell() -> None:
    reading = talk("Ana: Five bowls. Right, dry grounds.", "Ben: Brown sugar, first bowl and second.", "Ana: Fig.")
    assert [f.spot.moment for f in reading.findings] == ["dry", "dry"]


@pytest.mark.parametrize(
    ("head", "brew"),
    [
        ("**Brew:** press pot, 30 g to 500 g, then one espresso", "immersion"),
        ("**Set-up:** 6 bowls, 12 g to 220 g", "cupping"),
        ("**Coffee:** Vale Alto, washed", None),
    ],
)
def test_the_head_of_a_sheet_names_the_brew(tmp_path: Path, head: str, brew: str | None) -> None:
    sheet = tmp_path / "sheet.md"
    sheet.write_text(f"# Table\n\n{head}\n\n## Grounds\n\n- Ana: cedar\n\n## Hot\n\n- Ana: plum\n", encoding="utf-8")
    assert [(f.spot.moment, f.spot.brew) for f in read_file(sheet, lexicon()).findings] == [
        ("dry", None),
        ("hot", brew),
    ]


def test_a_crust_is_broken_only_in_a_bowl() -> None:
    reading = talk("Ana: Grounds. Cedar.", "Ben: Breaking the crust. Honey.", "Ana: Hot. Plum.")
    assert [(f.spot.moment, f.spot.brew) for f in reading.findings] == [
        ("dry", None), ("aroma", "cupping"), ("hot", "cupping"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("said", "flavours"),
    [
        ("chocolate, milk, bright", ["reach/chocolatey", "reach/creamy_flavour"]),
        ("ripe tomato soup", ["tomato_soup"]),
        ("toffee syrup", ["toffee"]),
        ("nutty, macadamia nut", ["reach/nutty", "macadamia"]),
        ("reminded me of the plums that grew behind my house as a kid", ["plums"]),
    ],
)
def test_typed_lists(said: str, flavours: list[str]) -> None:
    assert present(note(said)) == flavours


def test_a_bare_quality_in_a_typed_list_counts_as_high() -> None:
    assert levels(note("balance, tart")) == {"balance": "high", "acidity": "high"}
    assert levels(note("sour notes, plum")) == {"acidity": "high"}


@pytest.mark.parametrize(
    ("said", "degree"),
    [
        ("Rosemary? Tiny tiny bit.", "barely"),
        ("Papaya. A faint one, towards the back.", "weak"),
        ("So, milk chocolate.", None),
        ("Blackberry too.", None),
    ],
)
def test_a_degree_in_a_sentence_of_its_own_and_one_that_is_none(said: str, degree: str | None) -> None:
    assert [f.degree for f in talk(f"Ana: {said}").findings] == [degree]


def test_an_assent_bears_the_degree_before_it() -> None:
    assert [(f.echo, f.degree) for f in talk("Ana: Butterscotch.", "Ben: Massive, yes.").findings] == [
        (False, None), (True, "very strong"),
    ]  # fmt: skip


def test_what_a_drink_with_milk_is_made_of_is_no_other_brew() -> None:
    made = talk("Ana: Okay, cortado, milk drink. Double shot.", "Ben: Plum.", "Ana: Now the espresso.", "Ben: Fig.")
    assert [f.spot.brew for f in made.findings] == ["milk", "espresso"]


def test_a_mark_out_of_ten_is_no_recipe() -> None:
    made = talk("Ana: Filter. Hot.", "Ben: Sweetness, high. Like, nine out of ten.", "Ana: Plum.")
    assert [(f.spot.moment, f.spot.brew) for f in made.findings if f.present] == [("hot", "filter")]


def test_smell_it_dry_is_the_dry_moment() -> None:
    made = talk("Ana: Now smell it, dry.", "Ben: Cherry.")
    assert [f.spot.moment for f in made.findings] == ["dry"]
    assert levels(made) == {}


@pytest.mark.parametrize("said", ["There's a malty thing too, kind of.", "Malt behind it, sort of."])
def test_doubt_behind_small_words(said: str) -> None:
    assert [f.hedged for f in talk(f"Ana: {said}").findings] == [True]


def test_a_level_that_answers_stands_against_the_word_that_describes_it() -> None:
    made = talk("Ana: Body?", "Ben: I've got it as medium, kind of silky.")
    assert levels(made) == {"body": "medium"}


def test_a_name_called_first_leaves_the_question_a_question() -> None:
    made = talk("Ana: Marisol, do you have hazelnut?", "Marisol: Hazelnut, mm, yes, faint.")
    assert [(f.spot.speaker, f.degree) for f in made.findings] == [("Marisol", "weak")]


@pytest.mark.parametrize(
    ("said", "flavours"),
    [
        ("I can smell tomato, and it isn't coming from this cup.", []),
        ("Peanuts at nine dollars a kilo.", []),
        ("The last one was peach, this isn't.", []),
        ("Jasmine and lychee, it said, in gold.", []),
        ("I used the coconut carton, there was nothing else.", []),
        ("Ha, toss a coin.", []),
        ("There's a durian in the next compartment, by the way.", []),
        ("For me it's a cloudberry, like at my grandmother's.", ["cloudberry"]),
        ("There's a little violent note right at the end.", ["violet"]),
    ],
)
def test_beside_the_cup_and_likened_to_home(said: str, flavours: list[str]) -> None:
    assert present(talk(f"Ana: {said}")) == flavours


@pytest.mark.parametrize("said", ["No plum, not this one.", "No tomato, not from this cup."])
def test_a_denial_stands_before_words_that_set_aside(said: str) -> None:
    assert len(denied(talk(f"Ana: {said}"))) == 1
