"""Lettering on the wheel: names in rings and on petals where they fit, and what has to be said beside the wheel."""

from __future__ import annotations

import math
import string
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from tastevocab.wheel.arcs import Arc
from tastevocab.wheel.bands import title_along
from tastevocab.wheel.dial import Band, Dial
from tastevocab.wheel.drawing import Lettering, Shape, polar, polyline
from tastevocab.wheel.inside import Block, Space, Words, fit
from tastevocab.wheel.lettering import Style, straight
from tastevocab.wheel.look import Look
from tastevocab.wheel.outside import Label
from tastevocab.wheel.pieces import fill_kind
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import UNSPECIFIED, counted, petal_name

STRONG_WEIGHT = 1000.0
"""A printed word's label outweighs all others when there is no room for all."""
QUIET = 0.12
"""In a crowd petals below this part of the longest are named on the wheel or not at all: the plot beside it ranks."""
MOST_LISTED = 5
"""Notes named under a printed word at most; the rest is counted."""


KEYS = string.ascii_lowercase  # what stands for a name without room; figures would read as people


@dataclass(slots=True)
class Lettered:
    """Blocks by arc, labels that go outside, and the names of categories that a letter stands for, in its order.

    By the printed word's place: notes that found no room on the wheel, and the word along its band where that fits.
    `silent` are a crowd's small names that stand nowhere.
    """

    blocks: dict[int, Block] = field(default_factory=dict)
    outside: list[Label] = field(default_factory=list)
    keyed: list[str] = field(default_factory=list)
    listed: dict[int, list[str]] = field(default_factory=dict)
    along: dict[int, tuple[Lettering, ...]] = field(default_factory=dict)
    silent: list[str] = field(default_factory=list)


def letter(dial: Dial, bands: Sequence[Band], look: Look) -> Lettered:
    """All lettering of a wheel."""
    done = Lettered()
    found = dial.picture.arcs
    for at, arc in enumerate(found):
        if arc.ring != "petal" and not arc.open:
            _letter_ring(at, dial, look, done)
    for at, arc in enumerate(found):
        if arc.ring == "petal":
            _letter_petal(at, dial, bands, look, done)
    for band in bands:
        line = () if done.listed.get(band.place) or band.word.leaning else title_along(band, bands, dial, look)
        done.along[band.place] = line
        if not line:
            done.outside.append(_printed_label(band, dial, done))
    return done


def _letter_ring(at: int, dial: Dial, look: Look, done: Lettered) -> None:
    """A category's or family's name; a category without room for it has a letter, a family then stays silent."""
    arc = dial.picture.arcs[at]
    inner, outer = dial.extent(arc)
    space = Space(dial.x, dial.y, inner, outer, arc.start, arc.end)
    style = look.style(arc.ring, _letters(arc, dial, look), size=max(look.smallest, look.usual * 0.9), about=arc.node)
    block = fit([(clean(arc.label), style)], [space], look.inside)
    if not block and arc.ring == "category":
        block = _keyed(KEYS[len(done.keyed)], space, style.at(look.smallest))
        if block:
            done.keyed.append(clean(arc.label))
    if block:
        done.blocks[at] = block


def _keyed(key: str, space: Space, style: Style) -> Block | None:
    """A letter in the middle of a ring piece, upright."""
    middle, radius = space.middle, (space.inner + space.outer) / 2
    wide, high = style.width(key), style.size * 0.66
    if space.outer - space.inner < max(high, wide) or (space.end - space.start) * radius < max(high, wide) * 1.1:
        return None
    x, y = polar(space.x, space.y, radius, middle)
    line = straight(key, x, y + high / 2, style, "middle")
    half = math.hypot(wide, high) / 2
    return Block((line,), radius - half, radius + half, middle - half / radius, middle + half / radius)


def _letters(arc: Arc, dial: Dial, look: Look) -> str:
    return look.theme.ink if arc.open else look.tints(arc.category).letters(fill_kind(arc, dial))


def _stands_alone(arc: Arc, bands: Sequence[Band]) -> bool:
    """Whether a petal is itself a printed word, whose band names it."""
    return any(band.word.id == arc.node for band in bands) and not arc.own


def _named_below(at: int, dial: Dial, done: Lettered) -> bool:
    """Whether an own petal stands on the ring that bears its name, so that it needs none itself."""
    arc = dial.picture.arcs[at]
    if not arc.own or arc.reach:
        return False
    ring = next((i for i in range(at - 1, -1, -1) if dial.picture.arcs[i].node == arc.node), None)
    return ring is not None and ring in done.blocks


def _count(arc: Arc) -> str:
    """The people of a petal as a bare number; nothing where fewer people said the broad word than stand behind it."""
    if arc.of <= 1 or (arc.own and arc.people != arc.behind):
        return ""
    return f"{arc.people:,}"


