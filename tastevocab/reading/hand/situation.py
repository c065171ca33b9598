"""What is in hand while people talk: which coffee, brew and moment, followed over a whole recording.

A small network (`scene.py`) weighs what the encoder makes of each turn with the names and trade words said in it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tastevocab.reading.hand.clues import clues_of, moments_in, names_said, spoken_figure
from tastevocab.reading.hand.scene import Scenes
from tastevocab.reading.hearing.windows import BREWS
from tastevocab.reading.records import Table
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

if TYPE_CHECKING:
    from tastevocab.reading.hand.scene import Grid
    from tastevocab.reading.hearing.encoder import Heard

# What the contract calls a brew that no card of a session names.
METHOD = {
    "press": "immersion", "siphon": "immersion", "phin": "filter", "moka": "espresso", "lungo": "espresso",
    "cold": "cold brew", "iced": "cold brew",
}  # fmt: skip
# Below these a person is asked of which coffee it is: where the talk speaks against it, and in any case. On authors
# held out it is wrong of more than half of what lies below.
SURE_COFFEE, UNSURE_COFFEE = 0.8, 0.5
SURE_BREW = 0.5
SURE_MOMENT = 0.85  # a moment nobody has spoken of is taken only where it is this likely
_THEIRS = frozenset(("his", "her", "their", "my"))  # somebody's own brewer is seldom the one on the table


@dataclass(frozen=True, slots=True)
class Situation:
    """What is in hand: the place of the coffee in the session's order (-1 unknown) and of the `other` it may be (-1:
    none), places in `BREWS` and `MOMENTS` (0 unknown). `heads` are word and coffee wherever a turn names several: what
    stands behind is of it."""

    coffee: int = -1
    other: int = -1
    brew: int = 0
    moment: int = 0
    heads: tuple[tuple[int, int], ...] = ()

    def at(self, word: int) -> Situation:
        """What is in hand at a word of the turn."""
        behind = [coffee for at, coffee in self.heads if at <= word]
        return replace(self, coffee=behind[-1], other=-1, heads=()) if behind else self


@dataclass(frozen=True, slots=True)
class Known:
    """A table as talk is read with: each coffee's names as compared words, and for each kind of brew its card's id."""

    coffees: tuple[str, ...] = ()
    names: tuple[tuple[tuple[str, ...], ...], ...] = ()
    people: frozenset[str] = frozenset()
    brews: tuple[int, ...] = ()
    cards: Mapping[int, str] | None = None


def follow(
    us: Sequence[Utterance], heard: Sequence[Heard], speakers: Sequence[str | None], known: Known, scenes: Scenes
) -> list[Situation]:
    """What is in hand while each turn of a recording is said."""
    shares = scenes.shares(clues_of(us, heard, speakers, known.names, known.brews), known.brews)
    made, brew, told, coffees = [], 0, False, _Coffees(known)
    for at, (u, h) in enumerate(zip(us, heard, strict=True)):
        moment = int(shares.moments[at].argmax())
        told = told or bool(moments_in(u)) or float(shares.moments[at][moment]) >= SURE_MOMENT
        brew = known.brews[int(shares.brews[at].argmax())] if known.brews else _named_brew(u, h) or brew
        coffee, other, heads = coffees.after(u, shares.coffees[at])
        made.append(Situation(coffee, other, brew, moment + 1 if told else 0, heads))
    return made


class _Coffees:
    """The coffee in hand turn by turn, held against what the talk itself says of it."""

    def __init__(self, known: Known) -> None:
        self.known = known
        self.named = -1  # the coffee named last
        self.left = -1  # the coffee in hand when another cup was turned to without a name
        self.before = -1

    def after(self, u: Utterance, shares: Grid) -> tuple[int, int, tuple[tuple[int, int], ...]]:
        """The likeliest coffee, the other it may be (-1: none), and the heads of the turn, where it has several."""
        heads = _heads(u, self.known)
        if len({coffee for _, coffee in heads}) == 1:
            self.named, self.left = heads[0][1], -1
        elif not heads and u.of("other_cup"):
            self.left = self.before
        order = [int(c) for c in (-shares).argsort(kind="stable")]
        coffee = self.before = order[0] if order else -1
        if len(order) < 2:
            return coffee, -1, ()
        sure = float(shares[coffee])
        other = -1
        if sure < SURE_COFFEE and self.named not in (-1, coffee):
            other = self.named
        elif sure < UNSURE_COFFEE or (sure < SURE_COFFEE and self.left == coffee):
            other = order[1]
        return coffee, other, heads if len({c for _, c in heads}) > 1 else ()


def _heads(u: Utterance, known: Known) -> tuple[tuple[int, int], ...]:
    """Where coffees are named in a turn, and not only compared with: word and coffee."""
    compared = {word for cue in u.of("compared") for word in range(cue.start, cue.end)}
    said = [(a, b, c) for c, names in enumerate(known.names) for a, b in names_said(u, names)]
    whole = (n for n in said if not any(m != n and m[0] <= n[0] and n[1] <= m[1] for m in said))
    return tuple(sorted((a, c) for a, _, c in whole if compared.isdisjoint((a - 1, a - 2))))


def _named_brew(u: Utterance, heard: Heard) -> int:
    """Without a session: a brew whose word stands in the turn, in no flavour's name, and which opens its sentence or
    which the encoder takes to be in hand rather than named in passing (0: none)."""
    names, apart = u.named(), {u.sentence[c.start] for c in u.of("aside.clause")}
    sure: dict[int, float] = {}
    for cue in u.of("brew"):
        theirs = cue.start > 0 and u.own[cue.start - 1] in _THEIRS
        if cue.start in names or theirs or u.sentence[cue.start] in apart:
            continue
        opens = cue.start - u.sentence_range(cue.start)[0] <= 3
        brew = BREWS.index(cue.value)
        by_encoder = float(heard.scene["brew"][brew]) if heard.scene else 0.0
        sure[brew] = max(sure.get(brew, 0.0), 1.0 if opens else by_encoder)
    best = max(sure, key=lambda b: (sure[b], b), default=0)
    return best if sure.get(best, 0.0) >= SURE_BREW else 0


def known_of(table: Table | None, lexicon: Lexicon) -> Known:
    """What is known of a table in the reader's terms: its coffees by every name, its brews by their trade words."""
    if table is None:
        return Known()
    cards: dict[int, str] = {}
    for id, method in table.brews:
        cards.setdefault(brew_of(method, lexicon) or brew_of(id.replace("_", " "), lexicon), id)
    cards.pop(0, None)
    people = frozenset(part.lower() for name in table.tasters for part in (name, *name.split()))
    names = _names([[tuple(lexicon.names.keys(n)) for n in (*c.names, c.id)] for c in table.coffees], lexicon.small)
    return Known(tuple(c.id for c in table.coffees), names, people, tuple(sorted(cards)), cards)


