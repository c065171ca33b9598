"""What a stretch of talk means: the likeliest of what it may; where that is in doubt it is heard a second time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tastevocab.reading.hearing.again import Ask
from tastevocab.reading.language.judge import chance, choice, log_of, logit
from tastevocab.reading.language.reference import Candidate
from tastevocab.reading.language.spans import ASIDE, DENIED, Span
from tastevocab.reading.words.lexicon import Lexicon

LOW, HIGH = 0.35, 0.75  # a finding that is this sure at first is in doubt
FEW = 4  # descriptors that a second hearing chooses from
KINDS = ("own", "composed", "misheard", "sounds like", "past", "linked")

Hear = Callable[[Sequence[str]], list[float]]
"""A second hearing of a stretch: how likely it means each of several descriptors, and last that nothing is found."""
Shares = Mapping[str, tuple[float, Candidate]]
"""For each descriptor how likely it is meant, and the likeliest candidate that means it."""


@dataclass(frozen=True, slots=True)
class Meant:
    """What a stretch is taken to mean: the likeliest candidate of a descriptor, how `sure` it is a finding of it, and
    what that rests on: weights by name and `features`."""

    best: Candidate
    sure: float
    weights: Mapping[str, float]
    features: Mapping[str, float]


def meant_by(span: Span, options: Sequence[Candidate], weights: Mapping[str, Any], hear: Hear) -> Meant:
    """What a stretch means of what it may; where that is in doubt, by a second hearing. `weights`: those of talk."""
    shares = shares_of(options, choice(weights["means"], [o.features for o in options]))
    first = at_first(span, shares, len(options), weights)
    again = heard_again(shares, hear) if in_doubt(first) else None
    return by_both(span, shares, again, weights) if again else first


def at_first(span: Span, shares: Shares, count: int, weights: Mapping[str, Any]) -> Meant:
    """What a stretch with `count` candidates is likeliest to mean, heard once."""
    share, best = shares[likeliest(shares, 1)[0]]
    features = finding_features(span, best, share) | {"nothing else it may mean": float(count == 1)}
    return Meant(best, chance(weights["right"], features), weights["right"], features)


def in_doubt(first: Meant) -> bool:
    """Whether a stretch is worth a second hearing: neither nearly sure nor unlikely to be counted after it."""
    return LOW < first.sure < HIGH


def by_both(span: Span, shares: Shares, again: Reheard, weights: Mapping[str, Any]) -> Meant:
    """What a stretch means by both hearings."""
    weighed = choice(weights["again"], again.features(shares))
    share, answer, chosen = max(zip(weighed, again.answers, again.few, strict=True))
    best = shares[chosen][1]
    features = finding_features(span, best, share) | {"heard again": logit(answer)}
    return Meant(best, chance(weights["right again"], features), weights["right again"], features)


def hearing(ask: Ask, turn: int, span: Span, lexicon: Lexicon) -> Hear:
    """What hears a stretch of a turn again: each descriptor is asked about by what it is called."""
    return lambda few: ask(turn, span.start, span.end, [lexicon.called[d] for d in few])


def shares_of(options: Sequence[Candidate], shares: Sequence[float]) -> Shares:
    """For each descriptor the share of all candidates that mean it, and the likeliest of these."""
    by: dict[str, tuple[float, float, Candidate]] = {}
    for option, share in zip(options, shares, strict=True):
        whole, most, best = by.get(option.descriptor, (0.0, -1.0, option))
        by[option.descriptor] = (whole + share, *((share, option) if share > most else (most, best)))
    return {descriptor: (whole, best) for descriptor, (whole, _, best) in by.items()}


@dataclass(frozen=True, slots=True)
class Reheard:
    """What a second hearing makes of a stretch: how likely it means each of a few descriptors."""

    few: Sequence[str]
    answers: Sequence[float]

    def features(self, shares: Shares) -> list[Mapping[str, float]]:
        """What speaks for each of the few: how likely it was at first, and how likely it is now."""
        return [_features(*shares[d], answer) for d, answer in zip(self.few, self.answers, strict=True)]


def heard_again(shares: Shares, hear: Hear) -> Reheard | None:
    """The likeliest few descriptors heard again; None where the network heard no word of the stretch."""
    few = likeliest(shares, FEW)
    answers = hear(few)
    return Reheard(few, answers[:-1]) if answers else None


def likeliest(shares: Shares, count: int) -> list[str]:
    """The descriptors of the largest shares, the largest first."""
    return sorted(shares, key=lambda d: (-shares[d][0], d))[:count]


def _features(share: float, best: Candidate, answer: float) -> dict[str, float]:
    kind = next(kind for kind in KINDS if kind in best.features)
    heard = log_of(answer)
    return {"means it": log_of(share), "heard again": heard, kind: 1.0, f"{kind}, heard again": heard}


def finding_features(span: Span, best: Candidate, share: float) -> dict[str, float]:
    """What a finding's probability rests on: how it was said, what it means, and how likely it means that (`share`)."""
    polarity = (span.said - span.classes[DENIED]) / max(1e-6, span.said)
    features = {
        "always": 1.0,
        "said": logit(span.said),
        "said at its height": logit(span.peak),
        "polarity": logit(1 - polarity if span.denied else polarity),
        "denied": float(span.denied),
        "assent": float(span.assent),
        "doubted": float(span.doubted),
        "means it": logit(share),
        "long": min(span.end - span.start, 12) / 12,
        "aside": logit(span.classes[ASIDE]),
        "broad": float(best.descriptor.count("/") < 2),
        "a fault": best.features.get("a fault", 0.0),
        "link": best.features.get("link", 0.0),
        "linked first": best.features.get("linked first", 0.0),
        "own share of words": best.features.get("own share of words", 0.0),
        "likeness": best.features.get("likeness", 0.0),
    }
    kept = (
        "leaves nothing",
        "leaves one word",
        "leaves more",
        "one of several",
        "a narrower one was said",
        "shares a word",
    )
    features |= {name: value for name, value in best.features.items() if name.endswith(kept)}
    for kind in KINDS:
        if kind in best.features:
            features[kind] = 1.0
            features[f"{kind}, denied"] = float(span.denied)
            features[f"{kind}, assent"] = float(span.assent)
            features[f"{kind}, said"] = features["said"]
            features[f"{kind}, means it"] = features["means it"]
    return features
