"""The reading report for people: what each taster found, and as plainly what was set aside, is unsure or not known."""

from __future__ import annotations

import shlex
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from tastevocab.cells import visible
from tastevocab.reading.records import AttributeFinding, Finding, Reading, SetAside, Spot, Unresolved
from tastevocab.reading.report.contract import in_file_order
from tastevocab.reading.report.signs import told_signs
from tastevocab.reading.review.company import voice
from tastevocab.reading.review.question import Desk, Kind, percent, unsure

NAME_WIDTH = 26
QUOTE_WIDTH = 60

# Every mark has a sign and a word, so that none is told by colour alone.
SIGNS: Mapping[str, str] = {
    "+": "found",
    "-": "denied",
    "?": "with doubt",
    "=": "echo of another",
    "<": "led by a question",
    "i": "after the reveal",
    "!": "fault",
}


@dataclass(frozen=True, slots=True)
class Wording:
    """What the report needs besides the reading: the desk (names, two-faced words, attributes), and the file as
    it would be typed in a command. `explain` puts the signs of its judgement after each item. `coffees`
    are the names of coffees that findings have by their id."""

    desk: Desk
    file: str = ""
    options: tuple[str, ...] = ()
    width: int = 100
    settled: frozenset[str] = frozenset()
    explain: bool = False
    coffees: Mapping[str, str] = field(default_factory=dict)


def report_lines(reading: Reading, wording: Wording) -> Iterator[str]:
    """The report, line by line."""
    yield from _wrapped(f"{wording.file}: {summary(reading)}", wording.width, "  ")
    if not (reading.findings or reading.attributes):
        yield ""
        yield from _wrapped(nothing(reading), wording.width, "")
    yield from _by_taster(reading, wording)
    yield from _asked(reading, wording)
    yield from _set_aside(reading, wording)
    yield from _unsure(reading, wording)
    yield from _not_known(reading, wording)


def summary(reading: Reading) -> str:
    """How much was read, in one phrase: people before findings."""
    items: list[Finding | AttributeFinding] = [*reading.findings, *reading.attributes]
    people = {voice(i.spot) for i in items} | reading.speakers.keys()
    denied = sum(not f.present for f in reading.findings)
    borrowed = sum(f.standing in ("echo", "led") for f in reading.findings)
    notes = bool(items) and all(not i.spot.speaker and i.spot.note for i in items)
    who = _count(len(people), "note" if notes else "taster")
    more = [f"{denied} denied"] if denied else []
    more += [f"{borrowed} echoed or led"] if borrowed else []
    inside = f" ({', '.join(more)})" if more else ""
    found = _count(len(reading.findings), "flavour")
    asked = f", {len(reading.asked)} to be asked" if reading.asked else ""
    return f"{who}, {found}{inside}, {_count(len(reading.attributes), 'attribute')}{asked}"


def nothing(reading: Reading) -> str:
    """The sentence for a reading without findings."""
    if reading.asked or reading.set_aside or reading.unresolved:
        return "Nothing was counted. What was there is listed below, with the reason."
    return "Nothing about flavour was found: no word of the vocabulary stands in these notes."


