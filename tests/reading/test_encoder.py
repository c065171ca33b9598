"""The encoder: its graph computes what it says, the same every time, and every word gets its answers."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import onnx
import pytest
from onnx import numpy_helper
from scipy.special import erf, softmax

from tastevocab.reading.hearing.changes import changed
from tastevocab.reading.hearing.encoder import MODEL, POINT, SCENE, Encoder, open_encoder
from tastevocab.reading.hearing.windows import FLAVOUR, HEADS, LENGTH, PLAIN, QUALITY, Spoken, State

pytestmark = pytest.mark.usefixtures("asked_anew")

EMBEDDED = "bert.embeddings.LayerNorm"


@pytest.fixture
def asked_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that the network answered before is remembered (see `tests/conftest.py`)."""
    monkeypatch.setattr(Encoder, "_answers", Encoder._answers.__wrapped__)  # type: ignore[attr-defined]


@cache
def weights() -> dict[str, Any]:
    """Every constant of the graph as it is opened, whole numbers and their scales put together."""
    graph = onnx.load_from_string(changed(MODEL / "encoder.onnx", MODEL / "changes.npz")).graph
    stored = {i.name: numpy_helper.to_array(i) for i in graph.initializer}
    for name in [n for n in stored if n.endswith(".q") and n != "words.q"]:
        part = name[:-2]
        zero = stored[f"{part}.z"].astype(np.float64)
        stored[f"{part}.w"] = (stored[name].astype(np.float64) - zero) * stored[f"{part}.s"].astype(np.float64)
    return stored


def dense(x: Any, part: str) -> Any:
    return x @ weights()[f"{part}.w"] + weights()[f"{part}.b"]


def normed(x: Any, part: str) -> Any:
    """Layer normalisation (Ba, Kiros and Hinton 2016) with the 1e-12 that BERT adds to the variance."""
    centred = x - x.mean(-1, keepdims=True)
    return (
        centred / np.sqrt((centred**2).mean(-1, keepdims=True) + 1e-12) * weights()[f"{part}.g"]
        + weights()[f"{part}.n"]
    )


def attended(x: Any, part: str) -> Any:
    """Attention of several heads (Vaswani et al. 2017), one head after the other."""
    q, k, v = (dense(x, f"{part}.self.{name}") for name in ("query", "key", "value"))
    count, size = (int(n) for n in weights()["split"][1:])
    made = []
    for head in range(count):
        own = slice(head * size, (head + 1) * size)
        made.append(softmax(q[:, own] @ k[:, own].T / np.sqrt(size), axis=-1) @ v[:, own])
    return dense(np.concatenate(made, axis=1), f"{part}.output.dense")


def forward(ids: list[int], flags: list[int]) -> Any:
    """The network in plain arithmetic of 64 bits."""
    w = weights()
    words = w["words.q"][ids].astype(np.float64) * w["words.s"][ids][:, None]
    x = normed(words + w["flagged"][flags] + w["places"][: len(ids)], EMBEDDED)
    layers = {int(name.split(".")[3]) for name in w if name.startswith("bert.encoder.layer.")}
    for number in sorted(layers):
        part = f"bert.encoder.layer.{number}"
        x = normed(x + attended(x, f"{part}.attention"), f"{part}.attention.output.LayerNorm")
        inner = dense(x, f"{part}.intermediate.dense")
        inner = inner * 0.5 * (1 + erf(inner / np.sqrt(2)))  # GELU (Hendrycks and Gimpel 2016), exact
        x = normed(x + dense(inner, f"{part}.output.dense"), f"{part}.output.LayerNorm")
    return x


@pytest.mark.parametrize("text", ["I get plum and a little cedar.", "no", "sour as it cooled, wasn't it?"])
def test_the_graph_computes_what_plain_arithmetic_does(text: str) -> None:
    encoder = open_encoder()
    ids = [101, *encoder.tokenizer.encode(text, add_special_tokens=False).ids, 102]
    flags = [n % 3 for n in range(len(ids))]
    hidden = encoder.session.run(None, {"ids": np.array(ids), "flags": np.array(flags)})[0]
    assert hidden.shape == (len(ids), weights()["flagged"].shape[1])
    np.testing.assert_allclose(hidden, forward(ids, flags), atol=1e-3)


def spoken(text: str, voice: int = 1) -> Spoken:
    places, at = [], 0
    for word in text.split():
        start = text.index(word, at)
        at = start + len(word)
        places.append((start, at))
    named = {"plum": FLAVOUR, "sour": QUALITY}
    return Spoken(text, tuple(places), tuple(named.get(w, PLAIN) for w in text.split()), voice)


TALK = [spoken("I get plum"), spoken("not me , sour", 2), spoken("", 1), spoken("right then", 1)]


def test_every_word_has_a_probability_for_each_answer() -> None:
    heard = open_encoder().hear(TALK, State(count=1))
    assert len(heard) == len(TALK)
    for turn, h in zip(TALK, heard, strict=True):
        assert set(h.words) == set(HEADS)
        assert h.asks.shape == h.answers.shape == (len(turn.words), POINT)
        for name, size in HEADS.items():
            grid = h.words[name]
            assert grid.shape == (len(turn.words), size)
            real = [any(c.isalnum() for c in turn.text[a:b]) for a, b in turn.words]
            np.testing.assert_allclose(grid.sum(1), np.array(real, float), atol=1e-5)
        assert set(h.scene) == set(SCENE)
        assert all(scene.sum() == pytest.approx(1, abs=1e-5) for scene in h.scene.values())


def test_the_same_talk_is_heard_the_same() -> None:
    first, again, other = (e.hear(TALK, State()) for e in (open_encoder(), open_encoder(), Encoder()))
    for a, b, c in zip(first, again, other, strict=True):
        for name in HEADS:
            assert a.words[name].tobytes() == b.words[name].tobytes() == c.words[name].tobytes()
        assert a.asks.tobytes() == b.asks.tobytes() == c.asks.tobytes()


def test_a_recording_longer_than_a_window_is_heard_to_its_end() -> None:
    turns = [spoken(f"I get plum in cup number {n}", n % 3 + 1) for n in range(LENGTH // 5)]
    heard = open_encoder().hear(turns, State(count=2, brews=(1, 2)))
    assert len(heard) == len(turns)
    for h in heard:
        np.testing.assert_allclose(h.words["main"].sum(1), np.ones(7), atol=1e-5)
        assert set(h.scene) == set(SCENE)


def test_nobody_said_anything() -> None:
    assert open_encoder().hear([], State()) == []
