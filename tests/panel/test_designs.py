"""Serving orders are balanced, codes clash with nothing, a seed repeats them."""

from __future__ import annotations

from collections import Counter
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.errors import InputError
from tastevocab.panel.blocks import balanced, meetings, next_balanced
from tastevocab.panel.designs import Design, balance, codes, numbers_in, orders, plan, williams


@pytest.mark.parametrize("n", range(3, 13))
def test_williams_designs_are_balanced(n) -> None:
    """Williams (1949): each sample once (n even) or twice (odd) at each place; each ordered pair as often."""
    rows = williams(n)
    times = 1 if n % 2 == 0 else 2
    assert len(rows) == n * times
    assert all(sorted(row) == list(range(n)) for row in rows)
    places = Counter((place, sample) for row in rows for place, sample in enumerate(row))
    assert set(places.values()) == {times}
    assert len(places) == n * n
    follows = Counter(pair for row in rows for pair in pairwise(row))
    assert set(follows.values()) == {times}
    assert len(follows) == n * (n - 1)


def test_the_printed_first_square_of_four() -> None:
    """1 2 4 3 / 2 3 1 4 / 3 4 2 1 / 4 1 3 2 (any relabelling would do; this is the construction's own)."""
    assert [[x + 1 for x in row] for row in williams(4)] == [[1, 2, 4, 3], [2, 3, 1, 4], [3, 4, 2, 1], [4, 1, 3, 2]]


@given(st.integers(2, 9), st.integers(1, 20), st.integers(0, 99))
@trials(20)
def test_orders_for_any_number_of_tasters(samples, tasters, seed) -> None:
    made = orders(tasters, samples, seed=seed)
    assert made == orders(tasters, samples, seed=seed)
    assert len(made) == tasters
    assert all(sorted(row) == list(range(samples)) for row in made)
    # However many tasters: a sample stands at no place more than once oftener than another does.
    low, high = balance(made, samples).places
    assert high - low <= 1


def test_one_square_then_its_mirror() -> None:
    """Five samples, ten tasters: the first five orders are a Latin square of their own, the next five its mirror."""
    made = orders(10, 5, seed=3)
    for square in (made[:5], made[5:]):
        assert balance(square, 5).places == (1, 1)
    assert {row[::-1] for row in made[:5]} == set(made[5:])
    assert balance(made, 5).follows == (2, 2)


