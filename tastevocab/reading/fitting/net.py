"""The network that is fitted: MiniLM with a head for each question, pointers and links, and how far off it is."""

from __future__ import annotations

import os

import numpy as np
import torch
from safetensors.torch import load_file
from torch import nn
from torch.nn import functional as F
from transformers import BertConfig, BertModel

from tastevocab.reading.hearing import windows as W

POINT, REACH, LINK = 64, 24, 96  # numbers in a pointer; names looked back on; numbers in a link
WEIGHT = {"main": 1.0, "begin": 0.3, "reason": 0.3, "attribute": 0.4, "level": 0.5, "degree": 0.3, "place": 0.2,
          "coffee": 0.35, "brew": 0.35, "moment": 0.35}  # fmt: skip
POINTING, LINKING = 0.5, 0.5
os.environ["PYTORCH_NVML_BASED_CUDA_CHECK"] = "1"  # to ask for a GPU must not open it: runs are forked
DEVICE = "cuda" if torch.cuda.is_available() else "cpu"


def opened(start):
    """BERT of MiniLM's size, and all the weights to begin with: those published, or those of the network shipped."""
    shipped = start.endswith(".npz")
    if shipped:
        stored = np.load(start)
        weights = {name: torch.from_numpy(stored[name]).float() for name in stored.files if name != "described"}
        weights["described"] = list(map(str, stored["described"]))
    else:
        weights = {f"bert.{name}": value.float() for name, value in load_file(start).items()}
    bert = BertModel(
        BertConfig(
            vocab_size=30522, hidden_size=384, num_hidden_layers=6, num_attention_heads=12, intermediate_size=1536,
            type_vocab_size=W.FLAGS if shipped else 2,
        ),
        add_pooling_layer=False,
    )  # fmt: skip
    own = {name.removeprefix("bert."): value for name, value in weights.items() if name.startswith("bert.")}
    bert.load_state_dict(own, strict=False)
    return bert, weights if shipped else None


def meanings(start, tokenizer, names):
    """Each descriptor as the network begun with sees its names (their mean) and the sentence about it, side by side:
    (count, 768)."""
    bert = opened(start)[0].to(DEVICE).eval()

    def seen(texts):
        rows = []
        for low in range(0, len(texts), 256):
            cut = [e.ids[:64] for e in tokenizer.encode_batch(texts[low : low + 256])]
            ids = torch.zeros((len(cut), max(map(len, cut))), dtype=torch.long)
            for n, row in enumerate(cut):
                ids[n, : len(row)] = torch.tensor(row)
            ids, mask = ids.to(DEVICE), (ids > 0).to(DEVICE)
            with torch.no_grad():
                hidden = bert(input_ids=ids, attention_mask=mask.long()).last_hidden_state
            rows.append(F.normalize((hidden * mask[..., None]).sum(1), dim=-1))
        return torch.cat(rows)

    flat = [(n, word) for n, (_, words, _) in enumerate(names) for word in words[:8]]
    which = torch.tensor([n for n, _ in flat], device=DEVICE)
    said = torch.zeros((len(names), 384), device=DEVICE).index_add(0, which, seen([w for _, w in flat]))
    return torch.cat([F.normalize(said, dim=-1), seen([about or words[0] for _, words, about in names])], -1)


