"""What each turn gives away of the coffee, brew and moment in hand: plain numbers that a small network weighs."""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from tastevocab.reading.hearing.windows import BREWS, COFFEES, MOMENTS
from tastevocab.reading.words.utterance import Cue, Utterance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from tastevocab.reading.hearing.encoder import Heard

    Grid = NDArray[np.float32]
    Buckets = NDArray[np.int64]

BUCKETS = 2048  # words are told apart by a hash of so many values; the number itself is no word
WORDS, BESIDE = 72, 6  # buckets of a turn, and of what stands beside the names in it
NAMED = ("named", "at the start", "at the end", "in a short turn", "opens a sentence")
COFFEE = ("by the encoder", "by its words", "others named", *NAMED, *(f"counted: {n}" for n in NAMED))
BREW = ("by the encoder", "by its words", "not learnt", "others named", *NAMED)
MOMENT = ("others named", *NAMED)
SHARED = 6 + 2 * len(MOMENTS) + len(BREWS) + 3
NOT_LEARNT = BREWS.index("cold")  # no talk that the encoder learnt from had a brew of this name
LIKELY = 0.02  # below this the encoder's answers are alike

_COUNTED = {"first": 0, "one": 0, "1": 0, "second": 1, "two": 1, "2": 1, "third": 2, "three": 2, "3": 2, "fourth": 3,
            "four": 3, "4": 3, "fifth": 4, "five": 4, "5": 4, "sixth": 5, "six": 5, "6": 5}  # fmt: skip
_CARDINALS = frozenset(("one", "two", "three", "four", "five", "six"))


@dataclass(frozen=True, slots=True)
class Clues:
    """The clues of a recording, a row a turn: what all questions share (`shared`, and the turn's `words` as buckets);
    for each coffee and each brew that was on the table its own, with the words beside its names; for each moment."""

    shared: Grid
    words: Buckets
    coffees: Grid
    beside_coffees: Buckets
    brews: Grid
    beside_brews: Buckets
    moments: Grid


def clues_of(
    us: Sequence[Utterance],
    heard: Sequence[Heard],
    speakers: Sequence[str | None],
    names: Sequence[Sequence[tuple[str, ...]]],
    brews: Sequence[int],
) -> Clues:
    """The clues of the turns `us`. `names` are what each coffee may be called, `brews` places in `BREWS`."""
    import numpy as np

    parts: dict[str, list[Any]] = {name: [] for name in Clues.__slots__}
    for at, (u, h) in enumerate(zip(us, heard, strict=True)):
        called = [_places(list(names_said(u, n)), u) for n in names]
        counted = [_places(list(_counted(u, c)), u) for c in range(len(names))]
        poured = [_places([(c.start, c.end) for c in u.of("brew") if c.value == BREWS[b]], u) for b in brews]
        moments = moments_in(u)
        felt = [_places([(c.start, c.end) for c in moments if c.value == m], u) for m in MOMENTS[1:]]
        parts["shared"].append(_shared(u, h, at, len(us), speakers, called, poured))
        parts["words"].append(_filled(_words(u), WORDS))
        parts["coffees"].append([_of_coffee(h, c, called, counted) for c in range(len(names))])
        parts["beside_coffees"].append(
            [_filled([*c.beside, *(f"#{w}" for w in n.beside)], BESIDE) for c, n in zip(called, counted, strict=True)]
        )
        parts["brews"].append([_of_brew(h, b, i, poured) for i, b in enumerate(brews)])
        parts["beside_brews"].append([_filled(p.beside, BESIDE) for p in poured])
        parts["moments"].append([x for m in range(len(felt)) for x in (_others(felt, m), *felt[m].clues)])
    shapes = {
        "shared": (SHARED,), "words": (WORDS,), "coffees": (len(names), len(COFFEE)),
        "beside_coffees": (len(names), BESIDE), "brews": (len(brews), len(BREW)),
        "beside_brews": (len(brews), BESIDE), "moments": (len(MOMENT) * (len(MOMENTS) - 1),),
    }  # fmt: skip
    kinds = {name: np.int64 if name == "words" or name.startswith("beside") else np.float32 for name in parts}
    return Clues(
        **{n: np.array(rows, kinds[n]).reshape(len(us), *shapes[n]) for n, rows in parts.items()}  # type: ignore[arg-type]
    )


def moments_in(u: Utterance) -> list[Cue]:
    """The moments a turn names, but those it is put off to ("ask me when it's cool")."""
    later = {u.sentence[c.start]: c.start for c in u.of("put_off")}
    return [c for c in u.of("moment") if later.get(u.sentence[c.start], c.start) >= c.start]


