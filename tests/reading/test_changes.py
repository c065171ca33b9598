"""What was learnt since the encoder's file was written: laid over it byte by byte, and nothing else is touched."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import onnx
from hypothesis import given
from hypothesis import strategies as st
from onnx import TensorProto, helper, numpy_helper

from tastevocab.reading.fitting import graph
from tastevocab.reading.hearing.changes import changed
from tastevocab.reading.hearing.encoder import MODEL

eight = st.lists(st.integers(-127, 127), min_size=4, max_size=4)


def network(whole: list[int], bias: list[float]) -> bytes:
    """A file of one matrix and its bias, written by the package onnx."""
    parts = {
        "a.dense.q": np.array(whole, np.int8),
        "a.dense.s": np.ones(4, np.float32),
        "a.dense.b": np.array(bias, np.float32),
    }
    given = [numpy_helper.from_array(value, name) for name, value in parts.items()]
    node = helper.make_node("Identity", ["a.dense.b"], ["out"])
    out = helper.make_tensor_value_info("out", TensorProto.FLOAT, [4])
    return helper.make_model(helper.make_graph([node], "one", [], [out], given)).SerializeToString()


@given(eight, eight)
def test_a_network_comes_back_as_it_was_fitted(tmp_path_factory, before: list[int], after: list[int]) -> None:  # type: ignore[no-untyped-def]
    folder: Path = tmp_path_factory.mktemp("network")
    (folder / "encoder.onnx").write_bytes(network([*before[:3], 101], [0.5, 1.5, 2.5, 3.5]))
    fresh = {"a.dense.b": np.array([-1.0, 0.25, 8.0, 0.0], np.float32)}
    weights = {"a.dense.weight": np.array(after, np.float32)}
    made = graph.differences((folder / "encoder.onnx").read_bytes(), weights, fresh)
    np.savez(folder / "changes.npz", **made)
    opened = onnx.load_from_string(changed(folder / "encoder.onnx", folder / "changes.npz"))
    stored = graph.constants(opened)
    assert stored["a.dense.q"].tolist() == after
    assert stored["a.dense.b"].tolist() == fresh["a.dense.b"].tolist()
    assert stored["a.dense.s"].tolist() == [1.0] * 4


def test_what_is_shipped_opens_with_every_part_of_its_size() -> None:
    before = graph.constants(onnx.load(str(MODEL / "encoder.onnx")))
    after = graph.constants(onnx.load_from_string(changed(MODEL / "encoder.onnx", MODEL / "changes.npz")))
    assert {name: part.shape for name, part in before.items()} == {name: part.shape for name, part in after.items()}
    moved = {name for name in before if before[name].tobytes() != after[name].tobytes()}
    assert moved == {name for name in before if name.endswith((".q", ".b", ".g", ".n"))} - {"words.q"} | {
        "places",
        "flagged",
    }


def test_a_network_written_anew_opens_with_changes_of_its_own(tmp_path: Path) -> None:
    graph.begin(str(MODEL), str(tmp_path / "start.npz"))
    graph.write(str(tmp_path / "start.npz"), str(tmp_path))
    first = (tmp_path / "encoder.onnx").read_bytes()
    opened = graph.constants(onnx.load_from_string(changed(tmp_path / "encoder.onnx", tmp_path / "changes.npz")))
    assert set(opened) == set(graph.constants(onnx.load_from_string(first)))
    was = graph.constants(onnx.load_from_string(changed(MODEL / "encoder.onnx", MODEL / "changes.npz")))
    part = "bert.encoder.layer.3.output.dense"
    np.testing.assert_allclose(
        opened[f"{part}.q"] * opened[f"{part}.s"], was[f"{part}.q"] * was[f"{part}.s"], atol=0.01
    )
