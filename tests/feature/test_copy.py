"""The words of a pack say what was found and no more."""

from __future__ import annotations

import re

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tastevocab.feature.copy import one_sentence, write_copy
from tastevocab.feature.said import likeness
from tastevocab.feature.story import brew_differences, cooling_story


def copy_of(table, wording):
    material = table.material()
    return write_copy(material, cooling_story(material, wording), wording)


def full_table(table):
    """Five tasters, three shared words, hot to cool."""
    table.all_say("abcd", "milk_chocolate", moment="hot")
    table.all_say("abcde", "mandarin", moment="cool")
    table.all_say("abc", "caramel")
    table.all_say("abcd", "red_cherry")
    table.say("eve", "cherry_cola", words="cherry cola, honestly")
    for who in ("ana", "ben", "cat"):
        table.mark(who, "acidity", 4)
    return table


def test_sixty_to_ninety_words_with_the_people_in_them(table, wording):
    made = copy_of(full_table(table), wording)
    assert 60 <= made.words <= 90
    assert made.words == len(made.text.split())
    assert not made.short
    assert "Five people tasted Coffee One blind (filter, hot to cool, day 9 after roasting)." in made.text
    assert "All five tasters found mandarin, when cool;" in made.text
    assert "One taster also said “cherry cola, honestly”." in made.text


def test_every_sentence_about_flavour_rests_on_findings(table, wording):
    made = copy_of(full_table(table), wording)
    known = {f.id for f in table.findings} | {a.id for a in table.attributes}
    for sentence in made.sentences:
        assert set(sentence.evidence) <= known
        assert sentence.evidence or sentence.kind in ("opening", "likenesses")


def test_a_hedge_stays_a_hedge(table, wording):
    table.all_say("ab", "caramel")
    table.all_say("cd", "caramel", certainty=0.5)
    assert "four of five tasters found caramel (two of them unsure)" in one_sentence(table.material(), wording)


def test_all_in_doubt_is_said(table, wording):
    table.all_say("abc", "caramel", certainty=0.25)
    assert "found caramel (all of them unsure)" in one_sentence(table.material(), wording)


def test_a_denial_is_told(table, wording):
    table.all_say("abc", "caramel")
    table.say("dov", "caramel", present=False)
    assert "(one said it is not there)" in one_sentence(table.material(), wording)


def test_one_unsure_taster_stays_one_unsure_taster(table, wording):
    table.all_say("abc", "caramel")
    table.say("eve", "bergamot", certainty=0.5, words="maybe a whiff of bergamot")
    made = copy_of(table, wording)
    assert "One taster also said “maybe a whiff of bergamot”, unsure." in made.text
    assert made.text.count("bergamot") == 1


def test_garbled_captions_are_not_quoted(table, wording):
    table.all_say("abc", "caramel")
    table.say("eve", "bergamot", words="burger mott", via="heard")
    assert "burger mott" not in copy_of(table, wording).text


def test_what_one_taster_said_is_never_the_panels(table, wording):
    table.say("ana", "caramel")
    table.say("ben", "jasmine")
    made = copy_of(table, wording)
    assert "They did not converge on any word." in made.text
    assert "caramel" not in made.text
    assert "jasmine" not in made.text
    assert made.short
    assert table.pack().notes.message.text == "Coffee One: tasted, and the panel did not converge on a flavour word."


def test_a_change_most_made_may_be_told_and_is_not_called_proved(table, wording):
    # Worked example 2.4: four of five pale chocolate hot and one cool; none mandarin hot and four cool.
    table.all_say("abcd", "milk_chocolate", moment="hot")
    table.say("ana", "milk_chocolate", moment="cool")
    table.all_say("bcde", "mandarin", moment="cool")
    story = cooling_story(table.material(), wording)
    assert story.text == (
        "It starts on milk and white chocolate, gone for three of five tasters as it cools, and turns to orange and "
        "mandarin, new to four of five."
    )
    assert story.standing.startswith("May be told, is not proved (")
    assert "0 gained, 3 lost, p = 0.25" in story.standing
    assert "4 gained, 0 lost, p = 0.125" in story.standing


def test_a_change_two_of_five_made_is_no_story(table, wording):
    table.all_say("abcde", "caramel", moment="hot")
    table.all_say("abc", "caramel", moment="cool")
    table.all_say("de", "mandarin", moment="cool")
    story = cooling_story(table.material(), wording)
    assert story.text == ""
    assert "not more than half" in story.standing


def test_brews_are_compared_at_the_same_moment(table, wording):
    from dataclasses import replace

    from tastevocab.panel.session import BrewCard

    brews = {**table.session.brews, "espresso": BrewCard("espresso", "espresso")}
    table.session = replace(table.session, brews=brews)
    table.all_say("abcde", "caramel", moment="warm")
    table.all_say("abcd", "milk_chocolate", moment="hot")
    table.all_say("abcd", "dark_chocolate", moment="hot", brew="espresso")
    [difference] = brew_differences(table.material(), wording)
    assert difference.sentence.startswith("filter, hot beside espresso, hot:")


WORDS = ("red_cherry", "caramel", "milk_chocolate", "mandarin", "cherry_cola", "reach/red_fruit")
SAID = st.tuples(
    st.sampled_from(("ana", "ben", "cat", "dov", "eve")),
    st.sampled_from(WORDS),
    st.sampled_from((1.0, 0.5, 0.25)),
    st.sampled_from(("hot", "warm", "cool")),
    st.booleans(),
)
NUMBERS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5}


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(said=st.lists(SAID, min_size=1, max_size=14))
def test_no_count_is_ever_inflated(said, table, wording):
    table.findings.clear()
    for who, what, certainty, moment, present in said:
        table.say(who, what, certainty=certainty, moment=moment, present=present)
    material = table.material()
    page = material.page
    text = one_sentence(material, wording)
    for count, label in re.findall(r"(\w+)(?: of five| five)? (?:tasters )?found ([a-z ]+?)(?: \(|;|\.|,)", text):
        node = next(n for n in page.map.by_id.values() if wording.in_text(n.descriptor, n.print) == label)
        most = 5 if count == "five" else NUMBERS.get(count)
        if most is not None:
            assert most == node.people
            assert node.people >= 3
    assert copy_of(table, wording).words <= 90


def test_a_firm_word_is_quoted_before_a_longer_doubtful_one(table):
    table.say("ana", "caramel", certainty=0.5, words="maybe a sort of caramel thing")
    table.say("ben", "mandarin", words="mandarin")
    said = likeness(table.material().page)
    assert said is not None
    assert said.words == "mandarin"
