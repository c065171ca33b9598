"""Which descriptor a stretch of talk means: a name in it, names that its words make up, or one said before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tastevocab.reading.hearing.encoder import LINK, Bearings, Heard
from tastevocab.reading.language.judge import log_of
from tastevocab.reading.language.mark import Mention
from tastevocab.reading.language.spans import Span
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

REACH = 24  # names looked back on
LINKED = 4  # descriptors that a stretch is linked to without a name in it
NEAREST = 0.74  # how near a misheard word must be to a name,
MISSPELT = 0.85  # and one that is no English word: if it is no slip of a name, it is a name nobody listed


@dataclass(frozen=True, slots=True)
class Named:
    """A name said in a recording: its mention, the words it was said with, who said it, and its pointer."""

    mention: Mention
    words: frozenset[str]
    speaker: str | None
    answers: NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A descriptor that a stretch may mean, by which mention (None: made up of its words), with its features."""

    descriptor: str
    mention: Mention | None
    features: dict[str, float]


def named_in(u: Utterance, heard: Heard, mentions: Sequence[Mention], speaker: str | None) -> list[Named]:
    """The flavours a turn names, as later talk may refer to them."""
    return [
        Named(m, frozenset(u.own[m.start : m.end]), speaker, heard.answers[m.start : m.end].mean(0))
        for m in mentions
        if not m.quality
    ]


def candidates(
    u: Utterance, span: Span, heard: Heard, before: Sequence[Named], here: Sequence[Named], bearings: Bearings
) -> list[Candidate]:
    """What a stretch may mean. `before` are the names of earlier turns, `here` those of this turn, `bearings` what
    pointers and links are weighed by."""
    far = bearings.far
    own = [n for n in here if n.mention.start < span.end and span.start < n.mention.end]
    past = latest([*before, *(n for n in here if n.mention.end <= span.start)])
    asks = heard.asks[span.start : span.end].mean(0)
    content = _content(u, span)
    made = [_own(u, span, n, len(own), float(asks @ n.answers) / 8 + far[0], content) for n in own]
    made.extend(_composed(u, span, {n.mention.target for n in own}, content))
    if not own:
        made.extend(_misheard(u, span))
    said = frozenset(u.own[span.start : span.end])
    for back, n in zip(range(len(past), 0, -1), past, strict=True):
        made.append(_past(u, span, n, own, said, back, float(asks @ n.answers) / 8 + far[back]))
    shared = [
        c for c in made if "past" in c.features and c.features["narrower than said"] and c.features["shares a word"]
    ]
    if bearings.ids:
        _link(u, span, heard, bearings, made)
    for c in made:
        c.features["a narrower one was said"] = float(bool(shared) and "own" in c.features)
    _worded(u, span, own, made)
    return made


def latest(names: Sequence[Named]) -> list[Named]:
    """The last names said, in their order, each descriptor once."""
    return list({n.mention.target: n for n in reversed(names)}.values())[REACH - 1 :: -1]


def _link(u: Utterance, span: Span, heard: Heard, bearings: Bearings, made: list[Candidate]) -> None:
    """Tell each candidate how likely the words are linked to it, and add those they are likeliest linked to (of what
    the vocabulary at hand holds)."""
    import numpy as np

    scores = bearings.named @ heard.links[span.start : span.end].mean(0) / LINK**0.5
    raised = np.exp(scores - scores.max())
    shares = raised / raised.sum()
    known = {c.descriptor for c in made} | u.lexicon.retired
    for id in (bearings.ids[row] for row in np.argsort(-shares, kind="stable")[:LINKED]):
        if id not in known and id in u.lexicon.prints:
            made.append(Candidate(id, None, dict(_shape(span, "linked"))))
    for c in made:
        row = bearings.rows.get(c.descriptor)
        share = float(shares[row]) if row is not None else 1 / len(shares)
        c.features["link"] = log_of(share)
        c.features["linked first"] = float(share == shares.max())
        if "linked" in c.features:
            c.features["linked link"] = c.features["link"]


def _worded(u: Utterance, span: Span, own: Sequence[Named], made: Sequence[Candidate]) -> None:
    """Tell each candidate whether a longer name of it holds the name said, and other words that are: "butter browned in
    the pan" goes with "browned butter"."""
    said = {u.keys[i].name for i in range(span.start, span.end) if u.own[i] not in u.lexicon.small}
    named = {u.keys[i].name for n in own for i in range(n.mention.start, n.mention.end)}
    for c in made:
        kind = next(iter(c.features))  # what `_shape` says first
        longer = [name for name in u.lexicon.worded.get(c.descriptor, ()) if named < name]
        c.features[f"{kind} holds the name said"] = float(bool(named and longer))
        c.features[f"{kind} shares words beside it"] = float(any(name & (said - named) for name in longer))


