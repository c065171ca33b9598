"""The network that follows what is in hand: for every turn how likely each coffee, brew and moment is.

Three gated recurrent units (Cho et al. 2014), run over the turns of a recording in both directions, for a coffee or
brew once each. Fitted by `fitting/scene.py` on clues of talk that the encoder had not learnt from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.reading.hand.clues import BUCKETS, Clues

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Grid = NDArray[np.float32]

SCENES = Path(__file__).parents[1] / "language" / "model" / "scene.npz"


@dataclass(frozen=True, slots=True)
class Shares:
    """For every turn (a row) the probability of each coffee and brew of the table, and of each moment."""

    coffees: Grid
    brews: Grid
    moments: Grid


class Scenes:
    """The fitted network; its parts are named as PyTorch names them."""

    def __init__(self, parts: Mapping[str, Any]) -> None:
        import numpy as np

        self.parts = {name: np.asarray(value, np.float32) for name, value in parts.items()}

    @classmethod
    def opened(cls, path: Path = SCENES) -> Scenes:
        """The network as shipped, or of another file."""
        import numpy as np

        with np.load(path) as stored:
            return cls({name: stored[name] for name in stored.files})

    def shares(self, clues: Clues, brews: Sequence[int]) -> Shares:
        """What is in hand turn by turn; `brews` are places in `BREWS`."""
        import numpy as np

        turns, coffees = clues.coffees.shape[:2]
        base = np.concatenate([clues.shared, self._words(clues.words)], 1)
        order = self.parts["order"][np.minimum(np.arange(coffees), len(self.parts["order"]) - 1)]
        kinds = self.parts["kinds"][np.array(brews, int)]
        return Shares(
            self._each("coffee", base, clues.coffees, clues.beside_coffees, order),
            self._each("brew", base, clues.brews, clues.beside_brews, kinds),
            _softmax(self._run("moment", np.concatenate([clues.shared, clues.moments], 1)[None])[0])
            if turns
            else np.zeros((0, 5), np.float32),
        )

    def _words(self, buckets: Any) -> Grid:
        import numpy as np

        count = (buckets != BUCKETS).sum(1, keepdims=True).clip(1)
        made: Grid = self.parts["words"][buckets].sum(1) / np.sqrt(count)
        return made

    def _each(self, name: str, base: Grid, own: Grid, beside: Any, kinds: Grid) -> Grid:
        """A run over the turns for each coffee or brew, weighed against each other turn by turn."""
        import numpy as np

        turns, count = own.shape[:2]
        if not turns or count < 2:
            return np.ones((turns, count), np.float32)
        wide = np.broadcast_to(base[:, None], (turns, count, base.shape[1]))
        steady = np.broadcast_to(kinds, (turns, *kinds.shape))
        rows = np.concatenate([wide, own, self.parts["beside"][beside].sum(2), steady], 2)
        return _softmax(self._run(name, rows.transpose(1, 0, 2))[..., 0].T)

    def _run(self, name: str, rows: Any) -> Grid:
        """Rows (sequence, turn, clue) to answers (sequence, turn, answer)."""
        import numpy as np

        forth = self._one_way(name, "", rows)
        back = self._one_way(name, "_reverse", rows[:, ::-1])[:, ::-1]
        out = np.concatenate([forth, back], 2)
        made: Grid = out @ self.parts[f"{name}_out.weight"].T + self.parts[f"{name}_out.bias"]
        return made

    def _one_way(self, name: str, way: str, rows: Any) -> Grid:
        import numpy as np

        part = {p: self.parts[f"{name}.{p}_l0{way}"] for p in ("weight_ih", "weight_hh", "bias_ih", "bias_hh")}
        given = rows @ part["weight_ih"].T + part["bias_ih"]
        size = part["weight_hh"].shape[1]
        kept = np.zeros((len(rows), size), np.float32)
        made = np.empty((*rows.shape[:2], size), np.float32)
        for at in range(rows.shape[1]):
            held = kept @ part["weight_hh"].T + part["bias_hh"]
            new, old = given[:, at], held
            gates = 1 / (1 + np.exp(-(new[:, : 2 * size] + old[:, : 2 * size])))
            reset, update = gates[:, :size], gates[:, size:]
            kept = (1 - update) * np.tanh(new[:, 2 * size :] + reset * old[:, 2 * size :]) + update * kept
            made[:, at] = kept
        return made


@cache
def open_scenes() -> Scenes:
    """The network as shipped, opened once."""
    return Scenes.opened()


def _softmax(values: Any) -> Grid:
    import numpy as np

    raised = np.exp(values - values.max(-1, keepdims=True))
    made: Grid = raised / raised.sum(-1, keepdims=True)
    return made
