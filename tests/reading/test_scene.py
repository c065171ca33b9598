"""The network that follows what is in hand, held against onnxruntime's own recurrent unit."""

from __future__ import annotations

import numpy as np
import pytest
from onnx import TensorProto, helper, numpy_helper

from tastevocab.reading.hand.scene import Scenes

RNG = np.random.default_rng(7)


def unit(clues: int, size: int) -> dict[str, np.ndarray]:
    shapes = {
        "weight_ih": (3 * size, clues),
        "weight_hh": (3 * size, size),
        "bias_ih": (3 * size,),
        "bias_hh": (3 * size,),
    }
    parts = {
        f"unit.{name}_l0{way}": RNG.normal(0, 0.5, shape).astype(np.float32)
        for name, shape in shapes.items()
        for way in ("", "_reverse")
    }
    return parts | {
        "unit_out.weight": np.eye(2 * size, dtype=np.float32),
        "unit_out.bias": np.zeros(2 * size, np.float32),
    }


def by_onnx(parts: dict[str, np.ndarray], rows: np.ndarray) -> np.ndarray:
    """GRU of ONNX operator set 14 (gates update, reset, hidden; `linear_before_reset` is PyTorch's form)."""
    import onnxruntime

    size = parts["unit.weight_hh_l0"].shape[1]
    order = np.r_[size : 2 * size, 0:size, 2 * size : 3 * size]
    both = {
        n: np.stack([parts[f"unit.{n}_l0{way}"][order] for way in ("", "_reverse")])
        for n in ("weight_ih", "weight_hh", "bias_ih", "bias_hh")
    }
    given = {"W": both["weight_ih"], "R": both["weight_hh"], "B": np.concatenate([both["bias_ih"], both["bias_hh"]], 1)}
    node = helper.make_node(
        "GRU", ["X", "W", "R", "B"], ["Y"], hidden_size=size, direction="bidirectional", linear_before_reset=1
    )
    graph = helper.make_graph(
        [node],
        "unit",
        [helper.make_tensor_value_info("X", TensorProto.FLOAT, None)],
        [helper.make_tensor_value_info("Y", TensorProto.FLOAT, None)],
        [numpy_helper.from_array(value, name) for name, value in given.items()],
    )
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", 14)], ir_version=9)
    session = onnxruntime.InferenceSession(model.SerializeToString())
    made = session.run(None, {"X": rows.transpose(1, 0, 2)})[0]
    return made.transpose(2, 0, 1, 3).reshape(len(rows), rows.shape[1], -1)


@pytest.mark.parametrize(("sequences", "turns", "clues", "size"), [(1, 1, 3, 2), (3, 7, 5, 4), (2, 40, 9, 6)])
def test_a_recurrent_unit_gives_what_onnxruntime_gives(sequences: int, turns: int, clues: int, size: int) -> None:
    parts = unit(clues, size)
    rows = RNG.normal(0, 1, (sequences, turns, clues)).astype(np.float32)
    np.testing.assert_allclose(Scenes(parts)._run("unit", rows), by_onnx(parts, rows), atol=2e-6)


def test_one_coffee_and_one_brew_are_always_in_hand() -> None:
    scenes = Scenes.opened()
    own = np.zeros((4, 1, 3), np.float32)
    assert (
        scenes._each("coffee", np.zeros((4, 2), np.float32), own, np.zeros((4, 1, 6), int), own[0]).tolist()
        == [[1.0]] * 4
    )
