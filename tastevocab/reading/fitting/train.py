"""Fitting the encoder on marked talk. Needs the extra `fit` (torch and others); a GPU makes it minutes.

    python -m tastevocab.reading.fitting.train LESSONS START TOKENIZER OUT [SECONDS [RUNS]]

from the root of the repository. LESSONS comes from `python -m tastevocab.reading.language lessons`, TOKENIZER is
MiniLM's tokenizer.json. START is what `graph.py begin` made of the network that is shipped, to learn on from it, or
MiniLM-L6's model.safetensors (Apache-2.0, Wang et al. 2020), to begin anew. It writes OUT/weights.npz for
`graph.py write`: the mean of RUNS from one start (Wortsman et al. 2022, "Model soups"), each over the last third of its
steps; the rate falls with the SECONDS that are left.
"""

from __future__ import annotations

import json
import multiprocessing
import random
import sys
import time
from pathlib import Path

import numpy as np
import torch
from tokenizers import Tokenizer
from torch import nn

from tastevocab.reading.fitting.net import DEVICE, REACH, Net, loss_of, meanings, sent
from tastevocab.reading.hearing import windows as W

SCENE = ("coffee", "brew", "moment")
ASSENT = W.MAIN.index("assent")
RATE, BATCH, WARM = 3e-4, 16, 400  # WARM: steps in which the rate rises
ALONE = 0.2  # share of windows that are a turn or a few, with nothing before: a sentence that somebody types in
BARE = 0.35  # share of recordings learnt without punctuation, as automatic captions have none


def run_together(table, rng):
    """The table with the turns of nobody run together, as captions that are cut by width are."""
    made, left = [], 0
    for turn in table["turns"]:
        if made and left > 0 and turn["speaker"] is None and made[-1]["speaker"] is None:
            whole, left = made[-1], left - 1
            at, words = len(whole["text"]) + 1, len(whole["words"])
            whole["text"] += " " + turn["text"]
            whole["words"] = whole["words"] + [[a + at, b + at] for a, b in turn["words"]]
            whole["flag"] = whole["flag"] + turn["flag"]
            whole["lab"] = {head: whole["lab"][head] + turn["lab"][head] for head in whole["lab"]}
            for name in ("cands", "refs"):
                whole[name] = whole[name] + [[a + words, b + words, d] for a, b, d in turn[name]]
        else:
            made.append(dict(turn))
            left = rng.choice([0, 1, 2, 4, 8])
    return {**table, "turns": made}


class Lesson:
    """A recording in pieces, with the right answers a piece and the pairs of stretches and names they mean."""

    def __init__(self, table, tokenizer, rows, *, anonymous=False, bare=False):
        self.table, self.turns = table, table["turns"]
        self.pieces = W.pieces_of(list(self._spoken(anonymous, bare)), tokenizer)
        self.labels = {head: np.full(len(self.pieces.ids), -1) for head in W.HEADS}
        self.places = {}
        for at, (word, turn) in enumerate(zip(self.pieces.words, self.pieces.turns, strict=True)):
            if word == W.TURN:
                for name in SCENE:
                    self.labels[name][at] = self.turns[turn]["scene"][name]
            elif word >= 0:
                for head in W.HEADS:
                    self.labels[head][at] = self.turns[turn]["lab"][head][word]
                self.places.setdefault((turn, word), [at, at + 1])[1] = at + 1
        self.pairs = list(self._pairs())
        self.links = [
            (*s, rows[d])
            for number, turn in enumerate(self.turns)
            for a, b, d in turn["refs"]
            if d in rows and (s := self.stretch(number, a, b))
        ]

    def _spoken(self, anonymous, bare):
        voices = {}
        for turn in self.turns:
            text = turn["text"]
            if bare:
                text = "".join(c if c.isalnum() or c in " '’-" else " " for c in text)
            named = turn["speaker"] is not None and not anonymous
            voice = voices.setdefault(turn["speaker"], len(voices) % W.VOICES) + 1 if named else W.ANONYMOUS
            yield W.Spoken(text, tuple(map(tuple, turn["words"])), tuple(turn["flag"]), voice)

    def stretch(self, turn, start, end):
        found = [self.places[turn, w] for w in range(start, end) if (turn, w) in self.places]
        return (found[0][0], found[-1][1]) if found else None

    def _pairs(self):
        """(start, end, candidates): each candidate (start, end, steps back, whether it is meant)."""
        names, means = [], []
        for number, turn in enumerate(self.turns):
            for listed, into in ((turn["cands"], names), (turn["refs"], means)):
                into.extend((*s, d) for a, b, d in listed if (s := self.stretch(number, a, b)))
        for start, end, descriptor in means:
            own = [(n, 0) for n in names if n[0] < end and start < n[1]]
            past = latest([n for n in names if n[1] <= start])[-REACH:]
            listed = own + [(n, len(past) - i) for i, n in enumerate(past)]
            if len(listed) > 1 and any(n[2] == descriptor for n, _ in listed):
                yield start, end, [(n[0], n[1], back, n[2] == descriptor) for n, back in listed]

    def few(self, rng):
        """The pieces [start, end) of one turn, two or three in a row."""
        starts = [at for at, word in enumerate(self.pieces.words) if word == W.TURN] + [len(self.pieces.words)]
        first = rng.randrange(len(starts) - 1)
        return starts[first], starts[min(first + rng.choice((1, 1, 2, 3)), len(starts) - 1)]

    def state(self, low, rng):
        """What is in hand at a piece; now and then wrong or unknown, as it is when talk is read."""
        turn = self.pieces.turns[low] - (self.pieces.words[low] == W.TURN)
        last = {
            n: next((t["scene"][n] for t in reversed(self.turns[: turn + 1]) if t["scene"][n] >= 0), -1) for n in SCENE
        }
        coffee, brew, moment = (last[name] for name in SCENE)
        brews, coffees = self.table["brews"], self.table["coffees"]
        if rng.random() < 0.08:
            coffee = rng.randrange(-1, max(1, coffees))
        if rng.random() < 0.08 and brews:
            brew = rng.choice([*brews, -1])
        if rng.random() < 0.12:
            moment = rng.randrange(-1, len(W.MOMENTS))
        if rng.random() < 0.12:
            return W.State(0, max(brew, 0), max(moment, 0))
        return W.State(coffee + 1, max(brew, 0), max(moment, 0), min(coffees, W.COFFEES), tuple(brews[:4]))


