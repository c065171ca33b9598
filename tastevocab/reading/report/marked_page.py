"""The notes themselves as a page, marked finding by finding: what was counted, denied, echoed, set aside or not known.

One HTML file without scripts, loading nothing. Each kind of mark has a colour, a line of its own and a sign, so that it
is told apart in grey and on paper; pointing at a mark (or reaching it with the keyboard) says what it is.
"""

from __future__ import annotations

import base64
import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import resources
from itertools import pairwise
from typing import Any

from tastevocab.cells import visible
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Unresolved
from tastevocab.reading.report.contract import Item, in_file_order
from tastevocab.reading.report.signs import told_signs
from tastevocab.reading.report.told import Wording, clock, nothing, remarks, summary, where
from tastevocab.reading.review.context import Texts
from tastevocab.reading.review.question import percent, reason

# Kind, its sign beside the words, and what the legend says of it; a mark with several items shows the first of them.
KINDS: tuple[tuple[str, str, str], ...] = (
    ("finding", "+", "found: counts this person"),
    ("hedged", "?", "found with doubt: counts for less"),
    ("denial", "−", "denied: said not to be there"),
    ("echo", "=", "echo, led, or after the reveal: shown, not counted"),
    ("fault", "!", "fault: kept off the flavour map"),
    ("asked", "*", "asked: counted for nobody until a person says"),
    ("unknown", "¿", "not known: no word of the vocabulary"),
    ("attribute", "~", "attribute: basic taste, body, finish"),
    ("aside", "×", "set aside: a flavour word that is no finding"),
)
_ORDER = {kind: n for n, (kind, _, _) in enumerate(KINDS)}
SIGN = {kind: sign for kind, sign, _ in KINDS}


@dataclass(frozen=True, slots=True)
class MarkedFile:
    """One file for the page: its name, what was read in it, and its texts by row."""

    name: str
    reading: Reading
    texts: Texts


@dataclass(frozen=True, slots=True)
class Entry:
    """One item as the list shows it: a number on the page, its kind, the words, what they mean and why."""

    number: int
    kind: str
    words: str
    means: str
    facts: str
    who: str
    time: str


@dataclass(frozen=True, slots=True)
class Segment:
    """A run of text under the same marks: `entries` are the items there, `first` those that begin with it."""

    text: str
    entries: tuple[Entry, ...] = ()
    first: tuple[Entry, ...] = ()
    last: bool = False

    @property
    def kind(self) -> str:
        """The kind it is shown as."""
        return min((e.kind for e in self.entries), key=_ORDER.__getitem__)


