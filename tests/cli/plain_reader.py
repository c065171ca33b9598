"""A reader for tests of commands: names of the vocabulary are found in a file, and a few plain words judge them.

The commands are tested with what they do to a reading, so the judgement must not move with fitted weights: "no"
before a name denies it, "perhaps" before it leaves it to a person, "kettle" behind it sets it aside, and "kumquish" is
unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from tastevocab.reading.intake.files import read_turns
from tastevocab.reading.language.items import Item, Judged, items_of, unresolved
from tastevocab.reading.language.mark import mentions_of
from tastevocab.reading.read import _gathered, with_defaults
from tastevocab.reading.records import Reading, Turn
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

UNKNOWN = "kumquish"


def read_plainly(
    path: Path, lexicon: Lexicon, *, defaults: Mapping[str, str] | None = None, table: object = None
) -> Reading:
    """The reading of one file, as `read_file` gives it."""
    return _reading([with_defaults(t, defaults or {}) for t in read_turns(path).turns], lexicon)


def read_text_plainly(
    text: str, lexicon: Lexicon, *, source: str = "<text>", defaults: Mapping[str, str] | None = None
) -> Reading:
    """The reading of one typed note, as `read_text` gives it."""
    return _reading([with_defaults(Turn(text, source, kind="note"), defaults or {})], lexicon)


def _reading(turns: list[Turn], lexicon: Lexicon) -> Reading:
    speakers: dict[str, int] = {}
    for turn in turns:
        if turn.speaker:
            speakers[turn.speaker] = speakers.get(turn.speaker, 0) + 1
    return _gathered((item for turn in turns for item in _items(turn, lexicon)), (), speakers)


def _items(turn: Turn, lexicon: Lexicon) -> Iterator[Item]:
    u = Utterance(turn.text, lexicon)
    if not u.words:
        return
    judged = []
    for m in mentions_of(u):
        before = u.words[m.start - 1].lower() if m.start else ""
        after = u.words[m.end] if m.end < len(u.words) else ""
        sure = 0.3 if before == "perhaps" else 0.9
        reason = "equipment" if after == "kettle" else None
        end = m.end + (after == "kettle")
        if not m.quality:
            judged.append(Judged(m.start, end, m.target, sure, before != "no", reason=reason, via=m.via, match=m.match))
    yield from items_of(u, turn, judged, 0.5, 0.1)
    known = {i for j in judged for i in range(j.start, j.end)}
    for at, word in enumerate(u.words):
        if word == UNKNOWN and at not in known:
            yield unresolved(u, turn, at, at + 1, lexicon.guesser().nearest(word))


def use(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the commands read files by `read_plainly`."""
    for place in ("tastevocab.reading.read.read_file", "tastevocab.panel.gather.read_file"):
        monkeypatch.setattr(place, read_plainly)
    monkeypatch.setattr("tastevocab.panel.gather.read_text", read_text_plainly)
