"""Whose finding it is: assent, answers, corrections, reports, and what is known after the reveal."""

from __future__ import annotations

import pytest
from reading_checks import bug, expect, present, talk

ASSENT = [
    "Agreed.",
    "Same.",
    "Ditto.",
    "Mm-hm.",
    "Me too.",
    "Exactly.",
    "Totally.",
    "+1",
    "Seconded.",
    "Yeah.",
    "Likewise.",
]
REFUSAL = ["Nope.", "Not for me.", "I disagree.", "No.", "Not in mine.", "Not getting that."]


@pytest.mark.parametrize("said", ASSENT)
def test_assent_is_an_echo_of_everything_just_said(said: str) -> None:
    expect(talk("Ana: I get plum and fig.", f"Ben: {said}"),
           "plums own Ana", "reach/fig own Ana", "plums echo Ben", "reach/fig echo Ben")  # fmt: skip


@pytest.mark.parametrize("said", REFUSAL)
def test_a_bare_no_is_a_denial_of_one_s_own(said: str) -> None:
    expect(talk("Ana: I get plum.", f"Ben: {said}"), "plums own Ana", "-plums own echo Ben")


@pytest.mark.parametrize("said", ["Me neither.", "Nor me.", "Neither do I."])
def test_me_neither_echoes_a_denial(said: str) -> None:
    expect(talk("Ana: No rose.", f"Ben: {said}"), "-rose own Ana", "-rose echo Ben")


@pytest.mark.parametrize("said", ["Yes.", "Oh yeah.", "I do."])
def test_an_answer_to_a_leading_question_is_led(said: str) -> None:
    expect(talk("Ana: Do you get plum?", f"Ben: {said}"), "question:plums Ana", "plums led Ben")


def test_you_get_is_a_question_too() -> None:
    expect(talk("Ana: You get plum?", "Ben: Yes."), "question:plums Ana", "plums led Ben")


def test_everyone_answers_the_question_for_themselves() -> None:
    expect(talk("Ana: Do you get plum?", "Ben: No.", "Cy: Yes."), "question:plums", "-plums Ben", "plums led Cy")


def test_nobody_echoes_themselves() -> None:
    expect(talk("Ana: I get plum.", "Ana: Same."), "plums own Ana")


def test_an_echo_adds_its_own_degree_and_not_the_other_s() -> None:
    expect(talk("Ana: Lots of plum.", "Ben: Agreed."), "plums strong own", "plums unsaid echo")
    expect(talk("Ana: A hint of plum.", "Ben: Same, a lot."), "plums weak own", "plums strong echo")


def test_an_echo_is_as_sure_as_the_one_who_says_it() -> None:
    expect(talk("Ana: Maybe plum.", "Ben: Definitely."), "plums hedged Ana", "plums echo !hedged Ben")


def test_an_echo_may_name_whom_it_echoes() -> None:
    expect(talk("Ana: I get plum.", "Ben: Strawberry.", "Cy: Same as Ana."),
           "plums Ana", "strawberry Ben", "plums echo Cy")  # fmt: skip


def test_assent_to_something_else_is_no_echo() -> None:
    expect(talk("Ana: I get plum.", "Ben: Shall I pour the next one?", "Cy: That kettle is loud.",
                "Dee: Who has the spoons?", "Ana: Me.", "Ben: Right."), "plums Ana")  # fmt: skip


def test_the_same_word_said_again_by_another_is_their_own() -> None:
    expect(talk("Ana: I get plum.", "Ben: Plum for me too."), "plums own Ana", "plums own Ben")


def test_an_unlabelled_stream_names_nobody() -> None:
    reading = talk(": I get plum.", ": I get fig.")
    assert [f.spot.speaker for f in reading.findings] == [None, None]


@pytest.mark.parametrize(
    ("said", "kept", "dropped"),
    [
        ("Plum, no, fig.", "reach/fig", "plums"),
        ("Plum... no... damson.", "damson", "plums"),
        ("Nutmeg, no wait, allspice.", "allspice", "nutmeg"),
        ("Honeysuckle... sorry, I mean jasmine.", "jasmine", "honeysuckle"),
        ("Cedar. Scratch that, walnut.", "walnut", "cedar"),
    ],
)
def test_self_correction_keeps_the_later_word(said: str, kept: str, dropped: str) -> None:
    expect(talk(f"Ana: {said}"), kept, f"withdrawn:{dropped}")


def test_a_word_is_taken_back_turns_later() -> None:
    reading = talk("Ana: I get plum.", "Ben: Fig.", "Ana: Scrap the plum.")
    assert present(reading) == ["reach/fig"]
    assert [s.reason for s in reading.set_aside] == ["withdrawn", "withdrawn"]


@pytest.mark.xfail(strict=True, reason="taking back does not look at who speaks")
def test_one_takes_back_one_s_own_words_only() -> None:
    reading = talk("Ana: I get plum.", "Ben: I get plum as well.", "Ana: Scrap the plum.")
    assert [f.spot.speaker for f in reading.findings] == ["Ben"]


@pytest.mark.parametrize("said", ["Here's what the bag says.", "Let's flip the bag.", "Time for the reveal."])
def test_after_the_reveal_findings_are_informed(said: str) -> None:
    expect(talk("Ana: I get plum.", f"Ana: {said}", "Ben: I get fig."), "plums own Ana", "reach/fig informed Ben")


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("My neighbour says quince.", "report"),
        ("The night shift said it was quince.", "report"),
        bug(
            "'nobody got' followed by a flavour is a report, but so is 'somebody got'",
            "Somebody upstairs got quince.",
            "report",
        ),
    ],
)
def test_reports_of_absent_people_are_set_aside(said: str, reason: str) -> None:
    expect(talk(f"Ana: {said}"), f"{reason}:quince")


@pytest.mark.parametrize("said", ["Ben got toffee but I didn't.", "Ben said toffee.", "Ben has toffee."])
def test_what_another_taster_found_is_not_one_s_own(said: str) -> None:
    reading = talk("Ben: Plum.", f"Ana: {said}")
    assert [f for f in reading.findings if f.present and f.spot.speaker == "Ana" and f.standing == "own"] == []


def test_a_closing_summary_by_the_same_voice_adds_no_new_flavour() -> None:
    once = talk("Ana: I get plum.", "Ana: And cedar.")
    again = talk("Ana: I get plum.", "Ana: And cedar.", "Ana: So, plum and cedar.")
    assert set(present(once)) == set(present(again))


def test_speakers_count_their_turns() -> None:
    assert dict(talk("Ana: Plum.", "Ben: Fig.", "Ana: Hm.").speakers) == {"Ana": 2, "Ben": 1}