def _names(
    coffees: Sequence[Sequence[tuple[str, ...]]], small: frozenset[str]
) -> tuple[tuple[tuple[str, ...], ...], ...]:
    """Each coffee's names, with the words and letters of long names that no other coffee has, and figures as they are
    spoken."""
    counts = Counter(w for names in coffees for w in {w for name in names for w in name})
    made = []
    for names in coffees:
        found = {name for name in names if name}
        for name in [n for n in found if len(n) > 1]:
            found |= {
                (w,) for w in name if counts[w] == 1 and (len(w) > 3 or len(w) == 1 or w.isdigit()) and w not in small
            }
        for (figure,) in [n for n in found if len(n) == 1 and n[0].isdigit()]:
            found |= {(w,) for w in spoken_figure(figure)}
        made.append(tuple(sorted(found)))
    return tuple(made)


def brew_of(method: str, lexicon: Lexicon) -> int:
    """The place in `BREWS` that a method's words mean, 0 for none: of its trade words the longest, milk before all."""
    if method.casefold() in BREWS:
        return BREWS.index(method.casefold())
    found = [c for c in Utterance(method, lexicon).of("brew") if c.value in BREWS]
    found.sort(key=lambda c: (c.value == "milk", c.end - c.start))
    return BREWS.index(found[-1].value) if found else 0