def latest(names):
    """Names in the order they were last said, each descriptor once."""
    return list({n[2]: n for n in reversed(names)}.values())[::-1]


def batch_of(chosen, rng):
    """Windows as tensors: ids, flags, mask, labels; and the pairs inside them. A window is a lesson, the piece it
    starts at, and the one it ends before where it is a few turns with nothing around them."""
    rows, pairs, links = [], [], []
    for number, (lesson, low, stop) in enumerate(chosen):
        alone = stop is not None
        state = (W.State() if alone else lesson.state(low, rng)).pieces()
        high = min(stop if alone else len(lesson.pieces.ids), low + W.LENGTH - 2 - len(state))
        offset, skip = 1 + len(state), 0 if alone or not low else 40
        ids = [W.START, *state, *lesson.pieces.ids[low:high], W.STOP]
        flags = [0] * offset + [*lesson.pieces.flags[low:high], 0]
        labels = {head: lesson.labels[head][low:high].copy() for head in W.HEADS}
        for values in labels.values():
            values[:skip] = -1
        if alone:  # what nobody can know from a turn by itself is not asked
            labels["main"][labels["main"] == ASSENT] = -1
            labels |= {name: np.full(high - low, -1) for name in SCENE}
        rows.append((ids, flags, offset, labels))
        for start, end, listed in lesson.pairs:
            inside = [
                (a - low + offset, b - low + offset, back, right)
                for a, b, back, right in listed
                if a >= low and b <= high
            ]
            if low + skip <= start and end <= high and len(inside) > 1 and any(right for *_, right in inside):
                pairs.append((number, start - low + offset, end - low + offset, inside))
        links.extend(
            (number, start - low + offset, end - low + offset, d)
            for start, end, d in lesson.links
            if low + skip <= start and end <= high
        )
    size = (len(rows), max(len(ids) for ids, *_ in rows))
    ids, flags, mask = (torch.zeros(size, dtype=torch.long) for _ in range(3))
    labels = {head: torch.full(size, -1) for head in W.HEADS}
    for n, (i, f, offset, found) in enumerate(rows):
        ids[n, : len(i)], flags[n, : len(i)], mask[n, : len(i)] = torch.tensor(i), torch.tensor(f), 1
        for head, values in found.items():
            labels[head][n, offset : offset + len(values)] = torch.from_numpy(values)
    return sent(ids), sent(flags), sent(mask), {h: sent(v) for h, v in labels.items()}, pairs, links


def ways_of(table, tokenizer, rows, rng):
    """A recording as it is learnt: with names of speakers and punctuation, or without either."""
    run = run_together(table, rng)
    return (
        Lesson(table, tokenizer, rows), Lesson(table, tokenizer, rows, bare=True),
        Lesson(run, tokenizer, rows, anonymous=True), Lesson(run, tokenizer, rows, anonymous=True, bare=True),
    )  # fmt: skip


