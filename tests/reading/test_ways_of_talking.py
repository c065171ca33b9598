"""The fifty-six ways of talking that a reader of tasting notes meets, one by one, each with what must come of it."""

from __future__ import annotations

import pytest
from reading_checks import bug, expect, note, talk

WHOSE = [
    ("01 a claim list in the we voice", ["Ana: We're calling it plum, shortbread and jasmine."],
     ["claim:plums", "claim:shortbread", "claim:jasmine"]),
    ("02 voices in an unmarked stream stay unknown", [": I'd say tangerine. Really? More like raspberry."],
     ["tangerine !Ana", "raspberry !Ana"]),
    ("03 bare assent", ["Ana: I get gooseberry.", "Ben: Totally."], ["gooseberry own Ana", "gooseberry echo Ben"]),
    ("03 bare assent, a hum", ["Ana: I get gooseberry.", "Ben: Mm-hm."], ["gooseberry own Ana", "gooseberry echo Ben"]),
    ("03 assent to a denial", ["Ana: No rose for me.", "Ben: Me neither."], ["-rose own Ana", "-rose echo Ben"]),
    ("04 assent, then a word of one's own", ["Ana: I get walnut.", "Ben: Agreed. And a bit of pecan."],
     ["walnut own Ana", "walnut echo Ben", "pecan own weak Ben"]),
    bug("assent in the same sentence as a new word is not taken as an echo",
        "04 assent and a word of one's own in one breath", ["Ana: I get walnut.", "Ben: Yes, and a bit of pecan."],
        ["walnut own Ana", "walnut echo Ben", "pecan own weak Ben"]),
    ("05 polite disagreement", ["Ana: Peach.", "Ben: Interesting, I'm more on the tea side."],
     ["peach Ana", "reach/tea_like own Ben"]),
    ("06 report of somebody absent", ["Ana: Our Saturday barista swears it's marzipan."], ["claim:marzipan"]),
    ("07 memory of another day", ["Ana: On Tuesday's table this was all butterscotch."],
     ["|other coffee:butterscotch|"]),
    ("08 another coffee brought in", ["Ana: Unlike last week's Rwandan, which was pure toffee."],
     ["comparison:toffee"]),
    ("09 self-correction", ["Ana: Nutmeg - no, sorry, allspice."], ["allspice", "withdrawn:nutmeg"]),
    ("10 thinking aloud", ["Ana: It's... plum... no... damson! Damson."], ["damson", "withdrawn:plums"]),
    ("11 repeats are one finding", ["Ana: Guava. So much guava. Guava, guava!"], ["pink_guava strong"]),
    ("12 a closing summary", ["Ana: So that was your tangerine and your rye bread."],
     ["|nearby food:tangerine|", "|nearby food:rye_bread|"]),
    ("13 a leading question", ["Ana: Do you get the elderflower?", "Ben: Oh yeah."],
     ["question:elderflower Ana", "elderflower led Ben"]),
    ("13 a leading question denied", ["Ana: Do you get the elderflower?", "Ben: Nope."],
     ["question:elderflower Ana", "-elderflower Ben"]),
    ("14 a catch-phrase", ["Ana: It's a birthday in a mug!"], []),
]  # fmt: skip

SURE = [
    ("15 hedge", "maybe a whisper of liquorice?", ["liquorice_root barely hedged"]),
    ("16 filler that looks like likeness", "it's, um, like, you know, pecan", ["pecan !hedged"]),
    bug("'kind of' among fillers counts as doubt", "16 filler that looks like doubt",
        "it's, like, kind of, like, pecan", ["pecan !hedged"]),
    ("17 quantity", "the merest trace of rosemary", ["rosemary barely"]),
    ("17 doubled quantity", "buckets and buckets of butterscotch", ["butterscotch very_strong"]),
    ("17 a crumb of it", "the merest crumb of nutmeg", ["nutmeg barely"]),
    ("18 plain denial", "I'm not getting any violet.", ["-violet"]),
    ("18 denial with 'in here'", "No violet in here.", ["-violet"]),
    ("19 contrast pair", "not orange juice, orange zest", ["-orange_juice", "orange_zest"]),
    bug("'sort of' (a kind of thing) counts as doubt, 'crisp' as acidity", "20 ripeness contrast",
        "the soft red sort of plum, not the crisp yellow sort", ["plums !hedged"]),
    ("21 negated extreme", "sweet without being cloying", ["sweetness=high"]),
    ("22 double negative", "there isn't no plum", ["plums weak hedged"]),
    ("22 double negative with there's", "I wouldn't say there's no plum in it", ["plums weak hedged"]),
    ("23 wish", "I'd love a bit more toffee here", ["wish:toffee"]),
    ("23 wish, could do with", "Could do with more plum.", ["wish:plums"]),
    ("24 prediction", "You'll get cherry if you go coarser.", ["prediction:cherries"]),
    ("24 prediction with you'd taste", "You'd taste more cherry with a finer grind.", ["prediction:cherries"]),
    ("25 nose and mouth", "I smell lilac but I taste grapefruit.", ["lilac nose", "grapefruit_kin !nose"]),
    ("26 nose, then sip", "Raspberry on the nose, walnut in the mouth.", ["raspberry nose", "walnut !nose"]),
    ("27 liking", "It's gorgeous, that passionfruit.", ["passionfruit"]),
    ("28 sought and found", "I was looking for the mango, and there it is.", ["ripe_mango"]),
]  # fmt: skip

