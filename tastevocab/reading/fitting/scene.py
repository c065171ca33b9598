"""Fitting the network that follows coffee, brew and moment. Needs torch (extra `fit`); minutes on a GPU.

    python scene.py CLUES OUT   writes OUT/scene.npz, which is shipped

A folder OUT that has a scene.npz is learnt on from, with half the epochs and a third of the rate: what talk of earlier
authors taught stays.
CLUES comes from `python -m tastevocab.reading.language clues FILE AUTHOR ...`. Nothing else of the program is
needed, so this file can be copied to a machine that has the GPU.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F

EPOCHS, RATE, BATCH, DECAY, DROP = 20, 3e-3, 8, 0.02, 0.3
ON_EPOCHS, ON_RATE = 10, 1e-3
SHORT = 0.5  # share of recordings that are learnt cut short
UNHEARD = 0.25  # share that are learnt without the encoder's answers: what is named and counted must do
ANSWERS = 2  # numbers of each coffee and brew, the first ones, that are the encoder's answers
WORDS, BESIDE, ORDER, KIND = 12, 12, 6, 8  # numbers a word, a word beside a name, a place in the order, a brew is
SIZES = {"coffee": 48, "brew": 48, "moment": 6}
PLACES = 6
DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


class Net(nn.Module):
    """A recurrent unit for each question, run in both directions, over what turns give away."""

    def __init__(self, buckets, shared, own):
        super().__init__()
        self.empty = buckets
        self.words, self.beside = self._embedded(buckets, WORDS), self._embedded(buckets, BESIDE)
        self.order, self.kinds = nn.Embedding(PLACES, ORDER), nn.Embedding(12, KIND)
        self.drop = nn.Dropout(DROP)
        base = shared + WORDS
        wide = {
            "coffee": base + own["coffees"] + BESIDE + ORDER,
            "brew": base + own["brews"] + BESIDE + KIND,
            "moment": shared + own["moments"],
        }
        for name, size in SIZES.items():
            setattr(self, name, nn.GRU(wide[name], size, bidirectional=True, batch_first=True))
            setattr(self, f"{name}_out", nn.Linear(2 * size, 5 if name == "moment" else 1))

    @staticmethod
    def _embedded(buckets, size):
        made = nn.Embedding(buckets + 1, size, padding_idx=buckets)
        nn.init.normal_(made.weight, 0, 0.1)
        made.weight.data[buckets] = 0
        return made

    def run(self, name, rows):
        """Rows (sequence, turn, clue) to answers (sequence, turn, answer)."""
        made, _ = getattr(self, name)(rows)
        return getattr(self, f"{name}_out")(self.drop(made))

    def answers(self, r):
        """For each question the scores of a recording's turns."""
        count = (r["words"] != self.empty).sum(1, keepdim=True).clamp(min=1)
        base = torch.cat([r["shared"], self.drop(self.words(r["words"]).sum(1) / count.sqrt())], 1)
        order = torch.arange(r["coffees"].shape[1], device=DEVICE).clamp(max=PLACES - 1)
        return {
            "coffee": self._each("coffee", base, r["coffees"], r["beside_coffees"], self.order(order)),
            "brew": self._each("brew", base, r["brews"], r["beside_brews"], self.kinds(r["kinds"])),
            "moment": self.run("moment", torch.cat([r["shared"], r["moments"]], 1)[None])[0],
        }

    def _each(self, name, base, own, beside, steady):
        turns, count = own.shape[:2]
        if count < 2:
            return None
        rows = [
            base[:, None].expand(turns, count, -1),
            own,
            self.beside(beside).sum(2),
            steady.expand(turns, *steady.shape),
        ]
        return self.run(name, torch.cat(rows, 2).transpose(0, 1))[..., 0].T


def fit(recordings, buckets, start=None, seed=0):
    """The network fitted on recordings; `start`: the parts of one to learn on from."""
    torch.manual_seed(seed)
    rng = random.Random(seed)
    first = recordings[0]
    own = {name: first[name].shape[-1] for name in ("coffees", "brews", "moments")}
    net = Net(buckets, first["shared"].shape[1], own).to(DEVICE)
    epochs, rate = (ON_EPOCHS, ON_RATE) if start else (EPOCHS, RATE)
    if start:
        _begin(net, start)
    optimizer = torch.optim.AdamW(net.parameters(), lr=rate, weight_decay=DECAY)
    steps = epochs * len(recordings) // BATCH
    slope = torch.optim.lr_scheduler.LambdaLR(optimizer, lambda i: min(1, (i + 1) / 50) * max(0.02, 1 - i / steps))
    kept = [{name: torch.from_numpy(grid).to(DEVICE) for name, grid in r.items()} for r in recordings]
    for _ in range(epochs):
        rng.shuffle(kept)
        for low in range(0, len(kept) - BATCH + 1, BATCH):
            losses = [loss for r in kept[low : low + BATCH] for loss in _losses(net, _unheard(_stopped(r, rng), rng))]
            optimizer.zero_grad()
            (sum(losses) / BATCH / 40).backward()
            nn.utils.clip_grad_norm_(net.parameters(), 1.0)
            optimizer.step()
            slope.step()
    return net.eval()


def _stopped(recording, rng):
    """The recording, or now and then only its beginning: what was said last must do without what would follow."""
    turns = len(recording["shared"])
    if rng.random() > SHORT:
        return recording
    end = rng.randint(1, turns)
    made = {name: grid if name == "kinds" else grid[:end] for name, grid in recording.items()}
    made["shared"] = made["shared"].clone()
    made["shared"][:, 0] *= turns / end  # how far the recording has gone
    return made


def _unheard(recording, rng):
    """The recording, or now and then one in which the encoder finds every coffee and every brew alike."""
    if rng.random() > UNHEARD:
        return recording
    made = dict(recording)
    for name in ("coffees", "brews"):
        made[name] = made[name].clone()
        made[name][..., :ANSWERS] = made[name][..., :ANSWERS].mean(1, keepdim=True)
    return made


def _losses(net, recording):
    for name, scores in net.answers(recording).items():
        right = recording[f"right_{name}"]
        if scores is not None and (right >= 0).any():
            smooth = 0.05 if name == "moment" else 0.0
            yield F.cross_entropy(scores, right, ignore_index=-1, reduction="sum", label_smoothing=smooth)


def parts(net):
    """The network as `Scenes` takes it."""
    return {_called(name): value.cpu().numpy().astype(np.float16) for name, value in net.state_dict().items()}


def _begin(net, start):
    """Give a network the weights of another's `parts`."""
    net.load_state_dict({name: torch.from_numpy(start[_called(name)]).float() for name in net.state_dict()})


def _called(name):
    """What the program calls a part of the network."""
    return name.removesuffix(".weight") if name.split(".")[0] in ("words", "beside", "order", "kinds") else name


def main(clues, out):
    with np.load(clues) as file:
        grids = {name: file[name] for name in file.files}
    recordings: dict[str, dict[str, np.ndarray]] = {}
    for key, grid in grids.items():
        if "|" in key:
            recording, part = key.split("|")
            recordings.setdefault(recording, {})[part] = grid
    learnt = [r for _, r in sorted(recordings.items())]
    Path(out).mkdir(parents=True, exist_ok=True)
    shipped = Path(out) / "scene.npz"
    start = dict(np.load(shipped)) if shipped.exists() else None
    np.savez_compressed(shipped, **parts(fit(learnt, int(grids["buckets"]), start)))


if __name__ == "__main__":
    main(*sys.argv[1:])
