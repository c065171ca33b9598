"""What is in hand while people talk: which coffee, brew and moment, followed over a whole recording.

A small network (`scene.py`) weighs what the encoder makes of each turn with the names and trade words said in it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tastevocab.reading.language.clues import clues_of, spoken_figure
from tastevocab.reading.language.encoder import Heard
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.scene import Scenes
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.language.windows import BREWS
from tastevocab.reading.records import Table

# What the contract calls a brew that no card of a session names.
METHOD = {
    "press": "immersion", "siphon": "immersion", "phin": "filter", "moka": "espresso", "lungo": "espresso",
    "cold": "cold brew", "iced": "cold brew",
}  # fmt: skip
SURE_BREW = 0.5
SURE_MOMENT = 0.5  # a moment nobody has spoken of is taken only where it is this likely
_THEIRS = frozenset(("his", "her", "their", "my"))  # somebody's own brewer is seldom the one on the table


@dataclass(frozen=True, slots=True)
class Situation:
    """What is in hand: the place of the coffee in the session's order (-1 unknown), places in `BREWS` and `MOMENTS`
    (0 unknown)."""

    coffee: int = -1
    brew: int = 0
    moment: int = 0


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
    made, brew, told = [], 0, False
    for at, (u, h) in enumerate(zip(us, heard, strict=True)):
        moment = int(shares.moments[at].argmax())
        told = told or bool(u.of("moment")) or float(shares.moments[at][moment]) >= SURE_MOMENT
        brew = known.brews[int(shares.brews[at].argmax())] if known.brews else _named_brew(u, h) or brew
        coffee = int(shares.coffees[at].argmax()) if known.coffees else -1
        made.append(Situation(coffee, brew, moment + 1 if told else 0))
    return made


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