WORDS = [
    ("29 reach word", "something like dark fruit", ["reach/dark_fruit hedged"]),
    ("29 reach word with in the", "something in the yellow fruit world", ["reach/yellow_fruit hedged"]),
    ("30 narrowed at once", "stone fruit, more exactly nectarine", ["nectarine"]),
    ("30 'well' is no degree", "well, papaya", ["papaya unsaid"]),
    ("31 widened at once", "bilberry, or just dark berries", ["bilberry hedged", "dark_berries hedged"]),
    ("32 two notes run together", "a peachy-and-gingery thing", ["peach", "reach/ginger"]),
    ("33 endings", "marzipany, cidery, cocoa-forward", ["marzipan", "reach/cider", "dark_choc strong"]),
    ("33 -ish lowers certainty", "plum-ish", ["plums hedged"]),
    ("33 -ish in one word", "lemonish", ["lemon hedged"]),
    ("34 plural and childish forms", "figgies, chocky, cranberries", ["reach/fig", "reach/chocolatey", "cranberry"]),
    ("35 blend", "like rhubarb and custard sweets", ["rhubarb_custard_sweet +rhubarb +custard"]),
    ("36 a brand stood in for a taste", "those gold-wrapped toffees", ["toffee"]),
    ("37 memory likeness is kept, not forced", "like the gribblewick cupboard", ["|?gribblewick cupboard|"]),
    ("38 a colour that is also a fruit", "it tastes orange", ["sweet_orange"]),
    ("39 texture food beside its quality", "buttery body", ["body=high"]),
    ("39 texture food said as food", "like browned butter", ["browned_butter"]),
    ("39 texture word after its quality", "the body is buttery", ["body=high"]),
    ("40 acid words", "a citric snap", ["acidity=high"]),
    ("41 amount and manners", "bright but well behaved", ["acidity=medium"]),
    ("42 sweetness with a named source", "sweet like maple syrup, not like honey",
     ["sweetness=high", "maple_syrup", "-honeys"]),
    ("43 finish", "gone in a blink", ["finish=low"]),
    ("44 place in the sip", "rose up front, plum in the middle, cocoa as you swallow",
     ["rose front", "plums middle", "dark_choc finish"]),
    ("45 change over temperature", "Hot, it's hazelnut. As it cools, raspberry. Cold, it's all mandarin.",
     ["hazelnut hot", "raspberry warm", "mandarin cool"]),
    ("46 change across brews", "the pour over makes it jasmine; on espresso it's molasses",
     ["jasmine filter", "molasses espresso"]),
    ("47 process as a yardstick", "so clean it could pass for washed, though it's a honey lot", ["process:honeys"]),
    ("48 roast and body words", "light on its feet", ["body=low"]),
    ("49 drink likeness for strength", "drinks like a long black", []),
    ("50 two-faced word", "a bit earthy - in a fun way", ["reach/earthy weak two_faced !fault"]),
    ("51 second-language words", "durazno, naartjie and filbert", ["peach", "mandarin", "hazelnut"]),
]  # fmt: skip

LAYOUT = [
    ("52 pointing", ["Ana: And there is a touch of that one, up there."], []),
    bug("a pronoun is not resolved to the last note", "53 pronoun",
        ["Ana: I get damson.", "Ana: It's at the back too."], ["damson", "damson finish"]),
    ("55 numbers and recipe facts", ["Ana: 18 g, 93 degrees, 2:30, and I get apricot."], ["apricot"]),
    ("55 numbers in words", ["Ana: Eighteen grams in, apricot still there at ninety-two degrees."], ["apricot"]),
    ("56 mangled captions", ["Ana: Getting burger mott and jazz mean."], ["bergamot via_heard", "jasmine via_heard"]),
    ("56 talk of kit", ["Ana: The kettle now comes in sage."], ["equipment:sage"]),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "said", "expected"), [*WHOSE, *LAYOUT])
def test_talk_at_the_table(kind: str, said: list[str], expected: list[str]) -> None:
    expect(talk(*said), *expected)


@pytest.mark.parametrize(("kind", "said", "expected"), [*SURE, *WORDS])
def test_what_is_said_of_a_flavour(kind: str, said: str, expected: list[str]) -> None:
    expect(note(said), *expected)


def test_54_a_phrase_cut_across_captions_keeps_both_times() -> None:
    """Two pieces joined by the file's reader: the words are one finding at the time where they begin."""
    from reading_checks import lexicon

    from tastevocab.reading.intake.files import turns_of
    from tastevocab.reading.intake.layout import Layout
    from tastevocab.reading.read import read_turns

    text = (
        "WEBVTT\n\n00:00:01.000 --> 00:00:03.000\n<v Ana>it ends with some dried\n\n"
        "00:00:03.000 --> 00:00:05.000\n<v Ana>apricot on the end\n"
    )
    file = turns_of(text, source="table.vtt", kind=None, layout=Layout())
    reading = read_turns(file.turns, lexicon())
    expect(reading, "dried_apricot moderate finish Ana")
    found = reading.findings[0]
    assert found.spot.at == 1.0
    assert text[found.spot.span[0] :].startswith("some dried")
    assert text[: found.spot.span[1]].endswith("apricot")


def test_every_way_has_a_case() -> None:
    cases = [getattr(c, "values", c)[0] for c in (*WHOSE, *SURE, *WORDS, *LAYOUT)]
    assert {int(kind[:2]) for kind in cases} | {54} == set(range(1, 57))
