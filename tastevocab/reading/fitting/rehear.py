"""Fitting the second hearing: which of a few descriptors a stretch of marked talk means, or that nothing is found.

    python -m tastevocab.reading.fitting.rehear LESSONS START TOKENIZER OUT [SECONDS [RUNS]]

from the root of the repository, on a GPU. LESSONS comes from `lessons FILE AUTHOR ...`: of the authors that are told
there it holds how they are cut and what each stretch may mean, as it will be asked; of all others the stretches are
those that are marked, beside descriptors said nearby or alike. START is what `graph.py begin` made of the encoder. It
writes OUT/again.npz for `graph.py again`: the mean of RUNS, each over the last third of its steps; the rate falls with
the SECONDS that are left.
"""

from __future__ import annotations

import json
import random
import sys
import time
from pathlib import Path

import numpy as np
import torch
from tokenizers import Tokenizer
from torch import nn
from torch.nn import functional as F

from tastevocab.reading.fitting.net import DEVICE, opened, sent
from tastevocab.reading.fitting.train import Lesson, learnt, mean_of
from tastevocab.reading.hearing.again import pieces_named, question
from tastevocab.reading.hearing.windows import MAIN

FEW, BATCH, RATE, WARM = 4, 64, 2e-4, 300  # descriptors asked about at once; stretches a step
CUTS = 3  # how often a stretch that was cut is learnt beside one that is marked
ALIKE = 20  # descriptors nearest to the right one, which others are drawn from
ASIDE = MAIN.index("aside")


class Net(nn.Module):
    """MiniLM as the encoder ends, and one number at each mark that answers."""

    def __init__(self, start):
        super().__init__()
        self.bert = opened(start)[0]
        self.bert.embeddings.word_embeddings.weight.requires_grad_(False)
        self.drop, self.score = nn.Dropout(0.1), nn.Linear(384, 1)

    def forward(self, ids, flags, mask, marks):
        hidden = self.bert(input_ids=ids, token_type_ids=flags, attention_mask=mask).last_hidden_state
        return self.score(self.drop(hidden[torch.arange(len(marks), device=marks.device)[:, None], marks]))[..., 0]