def _letter_petal(at: int, dial: Dial, bands: Sequence[Band], look: Look, done: Lettered) -> None:
    arc = dial.picture.arcs[at]
    mine = [band for band in bands if band.place in arc.printed]
    if _stands_alone(arc, mine):
        return
    itself = any(band.word.id == arc.node for band in mine)
    name = UNSPECIFIED if itself or _named_below(at, dial, done) else clean(arc.label)
    count = "" if itself else _count(arc)
    said = f"{name} {count}".strip()
    block = _fit_petal(arc, name, count, dial, mine, look)
    if block:
        done.blocks[at] = block
    elif mine:
        if not itself:
            done.listed.setdefault(mine[0].place, []).append(said)
    elif name == UNSPECIFIED:
        return  # its ring says whose it is
    elif arc.fold or (dial.picture.crowd and arc.people < QUIET * dial.picture.full):
        done.silent.append(clean(petal_name(arc)))
    else:
        tip = dial.extent(arc)[1]
        weight = arc.people + arc.span
        done.outside.append(
            Label(arc.node, f"{clean(petal_name(arc))} {count}".strip(), "", (), arc.middle, tip, weight)
        )


FAR = 1.2
"""Em between a petal's tip and its name beyond the quorum ring from which a line ties the two."""


def ties(dial: Dial, done: Lettered, look: Look) -> Iterator[Shape]:
    """A radial line from the tip of each petal to its name where that stands far out; the line's room is the name's."""
    for at, block in done.blocks.items():
        arc = dial.picture.arcs[at]
        tip = dial.extent(arc)[1]
        if arc.ring == "petal" and not arc.printed and block.inner - tip > look.usual * FAR:
            ends = [polar(dial.x, dial.y, radius, arc.middle) for radius in (tip, block.inner - look.usual * 0.1)]
            done.blocks[at] = replace(block, inner=tip)
            yield Shape(polyline(ends), "leader", None, look.theme.line, look.fine, about=arc.node)


def size_of(arc: Arc, dial: Dial, look: Look) -> float:
    """Lettering of a petal's name: in a crowd the larger the more people."""
    if not dial.picture.crowd:
        return look.usual
    part = math.sqrt(arc.people / max(1, dial.picture.full))
    return max(look.smallest, look.usual * (0.75 + 0.5 * part))


def _fit_petal(arc: Arc, name: str, count: str, dial: Dial, mine: Sequence[Band], look: Look) -> Block | None:
    """A petal's name on it or in the free room beyond its tip: with its count if that fits, and as large as it may."""
    inner, tip = dial.extent(arc)
    here = Space(dial.x, dial.y, inner, tip, arc.start, arc.end)
    faint = look.theme.ink if mine or dial.picture.of <= 1 else look.theme.muted
    places = [(here, _letters(arc, dial, look)), *((space, faint) for space in _beyond(arc, tip, dial, mine, look))]
    usual = size_of(arc, dial, look)
    small = max(look.inside, usual * 0.86)
    together = [(f"{name} {count}", usual, "label")]
    said = [(name, usual, "label"), (count, small, "count")] if count else together
    for parts, least in product((together, said), (usual, min(usual, look.inside))):
        for space, colour in places:
            words: Words = [
                (text.strip(), look.style(kind, colour, size=size, about=arc.node)) for text, size, kind in parts
            ]
            block = fit(words, [space], least)
            if block:
                return block
    return None


def _beyond(arc: Arc, tip: float, dial: Dial, mine: Sequence[Band], look: Look) -> Iterator[Space]:
    """The free room beyond a petal's tip, up to its band or the rim; the quorum ring parts it."""
    limit = min((band.inner for band in mine), default=dial.radius)
    picture, pad = dial.picture, look.fine * 2
    ring = dial.at(picture.quorum) if 0 < picture.quorum <= picture.full and picture.of > 1 else limit
    low = tip + look.fine
    if low < ring - pad and ring + pad < limit:
        yield Space(dial.x, dial.y, low, ring - pad, arc.start, arc.end)
        yield Space(dial.x, dial.y, ring + pad, limit, arc.start, arc.end)
    elif low < limit:
        yield Space(dial.x, dial.y, low if abs(low - ring) > pad * 2 else ring + pad, limit, arc.start, arc.end)


def _printed_label(band: Band, dial: Dial, done: Lettered) -> Label:
    """What stands beside a printed word's band: the word and its people, and the notes in it that found no room."""
    start, end = band.stretches[0]
    if end - start >= math.tau - 1e-9:
        on_it = [arc for arc in dial.picture.arcs if arc.ring == "petal" and band.place in arc.printed]
        middle = max(on_it, key=lambda arc: arc.span).middle
    else:
        middle = (start + end) / 2 % math.tau
    listed = done.listed.get(band.place, [])
    rest = len(listed) - MOST_LISTED
    names = listed if rest <= 0 else [*listed[:MOST_LISTED], f"{rest} more"]
    word = band.word
    extra = tuple(text for text in (clean(word.leaning), *names) if text)
    count = counted(word.people, word.of) if word.of > 1 else ""
    return Label(
        word.id, clean(word.label), count, extra, middle, band.radius, STRONG_WEIGHT, strong=True, number=band.number
    )


def lines_of(done: Lettered) -> Iterator[Lettering]:
    """The lettering on the wheel itself."""
    for block in done.blocks.values():
        yield from block.lines
    for line in done.along.values():
        yield from line
