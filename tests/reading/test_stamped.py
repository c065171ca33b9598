"""Stamped talk and typed talk without times."""

from __future__ import annotations

import pytest
from turn_checks import read, said, sliced

from tastevocab.reading.intake.stamped import stamp_seconds


@pytest.mark.parametrize(
    ("stamp", "seconds"), [("0:23", 23.0), ("00:01:02", 62.0), ("1:02:03", 3723.0), ("75:10.5", 4510.5)]
)
def test_stamps_are_hours_minutes_seconds(stamp: str, seconds: float) -> None:
    assert stamp_seconds(stamp) == seconds


@pytest.mark.parametrize(
    ("line", "speaker", "seconds"),
    [
        ("[0:23] plum", None, 23.0),
        ("(1:02) plum", None, 62.0),
        ("00:12 plum", None, 12.0),
        ("[00:01:02] Ana: plum", "Ana", 62.0),
        ("1:02:03 - Ana: plum", "Ana", 3723.0),
        ("[0:05 - 0:09] Ana: plum", "Ana", 5.0),
        ("Ana (00:12): plum", "Ana", 12.0),
    ],
)
def test_every_shape_of_a_stamped_line(line: str, speaker: str | None, seconds: float) -> None:
    file = read(f"{line}\n{line}\n")
    first = file.turns[0]
    assert file.kind == "stamped"
    assert (first.speaker, first.times[0][1]) == (speaker, seconds)
    assert first.text.startswith("plum")
    assert sliced(file, 0, "plum") == "plum"


def test_unlabelled_stamped_lines_are_a_turn_each() -> None:
    assert said("[0:01] i get plum\n[0:03] yeah same\n[0:05] and fig\n") == [
        (None, "i get plum"),
        (None, "yeah same"),
        (None, "and fig"),
    ]


def test_a_line_without_a_stamp_goes_on_and_a_mark_or_name_does_not() -> None:
    text = "[0:01] Ana: plum and\nfig.\n[0:05] Ben: no.\nAna: yes.\n[0:09] Ben: well.\n"
    assert said(text) == [("Ana", "plum and fig."), ("Ben", "no."), ("Ana", "yes."), ("Ben", "well.")]


def test_names_with_times_above_their_words() -> None:
    text = "Ana Lima  0:01\nI get plum\nand fig.\n\nBen Ode  0:10\nNo.\n"
    assert said(text) == [("Ana Lima", "I get plum and fig."), ("Ben Ode", "No.")]


def test_named_lines_of_typed_talk() -> None:
    text = "Ana: plum and\nfig.\nBen: not plum.\n\nAna: dry. Ben: what?\n\nThey stopped here.\n"
    assert read(text).kind == "text"
    assert said(text) == [
        ("Ana", "plum and fig."),
        ("Ben", "not plum."),
        ("Ana", "dry."),
        ("Ben", "what?"),
        (None, "They stopped here."),
    ]


def test_typed_notes_keep_their_lines_apart_and_wrapped_prose_together() -> None:
    text = (
        "plum\nnot lemon\nBody: medium\n\n"
        + "A long sentence that the page broke after more than fifty-five\ncharacters.\n"
    )
    assert said(text) == [
        (None, "plum"),
        (None, "not lemon"),
        (None, "Body: medium"),
        (None, "A long sentence that the page broke after more than fifty-five characters."),
    ]


def test_a_common_word_met_once_before_a_colon_is_no_name() -> None:
    text = "Ana: plum.\nBen: fig.\nAna: no.\nVerily: the verily best.\n"
    assert said(text)[2:] == [("Ana", "no. Verily: the verily best.")]


def test_pasted_punctuation_passes_through_in_its_place() -> None:
    text = "Ana: “plum”\u200b — not\xa0lemon…\r\nBen: ‘fig’".replace("\r\n", "\n")
    file = read(text)
    assert file.turns[0].text == "“plum”\u200b — not\xa0lemon…"
    assert sliced(file, 0, "not\xa0lemon") == "not\xa0lemon"