class Stretches:
    """Every stretch there is to learn from: (recording, ways to cut it, descriptors in it, descriptors said before, the
    right one or -1), those that were cut with what they were taken for in the place of what was said before."""

    def __init__(self, tables, rows, tokenizer, rng):
        self.recordings, self.marked, self.cut = [], [], []
        for table in tables:
            for bare in (False, True) if len(table["turns"]) > 3 else (False,):
                lesson = Lesson(table, tokenizer, rows, bare=bare)
                self.recordings.append((lesson.pieces.ids, lesson.pieces.flags))
                self.marked.extend(self._marked(lesson, rows, rng))
                if not bare:
                    self.cut.extend(self._cut(lesson, table.get("cuts", ()), rows))

    def _marked(self, lesson, rows, rng):
        names = []
        for number, turn in enumerate(lesson.turns):
            here = [(*s, rows[d]) for a, b, d in turn["cands"] if d in rows and (s := lesson.stretch(number, a, b))]
            found = [(a, b, rows[d]) for a, b, d in turn["refs"] if d in rows]
            for start, end, right in (*found, *nothing_found(turn["lab"], len(found) // 3, rng)):
                ways = [
                    lesson.stretch(number, *way) for way in ((start, end), (max(0, start - 1), end), (start, end + 1))
                ]
                if ways[0]:
                    at, to = ways[0]
                    own = [d for a, b, d in here if a < to and at < b]
                    before = [d for a, b, d in (*names, *here) if b <= at]
                    last = list(dict.fromkeys(reversed(before)))[:24]
                    yield len(self.recordings) - 1, [w or ways[0] for w in ways], own, last, right
            names.extend(here)

    def _cut(self, lesson, cuts, rows):
        for turn, start, end, few, right in cuts:
            place = lesson.stretch(turn, start, end)
            if place and len(few) >= FEW and (not right or right in rows):
                yield len(self.recordings) - 1, [place], [rows[d] for d in few], [], rows[right] if right else -1


def nothing_found(labels, more, rng):
    """Stretches of a turn in which nothing is found: what is set aside, and a few words drawn from all others."""
    main, opens, at = labels["main"], labels["begin"], 0
    while at < len(main):
        end = at + 1
        if main[at] == ASIDE:
            while end < len(main) and main[end] == ASIDE and not opens[end]:
                end += 1
            yield at, end, -1
        at = end
    free = [i for i, answer in enumerate(main) if answer == 0]
    for start in rng.sample(free, min(more, len(free))):
        yield start, min(start + rng.choice((1, 1, 2, 3)), len(main)), -1


def few_of(stretch, kin, count, rng):
    """The descriptors that are asked about, and where the right one stands among them (last where nothing is)."""
    _, _, own, last, right = stretch
    if not last and len(own) >= FEW:  # as it was cut
        few = own[:FEW] if rng.random() < 0.7 else rng.sample(own, FEW)
        if right >= 0 and right not in few:
            few[rng.randrange(FEW)] = right
    else:
        near = kin[right if right >= 0 else own[0] if own else rng.randrange(count)]
        drawn = [*own[:4], *own[:2], *last[:1], *last[:2], *rng.sample(last, min(2, len(last))), *rng.sample(near, FEW)]
        rng.shuffle(drawn)
        few = list(dict.fromkeys(([right] if right >= 0 else []) + drawn))[:FEW]
    rng.shuffle(few)
    return few, few.index(right) if right >= 0 else FEW


def batch_of(stretches, recordings, named, kin, rng):
    """Questions about stretches as tensors, and the right answers."""
    asked, right = [], []
    for stretch in stretches:
        few, answer = few_of(stretch, kin, len(named), rng)
        ways = stretch[1]
        place = ways[0] if rng.random() < 0.75 else rng.choice(ways)
        asked.append(question(*recordings[stretch[0]], *place, [named[d] for d in few]))
        right.append(answer)
    size = (len(asked), max(len(q.ids) for q in asked))
    ids, flags, mask = (torch.zeros(size, dtype=torch.long) for _ in range(3))
    for n, q in enumerate(asked):
        ids[n, : len(q.ids)], flags[n, : len(q.ids)], mask[n, : len(q.ids)] = (
            torch.tensor(q.ids),
            torch.tensor(q.flags),
            1,
        )
    return [sent(t) for t in (ids, flags, mask, torch.tensor([q.marks for q in asked]))], sent(torch.tensor(right))


def run(seed, start, stretches, named, kin, until, path):
    """One run: the weights, the mean over the last third of its steps, written to `path`."""
    torch.manual_seed(seed)
    rng = random.Random(seed)
    net = Net(start).to(DEVICE).train()
    encoder = [p for name, p in net.named_parameters() if p.requires_grad and not name.startswith("score")]
    groups = [{"params": encoder, "lr": RATE}, {"params": list(net.score.parameters()), "lr": 5 * RATE}]
    mean, _ = learnt(net, groups, losses_of(net, stretches, named, kin, rng), WARM, until)
    np.savez(path, **{name: value.cpu().numpy() for name, value in mean.items()})


def losses_of(net, stretches, named, kin, rng):
    """How far the network is from the right answers, a batch after another without end."""
    known = stretches.marked + CUTS * stretches.cut
    while True:
        asked, right = batch_of(rng.sample(known, BATCH), stretches.recordings, named, kin, rng)
        with torch.autocast(DEVICE, dtype=torch.bfloat16):
            scores = net(*asked)
        yield F.cross_entropy(scores.float(), right, label_smoothing=0.05)


def kin_of(start, ids):
    """For each descriptor those whose vectors lie nearest: what it is likeliest taken for."""
    with np.load(start) as stored:
        vectors = dict(zip(map(str, stored["described"]), stored["named"].astype(np.float32), strict=True))
    known = np.stack([vectors.get(id, np.zeros(96, np.float32)) for id in ids])
    known /= np.linalg.norm(known, axis=1, keepdims=True) + 1e-6
    alike = known @ known.T
    np.fill_diagonal(alike, -9)
    return np.argsort(-alike, 1)[:, :ALIKE].tolist()


def main(lessons, start, tokenizer, out, seconds="500", runs="3"):
    until = time.time() + float(seconds)
    given = json.loads(Path(lessons).read_text("utf-8"))
    pieces = Tokenizer.from_file(tokenizer)
    pieces.no_padding()
    pieces.no_truncation()
    ids = [id for id, *_ in given["names"]]
    stretches = Stretches(given["tables"], {id: row for row, id in enumerate(ids)}, pieces, random.Random(0))
    named = [pieces_named(tuple(names), pieces) for _, names, _ in given["names"]]
    Path(out).mkdir(parents=True, exist_ok=True)
    kin = kin_of(start, ids)
    mean = mean_of(lambda seed, path: run(seed, start, stretches, named, kin, until, path), range(int(runs)), out)
    np.savez(Path(out) / "again.npz", **mean)


if __name__ == "__main__":
    main(*sys.argv[1:])