@pytest.mark.parametrize(
    ("sittings", "samples", "size", "times"),
    [(7, 7, 3, 1), (7, 7, 4, 2), (13, 13, 4, 1), (12, 9, 3, 1), (10, 6, 3, 2), (14, 8, 4, 3), (11, 11, 5, 2),
     (18, 10, 5, 4), (6, 4, 2, 1), (10, 5, 3, 3), (14, 7, 3, 2), (20, 16, 4, 1)],
)  # fmt: skip
def test_balanced_incomplete_blocks(sittings, samples, size, times) -> None:
    """Parameters (v, b, r, k, lambda) of the table in Fisher and Yates (Statistical Tables, XVII), from memory; that
    each is balanced is counted here. (14, 7, 3) is twice the seven of seven."""
    rows = orders(sittings, samples, per_sitting=size, seed=4)
    assert meetings(rows, samples) == (times, times)
    made = balance(rows, samples)
    assert made.served[0] == made.served[1] == sittings * size // samples
    if sittings % samples == 0:
        assert made.places == (sittings // samples, sittings // samples)  # Youden's square
    assert made.places[1] - made.places[0] <= 1


def test_where_there_is_no_balanced_design() -> None:
    assert balanced(8, 6, 4) == ()
    assert balanced(15, 36, 15) == ()
    assert next_balanced(8, 6, 4) == 15
    assert next_balanced(59, 17, 3) is None


@given(st.integers(2, 14), st.integers(3, 9), st.integers(2, 8), st.integers(0, 9))
@trials(20)
def test_any_sitting_spreads_samples_over_places(tasters, samples, size, seed) -> None:
    size = min(size, samples - 1)
    rows = orders(tasters, samples, per_sitting=size, seed=seed)
    made = balance(rows, samples)
    assert rows == orders(tasters, samples, per_sitting=size, seed=seed)
    assert made.served[1] - made.served[0] <= 1
    assert made.places[1] <= -(-made.served[1] // size)


def test_the_note_says_the_balance_there_is() -> None:
    def note(tasters: int, samples: int, size: int = 0) -> str:
        return plan([f"t{i}" for i in range(tasters)], [f"c{i}" for i in range(samples)], Design(per_sitting=size)).note

    assert note(6, 3).startswith("Every sample stands twice at each place and comes twice directly after each other (")
    assert note(5, 3).endswith("Both come out even with 6 tasters.")
    assert "every two meet once in a sitting (a balanced incomplete block design)" in note(7, 7, 3)
    assert "15 tasters would make every two meet equally often" in note(8, 6, 4)
    assert note(3, 1) == "One sample: there is no order to balance."


@pytest.mark.parametrize(("tasters", "samples", "size"), [(12, 6, 3), (10, 5, 3), (8, 8, 4), (7, 9, 6)])
def test_incomplete_orders_serve_every_sample_alike(tasters, samples, size) -> None:
    rows = orders(tasters, samples, per_sitting=size, seed=2)
    served = Counter(sample for row in rows for sample in row)
    assert max(served.values()) - min(served.values()) <= 1
    assert all(len(set(row)) == size for row in rows)
    pairs = Counter(pair for row in rows for pair in combinations(sorted(row), 2))
    everything = [pairs[pair] for pair in combinations(range(samples), 2)]
    assert max(everything) - min(everything) <= 3
    for place in range(size):
        there = Counter(row[place] for row in rows)
        assert max(there.values()) - min(there[s] for s in range(samples)) <= 2


@given(st.integers(0, 200), st.integers(0, 50))
@trials(20)
def test_codes_are_three_digits_and_all_different(count, seed) -> None:
    made = codes(count, avoid={"250", "417"}, seed=seed)
    assert len(set(made)) == count
    assert all(len(code) == 3 and code.isdigit() and code[0] != "0" for code in made)
    assert not {"250", "417", "333", "123", "321", "200"} & set(made)


def test_few_codes_differ_in_two_digits() -> None:
    made = codes(30, seed=4)
    assert all(sum(x != y for x, y in zip(a, b, strict=True)) >= 2 for a, b in combinations(made, 2))


def test_more_codes_than_there_are_is_refused() -> None:
    with pytest.raises(InputError, match="three digits"):
        codes(900)


def test_numbers_of_the_session_are_avoided() -> None:
    assert numbers_in("dose 250, lot 20261, 93 C") == {"250", "202", "026", "261"}


def test_a_plan_hides_a_duplicate_and_a_control() -> None:
    made = plan(["mira", "otto", "pilar"], ["a", "b"], Design(duplicate=True, control="house"), seed=5)
    assert [s.kind for s in made.samples] == ["coffee", "coffee", "duplicate", "control"]
    twin = made.samples[2]
    assert twin.id == f"{twin.of}_again"
    every = [code for sitting in made.sittings for code, _ in sitting.order]
    assert len(set(every)) == 12
    assert made == plan(["mira", "otto", "pilar"], ["a", "b"], Design(duplicate=True, control="house"), seed=5)
    assert made != plan(["mira", "otto", "pilar"], ["a", "b"], Design(duplicate=True, control="house"), seed=6)


def test_impossible_sittings_are_refused() -> None:
    with pytest.raises(InputError, match="5 of 4 samples"):
        orders(3, 4, per_sitting=5)
    with pytest.raises(InputError, match="at least two"):
        williams(1)
    assert orders(2, 1) == ((0,), (0,))
