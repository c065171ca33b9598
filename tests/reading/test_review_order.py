"""What the review asks first: what may bring a word over its quorum or below it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from report_examples import BERGAMOT, BLACKBERRY, FIG, PLUM, example
from review_sittings import CELLAR, asked, found, order

from tastevocab.reading.records import Poured, Reading, Table
from tastevocab.reading.review.company import quorum


def test_what_brings_a_word_over_the_quorum_comes_first(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY), found("fig", "Mira", FIG, "d")),
        asked=(
            asked("plum", "Otto", PLUM, 0.7),  # one of three would be too few
            asked("fig", "Otto", FIG, 0.7),  # of another coffee than Mira's
            asked("berry", "Otto", BLACKBERRY, 0.3),  # two of three
        ),
    )
    assert order(notes, reading) == ["berry Otto", "plum Otto", "fig Otto"]


def test_several_who_are_asked_may_bring_it_over_together(notes: Path) -> None:
    pair = (asked("berry", "Otto", BLACKBERRY, 0.3), asked("berry", "Pilar", BLACKBERRY, 0.2))
    plum = asked("plum", "Otto", PLUM, 0.7)
    assert order(notes, Reading(asked=(plum, *pair))) == ["berry Otto", "berry Pilar", "plum Otto"]
    both = (found("berry", "Mira", BLACKBERRY), found("berry", "Sven", BLACKBERRY))  # reached without them
    assert order(notes, Reading(findings=both, asked=(plum, *pair))) == ["plum Otto", "berry Otto", "berry Pilar"]
    same = (*pair[:1], replace(pair[0], id="again", spot=replace(pair[0].spot, words="again")))  # one person twice
    assert order(notes, Reading(asked=(plum, *same)))[0] == "plum Otto"


def test_an_echo_moves_no_quorum(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY),),
        asked=(asked("plum", "Otto", PLUM, 0.7), asked("berry", "Otto", BLACKBERRY, 0.3, standing="echo")),
    )
    assert order(notes, reading) == ["plum Otto", "berry Otto"]


def test_a_doubt_that_could_take_a_word_below_its_quorum_comes_first(notes: Path) -> None:
    doubtful = replace(found("burger mott", "Otto", BERGAMOT), via="heard", match=0.9)
    reading = Reading(
        findings=(found("bergamot", "Mira", BERGAMOT), doubtful),
        asked=(asked("musty", "Otto", CELLAR, 0.4),),
    )
    assert order(notes, reading) == ["burger mott Otto", "musty Otto"]
    assert order(notes, replace(reading, findings=(doubtful,))) == ["musty Otto", "burger mott Otto"]


def test_then_faults_then_claims_then_the_surest(notes: Path) -> None:
    reading = Reading(
        asked=(
            asked("low", "Mira", "reach/earthy", 0.21),
            asked("near", "Mira", PLUM, 0.49),
            asked("claimed", "Mira", BERGAMOT, 0.3),
            asked("fault", "Mira", CELLAR, 0.25),
        ),
        unresolved=example().unresolved,  # 0.75 like a kumquat
    )
    table = Table(claims=("bergamot", "no such word"))
    assert order(notes, reading, table=table) == [
        "fault Mira",
        "claimed Mira",
        "kumquish Mira",
        "near Mira",
        "low Mira",
    ]
    assert order(notes, reading)[1:3] == ["kumquish Mira", "near Mira"]


def test_what_changes_no_count_comes_after_what_does(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY),),
        asked=(asked("again", "Mira", BLACKBERRY, 0.48), asked("plum", "Otto", PLUM, 0.22)),
    )
    assert order(notes, reading) == ["plum Otto", "again Mira"]


def test_a_taster_is_one_person_by_any_name(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Miri", BLACKBERRY),),
        asked=(asked("berry", "Mira", BLACKBERRY, 0.3), asked("plum", "Otto", PLUM, 0.7)),
    )
    assert order(notes, reading) == ["berry Mira", "plum Otto"]  # Miri may be anybody
    assert order(notes, reading, voices={"miri": "Mira"}) == ["plum Otto", "berry Mira"]


def test_a_coffee_is_one_by_any_name(notes: Path) -> None:
    reading = Reading(
        findings=(found("berry", "Mira", BLACKBERRY, "Vale Alto"),),
        asked=(asked("plum", "Otto", PLUM, 0.7), asked("berry", "Otto", BLACKBERRY, 0.3, "vale_alto")),
    )
    both = (Poured("vale_alto", ("Vale Alto",)), Poured("c"))
    assert order(notes, reading) == ["plum Otto", "berry Otto"]
    assert order(notes, reading, table=Table(coffees=both)) == ["berry Otto", "plum Otto"]


def test_a_quorum_is_more_than_half_and_at_least_two() -> None:
    assert [quorum(tasters) for tasters in range(1, 9)] == [2, 2, 2, 3, 3, 4, 4, 5]