def fit(seed, start, ways, tokenizer, names, until, path):
    """One run: its weights, the mean over the last third of its steps, written to `path`."""
    rng, on = random.Random(seed), start.endswith(".npz")
    torch.manual_seed(0)
    net = Net(start, meanings(start, tokenizer, names), [n[0] for n in names]).to(DEVICE).train()
    torch.manual_seed(seed)
    rest = [p for name, p in net.named_parameters() if not name.startswith("bert")]
    groups = [
        {"params": [p for p in net.bert.parameters() if p.requires_grad], "lr": RATE},
        {"params": rest, "lr": RATE * (5 / 3 if on else 5)},
    ]
    losses = (loss_of(net, batch) for batch in batches(ways, rng))
    mean, steps = learnt(net, groups, losses, WARM, until)
    net.load_state_dict(mean)
    weights = {name: value.cpu().numpy() for name, value in mean.items() if name != "known"}
    np.savez(path, named=net.named().detach().float().cpu().numpy(), **weights)
    often = steps * BATCH * 256 / sum(len(four[0].pieces.ids) for four in ways)
    print(f"run {seed}: {steps} steps, {often:.1f} times all talk")


def learnt(net, groups, losses, warm, until):
    """The weights of a network that follows losses, each of a batch, until then: their mean over the last third; and
    the steps it took. `groups`: its parameters with their rates, which rise for `warm` steps."""
    optimizer = torch.optim.AdamW(groups, weight_decay=0.01, fused=DEVICE == "cuda")
    rates = [group["lr"] for group in optimizer.param_groups]
    mean, taken, step, done, begun = None, 0, 0, 0.0, time.time()
    for loss in losses:
        for group, rate in zip(optimizer.param_groups, rates, strict=True):
            group["lr"] = rate * min(1, (step + 1) / warm) * max(0.02, 1 - done)
        optimizer.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimizer.step()
        step, done = step + 1, (time.time() - begun) / (until - begun)
        if (done > 0.7 and step % 10 == 0) or (done >= 1 and mean is None):
            now = {name: value.detach().float() for name, value in net.state_dict().items()}
            taken += 1
            mean = now if mean is None else {name: mean[name] + (now[name] - mean[name]) / taken for name in now}
        if done >= 1:
            break
    return mean, step


def mean_of(run, seeds, out):
    """The mean of what each seed's run writes; `run` takes a seed and the path. All go at once."""
    paths = {seed: Path(out) / f"run{seed}.npz" for seed in seeds}
    forked = multiprocessing.get_context("fork")  # they share what is learnt from; none has touched the GPU yet
    runs = [forked.Process(target=run, args=pair) for pair in paths.items()]
    for one in runs:
        one.start()
    for one in runs:
        one.join()
    each = [dict(np.load(path)) for path in paths.values()]
    for path in paths.values():
        path.unlink()
    return {name: sum(e[name] for e in each) / len(each) for name in each[0]}


def batches(ways, rng):
    """Batches without end, every recording about as often."""
    while True:
        chosen = list(_windows(ways, rng))
        for at in range(0, len(chosen) - BATCH + 1, BATCH):
            yield batch_of(chosen[at : at + BATCH], rng)


def _windows(ways, rng):
    found = []
    for four in ways:
        nobody = four[0].turns[0]["speaker"] is None
        lesson = four[(rng.random() < BARE) + 2 * (rng.random() < (0.4 if nobody else 0.1))]
        count = len(lesson.pieces.ids)
        for _ in range(max(1, round(count / 256))):
            if rng.random() < ALONE:
                found.append((lesson, *lesson.few(rng)))
                continue
            low = rng.randrange(0, max(1, count - 120)) if count > W.LENGTH - 10 and rng.random() > 0.15 else 0
            found.append((lesson, low, None))
    rng.shuffle(found)
    return found


def main(lessons, start, tokenizer, out, seconds="500", runs="8"):
    until = time.time() + float(seconds)
    given = json.loads(Path(lessons).read_text("utf-8"))
    names, rng = given["names"], random.Random(0)
    pieces = Tokenizer.from_file(tokenizer)
    pieces.no_padding()
    pieces.no_truncation()
    Path(out).mkdir(parents=True, exist_ok=True)
    rows = {n[0]: row for row, n in enumerate(names)}
    ways = [ways_of(table, pieces, rows, rng) for table in given["tables"]]
    print(f"{len(ways)} recordings, {until - time.time():.0f} s left to learn")
    mean = mean_of(lambda seed, path: fit(seed, start, ways, pieces, names, until, path), range(int(runs)), out)
    np.savez(Path(out) / "weights.npz", described=np.array([n[0] for n in names]), **mean)


if __name__ == "__main__":
    main(*sys.argv[1:])
