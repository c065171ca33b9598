"""The report that people read: who found what, what was not counted and why, what to do next."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading_checks import lexicon
from report_examples import desk, example, spot

from tastevocab.cells import visible
from tastevocab.reading.records import Finding, Reading, SetAside
from tastevocab.reading.report.signs import plain, told_signs
from tastevocab.reading.report.told import Wording, clock, quoted, report_lines, summary

GOLDEN = Path(__file__).with_name("golden")


def report(reading: Reading, **more: object) -> str:
    wording = Wording(desk(), "table.txt", **more)  # type: ignore[arg-type]
    return "\n".join(report_lines(reading, wording)) + "\n"


def test_the_report_as_people_see_it() -> None:
    assert report(example()) == (GOLDEN / "report.txt").read_text(encoding="utf-8")


def test_a_narrow_report_keeps_to_its_width_but_for_commands() -> None:
    lines = report(example(), width=44).splitlines()
    assert max(len(line) for line in lines if "tastevocab review" not in line) <= 44


def test_nothing_found_is_a_sentence() -> None:
    assert "Nothing about flavour was found" in report(Reading())
    only_aside = Reading(set_aside=(SetAside(spot("orange kettle", "Mira"), "equipment"),))
    assert "Nothing was counted." in report(only_aside)
    assert "Set aside: 1" in report(only_aside)


def test_people_come_before_findings() -> None:
    assert summary(example()) == "2 tasters, 7 flavours (1 denied, 1 echoed or led), 1 attribute, 2 to be asked"


def test_every_kind_of_mark_has_its_own_sign_and_word() -> None:
    base = example().findings[0]
    kinds = {
        "-": replace(base, present=False),
        "=": replace(base, standing="echo"),
        "<": replace(base, standing="led"),
        "i": replace(base, standing="informed"),
        "?": replace(base, certainty=0.5, hedged=True),
        "!": replace(base, fault=True),
        "+": base,
    }
    for sign, finding in kinds.items():
        text = report(Reading(findings=(finding,)))
        assert f" {sign} " in text.splitlines()[3], sign
        assert f"Signs: {sign} " in text


def test_what_is_asked_is_a_part_of_its_own_and_counts_for_nobody() -> None:
    text = report(example())
    counted, _, rest = text.partition("Asked, counted for nobody yet: 2\n")
    asked = rest.partition("Set aside")[0].splitlines()
    assert asked[0] == '  "Hardly any plum" (Otto 1:20): no plums, 72 % sure'
    assert asked[1] == '  "Rather round" (Otto 1:22): body medium, 40 % sure'
    assert "plum" not in counted
    assert "round" not in counted
    assert "%" not in counted  # how sure it is, is told only where it is asked
    alone = report(Reading(asked=example().asked))
    assert "Nothing was counted." in alone
    assert "Asked, counted for nobody yet: 2" in alone


def test_each_item_says_why_where_that_is_wanted() -> None:
    signs = ("+ said", "- means it")
    made = Reading(
        findings=(replace(example().findings[0], signs=signs),),
        attributes=(replace(example().attributes[0], signs=("+ its level",)),),
        asked=example().asked,
        set_aside=(replace(example().set_aside[0], signs=("+ sign nobody knows",)),),
    )
    assert "why" not in report(made)
    told = report(made, explain=True, width=400)
    assert "[why: it was said of this cup; against: unclear which flavour is meant]" in told
    assert "[why: clear how much of it]" in told
    assert "[why: clear which flavour is meant; against: unclear whether found or denied]" in told
    assert "[why: sign nobody knows]" in told


def test_signs_are_told_in_words() -> None:
    assert told_signs(()) == ""
    assert told_signs(("- past, means it",)) == "against: unclear which flavour is meant"
    assert told_signs(("+ past, means it", "+ own leaves nothing")) == (
        "clear which flavour is meant, no other word of weight was said"
    )
    assert told_signs(("+ word before: not", "+ word after: (end)")) == '"not" before it, nothing stands behind it'
    assert told_signs(("+ denial.before before beside", "+ denial.before before")) == "a denial before it"
    assert told_signs(("- small after beside past a name past a comma",)) == "against: a small word behind it"


@pytest.mark.parametrize("question", ["right", "right again", "quality"])
def test_every_sign_that_is_weighed_in_talk_has_words_of_its_own(question: str) -> None:
    signs = set(lexicon().weights["talk"][question]) - {"always"}
    assert len(signs) > 3
    assert {sign for sign in signs if plain(sign) == sign} == set()


def test_what_a_person_settled_is_unsure_no_more() -> None:
    assert '"earthy" (Otto 1:10)' in report(example())
    assert '"earthy" (Otto 1:10)' not in report(example(), settled=frozenset({"f6"}))


def test_the_next_command_can_be_typed_as_it_stands() -> None:
    wording = Wording(desk(), "my notes; rm.txt", options=("--house", "house.yaml"))
    commands = [line for line in report_lines(example(), wording) if "tastevocab review" in line]
    assert [line.partition(": ")[2] for line in commands] == [
        "tastevocab review 'my notes; rm.txt' --house house.yaml",
        "tastevocab review 'my notes; rm.txt' --house house.yaml --set-aside",
        "tastevocab review 'my notes; rm.txt' --house house.yaml",
        "tastevocab review 'my notes; rm.txt' --house house.yaml",
    ]


def test_words_cannot_steer_the_terminal() -> None:
    bad = replace(
        example().findings[0], spot=replace(example().findings[0].spot, words="\x1b[31mred\u202e", speaker="\x07x")
    )
    text = report(Reading(findings=(bad,)))
    assert visible(text) == text
    assert "\x1b" not in text


@given(st.text())
def test_a_quote_is_one_line_of_bounded_length(words: str) -> None:
    told = quoted(words, 20)
    assert len(told) <= 22
    assert len(told.splitlines()) == 1


def test_times_as_people_write_them() -> None:
    assert [clock(t) for t in (None, 0.0, 59.9, 61, 3600, 36_061.5)] == [
        "",
        "0:00",
        "0:59",
        "1:01",
        "1:00:00",
        "10:01:01",
    ]


def test_notes_without_tasters_are_named_by_their_rows() -> None:
    f = example().findings[0]
    rows = [Finding(f"r{n}", f.descriptor, replace(f.spot, speaker=None, note=n, at=None)) for n in ("n1", "n2")]
    text = report(Reading(findings=tuple(rows)))
    assert text.startswith("table.txt: 2 notes, 2 flavours, 0 attributes")
    assert "\nn1\n" in text
