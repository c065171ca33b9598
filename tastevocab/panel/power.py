"""How many tasters it takes to show a difference, told before the session: whole tables simulated, tested as real ones.

A table is as many tasters, each with the same number of cups (coffees, or brews of one coffee). At every cup a taster
says `SAID` words at base rates (`chance.RandomTables`); the word that is to be shown is found by one share of tasters
in one cup and by a smaller one in the others. The table is put to the test that a real one is put to (`crowd`), which
must name that word of that cup among all that were said. A habit of saying the word or not would make it easier.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from tastevocab.errors import InputError, near
from tastevocab.panel.chance import RandomTables
from tastevocab.panel.contrast import PROOF
from tastevocab.panel.crowd import LEVELS
from tastevocab.panel.folding import Booleans
from tastevocab.panel.intervals import wilson
from tastevocab.panel.permutation import shuffle
from tastevocab.panel.summary import Bench
from tastevocab.panel.tried import against_rest

WANTED = 0.8
"""The part of tables that must name it: the custom of planning (Cohen 1988)."""

SAID = 4
"""Words that a taster says of a cup, as typed notes do."""

PANELS = 200
ROUGH = 60
"""Tables drawn for a number of tasters, and while the number is only being looked for."""

LADDER = (2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 40, 50, 60)
"""Numbers of tasters tried first."""

TRIES = 20
"""Numbers of tasters that are tried, about."""

WAYS = 499
"""Shuffles drawn for a simulated table (a real one gets more: its p is only steadier)."""

_SHARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*%")


@dataclass(frozen=True, slots=True)
class Wish:
    """A difference to be shown: a word found by the share `here` in one cup and `elsewhere` in the others (0..1);
    `usual` where the latter is how often the word falls anyway."""

    descriptor: str
    print: str
    here: float
    elsewhere: float
    usual: bool


@dataclass(frozen=True, slots=True)
class Size:
    """What it takes. `tasters` is the least number of which `WANTED` of tables name it (None: more than were tried),
    `named` how many of `tables` (both by number of tasters) did."""

    wish: Wish
    cups: int
    tasters: int | None
    named: Mapping[int, int]
    tables: Mapping[int, int]


def wish(text: str, tools: Bench) -> Wish:
    """What `--to-show` says: a word, the share that finds it in one cup, and that in the others ("jasmine 60 % 10 %").

    The second may be left out for a word whose base rate is known. Raises `InputError` for what is not of this form.
    """
    shares = [float(number.replace(",", ".")) / 100 for number in _SHARE.findall(text)]
    word = _SHARE.split(text)[0].strip(" :,=")
    how = 'write a word and one or two shares: --to-show "jasmine 60 % 10 %"'
    if not word or not 1 <= len(shares) <= 2:
        raise InputError(f"{text!r} is no difference to show", mend=how)
    id = tools.find(word)
    if id is None or id not in tools.spans.order or tools.spans.descriptor(id).level not in LEVELS:
        known = sorted({tools.spans.descriptor(i).print for i in tools.spans.ids})
        raise InputError(f"{word!r} is no flavour of the vocabulary", mend=near(word, known) if id is None else how)
    if not tools.random:
        raise InputError("this vocabulary has no base rates", mend="add base_rates.yaml to its folder")
    rate = float(tools.random.rate[tools.spans.order[id]])
    usual = 1 - (1 - min(rate, 1.0)) ** SAID
    here, elsewhere = shares[0], shares[1] if len(shares) == 2 else usual
    if not 0 <= elsewhere < here <= 1:
        raise InputError(
            f"{100 * here:g} % in one cup and {100 * elsewhere:.2g} % in the others",
            mend="the first share must be the bigger one, and none above 100 %",
        )
    return Wish(id, tools.spans.descriptor(id).print, here, elsewhere, len(shares) == 1)


def least_tasters(
    wish: Wish, cups: int, tools: Bench, *, also: int = 0, seed: int = 1, step: Callable[[], object] = lambda: None
) -> Size:
    """The least number of tasters that shows a wish with `cups` cups each; `also` a number that is told besides.

    `step` is called after each number tried. Raises `InputError` for fewer than two cups.
    """
    if cups < 2 or tools.random is None:
        raise InputError("one cup cannot differ from others", mend="name two coffees or more, or two brews of one")
    draw = _drawer(wish, cups, tools.random, tools)
    named: dict[int, int] = {}
    tables: dict[int, int] = {}

    def reaches(tasters: int, panels: int) -> bool:
        if tables.get(tasters, 0) < panels:
            named[tasters] = sum(_names(draw(tasters, seed + panel)) for panel in range(panels))
            tables[tasters] = panels
            step()
        return named[tasters] >= WANTED * tables[tasters]

    least = _least(reaches)
    if also > 1:
        reaches(also, PANELS)
    closely = {n: count for n, count in tables.items() if count == PANELS}
    return Size(wish, cups, least, {n: named[n] for n in closely}, closely)


def _least(reaches: Callable[[int, int], bool]) -> int | None:
    """The least number of tasters that reaches it: a rough look up the ladder, then a close one about that rung."""
    rung = next((i for i, n in enumerate(LADDER) if reaches(n, ROUGH)), len(LADDER))
    while rung > 0 and reaches(LADDER[rung - 1], PANELS):
        rung -= 1
    while rung < len(LADDER) and not reaches(LADDER[rung], PANELS):
        rung += 1
    if rung == len(LADDER):
        return None
    low, high = (1, *LADDER)[rung], LADDER[rung]
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle, PANELS) else (middle, high)
    return high


def _drawer(wish: Wish, cups: int, random: RandomTables, tools: Bench) -> Callable[[int, int], tuple[Booleans, int]]:
    """Draws a table of so many tasters by a seed: tasters x cups x words, and the place of the word to be shown."""
    spans = tools.spans
    place = spans.order[wish.descriptor]
    asked = np.array([spans.descriptor(id).level in LEVELS for id in spans.ids])

    def draw(tasters: int, seed: int) -> tuple[Booleans, int]:
        found = random.found([SAID] * (tasters * cups), seed).reshape(tasters, cups, -1)
        chances = np.where(np.arange(cups) == 0, wish.here, wish.elsewhere)
        it = np.random.default_rng(seed).random((tasters, cups)) < chances
        found[:, :, random.counted_for(wish.descriptor)] |= it[:, :, None]
        found[:, :, place] = it
        kept = np.flatnonzero(asked & (found.any(axis=1).sum(axis=0) >= 2))
        return found[:, :, kept], int(np.searchsorted(kept, place)) if place in kept else -1

    return draw


def _names(table: tuple[Booleans, int]) -> bool:
    """Whether the test names the word of the first cup."""
    found, place = table
    if place < 0 or found[:, 0, place].mean() <= found[:, :, place].mean():
        return False
    had = np.ones(found.shape[:2], dtype=bool)
    return bool(shuffle(found, had, against_rest(found.shape[1]), most=WAYS).p[0, place] <= PROOF)


def size_lines(size: Size, tasters: int = 0) -> Iterator[str]:
    """What it takes, in plain lines; `tasters` are those of the session (0: unknown)."""
    wish = size.wish
    usual = ", as drinkers name it anyway" if wish.usual else ""
    what = (
        f"{wish.print}, found by {100 * wish.here:.3g} % in one of {size.cups} cups and by "
        f"{100 * wish.elsewhere:.2g} % in the other{'s' if size.cups > 2 else ''}{usual}"
    )
    if size.tasters is None:
        yield f"To show {what}: more than {LADDER[-1]} tasters. Look for a bigger difference, or pour more coffees."
    else:
        yield f"To show {what}: {size.tasters} tasters at least ({_named(size, size.tasters)})."
    if tasters > 1 and tasters in size.tables and tasters != size.tasters:
        yield f"The {tasters} tasters of this session: {_named(size, tasters)}."
    yield f"Simulated: {SAID} words a taster and cup at base rates, tested as `contrast` does (5 % risk)."


def _named(size: Size, tasters: int) -> str:
    k, n = size.named[tasters], size.tables[tasters]
    low, high = wilson(k, n)
    return f"{100 * k / n:.0f} of 100 such tables name it, {100 * low:.0f} to {100 * high:.0f}"
