"""What is in hand while people talk: which coffee, brew and moment, followed from turn to turn.

The encoder says what it makes of each turn; names and trade words said in the turn, and what was in hand before, are
weighed with it. Weights are fitted (`scene` in `weights.yaml`).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tastevocab.reading.language.encoder import Heard
from tastevocab.reading.language.judge import choice
from tastevocab.reading.language.lexicon import Lexicon
from tastevocab.reading.language.utterance import Utterance
from tastevocab.reading.language.windows import BREWS, COFFEES, MOMENTS
from tastevocab.reading.records import Table

# What the contract calls a brew that no card of a session names.
METHOD = {
    "press": "immersion", "siphon": "immersion", "phin": "filter", "moka": "espresso", "lungo": "espresso",
    "cold": "cold brew", "iced": "cold brew",
}  # fmt: skip
_NEXT = frozenset(("next", "now", "okay", "right", "then", "last", "final"))
_BACK = frozenset(("back", "again"))
_OTHER = frozenset(("than", "like", "unlike", "versus", "vs", "from", "not", "as"))
_PLACES = {"first": 0, "one": 0, "1": 0, "second": 1, "two": 1, "2": 1, "third": 2, "three": 2, "3": 2, "fourth": 3,
           "four": 3, "4": 3, "fifth": 4, "five": 4, "sixth": 5, "six": 5}  # fmt: skip


SURE_BREW = 0.5
SURE_MOMENT = 0.5  # a moment nobody has spoken of is taken only where it is this likely
_THEIRS = frozenset(("his", "her", "their", "my"))  # somebody's own brewer is seldom the one on the table
_CARDINALS = frozenset(("one", "two", "three", "four", "five", "six"))


@dataclass(frozen=True, slots=True)
class Situation:
    """What is in hand: the place of the coffee in the session's order (-1 unknown), places in `BREWS` and `MOMENTS`
    (0 unknown), and how many coffees have been tasted so far."""

    coffee: int = -1
    brew: int = 0
    moment: int = 0
    seen: int = 0


@dataclass(frozen=True, slots=True)
class Known:
    """A table as talk is read with: each coffee's names as compared words, and for each kind of brew its card's id."""

    coffees: tuple[str, ...] = ()
    names: tuple[tuple[tuple[str, ...], ...], ...] = ()
    people: frozenset[str] = frozenset()
    brews: tuple[int, ...] = ()
    cards: Mapping[int, str] | None = None


def follow(u: Utterance, heard: Heard, before: Situation, known: Known, weights: Mapping[str, Any]) -> Situation:
    """What is in hand while a turn is said."""
    after = before
    if known.coffees:
        coffee = _likeliest(weights["coffee"], coffee_candidates(u, heard, before, known))[0]
        after = replace(after, coffee=coffee, seen=max(before.seen, coffee + 1))
    if known.brews:
        after = replace(after, brew=_likeliest(weights["brew"], brew_candidates(u, heard, before, known.brews))[0])
    else:
        after = replace(after, brew=_named_brew(u, heard) or before.brew)
    moment, share = _likeliest(weights["moment"], moment_candidates(u, heard, before))
    return replace(after, moment=moment if before.moment or share >= SURE_MOMENT or u.of("moment") else 0)


def _likeliest(weights: Mapping[str, float], candidates: Mapping[int, Mapping[str, float]]) -> tuple[int, float]:
    shares = choice(weights, list(candidates.values()))
    share, best = max(zip(shares, candidates, strict=True), key=lambda s: s[0])
    return best, share


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


def coffee_candidates(u: Utterance, heard: Heard, before: Situation, known: Known) -> dict[int, dict[str, float]]:
    """The features of each coffee of the table as the one in hand."""
    said = {c: [at for at, _ in names_said(u, names)] for c, names in enumerate(known.names)}
    anybody = any(said.values())
    opening = u.own[: min(5, len(u.own))]
    turned = float(any(w in _NEXT for w in opening))
    back = float(any(w in _BACK for w in opening))
    made = {}
    for c in range(len(known.coffees)):
        features = _shared(heard, "coffee", c if c < COFFEES else -1, c == before.coffee)
        features["next in order"] = float(c == before.seen)
        features["next in order, turned to"] = turned * float(c == before.seen)
        features["tasted before, back to"] = back * float(c < before.seen and c != before.coffee)
        features["nothing in hand yet, first"] = float(before.coffee < 0 and c == 0)
        features["other coffees named"] = float(anybody and not said[c])
        features |= _named(u, said[c])
        features["counted to at the start"] = float(any(_PLACES.get(w, -1) == c for w in opening[:3]))
        features["counted to alone"] = float(len(u.own) <= 4 and any(_PLACES.get(w, -1) == c for w in u.own))
        made[c] = features
    return made


def names_said(u: Utterance, names: Sequence[tuple[str, ...]]) -> Iterator[tuple[int, int]]:
    """The word ranges of a turn in which one of a coffee's names is said; a letter only as a capital or a figure."""
    for at in range(len(u.own)):
        for name in names:
            word = u.words[at]
            if tuple(u.own[at : at + len(name)]) == name and (len(word) > 1 or word.isupper() or word.isdigit()):
                yield at, at + len(name)


