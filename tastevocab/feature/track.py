"""For the recording's editor: a WebVTT metadata track that names each flavour while it is said; moments to quote."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath

from tastevocab.feature.material import Material
from tastevocab.feature.said import own
from tastevocab.panel.why import clock, quoted
from tastevocab.reading.records import Finding, Turn

CAPTIONS = (".vtt", ".srt")
WORD_SECONDS = 0.45
"""How long a spoken word stands where the captions say only when it begins."""
LEAST_SECONDS = 1.5
QUOTES = 6


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment of the recording worth quoting: `at` seconds, `clock` minutes and seconds, who, the exact `words` found
    and the `sentence` they stand in (the words alone where the recording is not at hand).
    """

    source: str
    at: float
    clock: str
    taster: str
    words: str
    sentence: str
    descriptor: str
    print: str
    why: str


def caption_sources(material: Material) -> tuple[str, ...]:
    """The caption files that findings of the coffee come from."""
    found = {f.spot.source: None for f in material.gathered.findings if _timed(f)}
    return tuple(found)


def _timed(f: Finding) -> bool:
    return f.spot.at is not None and PurePath(f.spot.source).suffix.lower() in CAPTIONS


def flavours_vtt(material: Material, source: str) -> str:
    """A metadata track (WebVTT, kind "metadata"): one JSON object a cue, for every flavour said in `source`."""
    said = sorted((f for f in material.gathered.findings if _timed(f) and f.spot.source == source), key=_when)
    cues = [f"WEBVTT {_line(f'Flavours of {material.coffee.name}')}", _about(source)]
    for number, f in enumerate(said, 1):
        start = f.spot.at or 0.0
        end = start + max(LEAST_SECONDS, WORD_SECONDS * len(f.spot.words.split()))
        cues.append(f"{number}\n{stamp(start)} --> {stamp(end)}\n{_payload(f, material)}")
    return "\n\n".join(cues) + "\n"


def _about(source: str) -> str:
    return f"NOTE Metadata track for {_line(source)}: one JSON object a cue, for scripts and editors, not for display."


def _when(f: Finding) -> tuple[float, int, str]:
    return (f.spot.at or 0.0, f.spot.span[0], f.id)


def _line(text: str) -> str:
    """Text that cannot end a header or a comment of the track."""
    return " ".join(text.split()).replace("-->", "->")


def _payload(f: Finding, material: Material) -> str:
    value = {
        "descriptor": f.descriptor,
        "print": material.label(f.descriptor),
        "taster": f.spot.speaker,
        "words": " ".join(f.spot.words.split()),
        "present": f.present,
        "standing": f.standing,
        "certainty": f.certainty,
        "brew": f.spot.brew,
        "moment": f.spot.moment,
        "fault": f.fault,
    }
    return json.dumps(value, ensure_ascii=False).replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def stamp(seconds: float) -> str:
    """Seconds as a WebVTT time: 83.2 is "00:01:23.200"."""
    whole = round(seconds * 1000)
    return f"{whole // 3_600_000:02}:{whole // 60_000 % 60:02}:{whole // 1000 % 60:02}.{whole % 1000:03}"


def best_moments(material: Material, turns: Sequence[Turn] = ()) -> tuple[Moment, ...]:
    """The moments of the recording to quote, in its order: for each printed word the plainest firm own word for it
    (the strongest degree first), then one taster's likenesses made of several things. `turns` are the recording's.
    """
    page, spans = material.page, material.tools.spans
    timed = [f for f in own(page) if _timed(f) and f.certainty == 1]
    chosen: dict[str, tuple[Finding, str]] = {}
    for word in page.line.words:
        inside = sorted((f for f in timed if f.descriptor in spans.supports[word]), key=_strength)
        for f in inside[:1]:
            chosen.setdefault(f.id, (f, f"for “{material.label(word)}”, a printed word"))
    for f in sorted((f for f in timed if f.parts), key=_strength):
        chosen.setdefault(f.id, (f, "one taster’s own likeness"))
    return _in_order([_moment(f, material, turns, why) for f, why in list(chosen.values())[:QUOTES]])


def sentence_of(f: Finding, turns: Sequence[Turn]) -> str:
    """The sentence a finding's words stand in; the words alone where no turn holds them."""
    words = " ".join(f.spot.words.split())
    for turn in turns:
        here = turn.source == f.spot.source and turn.text
        if not here or not turn.file_position(0) <= f.spot.span[0] <= turn.file_position(len(turn.text) - 1):
            continue
        text = " ".join(turn.text.split())
        at = text.find(words)
        if at < 0:
            continue
        before, after = text[:at], text[at + len(words) :]
        start = max(before.rfind(mark) + 2 for mark in (". ", "! ", "? "))
        ends = [i for i, c in enumerate(after) if c in ".!?"]
        return text[start if start > 1 else 0 : at + len(words) + (ends[0] + 1 if ends else len(after))].strip()
    return words


def _strength(f: Finding) -> tuple[float, int, str]:
    return (-(f.strength or 0.0), -len(f.spot.words), f.id)


def _moment(f: Finding, material: Material, turns: Sequence[Turn], why: str) -> Moment:
    at = f.spot.at or 0.0
    return Moment(
        source=f.spot.source,
        at=at,
        clock=clock(at),
        taster=f.spot.speaker or "",
        words=" ".join(f.spot.words.split()),
        sentence=_mended(f, sentence_of(f, turns), material),
        descriptor=f.descriptor,
        print=material.label(f.descriptor),
        why=why,
    )


def _mended(f: Finding, sentence: str, material: Material) -> str:
    """The sentence with what mis-heard words are taken for beside them."""
    words = " ".join(f.spot.words.split())
    return sentence.replace(words, quoted(f, material.tools.vocabulary), 1)


def _in_order(moments: Sequence[Moment]) -> tuple[Moment, ...]:
    return tuple(sorted(moments, key=lambda m: (m.source, m.at)))
