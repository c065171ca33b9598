"""Hand-made records of what an encoder hears, so that what is made of them can be told without one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from tastevocab.reading.hearing.encoder import LINK, POINT, SCENE, Bearings, Heard
from tastevocab.reading.hearing.windows import HEADS, MAIN
from tastevocab.reading.words.utterance import Utterance

FOUND, DOUBTED, DENIED, ASSENT, ASIDE, QUALITY = range(1, len(MAIN))


def bearings(far: Sequence[float], *ids: str) -> Bearings:
    """What pointers and links are weighed by: `far` the price of each step back; of the descriptors `ids` each has a
    vector of its own, the first the first number, the second the second, ..."""
    named = np.eye(len(ids), LINK, dtype=np.float32)
    return Bearings(np.array(far, np.float32), ids, named)


def heard(
    u: Utterance,
    main: Sequence[Mapping[int, float]] = (),
    *,
    opens: Sequence[int] = (),
    scene: Mapping[str, Mapping[int, float]] | None = None,
    points: Sequence[int] | None = None,
    links: Sequence[int] = (),
) -> Heard:
    """What is heard of a turn: `main` gives for each word the shares of its classes (the rest is nothing), `opens` the
    words that open a finding, `scene` the turn's shares by question; `points` is for each word the place of its 1 in
    both pointers, `links` that of its link to a descriptor."""
    count = len(u.words)
    words = {name: np.zeros((count, size), np.float32) for name, size in HEADS.items()}
    for i, shares in enumerate(main):
        for answer, share in shares.items():
            words["main"][i, answer] = share
    words["main"][:, 0] = 1 - words["main"][:, 1:].sum(1)
    words["begin"][list(opens), 1] = 1
    words["begin"][:, 0] = 1 - words["begin"][:, 1]
    asks = np.zeros((count, POINT), np.float32)
    for i, at in enumerate(points or ()):
        asks[i, at] = 8
    told = {name: np.full(HEADS[name], 0.01, np.float32) for name in SCENE}
    for name, shares in (scene or {}).items():
        for answer, share in shares.items():
            told[name][answer] = share
    for name in SCENE:
        words[name][:] = told[name]
    linked = np.zeros((count, LINK), np.float32)
    for i, at in enumerate(links):
        linked[i, at] = 8 * LINK**0.5
    return Heard(words, told, asks, asks.copy(), linked)