def _of_coffee(heard: Heard, coffee: int, called: Sequence[_Places], counted: Sequence[_Places]) -> list[float]:
    answers = _heard(heard, "coffee", coffee if coffee < COFFEES else -1)
    return [*answers, _others(called, coffee), *called[coffee].clues, *counted[coffee].clues]


def _of_brew(heard: Heard, brew: int, at: int, poured: Sequence[_Places]) -> list[float]:
    return [*_poured(heard, brew), float(brew == NOT_LEARNT), _others(poured, at), *poured[at].clues]


def names_said(u: Utterance, names: Sequence[tuple[str, ...]]) -> Iterator[tuple[int, int]]:
    """The word ranges of a turn in which one of a coffee's names is said; a letter only as a capital or a figure."""
    for at in range(len(u.own)):
        for name in names:
            word = u.words[at]
            if tuple(u.own[at : at + len(name)]) == name and (len(word) > 1 or word.isupper() or word.isdigit()):
                yield at, at + len(name)


def spoken_figure(figure: str) -> Iterator[str]:
    """How a figure is spoken: "2" is "two"."""
    return (word for word in _CARDINALS if _COUNTED[word] == _COUNTED.get(figure))


def _counted(u: Utterance, coffee: int) -> Iterator[tuple[int, int]]:
    return ((at, at + 1) for at, word in enumerate(u.own) if _COUNTED.get(word) == coffee)


@dataclass(frozen=True, slots=True)
class _Places:
    """Where something is named in a turn: `NAMED` as numbers, and the words beside its names."""

    clues: tuple[float, ...]
    beside: tuple[str, ...]


def _places(ranges: Sequence[tuple[int, int]], u: Utterance) -> _Places:
    if not ranges:
        return _Places((0.0,) * len(NAMED), ())
    opens = any(u.sentence_range(at)[0] == at for at, _ in ranges)
    said = (
        True,
        any(at <= 3 for at, _ in ranges),
        any(at >= len(u.own) - 2 for at, _ in ranges),
        len(u.own) <= 8,
        opens,
    )
    words = ("^", "^", *u.own, "$")
    beside = tuple(w for a, b in ranges for w in (f"<{words[a + 1]}", f">{words[b + 2]}", f"<<{words[a]}"))
    return _Places(tuple(map(float, said)), beside)


def _others(places: Sequence[_Places], own: int) -> float:
    return float(any(p.beside for p in places) and not places[own].beside)


def _likely(share: float) -> float:
    return math.log(share + LIKELY)


def _heard(heard: Heard, question: str, answer: int) -> tuple[float, float]:
    """The encoder's answer for the turn, and its mean over the turn's words."""
    scene, words = heard.scene.get(question), heard.words[question]
    by_turn = float(scene[answer]) if scene is not None and answer >= 0 else 0.1
    by_words = float(words[:, answer].mean()) if len(words) and answer >= 0 else by_turn
    return _likely(by_turn), _likely(by_words)


def _poured(heard: Heard, brew: int) -> tuple[float, float]:
    return (0.0, 0.0) if brew == NOT_LEARNT else _heard(heard, "brew", brew)


def _shared(
    u: Utterance,
    heard: Heard,
    at: int,
    count: int,
    speakers: Sequence[str | None],
    coffees: Sequence[_Places],
    brews: Sequence[_Places],
) -> list[float]:
    said = heard.words["main"][:, 1:5].sum(1)
    moments = heard.words["moment"]
    who = speakers[at]
    return [
        at / count,
        min(len(u.own), 40) / 40,
        float(who is None),
        float(at == 0 or who != speakers[at - 1]),
        float(said.max()) if len(said) else 0.0,
        float(said.sum()) / 5,
        *_answers(heard, "moment", len(MOMENTS)),
        *(map(float, moments.mean(0)) if len(moments) else [0.0] * len(MOMENTS)),
        *_answers(heard, "brew", len(BREWS)),
        float(any(p.beside for p in coffees)),
        float(any(p.clues[1] for p in coffees)),
        float(any(p.beside for p in brews)),
    ]


def _answers(heard: Heard, question: str, count: int) -> Sequence[float]:
    scene = heard.scene.get(question)
    return [0.0] * count if scene is None else [float(x) for x in scene]


def _words(u: Utterance) -> list[str]:
    opening = u.own[:13]
    return [
        *u.own[:58],
        *(f"{a} {b}" for a, b in pairwise(opening)),
        *(f"^{w}" for w in u.own[:1]),
    ]


def _filled(words: Sequence[str], size: int) -> list[int]:
    """The buckets of words, filled up to `size` with no word."""
    made = [zlib.crc32(word.encode()) % BUCKETS for word in words[:size]]
    return made + [BUCKETS] * (size - len(made))
