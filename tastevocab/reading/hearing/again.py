"""A second hearing: a stretch of talk whose meaning is in doubt, read once more beside the few things it may mean.

The network is the encoder's with changes of its own (`again.npz`, fitted by `fitting/rehear.py`). It reads what stands
around the stretch, the stretch between two marks, and behind it the names of each descriptor after a mark; one mark
more stands for nothing that is tasted. At these marks it answers which is meant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.reading.hearing.windows import START, STOP, Pieces, Spoken, pieces_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

OPEN, CLOSE, EACH, NOTHING = 90, 91, 92, 93  # unused pieces: the two around a stretch, one before each name, the last
BEFORE, AFTER = 72, 20  # pieces of talk that are read around a stretch
NAMES, NAMED = 4, 8  # names of a descriptor that are read, and the pieces they have room for

Names = tuple[str, ...]
Ask = Callable[[int, int, int, Sequence[Names]], list[float]]
"""How likely words [start, end) of a turn mean each of several descriptors, given by their names, and last how likely
none of them is found."""


@dataclass(frozen=True, slots=True)
class Question:
    """What the network reads: ids and flags of pieces, and where the marks stand that answer."""

    ids: list[int]
    flags: list[int]
    marks: list[int]


def question(
    ids: Sequence[int], flags: Sequence[int], start: int, end: int, named: Sequence[Sequence[int]]
) -> Question:
    """Pieces [start, end) of a recording with what stands around them, and the pieces of each descriptor's names."""
    low, high = max(0, start - BEFORE), min(len(ids), end + AFTER)
    read = [START, *ids[low:start], OPEN, *ids[start:end], CLOSE, *ids[end:high], STOP]
    told = [0, *flags[low:start], 0, *flags[start:end], 0, *flags[end:high]]
    marks = []
    for name in named:
        marks.append(len(read))
        read.extend((EACH, *name))
    marks.append(len(read))
    read.extend((NOTHING, STOP))
    return Question(read, told + [0] * (len(read) - len(told)), marks)


def pieces_named(names: Names, tokenizer: Any) -> list[int]:
    """The pieces of a descriptor's first names, as many as there is room for."""
    made: list[int] = []
    for name in names[:NAMES]:
        more = tokenizer.encode(f", {name}" if made else name, add_special_tokens=False).ids
        if made and len(made) + len(more) > NAMED:
            break
        made.extend(more)
    return made[:NAMED]


class Again:
    """The network of the second hearing, opened when it is first asked."""

    def __init__(self, folder: Path, tokenizer: Any) -> None:
        self.folder, self.tokenizer = folder, tokenizer
        self._pieces = lru_cache(maxsize=4096)(lambda names: pieces_named(names, tokenizer))

    @cached_property
    def _opened(self) -> tuple[Any, NDArray[np.float32]]:
        import numpy as np

        from tastevocab.reading.hearing.changes import opened

        changes = self.folder / "again.npz"
        with np.load(changes) as stored:
            score = stored["score"].astype(np.float32)
        return opened(self.folder / "encoder.onnx", changes), score

    def asks(self, turns: Sequence[Spoken]) -> Ask:
        """What answers questions about one recording."""

        @cache
        def read() -> tuple[Pieces, dict[tuple[int, int], tuple[int, int]]]:
            """Cut only where something is asked."""
            pieces = pieces_of(turns, self.tokenizer)
            return pieces, _places(pieces)

        def ask(turn: int, start: int, end: int, names: Sequence[Names]) -> list[float]:
            pieces, places = read()
            spoken = [places[turn, word] for word in range(start, end) if (turn, word) in places]
            if not spoken:
                return []
            named = [self._pieces(tuple(of)) for of in names]
            return self._answers(question(pieces.ids, pieces.flags, spoken[0][0], spoken[-1][1], named))

        return ask

    def _answers(self, asked: Question) -> list[float]:
        import numpy as np

        session, score = self._opened
        hidden = session.run(None, {"ids": np.array(asked.ids), "flags": np.array(asked.flags)})[0]
        scores = hidden[asked.marks] @ score
        raised = np.exp(scores - scores.max())
        answers: list[float] = (raised / raised.sum()).tolist()
        return answers


def _places(pieces: Pieces) -> dict[tuple[int, int], tuple[int, int]]:
    """The pieces [start, end) of each word of each turn."""
    made: dict[tuple[int, int], tuple[int, int]] = {}
    for at, (word, turn) in enumerate(zip(pieces.words, pieces.turns, strict=True)):
        if word >= 0:
            made[turn, word] = (made.get((turn, word), (at, at))[0], at + 1)
    return made