class Net(nn.Module):
    """MiniLM with a head for each question, pointers, and links to descriptors. `ids`: the descriptors in the order of
    `known`, what is known of each."""

    def __init__(self, start, known, ids):
        super().__init__()
        self.bert, shipped = opened(start)
        self.register_buffer("known", known)
        self.drop = nn.Dropout(0.1)
        self.heads = nn.ModuleDict({head: nn.Linear(384, size) for head, size in W.HEADS.items()})
        self.q, self.k = nn.Linear(384, POINT), nn.Linear(384, POINT)
        self.far = nn.Parameter(torch.zeros(REACH + 1))
        self.link, self.meant = nn.Linear(384, LINK), nn.Linear(known.shape[1], LINK)
        self.apart = nn.Parameter(torch.zeros(len(known), LINK))  # what a descriptor is beside what is known of it
        if shipped:
            self._learn_on(shipped, ids)
        else:
            self._flagged()

    def _flagged(self):
        old = self.bert.embeddings.token_type_embeddings.weight.data[0]
        flags = nn.Embedding(W.FLAGS, 384)
        flags.weight.data = torch.stack([old, *(old + torch.randn(384) * 0.01 for _ in range(W.FLAGS - 1))])
        self.bert.embeddings.token_type_embeddings = flags

    def _learn_on(self, shipped, ids):
        """Begin where the shipped network is; new descriptors get their vectors from what is known of them (least
        squares), pieces of words stay as they are."""
        rows = {id: row for row, id in enumerate(ids)}
        both = [(rows[id], row) for row, id in enumerate(shipped.pop("described")) if id in rows]
        known = self.known.cpu()[[row for row, _ in both]]
        known = torch.cat([known, torch.ones(len(known), 1)], 1)
        named = shipped.pop("named")[[row for _, row in both]]
        found = torch.linalg.lstsq(known.T @ known + 0.01 * torch.eye(known.shape[1]), known.T @ named).solution
        self.load_state_dict(shipped, strict=False)
        self.meant.weight.data, self.meant.bias.data = found[:-1].T.contiguous(), found[-1]
        self.apart.data[[row for row, _ in both]] = named - known @ found
        self.bert.embeddings.word_embeddings.weight.requires_grad_(False)

    def named(self):
        """The descriptors' vectors, which links are compared with."""
        return self.meant(self.known) + self.apart

    def forward(self, ids, flags, mask):
        hidden = self.bert(input_ids=ids, token_type_ids=flags, attention_mask=mask).last_hidden_state
        hidden = self.drop(hidden)
        return hidden, {head: layer(hidden) for head, layer in self.heads.items()}


def sent(values):
    """A tensor on its way to where the network is; nobody waits for it."""
    tensor = torch.as_tensor(values)
    return tensor.pin_memory().to(DEVICE, non_blocking=True) if DEVICE == "cuda" else tensor


def means(hidden):
    """A function giving the mean over words [start, end) of row n."""
    hidden = hidden.float()
    sums = torch.cat([torch.zeros_like(hidden[:, :1]), hidden.cumsum(1)], 1)
    return lambda n, start, end: (sums[n, end] - sums[n, start]) / (end - start)[:, None]


def linking_loss(net, mean, links):
    """How far stretches are from the descriptors that are meant."""
    n, start, end, right = sent(links).T
    scores = net.link(mean(n, start, end)) @ net.named().T / LINK**0.5
    return F.cross_entropy(scores, right, label_smoothing=0.05)


def pointing_loss(net, mean, pairs):
    """How far the pointers are from the names that are meant (any of several right ones will do)."""
    asking = sent([(n, a, b) for n, a, b, _ in pairs]).T
    rows = [(i, n, *c) for i, (n, _, _, listed) in enumerate(pairs) for c in listed]
    which, n, start, end, back, right = sent(rows).T
    scores = (net.q(mean(*asking))[which] * net.k(mean(n, start, end))).sum(-1) / 8 + net.far[back]
    top = torch.full((len(pairs),), -1e9, device=DEVICE).scatter_reduce(0, which, scores, "amax")
    raised = torch.exp(scores - top[which])
    zero = torch.zeros(len(pairs), device=DEVICE)
    return (
        torch.log(zero.index_add(0, which, raised) + 1e-9) - torch.log(zero.index_add(0, which, raised * right) + 1e-9)
    ).mean()


def answer_loss(made, wanted, head):
    """How far the answers to one question are from those wanted; 0 where none is."""
    smoothed = 0.02 if head == "main" else 0.0
    whole = F.cross_entropy(
        made.float().flatten(0, 1), wanted.flatten(), ignore_index=-1, reduction="sum", label_smoothing=smoothed
    )
    return whole / (wanted >= 0).sum().clamp(min=1)


def loss_of(net, batch):
    """How far the network is from everything that is right of a batch."""
    ids, flags, mask, labels, pairs, links = batch
    with torch.autocast(DEVICE, dtype=torch.bfloat16):
        hidden, made = net(ids, flags, mask)
    loss = sum(WEIGHT[head] * answer_loss(made[head], wanted, head) for head, wanted in labels.items())
    if pairs:
        loss = loss + POINTING * pointing_loss(net, means(hidden), pairs)
    if links:
        loss = loss + LINKING * linking_loss(net, means(hidden), links)
    return loss
