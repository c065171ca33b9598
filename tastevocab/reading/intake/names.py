"""Who speaks: the names that stand before what is said, learnt from a whole file."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tastevocab.reading.intake.layout import Layout, words_of

_NAME = r"[^\W\d_][\w.'’-]*(?:[ \t]+(?:[^\W_][\w.'’-]*)){0,2}"
_ASIDE = r"(?:[ \t]*\([^()\n]{1,40}\))?"
PREFIX = re.compile(rf"(?:(?P<name>{_NAME}){_ASIDE}[ \t]*:(?=\s|$)|\[(?P<boxed>{_NAME}){_ASIDE}\][ \t]*:?(?=\s))\s*")
_PARTICLES = frozenset(
    re.findall(r"\w+", "de da do dos del della di la le van von der den ter bin ibn al el of the y e")
)


@dataclass(frozen=True, slots=True)
class Names:
    """The speakers of a file: `known` maps each spelling, case-folded, to the name as printed."""

    known: Mapping[str, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.known)

    def say(self, label: str) -> str | None:
        """The name a label is, whatever its case; None if it is none."""
        return self.known.get(_fold(label))

    def before(self, text: str, start: int = 0) -> tuple[str, int] | None:
        """The speaker named at `start` of a text ("Ana: plum", "[Ana] plum") and where the words begin."""
        match = PREFIX.match(text, start)
        if not match:
            return None
        name = self.say(match["name"] or match["boxed"])
        return (name, match.end()) if name else None

    def inside(self, label: str) -> list[str]:
        """Every known name in a label, in order ("Kofi's extra note" holds Kofi)."""
        found = [(m.start(), name) for key, name in self.known.items() for m in _whole(key).finditer(label.casefold())]
        return list(dict.fromkeys(name for _, name in sorted(found)))


def candidate(text: str) -> str | None:
    """The name-like run before a colon (or in square brackets) at the start of a text, if there is one."""
    match = PREFIX.match(text)
    name = match and (match["name"] or match["boxed"])
    return name if name and looks_like_name(name) else None


def looks_like_name(text: str) -> bool:
    """One to three words, each capitalised (or a particle such as "de", or a number after the first)."""
    words = text.split()
    if not 1 <= len(words) <= 3 or not words[0][0].isupper():
        return False
    return all(w[0].isupper() or w[0].isdigit() or w.lower() in _PARTICLES for w in words[1:])


def learn(
    starts: Sequence[str], layout: Layout, *, whole: str = "", sure: Iterable[str] = (), lone: bool = True
) -> Names:
    """Find a file's speakers among the beginnings of its lines.

    `starts` are the lines (or cues) with any mark before them taken off, `whole` the text of the file, `sure` names
    that the file declares. A name counts if it recurs, unless the file also uses it as a common word and seldom names
    anybody. With `lone`, a name met once counts too, where most lines carry one or others are known.
    """
    met, printed = _met(starts)
    people = {key: n for key, n in met.items() if not layout.names_part(key)}
    crowded = 2 * sum(people.values()) >= max(len(starts), 1)
    common = {w for w in re.findall(r"[^\W\d_]+", whole) if w.islower()}
    known = {_fold(n): n for n in sure}
    recurring = {k for k, n in people.items() if n > 2 or (n > 1 and (crowded or not common & set(words_of(k))))}
    single = (crowded or recurring or known) if lone else (crowded and not recurring and not known)
    for key in people:
        if key in recurring or (single and not common & set(words_of(key))):
            known.setdefault(key, printed[key])
    return Names(known)


def _met(starts: Sequence[str]) -> tuple[Counter[str], dict[str, str]]:
    """How often each name-like run begins a line, and how it is printed (capitals only where never otherwise)."""
    met: Counter[str] = Counter()
    printed: dict[str, str] = {}
    for text in starts:
        if name := candidate(text):
            key = _fold(name)
            met[key] += 1
            if key not in printed or (printed[key].isupper() and not name.isupper()):
                printed[key] = " ".join(name.split())
    return met, printed


def _fold(name: str) -> str:
    return " ".join(name.split()).casefold()


def _whole(key: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(key)}(?!\w)")
