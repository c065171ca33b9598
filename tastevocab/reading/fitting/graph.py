"""The fitted network as the files reading opens: an ONNX graph with 8-bit weights and 32-bit arithmetic, and its heads.

    python -m tastevocab.reading.fitting.graph write WEIGHTS.npz FOLDER   what `train.py` made, as these files
    python -m tastevocab.reading.fitting.graph again AGAIN.npz FOLDER     what `rehear.py` made, as changes of its own
    python -m tastevocab.reading.fitting.graph begin FOLDER START.npz     these files, for `train.py` to learn on from

Every matrix is kept as whole numbers of 8 bits with a scale a row; what is computed stays in 32 bits, so that one
machine's answer is another's. A folder that has an encoder.onnx keeps it and gets what differs in changes.npz, a
quarter of its size (take the first away to write it anew). Needs the package onnx.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

from tastevocab.reading.hearing.changes import changed
from tastevocab.reading.hearing.encoder import POINTERS

LAYERS, HEADS, WIDTH = 6, 12, 384
EMBEDDED = "bert.embeddings"
# What a piece of a word is by itself stays as the large file has it: learning it on gains nothing on authors held out.
SAME = ("words.q", "root")
APART = ("far", "named", "described")


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
        key = EMBEDDED
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


def write(path: str, folder: str) -> None:
    """Write encoder.onnx, where the folder has none, what differs from it as changes.npz, and heads.npz."""
    weights = dict(np.load(path))
    graph, network = graph_of(weights), Path(folder) / "encoder.onnx"
    if not network.exists():
        onnx.save(graph, str(network))
    made = differences(network.read_bytes(), weights, constants(graph))
    np.savez_compressed(Path(folder) / "changes.npz", **made)
    heads = {"far": weights["far"], "named": weights["named"]}
    for name, value in weights.items():
        if name.partition(".")[0] in ("heads", *POINTERS):
            heads[name.removeprefix("heads.").replace(".weight", "").replace(".bias", "_bias")] = value
    halved = {name: value.astype(np.float16) for name, value in heads.items()}
    np.savez(Path(folder) / "heads.npz", described=weights["described"], **halved)


def again(path: str, folder: str) -> None:
    """Write again.npz: how the second hearing differs from encoder.onnx, and what answers at its marks."""
    weights = dict(np.load(path))
    network = (Path(folder) / "encoder.onnx").read_bytes()
    made = differences(network, weights, constants(graph_of(weights)))
    np.savez_compressed(Path(folder) / "again.npz", score=weights["score.weight"][0].astype(np.float16), **made)


def constants(graph: Any) -> dict[str, Any]:
    """Every constant of a graph by its name."""
    return {i.name: numpy_helper.to_array(i) for i in graph.graph.initializer}


def differences(network: bytes, weights: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """What `changes.py` makes of the file `network` a network of these weights, on the scales it has. `new`: the
    constants it would have if it were written anew."""
    old = constants(onnx.load_from_string(network))
    kept = {name: was for name, was in old.items() if name not in SAME and not name.endswith((".s", ".z"))}
    stepped = {name: was for name, was in kept.items() if was.dtype == np.int8}
    renewed = {name: was for name, was in kept.items() if was.dtype == np.float32}
    steps = []
    for name, was in stepped.items():
        key = name.removesuffix(".q")
        fresh = np.clip(np.round(weights[f"{key}.weight"].T / old[f"{key}.s"]), -127, 127).astype(np.int8)
        steps.append((fresh - was).ravel())
    return {
        "stepped": _places(network, stepped),
        "steps": np.concatenate(steps),
        "renewed": _places(network, renewed),
        "numbers": np.concatenate([new[name].ravel() for name in renewed]).astype(np.float16),
    }


def _places(network: bytes, parts: dict[str, Any]) -> Any:
    """Where the numbers of each part begin in the file, and how many bytes they are."""
    return np.array([(network.index(was.tobytes()), was.nbytes) for was in parts.values()])


def begin(folder: str, path: str) -> None:
    """Write the network of a folder as `train.py` goes on from it."""
    network, changes, heads = (Path(folder) / name for name in ("encoder.onnx", "changes.npz", "heads.npz"))
    stored = constants(onnx.load_from_string(changed(network, changes)))
    made: dict[str, Any] = {
        f"{EMBEDDED}.word_embeddings.weight": stored["words.q"] * stored["words.s"][:, None],
        f"{EMBEDDED}.position_embeddings.weight": stored["places"],
        f"{EMBEDDED}.token_type_embeddings.weight": stored["flagged"],
    }
    for name, value in stored.items():
        key, _, part = name.rpartition(".")
        if part == "q" and key != "words":
            made |= {f"{key}.weight": value.T * stored[f"{key}.s"][:, None], f"{key}.bias": stored[f"{key}.b"]}
        elif part == "g":
            made |= {f"{key}.weight": value, f"{key}.bias": stored[f"{key}.n"]}
    for name, value in np.load(heads).items():
        key = name.removesuffix("_bias")
        part = "bias" if name.endswith("_bias") else "weight"
        made[name if name in APART else f"{key}.{part}" if key in POINTERS else f"heads.{key}.{part}"] = value
    np.savez(path, **made)


if __name__ == "__main__":
    {"write": write, "again": again, "begin": begin}[sys.argv[1]](*sys.argv[2:])
