"""The fitted network as the files reading opens: an ONNX graph with 8-bit weights and 32-bit arithmetic, and its heads.

    python -m tastevocab.reading.fitting.graph WEIGHTS.npz FOLDER

Every matrix is kept as whole numbers of 8 bits with a scale a row; what is computed stays in 32 bits, so that one
machine's answer is another's. Needs the package onnx.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

LAYERS, HEADS, WIDTH = 6, 12, 384


class Graph:
    """The graph while it is put together: constants, and nodes that each give one value."""

    def __init__(self, weights: dict[str, Any]) -> None:
        self.weights = weights
        self.constants: list[Any] = []
        self.nodes: list[Any] = []

    def constant(self, name: str, value: Any) -> str:
        self.constants.append(numpy_helper.from_array(np.ascontiguousarray(value), name))
        return name

    def node(self, kind: str, *inputs: str, **more: Any) -> str:
        name = f"v{len(self.nodes)}"
        self.nodes.append(helper.make_node(kind, list(inputs), [name], name=name, **more))
        return name

    def linear(self, x: str, key: str) -> str:
        whole, scale = eight_bits(self.weights[f"{key}.weight"])
        packed = self.constant(f"{key}.q", whole.T)
        zero = self.constant(f"{key}.z", np.zeros(len(scale), np.int8))
        matrix = self.node("DequantizeLinear", packed, self.constant(f"{key}.s", scale), zero, axis=1)
        return self.node("Add", self.node("MatMul", x, matrix), self.constant(f"{key}.b", self.weights[f"{key}.bias"]))

    def norm(self, x: str, key: str) -> str:
        g = self.constant(f"{key}.g", self.weights[f"{key}.weight"])
        b = self.constant(f"{key}.n", self.weights[f"{key}.bias"])
        return self.node("LayerNormalization", x, g, b, axis=-1, epsilon=1e-12)

    def embedded(self) -> str:
        key = "bert.embeddings"
        whole, scale = eight_bits(self.weights[f"{key}.word_embeddings.weight"])
        rows = self.node("Gather", self.constant("words.q", whole), "ids", axis=0)
        rows = self.node("Cast", rows, to=TensorProto.FLOAT)
        scales = self.node("Gather", self.constant("words.s", scale), "ids", axis=0)
        x = self.node("Mul", rows, self.node("Unsqueeze", scales, self.constant("one", np.array([1]))))
        places = self.constant("places", self.weights[f"{key}.position_embeddings.weight"])
        zero = self.constant("zero", np.array([0]))
        place = self.node("Slice", places, zero, self.node("Shape", "ids"), self.constant("axis", np.array([0])))
        flags = self.constant("flagged", self.weights[f"{key}.token_type_embeddings.weight"])
        x = self.node("Add", self.node("Add", x, self.node("Gather", flags, "flags", axis=0)), place)
        return self.norm(x, f"{key}.LayerNorm")

    def layer(self, x: str, number: int, shape: str, flat: str, root: str) -> str:
        key = f"bert.encoder.layer.{number}"
        q, k, v = (
            self.node("Reshape", self.linear(x, f"{key}.attention.self.{n}"), shape) for n in ("query", "key", "value")
        )
        scores = self.node(
            "MatMul", self.node("Transpose", q, perm=[1, 0, 2]), self.node("Transpose", k, perm=[1, 2, 0])
        )
        shares = self.node("Softmax", self.node("Mul", scores, root), axis=-1)
        mixed = self.node("MatMul", shares, self.node("Transpose", v, perm=[1, 0, 2]))
        mixed = self.node("Reshape", self.node("Transpose", mixed, perm=[1, 0, 2]), flat)
        x = self.node("Add", x, self.linear(mixed, f"{key}.attention.output.dense"))
        x = self.norm(x, f"{key}.attention.output.LayerNorm")
        wide = self.node("Gelu", self.linear(x, f"{key}.intermediate.dense"))
        return self.norm(self.node("Add", x, self.linear(wide, f"{key}.output.dense")), f"{key}.output.LayerNorm")


def eight_bits(matrix: Any) -> tuple[Any, Any]:
    """A matrix as whole numbers from -127 to 127, and the scale of each row."""
    scale = np.abs(matrix).max(1) / 127
    scale[scale == 0] = 1
    return np.round(matrix / scale[:, None]).astype(np.int8), scale.astype(np.float32)


def graph_of(weights: dict[str, Any]) -> Any:
    """The whole network up to a vector a piece."""
    g = Graph(weights)
    x = g.embedded()
    shape, flat = g.constant("split", np.array([-1, HEADS, WIDTH // HEADS])), g.constant("flat", np.array([-1, WIDTH]))
    root = g.constant("root", np.array((WIDTH // HEADS) ** -0.5, np.float32))
    for number in range(LAYERS):
        x = g.layer(x, number, shape, flat, root)
    g.nodes.append(helper.make_node("Identity", [x], ["hidden"]))
    takes = [helper.make_tensor_value_info(name, TensorProto.INT64, ["n"]) for name in ("ids", "flags")]
    gives = [helper.make_tensor_value_info("hidden", TensorProto.FLOAT, ["n", WIDTH])]
    graph = helper.make_graph(g.nodes, "encoder", takes, gives, g.constants)
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", 20)], ir_version=9)
    onnx.checker.check_model(model)
    return model


def main(path: str, folder: str) -> None:
    """Write encoder.onnx and heads.npz."""
    weights = dict(np.load(path))
    onnx.save(graph_of(weights), str(Path(folder) / "encoder.onnx"))
    heads = {"far": weights["far"], "named": weights["named"]}
    for name, value in weights.items():
        if name.startswith(("heads.", "q.", "k.", "link.")):
            heads[name.removeprefix("heads.").replace(".weight", "").replace(".bias", "_bias")] = value
    halved = {name: value.astype(np.float16) for name, value in heads.items()}
    np.savez(Path(folder) / "heads.npz", described=weights["described"], **halved)


if __name__ == "__main__":
    main(*sys.argv[1:])