def draw_page(files: Sequence[MarkedFile], wording: Wording) -> str:
    """The page as HTML; of `wording` the names, and whether each item says why it was judged so."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("tastevocab.reading"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    css = (resources.files("tastevocab.reading") / "templates" / "marked.css").read_text(encoding="utf-8")
    number, views = 0, []
    for file in files:
        views.append(_view(file, number, wording))
        number += len(views[-1]["entries"])
    seen = Counter(e.kind for view in views for e in view["entries"])
    digest = base64.b64encode(hashlib.sha256(css.encode()).digest()).decode()
    return environment.get_template("marked.html.j2").render(
        views=views,
        legend=[(kind, sign, told, seen[kind]) for kind, sign, told in KINDS if seen[kind]],
        signs=SIGN,
        title=", ".join(visible(f.name) for f in files),
        css=css,
        policy=f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'",
    )


def _view(file: MarkedFile, start: int, wording: Wording) -> dict[str, Any]:
    made = entries(file.reading, wording, start)
    by_passage: dict[int, list[tuple[Item, Entry]]] = {}
    for item, entry in zip(in_file_order(file.reading), made, strict=True):
        by_passage.setdefault(file.texts.number(item.spot), []).append((item, entry))
    counted = bool(file.reading.findings or file.reading.attributes)
    rows = [
        (p.note or (f"line {p.line}" if file.texts.table else None), list(segments(p.text, by_passage.get(n, ()))))
        for n, p in enumerate(file.texts.passages)
    ]
    return {
        "name": visible(file.name),
        "summary": summary(file.reading) if counted else nothing(file.reading),
        "rows": rows,
        "entries": made,
    }


def entries(reading: Reading, wording: Wording, start: int = 0) -> list[Entry]:
    """Everything a reading holds as list entries, in file order, numbered from `start` + 1."""
    return [_entry(n, item, wording) for n, item in enumerate(in_file_order(reading), start + 1)]


def segments(text: str, marked: Sequence[tuple[Item, Entry]]) -> Iterator[Segment]:
    """`text` cut wherever an item begins or ends; put together again the pieces are the text."""
    begins: dict[int, list[tuple[int, Entry]]] = {}
    cuts = {0, len(text)}
    for item, entry in marked:
        start, end = _inside(item.spot.span, len(text))
        if start < end:
            begins.setdefault(start, []).append((end, entry))
            cuts |= {start, end}
    here: list[tuple[int, Entry]] = []
    for start, end in pairwise(sorted(cuts)):
        new = begins.get(start, [])
        here = [(until, e) for until, e in here if until > start] + new
        ends = any(until == end for until, _ in here)
        yield Segment(visible(text[start:end]), tuple(e for _, e in here), tuple(e for _, e in new), ends)


def _inside(span: tuple[int, int], length: int) -> tuple[int, int]:
    start = min(max(span[0], 0), length)
    return start, min(max(span[1], start), length)


def kind_of(item: Item) -> str:
    """Which of `KINDS` an item is marked as."""
    if isinstance(item, SetAside):
        return "aside"
    if isinstance(item, Unresolved):
        return "unknown"
    if item.asked:
        return "asked"
    if isinstance(item, AttributeFinding):
        return "attribute"
    if not item.present:
        return "denial"
    if item.standing != "own":
        return "echo"
    return "fault" if item.fault else "hedged" if item.hedged or item.certainty < 1 else "finding"


def _entry(number: int, item: Item, wording: Wording) -> Entry:
    spot = item.spot
    means, facts = _told(item, wording)
    sure = f"{percent(item.sure)} sure" if isinstance(item, (Finding, AttributeFinding)) and item.asked else ""
    signs = told_signs(item.signs) if wording.explain and not isinstance(item, Unresolved) else ""
    why = f"why: {visible(signs)}" if signs else ""
    facts = ", ".join(t for t in (sure, facts, why) if t)
    who = visible(spot.speaker or "")
    return Entry(number, kind_of(item), visible(" ".join(spot.words.split())), means, facts, who, clock(spot.at))


def _told(item: Item, wording: Wording) -> tuple[str, str]:
    """What an item means and what else is to be known of it."""
    desk, attributes = wording.desk, wording.desk.attributes
    prints = desk.lexicon.prints
    if isinstance(item, SetAside):
        return f"set aside: {visible(item.reason)}", ""
    if isinstance(item, Unresolved):
        near = ", ".join(prints.get(s.descriptor, s.descriptor) for s in item.suggestions)
        return "not known", f"perhaps {near}" if near else "nothing in the vocabulary is like it"
    if isinstance(item, AttributeFinding):
        placed = where(item.spot, wording.coffees)
        facts = ", ".join(visible(t) for t in ("hedged" if item.hedged else "", *placed) if t)
        return f"{attributes.get(item.attribute, item.attribute)}: {item.level}", facts
    name = prints.get(item.descriptor, item.descriptor)
    parts = f"made of {' and '.join(prints.get(p, p) for p in item.parts)}" if item.parts else ""
    asked = reason(item, desk)
    pair = desk.asked_as(item) if asked and asked[0] == "two-faced" else None
    doubt = f"a flavour or a fault? {pair.ask}" if pair else ""
    facts = ", ".join(visible(t) for t in (*remarks(item, wording.coffees), parts, doubt) if t)
    return name if item.present else f"no {name}", facts