def _named(u: Utterance, places: Sequence[int]) -> dict[str, float]:
    passing = sum(at > 0 and u.own[at - 1] in _OTHER for at in places)
    return {
        "named": float(bool(places)),
        "named at the start": float(any(at <= 3 for at in places)),
        "named at the end": float(any(at >= len(u.own) - 2 for at in places)),
        "named in a short turn": float(bool(places) and len(u.own) <= 8),
        "named in passing": float(bool(places) and passing == len(places)),
    }


def brew_candidates(u: Utterance, heard: Heard, before: Situation, brews: Sequence[int]) -> dict[int, dict[str, float]]:
    """The features of each brew as the one in hand."""
    cues = {b: [c.start for c in u.of("brew") if c.value == BREWS[b]] for b in brews}
    anybody = any(cues.values())
    made = {}
    for b in brews:
        features = _shared(heard, "brew", b, b == before.brew)
        features["other brews named"] = float(anybody and not cues[b])
        made[b] = features | _named(u, cues[b])
    return made


def moment_candidates(u: Utterance, heard: Heard, before: Situation) -> dict[int, dict[str, float]]:
    """The features of each moment as the one in hand."""
    cues = {m: [c.start for c in u.of("moment") if c.value == MOMENTS[m]] for m in range(1, len(MOMENTS))}
    anybody = any(cues.values())
    made = {}
    for m in range(1, len(MOMENTS)):
        features = _shared(heard, "moment", m, m == before.moment)
        features["other moments named"] = float(anybody and not cues[m])
        features["colder than before"] = float(m > before.moment >= 3)
        features["warmer than before"] = float(3 <= m < before.moment)
        features[f"at {MOMENTS[m]}"] = 1.0
        made[m] = features | _named(u, cues[m])
    return made


def _shared(heard: Heard, question: str, answer: int, same: bool) -> dict[str, float]:
    scene, words = heard.scene.get(question), heard.words[question]
    by_turn = float(scene[answer]) if scene is not None and answer >= 0 else 0.1
    by_words = float(words[:, answer].mean()) if len(words) and answer >= 0 else by_turn
    return {
        "by the encoder": math.log(by_turn + 1e-3),
        "by the encoder's words": math.log(by_words + 1e-3),
        "in hand before": float(same),
    }


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
    """Each coffee's names, with the words of long names that no other coffee has, and figures as they are spoken."""
    counts = Counter(w for names in coffees for w in {w for name in names for w in name})
    made = []
    for names in coffees:
        found = {name for name in names if name}
        for name in [n for n in found if len(n) > 1]:
            found |= {(w,) for w in name if counts[w] == 1 and (len(w) > 3 or w.isdigit()) and w not in small}
        for (figure,) in [n for n in found if len(n) == 1 and n[0].isdigit()]:
            found |= {(w,) for w, place in _PLACES.items() if place == _PLACES.get(figure) and w in _CARDINALS}
        made.append(tuple(sorted(found)))
    return tuple(made)


def brew_of(method: str, lexicon: Lexicon) -> int:
    """The place in `BREWS` that a method's words mean, 0 for none: of its trade words the longest, milk before all."""
    found = [c for c in Utterance(method, lexicon).of("brew") if c.value in BREWS]
    found.sort(key=lambda c: (c.value == "milk", c.end - c.start))
    return BREWS.index(found[-1].value) if found else 0
