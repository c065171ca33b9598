"""What was learnt since the encoder's file was written, laid over it as it is opened: the large file stays as it is.

Weights of 8 bits go up or down by whole steps; numbers of 32 bits (biases, norms, places) are written anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Bytes = NDArray[np.uint8]


def opened(network: Path, changes: Path) -> Any:
    """A session of the file `network` with `changes` made in it."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.add_session_config_entry("session.disable_quant_qdq", "1")  # unpack the weights once, not every time
    options.intra_op_num_threads = 2
    return onnxruntime.InferenceSession(changed(network, changes), options)


def changed(network: Path, changes: Path) -> bytes:
    """The bytes of the file `network` with `changes` (an .npz of `fitting/graph.py`) made in them."""
    import numpy as np

    whole = np.fromfile(network, np.uint8)
    with np.load(changes) as stored:
        for there, steps in _parts(whole, stored["stepped"], stored["steps"]):
            there += steps  # of 8 bits: steps down are steps up that go round
        for there, numbers in _parts(whole, stored["renewed"], stored["numbers"].astype(np.float32)):
            there[:] = numbers
    return whole.tobytes()


def _parts(whole: Bytes, places: NDArray[np.int64], values: NDArray[np.generic]) -> Iterator[tuple[Bytes, Bytes]]:
    """Each part of the file, with the bytes that belong to it. `places`: a row a part, where it begins and how many."""
    import numpy as np

    left = values.view(np.uint8)
    for at, size in places.tolist():
        yield whole[at : at + size], left[:size]
        left = left[size:]
