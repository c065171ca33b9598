"""Patterns of talk as data: words noticed beside a name, each with a sentence it is found in and one it is not.

The records stand in the vocabulary's `rules.yaml`; `wrong_examples` runs every sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tastevocab.reading.words.lexicon import Lexicon

_SHOWN = re.compile(r"\[([^\]]+)\]")
VALUED = ("moment", "place", "brew", "level", "degree.before", "degree.after")  # kinds whose last part is a value


@dataclass(frozen=True, slots=True)
class Pattern:
    """Words of one meaning. `kind` says what they do ("denial.before"), `value` which ("weak", "equipment", "")."""

    id: str
    kind: str
    value: str
    words: tuple[str, ...]
    example: str = ""
    counter: str = ""


def patterns_of(rules: Mapping[str, Any]) -> Iterator[Pattern]:
    """The records of `rules.yaml`, in their order."""
    for id, given in rules.items():
        kind, _, last = str(id).rpartition(".")
        valued = kind in VALUED or kind.startswith("aside.")
        yield Pattern(
            str(id),
            kind if valued else str(id),
            last.replace("_", " ") if valued else "",
            tuple(str(w) for w in given.get("words") or ()),
            str(given.get("example") or ""),
            str(given.get("counter") or ""),
        )


def wrong_examples(lexicon: Lexicon) -> Iterator[tuple[str, str]]:
    """(id, what is wrong) of every pattern whose sentences do not come out: the words in [brackets] must be found by
    it, and nothing in its counter-example."""
    for pattern in lexicon.patterns:
        shown = _SHOWN.search(pattern.example)
        if shown is None:
            yield pattern.id, "needs an example with the words it finds in [brackets]"
        elif not _finds(lexicon, pattern, pattern.example, shown[1]):
            yield pattern.id, f"is not found in its example: {pattern.example}"
        if not pattern.counter:
            yield pattern.id, "needs a counter-example: a sentence it must not be found in"
        elif _finds(lexicon, pattern, pattern.counter, None):
            yield pattern.id, f"is found in its counter-example: {pattern.counter}"


def _finds(lexicon: Lexicon, pattern: Pattern, sentence: str, words: str | None) -> bool:
    from tastevocab.reading.words.utterance import Utterance

    u = Utterance(sentence.replace("[", "").replace("]", ""), lexicon)
    for cue in u.of(pattern.kind):
        if cue.value != pattern.value:
            continue
        if words is None or u.text[u.starts[cue.start] : u.ends[cue.end - 1]] == words:
            return True
    return False
