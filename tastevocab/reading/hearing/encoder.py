"""The encoder: for every word of a recording, how likely each answer is, from a small network fitted on marked talk.

MiniLM-L6 (Wang et al. 2020, Apache-2.0), fitted by `fitting/train.py`; int8 weights, 32-bit arithmetic, run by
onnxruntime. It knows nothing of the vocabulary but the flags of words that are names.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.reading.hearing.again import Again
from tastevocab.reading.hearing.changes import opened
from tastevocab.reading.hearing.windows import (
    BREWS,
    COFFEES,
    HEADS,
    MOMENTS,
    START,
    STOP,
    TURN,
    Pieces,
    Spoken,
    State,
    Window,
    pieces_of,
    windows,
)  # fmt: skip

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Grid = NDArray[np.float32]

MODEL = Path(__file__).parents[1] / "language" / "model"
SCENE = ("coffee", "brew", "moment")
POINTERS = {"q": "asks", "k": "answers", "link": "links"}  # as they are stored, and what they are to a word
POINT, LINK = 64, 96  # numbers in a word's pointer, and in its link


@dataclass(frozen=True, slots=True)
class Heard:
    """What the encoder makes of one turn: for each question a row a word with the probability of each answer (`words`),
    the turn's own answers about the scene (`scene`), and pointers by which a word finds the one it stands for
    (`asks`, `answers`), and by which it finds a descriptor (`links`)."""

    words: dict[str, Grid]
    scene: dict[str, Grid]
    asks: Grid
    answers: Grid
    links: Grid


@dataclass(frozen=True)
class Bearings:
    """What pointers and links are weighed by: `far`, the price of each step back among names; the descriptors `ids`
    and, one a row, their vectors `named`. A descriptor that came after the fit has none."""

    far: Grid
    ids: tuple[str, ...]
    named: Grid

    @cached_property
    def rows(self) -> dict[str, int]:
        """The row of each descriptor."""
        return {id: row for row, id in enumerate(self.ids)}


class Encoder:
    """The network and its heads, opened once."""

    def __init__(self, folder: Path = MODEL) -> None:
        import numpy as np
        from threadpoolctl import ThreadpoolController
        from tokenizers import Tokenizer

        self.pools = ThreadpoolController()
        self.session = opened(folder / "encoder.onnx", folder / "changes.npz")
        self.tokenizer = Tokenizer.from_file(str(folder / "tokenizer.json"))
        self.tokenizer.no_truncation()
        self.tokenizer.no_padding()
        self.again = Again(folder, self.tokenizer).asks
        with np.load(folder / "heads.npz") as stored:
            heads = {name: stored[name].astype(np.float32) for name in stored.files if name != "described"}
            self.bearings = Bearings(heads["far"], tuple(map(str, stored["described"])), heads["named"])
        asked = [*HEADS, *POINTERS]
        self.heads = np.concatenate([heads[name] for name in asked]).T
        self.biases = np.concatenate([heads[f"{name}_bias"] for name in asked])
        self.ends = np.cumsum([len(heads[name]) for name in asked])[:-1]

    def hear(self, turns: Sequence[Spoken], known: State) -> list[Heard]:
        """What is made of each turn of one recording; `known` says how many coffees and which brews were on the
        table."""
        pieces, sizes = pieces_of(turns, self.tokenizer), [len(t.words) for t in turns]
        with self.pools.limit(limits=1, user_api="blas"):  # numpy's threads wait busily, in the way of the network's
            return hear_with(self._answers, pieces, sizes, known)

    def _answers(self, ids: list[int], flags: list[int]) -> dict[str, Grid]:
        import numpy as np

        hidden = self.session.run(None, {"ids": np.array(ids), "flags": np.array(flags)})[0]
        parts = np.split(hidden @ self.heads + self.biases, self.ends, axis=1)
        made = {name: _softmax(part) for name, part in zip(HEADS, parts, strict=False)}
        return made | dict(zip(POINTERS.values(), parts[len(HEADS) :], strict=True))


def hear_with(
    answers: Callable[[list[int], list[int]], dict[str, Grid]], pieces: Pieces, sizes: Sequence[int], known: State
) -> list[Heard]:
    """What a network makes of a recording, window after window; each begins with what was in hand where the one before
    ended. `answers` takes the ids and flags of a window, `sizes` are the words of each turn."""
    sheet = _Sheet(sizes)
    for window in windows(len(pieces.ids), len(known.pieces())):
        state = sheet.state(pieces, window, known).pieces()
        ids = [START, *state, *pieces.ids[window.low : window.high], STOP]
        flags = [0] * (1 + len(state)) + [*pieces.flags[window.low : window.high], 0]
        sheet.fill(pieces, window, answers(ids, flags), 1 + len(state))
    return sheet.heard()


class _Sheet:
    """Answers as they come in, window by window."""

    def __init__(self, sizes: Sequence[int]) -> None:
        import numpy as np

        widths = {**HEADS, "asks": POINT, "answers": POINT, "links": LINK}
        self.words = [{name: np.zeros((size, n), np.float32) for name, n in widths.items()} for size in sizes]
        self.pieces = [np.zeros((size, 1), np.float32) for size in sizes]
        self.scene: list[dict[str, Grid]] = [{} for _ in sizes]

    def state(self, pieces: Pieces, window: Window, known: State) -> State:
        """What was in hand, as answered so far, where a window begins."""
        turn = pieces.turns[window.low] - (pieces.words[window.low] == TURN)
        scene = self.scene[turn] if turn >= 0 else {}
        if not scene:
            return known
        coffee = int(scene["coffee"][: max(1, min(known.count, COFFEES))].argmax()) + 1
        brews = known.brews or range(1, len(BREWS))
        brew = max(brews, key=lambda b: scene["brew"][b])
        moment = 1 + int(scene["moment"][1 : len(MOMENTS)].argmax())
        return State(coffee, brew, moment, known.count, known.brews)

    def fill(self, pieces: Pieces, window: Window, answers: dict[str, Grid], offset: int) -> None:
        for at in range(window.start, window.end):
            turn, word, row = pieces.turns[at], pieces.words[at], at - window.low + offset
            if word == TURN:
                self.scene[turn] = {name: answers[name][row] for name in SCENE}
            elif word >= 0:
                self.pieces[turn][word] += 1
                for name, grid in self.words[turn].items():
                    grid[word] += answers[name][row]

    def heard(self) -> list[Heard]:
        made = []
        for words, counts, scene in zip(self.words, self.pieces, self.scene, strict=True):
            for grid in words.values():
                grid /= counts.clip(1)
            asks, answers, links = words.pop("asks"), words.pop("answers"), words.pop("links")
            made.append(Heard(words, scene, asks, answers, links))
        return made


def _softmax(values: Any) -> Grid:
    import numpy as np

    raised = np.exp(values - values.max(-1, keepdims=True))
    made: Grid = (raised / raised.sum(-1, keepdims=True)).astype(np.float32)
    return made


@lru_cache(maxsize=1)
def open_encoder() -> Encoder:
    """The fitted encoder, opened once a process."""
    return Encoder()
