"""What the encoder made of recordings it had not learnt, as stored by `train.py`: the ground the judge is fitted on."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tastevocab.errors import InputError, Place
from tastevocab.reading.fitting.marked import Recording
from tastevocab.reading.hand.scene import Scenes
from tastevocab.reading.hearing.encoder import LINK, POINT, SCENE, Bearings, Heard
from tastevocab.reading.hearing.windows import HEADS, Spoken, State
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

SCENES = ".scene.npz"  # files of `fitting/scene.py`, called after the authors they had not learnt


class Stored:
    """Stands in for the encoder: gives back what was stored of one recording."""

    def __init__(self, heard: Sequence[Heard], bearings: Bearings, scenes: Scenes) -> None:
        self.heard, self.bearings, self.scenes = list(heard), bearings, scenes

    def hear(self, turns: Sequence[Spoken], known: State) -> list[Heard]:
        """What was made of each turn, whoever asks."""
        return self.heard


def stored(folder: Path, recordings: Sequence[Recording], lexicon: Lexicon) -> dict[str, Stored]:
    """What `folder` holds of the recordings, by author and name; those cut into other words since are left out.

    What is in hand is followed by the network of `scene.py` that had not learnt the author; where the folder has none,
    by the shipped one, which has: its coffee, brew and moment are then no held-out figure.

    Raises `InputError` where the folder holds nothing of them.
    """
    import numpy as np

    grids: dict[str, Any] = {}
    scenes: dict[str, Scenes] = {}
    for path in sorted(folder.glob("*.npz")):
        if path.name.endswith(SCENES):
            scenes.update(dict.fromkeys(path.name.removesuffix(SCENES).split("-"), Scenes.opened(path)))
            continue
        with np.load(path) as file:
            grids.update({name: file[name] for name in file.files})
    ids = tuple(map(str, grids.get("ids", ())))
    made = {}
    for recording in recordings:
        key = f"{recording.author}/{recording.name}"
        counts = [len(Utterance(line.text, lexicon).words) for line in recording.lines]
        if f"{key}|main" in grids and len(grids[f"{key}|main"]) == sum(counts):
            follows = scenes.get(recording.author) or Scenes.opened()
            made[key] = Stored(_turns(grids, key, counts), _bearings(grids, recording.author, ids), follows)
    if not made:
        mend = "make it with tastevocab/reading/fitting/train.py"
        raise InputError("holds nothing of the marked talk", place=Place(str(folder)), mend=mend)
    return made


def _bearings(grids: dict[str, Any], author: str, ids: tuple[str, ...]) -> Bearings:
    return Bearings(grids[f"{author}|far"], ids, grids[f"{author}|names"].astype("float32"))


def _turns(grids: dict[str, Any], key: str, counts: Sequence[int]) -> list[Heard]:
    import numpy as np

    main = grids[f"{key}|main"].astype(np.float32)
    said = 1 - main[:, 0] - main[:, 6]
    pointed = _largest(said, len(grids[f"{key}|Q"]))
    judged = _largest(np.maximum(said, main[:, 6]), len(grids[f"{key}|level"]))
    whole = {"main": main}
    for head, size in HEADS.items():
        if head != "main":
            whole[head] = _spread(grids[f"{key}|{head}"], judged, size)
    pointers = [_spread(grids[f"{key}|{name}"], pointed, LINK if name == "L" else POINT) for name in "QKL"]
    cuts = np.cumsum(counts)[:-1]
    words = {head: np.split(grid, cuts) for head, grid in whole.items()}
    asks, answers, links = (np.split(p, cuts) for p in pointers)
    return [
        Heard(
            {head: rows[i] for head, rows in words.items()},
            {name: grids[f"{key}|T{name}"][i].astype(np.float32) for name in SCENE},
            asks[i],
            answers[i],
            links[i],
        )
        for i in range(len(counts))
    ]


def _largest(values: Any, count: int) -> Any:
    """The places of the `count` largest values: only words that somebody may find something in were stored."""
    import numpy as np

    kept = np.zeros(len(values), bool)
    kept[np.argsort(-values, kind="stable")[:count]] = True
    return kept


def _spread(stored: Any, at: Any, size: int) -> Any:
    import numpy as np

    whole = np.zeros((len(at), size), np.float32)
    whole[at] = stored
    return whole