def clock(at: float | None) -> str:
    """Seconds as m:ss, or h:mm:ss from an hour on; "" for None."""
    if at is None:
        return ""
    minutes, seconds = divmod(int(at), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"


def quoted(words: str, width: int = QUOTE_WIDTH) -> str:
    """The exact words on one line in quotation marks, cut where they run on."""
    return f'"{textwrap.shorten(visible(words), width, placeholder=" …")}"'


def sign(f: Finding) -> str:
    """The one sign of a finding: what keeps it from counting as firm comes first."""
    if not f.present:
        return "-"
    if f.standing != "own":
        return {"echo": "=", "led": "<", "informed": "i"}[f.standing]
    return "!" if f.fault else "?" if f.hedged or f.certainty < 1 else "+"


def remarks(f: Finding, coffees: Mapping[str, str]) -> list[str]:
    """All that was said of a finding besides its name, in words; `coffees` are names by id."""
    doubt = {0.5: "leaning", 0.25: "a guess"}.get(f.certainty, "hedged" if f.hedged else "")
    sources = {"sound": "by sound", "heard": "by sound", "spelling": "misspelt"}
    return [
        text
        for text in (
            "denied" if not f.present else "",
            {"echo": "echo", "led": "led", "informed": "after the reveal"}.get(f.standing, ""),
            "fault" if f.fault else "",
            doubt,
            f.degree or "",
            f.state or "",
            "smelled" if f.nose and f.spot.moment not in ("dry", "aroma") else "",
            *where(f.spot, coffees),
            sources.get(f.via, "") if f.match < 1 else "",
        )
        if text
    ]


def where(spot: Spot, coffees: Mapping[str, str]) -> Iterator[str]:
    """Of which coffee, brew, moment, place and bowl, as people read them."""
    coffee, brew = coffees.get(spot.coffee or "", spot.coffee), (spot.brew or "").replace("_", " ")
    for value in (coffee, brew, spot.moment, spot.place, f"bowl {spot.bowl}" if spot.bowl else None):
        if value:
            yield value


# --- by taster ---


def _by_taster(reading: Reading, wording: Wording) -> Iterator[str]:
    groups: dict[str, list[Finding | AttributeFinding]] = {}
    for item in in_file_order(reading):
        if isinstance(item, (Finding, AttributeFinding)) and not item.asked:
            groups.setdefault(voice(item.spot), []).append(item)
    used: set[str] = set()
    for who, items in groups.items():
        yield ""
        named = items[0].spot.speaker or items[0].spot.note
        yield visible(who) if named else "Somebody (the file does not say who)"
        findings = [i for i in items if isinstance(i, Finding)]
        used.update(sign(f) for f in findings)
        yield from _findings(findings, wording)
        attributes = [i for i in items if isinstance(i, AttributeFinding)]
        if attributes:
            told = "; ".join(_attribute(a, wording) + _because(a, wording) for a in attributes)
            yield from _wrapped(f"  attributes: {told}", wording.width, "    ")
    if used:
        yield ""
        legend = ", ".join(f"{s} {word}" for s, word in SIGNS.items() if s in used)
        yield from _wrapped(f"Signs: {legend}. Only + and ? count people.", wording.width, "  ")


def _findings(findings: list[Finding], wording: Wording) -> Iterator[str]:
    cells = [finding_cells(f, wording) for f in findings]
    time_width, _, name_width, *_ = [max(map(len, column)) for column in zip(*cells, strict=True)] or [0, 0, 0]
    for f, (time, mark, name, words, told) in zip(findings, cells, strict=True):
        when = time.rjust(time_width) + " " if time_width else ""
        line = f"  {when}{mark} {name.ljust(min(name_width, NAME_WIDTH))}  {words}  {told}".rstrip()
        line += _because(f, wording)
        yield from _wrapped(line, wording.width, " " * (time_width + 6))


def finding_cells(f: Finding, wording: Wording) -> tuple[str, str, str, str, str]:
    """A finding as the report's columns: time, sign, name, the quoted words, remarks."""
    return clock(f.spot.at), sign(f), _name(f, wording), quoted(f.spot.words), ", ".join(remarks(f, wording.coffees))


def _name(f: Finding, wording: Wording) -> str:
    print_ = wording.desk.lexicon.prints.get(f.descriptor, f.descriptor)
    return print_ if f.present else f"no {print_}"


def _attribute(a: AttributeFinding, wording: Wording) -> str:
    beside = [t for t in (a.standing if a.standing != "own" else "", "hedged" if a.hedged else "") if t]
    told = ", ".join((quoted(a.spot.words, 40), *beside, *where(a.spot, wording.coffees)))
    return f"{wording.desk.attributes.get(a.attribute, a.attribute)} {a.level} ({told})"


def _because(item: Finding | AttributeFinding | SetAside, wording: Wording) -> str:
    """Why it was judged so, where that was asked for."""
    signs = told_signs(item.signs) if wording.explain else ""
    return f" [why: {signs}]" if signs else ""


# --- what was not counted ---


def _asked(reading: Reading, wording: Wording) -> Iterator[str]:
    if not reading.asked:
        return
    yield ""
    yield f"Asked, counted for nobody yet: {len(reading.asked)}"
    for item in reading.asked:
        told = f"{percent(item.sure)} sure{_because(item, wording)}"
        yield from _wrapped(f"  {_said(item.spot)}: {_read_as(item, wording)}, {told}", wording.width, "    ")
    yield from _next("to answer", wording)


def _read_as(item: Finding | AttributeFinding, wording: Wording) -> str:
    if isinstance(item, AttributeFinding):
        return f"{wording.desk.attributes.get(item.attribute, item.attribute)} {item.level}"
    return ", ".join((_name(item, wording), *(r for r in remarks(item, wording.coffees) if r != "denied")))


def _set_aside(reading: Reading, wording: Wording) -> Iterator[str]:
    if not reading.set_aside:
        return
    groups: dict[str, list[SetAside]] = {}
    for s in reading.set_aside:
        groups.setdefault(s.reason, []).append(s)
    yield ""
    yield f"Set aside: {len(reading.set_aside)}"
    for reason in sorted(groups, key=lambda r: (-len(groups[r]), r)):
        words = "; ".join(_said(s.spot) + _because(s, wording) for s in groups[reason])
        yield from _wrapped(f"  {reason} ({len(groups[reason])}): {words}", wording.width, "    ")
    yield from _next("to bring one back", wording, "--set-aside")


def _said(spot: Spot) -> str:
    who = spot.speaker or spot.note
    beside = " ".join(t for t in (who, clock(spot.at)) if t)
    return f"{quoted(spot.words)}{f' ({beside})' if beside else ''}"


def _unsure(reading: Reading, wording: Wording) -> Iterator[str]:
    found = [each for each in unsure(reading, wording.desk) if each[0].id not in wording.settled]
    if not found:
        return
    yield ""
    yield f"Unsure: {len(found)}"
    for f, kind, why in found:
        yield from _wrapped(f"  {_said(f.spot)}: {_doubt(f, kind, why, wording)}", wording.width, "    ")
    yield from _next("to settle them", wording)


def _doubt(f: Finding, kind: Kind, why: str, wording: Wording) -> str:
    read_as = f"read as {wording.desk.lexicon.prints.get(f.descriptor, f.descriptor)}"
    pair = wording.desk.asked_as(f) if kind == "two-faced" else None
    if pair:
        return f"{read_as}; a flavour or a fault? {pair.ask}"
    return f"{read_as}; {why}{f' ({f.match:.2f})' if f.via != 'word' else ''}"


def _not_known(reading: Reading, wording: Wording) -> Iterator[str]:
    if not reading.unresolved:
        return
    yield ""
    yield f"Not known: {len(reading.unresolved)}"
    for u in reading.unresolved:
        yield from _wrapped(f"  {_said(u.spot)}: {_suggested(u, wording)}", wording.width, "    ")
    house = () if "--house" in wording.options else ("--house", "house.yaml")
    yield from _next("to say what they mean, or to add them to the house words", wording, *house)


def _suggested(u: Unresolved, wording: Wording) -> str:
    if not u.suggestions:
        return "nothing in the vocabulary is like it"
    prints = wording.desk.lexicon.prints
    return "perhaps " + ", ".join(f"{prints.get(s.descriptor, s.descriptor)} ({s.match:.2f})" for s in u.suggestions)


def _next(what: str, wording: Wording, *options: str) -> Iterator[str]:
    yield f"  {what}: tastevocab review {shlex.join((wording.file, *wording.options, *options))}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _wrapped(line: str, width: int, indent: str) -> Iterable[str]:
    """The line folded at blanks; its own blanks inside are kept."""
    return textwrap.wrap(
        visible(line), max(width, 30), subsequent_indent=indent, break_on_hyphens=False, drop_whitespace=True
    ) or [""]
