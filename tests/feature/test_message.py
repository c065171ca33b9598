"""Text messages. The alphabet is that of 3GPP TS 23.038 (GSM 7-bit default and its extension), from memory."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tastevocab.feature.message import BASIC, EXTENDED, fitted, measured, plain


def test_the_basic_table_has_128_places_less_the_escape():
    # 0x00 to 0x7F without 0x1B, which escapes to the extension table.
    assert len(BASIC) == len(set(BASIC)) == 127
    assert not set(BASIC) & set(EXTENDED)


@pytest.mark.parametrize(
    ("text", "units", "encoding"),
    [
        ("peach", 5, "GSM-7"),
        ("crème", 5, "GSM-7"),
        ("5 €", 4, "GSM-7"),
        ("[a]", 5, "GSM-7"),
        ("ção", 3, "UCS-2"),
        ("桃 peach", 7, "UCS-2"),
        ("🍑", 2, "UCS-2"),
    ],
)
def test_units(text, units, encoding):
    made = measured(text)
    assert (made.units, made.encoding) == (units, encoding)
    assert made.limit == (160 if encoding == "GSM-7" else 70)


def test_quotes_and_accents_give_way_rather_than_cost_ninety_units():
    assert plain("“São Tomé” – Ladrón’s") == '"Sao Tomé" - Ladron\'s'


def test_the_last_parts_go_first():
    parts = ["Coffee: red fruit, caramel.", "5 tasters, " + "x" * 120 + ".", "Likenesses."]
    made = fitted(parts)
    assert made.text == parts[0] + " " + parts[1]
    assert made.units <= 160


def test_a_name_too_long_is_cut_at_a_word():
    made = fitted(["word " * 60])
    assert made.text.endswith("word...")
    assert made.units <= 160


@given(st.lists(st.text(max_size=200), max_size=4))
def test_never_more_than_one_message(parts):
    made = fitted(parts)
    assert made.units == measured(made.text).units <= made.limit