def _content(u: Utterance, span: Span) -> frozenset[str]:
    """The words of a stretch that carry meaning."""
    quiet = u.covered("degree.before", "degree.after", "doubt.before", "doubt.after", "frame", "denial.before")
    small = u.lexicon.small
    return frozenset(u.own[i] for i in range(span.start, span.end) if i not in quiet and u.own[i] not in small)


def _cover(content: frozenset[str], words: frozenset[str], kind: str) -> dict[str, float]:
    """How much of what is said a candidate's words account for."""
    left = len(content - words)
    return {
        f"{kind} leaves nothing": float(not left and bool(content)),
        f"{kind} leaves one word": float(left == 1),
        f"{kind} leaves more": float(left > 1),
    }


def _shape(span: Span, kind: str) -> Iterator[tuple[str, float]]:
    yield kind, 1.0
    for name, holds in (("denied", span.denied), ("assent", span.assent)):
        if holds:
            yield f"{kind} of a {name}", 1.0


def _own(u: Utterance, span: Span, n: Named, count: int, points: float, content: frozenset[str]) -> Candidate:
    m = n.mention
    features = dict(_shape(span, "own")) | _cover(content, n.words, "own")
    features["own points"] = points
    features["own share of words"] = (m.end - m.start) / (span.end - span.start)
    features["own words"] = float(m.end - m.start)
    features["one of several"] = float(count > 1)
    features["first of several"] = float(count > 1 and m.start == span.start)
    broad = m.target.count("/") < 2
    features["broad"] = float(broad)
    features["broad of several"] = float(broad and count > 1)
    features["a fault"] = float(m.target in u.lexicon.names.faults)
    if m.via != "word":
        features[f"by {m.via}"] = 1.0
    return Candidate(m.target, m, features)


def _composed(u: Utterance, span: Span, known: set[str], content: frozenset[str]) -> Iterator[Candidate]:
    """Names whose words all stand in the stretch, in any order: "coconut, the milk of it"."""
    keys = {u.keys[i].name: i for i in range(span.start, span.end)}
    for word in keys:
        for path, descriptor in u.lexicon.composed.get(word, ()):
            if descriptor not in known and all(k in keys for k in path):
                covered = frozenset(u.own[keys[k]] for k in path)
                features = dict(_shape(span, "composed")) | _cover(content, covered, "composed")
                yield Candidate(descriptor, None, features | {"composed words": float(len(path))})


def _misheard(u: Utterance, span: Span) -> Iterator[Candidate]:
    for at in range(span.start, span.end):
        end, senses = u.lexicon.misheard.longest(u.own, at)
        if senses and end <= span.end:
            yield Candidate(
                senses[0].value, None, {**dict(_shape(span, "misheard")), "misheard words": float(end - at)}
            )
    loose = [i for i in range(span.start, span.end) if u.own[i] not in u.lexicon.small]
    if 1 <= len(loose) <= 3:
        phrase = " ".join(u.words[loose[0] : loose[-1] + 1])
        least = NEAREST if all(u.own[i] in u.lexicon.common for i in loose) else MISSPELT
        for descriptor, match in u.lexicon.guesser().nearest(phrase, 2):
            if match >= least:
                yield Candidate(descriptor, None, {**dict(_shape(span, "sounds like")), "likeness": match - 0.8})


def _past(
    u: Utterance, span: Span, n: Named, own: Sequence[Named], said: frozenset[str], back: int, points: float
) -> Candidate:
    features = dict(_shape(span, "past"))
    features["past points"] = points
    features["past distance"] = min(back, 8) / 8
    features["last name"] = float(back == 1)
    features["shares a word"] = float(bool(n.words & said))
    features["all its words"] = float(n.words <= said)
    features["wordless"] = float(not own)
    features["wordless last name"] = float(not own and back == 1)
    target = n.mention.target
    features["narrower than said"] = float(any(_inside(u.lexicon, target, o.mention.target) for o in own))
    features["same as said"] = float(any(o.mention.target == target for o in own))
    return Candidate(target, n.mention, features)


def _inside(lexicon: Lexicon, narrow: str, broad: str) -> bool:
    """Whether one descriptor lies below another, or in the span of a reach word."""
    if narrow == broad:
        return False
    spans = lexicon.spans.get(broad, ())
    return narrow.startswith((f"{broad}/", *(f"{s}/" for s in spans))) or narrow in spans
