"""The words that label a part of a sheet, so that "Body: medium" is not taken for a taster called Body."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tastevocab.reading.words.patterns import Pattern, patterns_of
from tastevocab.vocabulary.model import Vocabulary


def _words(text: str) -> list[str]:
    return text.split()


# What sheets and typed notes call their own parts; the trade's words come from the vocabulary. What stands under a
# word of the head was never tasted.
_HEAD = frozenset(
    _words(
        """coffee coffees bean beans roast roasted roaster origin country region process variety varieties varietal
        farm producer importer exporter lot date day dose ratio water grind grinder recipe bowl bowls setup set-up
        price bag label claim claims sticker card session table rest rested altitude colour color title subject
        details legend key marks kind language tasters taster panel present"""
    )
)
_FIELDS = _HEAD | frozenset(
    _words(
        """score scores total brew brews brewed method cup cups sample samples defect defects fault faults question
        answer todo next update warning important link time times temperature temp re ps nb edit fyi rating points
        uniformity clean cleanliness moment place phase item detail attendees speaker transcript recorded recording
        music applause laughter laughs laughing inaudible crosstalk silence pause noise unclear foreign"""
    )
)
_TASTED = frozenset(
    _words(
        """flavour flavours flavor flavors taste tastes note notes comment comments remark remarks overall summary
        verdict conclusion conclusions balance clean defect defects fault faults descriptors"""
    )
)
TASTERS = frozenset(
    _words(
        """taster tasters panel panelist panelists panellist panellists cupper cuppers present attendees participants
        who judge judges people team crew"""
    )
) | {"at the table", "tasted by", "on the panel", "round the table", "around the table", "in the room", "who was there"}
_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Words of headings and labels, lower case. `moments` maps phrases to the moment they tell, `brews` to the method,
    `topics` name attributes, `others` are further words that name a part of a sheet and never a person.
    """

    moments: Mapping[str, str] = field(default_factory=dict)
    topics: frozenset[str] = frozenset()
    brews: Mapping[str, str] = field(default_factory=dict)
    others: frozenset[str] = _FIELDS | _TASTED

    def names_part(self, label: str) -> bool:
        """Whether a label names a part of a sheet ("Hot", "Cold brew", "Finish") and so no person."""
        words = words_of(label)
        return any(self._knows(w) for w in (" ".join(words), *words))

    def scene(self, label: str) -> tuple[str | None, str | None]:
        """The moment and the brew that a label tells: "Espresso, first sip" gives ("hot", "espresso").

        Longer phrases first, and no word serves twice: "cold brew" is no cold cup.
        """
        words = words_of(label)
        free = [True] * len(words)
        moment = brew = None
        for length in range(min(len(words), 5), 0, -1):
            for start in range(len(words) - length + 1):
                phrase = " ".join(words[start : start + length])
                if all(free[start : start + length]) and (phrase in self.moments or phrase in self.brews):
                    free[start : start + length] = [False] * length
                    moment = moment or self.moments.get(phrase)
                    brew = brew or self.brews.get(phrase)
        return moment, brew

    def is_topic(self, label: str) -> bool:
        """Whether a label names an attribute ("Acidity /5")."""
        return _holds(label, self.topics)

    def is_head(self, label: str) -> bool:
        """Whether a label belongs in a sheet's head ("Roast", "Lot name"): what follows was not tasted."""
        return any(w in _HEAD for w in words_of(label)) and not self.is_tasted(label)

    def is_tasted(self, label: str) -> bool:
        """Whether what follows a label was tasted ("Hot", "Body", "Overall", "On the palate")."""
        words = words_of(label)
        parts = self.others - _FIELDS
        return any(w in parts or w in self.moments or w in self.topics for w in (" ".join(words), *words))

    def _knows(self, words: str) -> bool:
        return words in self.others or words in self.moments or words in self.topics or words in self.brews


def layout_of(vocabulary: Vocabulary) -> Layout:
    """The layout words of a vocabulary: its patterns for moment, place, brew, nose and mouth, its attributes' names."""
    rules: Any = vocabulary.language.get("rules") or {}
    patterns = list(patterns_of(rules))
    places = {w.lower() for p in patterns if p.kind in ("place", "nose", "mouth") for w in p.words}
    topics = {w.lower() for a in vocabulary.attributes.values() for w in (a.id, a.print, *a.names)}
    return Layout(
        moments=_by_phrase(patterns, "moment"),
        topics=frozenset(topics),
        brews=_by_phrase(patterns, "brew"),
        others=_FIELDS | _TASTED | places,
    )


def words_of(label: str) -> list[str]:
    """The words of a label, lower case, without marks."""
    return [m.group().lower() for m in _WORD.finditer(label)]


def _holds(label: str, phrases: frozenset[str]) -> bool:
    words = words_of(label)
    return any(
        " ".join(words[i:j]) in phrases for i in range(len(words)) for j in range(i + 1, min(i + 5, len(words) + 1))
    )


def _by_phrase(patterns: Iterable[Pattern], kind: str) -> Mapping[str, str]:
    return {word.lower(): p.value for p in patterns if p.kind == kind for word in p.words}
