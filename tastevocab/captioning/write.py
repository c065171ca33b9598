"""Words to WebVTT: short cues, the second of every word, voices where they are known, offers over the words."""

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator, Sequence

from tastevocab.captioning.compare import Offer
from tastevocab.captioning.recogniser import Word

LONGEST, PAUSE = 80, 0.8
"""Characters of a cue, and seconds of silence that end one."""


def webvtt(words: Sequence[Word], offers: Sequence[Offer] = ()) -> str:
    """The captions of words in the order of their seconds; `offers` stand over theirs as ruby (`<rt.house>`)."""
    over = {offer.start: offer for offer in offers}
    inside = {i for offer in offers for i in range(offer.start + 1, offer.end)}
    blocks = ["WEBVTT"]
    for first, last in _cues(words, inside):
        voice = f"<v {_escaped(words[first].voice)}>" if words[first].voice else ""
        text = " ".join(_marked(words, first, last, over))
        blocks.append(f"{clock(words[first].start)} --> {clock(_end(words, first, last))}\n{voice}{text}")
    return "\n\n".join(blocks) + "\n"


def _end(words: Sequence[Word], first: int, last: int) -> float:
    return max(words[last - 1].end, words[first].start + 0.001)


def _cues(words: Sequence[Word], inside: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Where cues begin and end: at a voice, a pause, an end of sentence, or when full; never within an offer."""
    kept = set(inside)
    first, length = 0, 0
    for i, word in enumerate(words):
        if i > first and i not in kept:
            before = words[i - 1]
            other = word.voice != before.voice or word.start - before.end > PAUSE
            if other or before.last or length + len(word.text) > LONGEST:
                yield first, i
                first, length = i, 0
        length += len(word.text) + 1
    if words:
        yield first, len(words)


def _marked(words: Sequence[Word], first: int, last: int, over: dict[int, Offer]) -> Iterator[str]:
    i = first
    while i < last:
        offer = over.get(i)
        end = offer.end if offer else i + 1
        text = " ".join(_escaped(w.text) for w in words[i:end])
        if offer:
            text = f"<ruby>{text}<rt.house>{_escaped(offer.heard)}</rt></ruby>"
        stamp = f"<{clock(words[i].start)}>" if words[first].start < words[i].start < _end(words, first, last) else ""
        yield stamp + text
        i = end


def _escaped(text: str) -> str:
    return html.escape(text, quote=False)


def clock(seconds: float) -> str:
    """ "00:12:03.450", as WebVTT writes a time."""
    whole = max(0, round(seconds * 1000))
    minutes, rest = divmod(whole, 60_000)
    return f"{minutes // 60:02}:{minutes % 60:02}:{rest // 1000:02}.{rest % 1000:03}"
