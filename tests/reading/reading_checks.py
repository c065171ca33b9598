"""What a reading says, written short, so that a test can state the whole of it in a line.

`expect(note("maybe a hint of plum, not fig"), "plums weak hedged", "-reach/fig")` compares everything that came out:
a flavour is the last part of its id (`reach/...` in full), `-` before it a denial; an attribute is `acidity=high`; a
word set aside is `reason:flavour`; an unknown word is `?word`. Words after it must hold, `!word` must not; what is not
said of it is not compared.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

import pytest

from tastevocab.reading.read import read_text, read_turns
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Turn, Unresolved
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon


@cache
def lexicon() -> Lexicon:
    """The language that ships, opened once."""
    return open_lexicon()


def note(text: str) -> Reading:
    """The reading of one typed note."""
    return read_text(text, lexicon())


def talk(*lines: str) -> Reading:
    """The reading of talk at the table, a turn a line: "Ana: plum." (a line that begins with a colon names nobody)."""
    turns = []
    for line in lines:
        speaker, _, text = line.partition(":")
        turns.append(Turn(text.strip(), "table.vtt", speaker=speaker or None))
    return read_turns(turns, lexicon())


def bug(reason: str, *values: Any) -> Any:
    """A case that the reader gets wrong today: the test says so as soon as it is mended."""
    return pytest.param(*values, marks=pytest.mark.xfail(strict=True, reason=reason))


def short(id: str | None) -> str:
    """The last part of an id; reach words and the unknown in full."""
    return "" if id is None else id if id.startswith("reach/") else id.rsplit("/", 1)[-1]


Line = tuple[str, frozenset[str]]


def lines_of(reading: Reading) -> list[Line]:
    """Everything in a reading as (head, what holds of it)."""
    made = [_flavour(f) for f in reading.findings]
    made += [_attribute(a) for a in reading.attributes]
    made += [(f"{s.reason}:{short(s.descriptor)}", _where(s.spot)) for s in reading.set_aside]
    made += [(f"?{u.spot.words.lower()}", _where(u.spot)) for u in reading.unresolved]
    return made


def _where(spot: Spot) -> frozenset[str]:
    return frozenset(str(v).replace(" ", "_") for v in (spot.speaker, spot.moment, spot.place, spot.brew) if v)


def _flavour(f: Finding) -> Line:
    said = {f.standing, str(f.degree or "unsaid").replace(" ", "_"), f"via_{f.via}"}
    said |= {word for word in ("hedged", "nose", "echo", "fault", "two_faced") if getattr(f, word)}
    said |= {f.state} if f.state else set()
    said |= {f"+{short(p)}" for p in f.parts}
    return ("" if f.present else "-") + short(f.descriptor), frozenset(said) | _where(f.spot)


def _attribute(a: AttributeFinding) -> Line:
    said = {a.standing} | ({"hedged"} if a.hedged else set()) | (set() if a.present else {"denied"})
    return f"{a.attribute}={a.level}", frozenset(said) | _where(a.spot)


def expect(reading: Reading, *expected: str) -> None:
    """Fail unless the reading holds exactly the expected lines, each with what is said of it."""
    left = lines_of(reading)
    shown = "\n".join(f"  {head}  ({' '.join(sorted(more))})" for head, more in left) or "  nothing"
    for line in expected:
        head, *wanted = _words(line)
        match = next((got for got in left if got[0] == head and _holds(wanted, got[1])), None)
        assert match is not None, f"{line!r} did not come out; what came out:\n{shown}"
        left.remove(match)
    assert not left, f"more than expected: {[head for head, _ in left]}; what came out:\n{shown}"


def _words(line: str) -> list[str]:
    """Heads with blanks ("other coffee:plums", "?quilted moss") are given between bars: "|other coffee:plums| Ana"."""
    if line.startswith("|"):
        head, _, rest = line[1:].partition("|")
        return [head, *rest.split()]
    return line.split()


def _holds(wanted: Iterable[str], got: frozenset[str]) -> bool:
    return all(w[1:] not in got if w.startswith("!") else w in got for w in wanted)


def present(reading: Reading) -> list[str]:
    """The flavours found, short."""
    return [short(f.descriptor) for f in reading.findings if f.present]


def denied(reading: Reading) -> list[str]:
    """The flavours denied, short."""
    return [short(f.descriptor) for f in reading.findings if not f.present]


def levels(reading: Reading) -> dict[str, str]:
    """The level of every attribute found."""
    return {a.attribute: a.level for a in reading.attributes}


def heard_of(reading: Reading) -> list[str]:
    """Everything found, counted or left to a person: flavours short (with `-` where denied), attributes as
    `acidity=high`."""
    items = (*reading.findings, *reading.attributes, *reading.asked)
    return [(_flavour(i) if isinstance(i, Finding) else _attribute(i))[0] for i in items]


def asides(reading: Reading) -> list[str]:
    """The flavours set aside, short."""
    return [short(s.descriptor) for s in reading.set_aside]


def everything(reading: Reading) -> list[Finding | AttributeFinding | SetAside | Unresolved]:
    """All records of a reading."""
    return [*reading.findings, *reading.attributes, *reading.asked, *reading.set_aside, *reading.unresolved]
