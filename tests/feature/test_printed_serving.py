"""Which serving a pack prints, and of what it answers."""

from __future__ import annotations

from dataclasses import replace

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Wishes, page_serving
from tastevocab.feature.pack import make_packs
from tastevocab.feature.wording import Wording
from tastevocab.panel.session import BrewCard


def test_the_whole_tasting_of_the_brew_is_printed(table):
    """What everybody said at some moment is on the bag, and the copy says when."""
    table.all_say("abcde", "milk_chocolate", moment="hot")
    table.all_say("abc", "caramel", moment="warm")
    table.all_say("abcd", "mandarin", moment="cool")
    made = table.pack()
    assert made.material.page.map.serving.moment is None
    assert made.material.page.map.margin.moments == ("hot", "warm", "cool")
    assert made.material.page.map.margin.pooled == ()
    assert [(w.print, w.people, w.when) for w in made.notes.line] == [
        ("milk chocolate", 5, "hot"),
        ("mandarin", 4, "cool"),
        ("caramel", 3, "warm"),
    ]
    assert made.notes.base == "5 tasters, blind, filter, hot to cool, day 9 after roasting"
    assert "four of five found mandarin, when cool" in made.notes.sentence


def test_a_taster_counts_once_for_a_word_wherever_they_found_it(table):
    for moment in ("hot", "warm", "cool"):
        table.all_say("ab", "caramel", moment=moment)
    table.all_say("c", "caramel", moment="warm")
    [word] = table.pack().notes.line
    assert (word.people, word.when) == (3, "")


def test_one_moment_on_request(table):
    table.all_say("abcde", "caramel", moment="hot")
    table.all_say("abc", "mandarin", moment="warm")
    assert table.material(HouseStyle(moment="warm")).page.map.serving.moment == "warm"
    asked = make_packs(table.gathered(), table.tools, HouseStyle(), Wording(), Wishes(moment="warm"))[0]
    assert asked.notes.base.startswith("5 tasters, blind, filter, warm,")
    assert table.material(HouseStyle(moment="cool")).page.map.serving.moment is None


def test_a_moment_only_some_of_the_findings_name_is_not_said_of_all(table):
    table.all_say("abcd", "caramel", moment=None)
    table.say("ana", "mandarin", moment="hot")
    assert table.pack().notes.base.startswith("5 tasters, blind, filter, day 9")


def test_brews_are_never_thrown_together(table):
    table.session = replace(table.session, brews={**table.session.brews, "espresso": BrewCard("espresso", "espresso")})
    table.all_say("abc", "caramel", brew="filter")
    table.all_say("abcd", "dark_chocolate", brew="espresso")
    assert page_serving(table.gathered(), "one", None).brew == "espresso"
    assert {r.map.serving.brew for r in table.material().brews} == {"filter", "espresso"}


def test_where_hardly_anybody_names_a_brew_none_is_printed(table):
    table.all_say("abcde", "caramel", brew=None, moment=None)
    table.say("ana", "mandarin", brew="filter", moment=None)
    assert table.material().page.map.serving.brew is None
