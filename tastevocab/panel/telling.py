"""The report as a good colleague would tell it: plain lines of text, faults first, people before percentages."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from tastevocab.panel.attributes import AttributeStrip
from tastevocab.panel.crowd import Apart
from tastevocab.panel.faults import banner, open_banner
from tastevocab.panel.flavour_map import Node, depths
from tastevocab.panel.intervals import share_interval
from tastevocab.panel.line import PANEL_LIMIT
from tastevocab.panel.spans import in_text
from tastevocab.panel.summary import CROWD, Report
from tastevocab.panel.sums import WEIGHTINGS
from tastevocab.reading.review.company import quorum
from tastevocab.vocabulary.model import CROSSING

BAR = 24
LADDER = 12
NAMES = 8


def heading(report: Report) -> str:
    """ "Vale Alto: filter, hot to cool, 5 tasters, blind, 2026-03-02"."""
    serving, session = report.map.serving, report.session
    blind = {True: "blind", False: "not blind", None: None}[session.blind]
    count = len(report.map.tasters)
    parts = (
        (serving.brew or "").replace("_", " "),
        report.map.margin.passes,
        f"bowl {serving.bowl}" if serving.bowl else None,
        f"{count:,} taster{'s' if count != 1 else ''}",
        blind,
        session.date,
    )
    return f"{report.coffee.name}: {', '.join(part for part in parts if part)}"


def share_text(share: float, tasters: int) -> str:
    """A share as a percentage: no decimal unless the panel is a crowd."""
    return f"{100 * share:.1f} %" if tasters >= CROWD else f"{100 * share:.0f} %"


def names(tasters: Sequence[str]) -> str:
    """Who, as far as it can be read: eight names, then how many more."""
    more = f" and {len(tasters) - NAMES:,} more" if len(tasters) > NAMES else ""
    return ", ".join(tasters[:NAMES]) + more


def summary_lines(report: Report) -> list[str]:
    """All that is worth saying of one serving set, in the order it is needed."""
    lines = [heading(report)]
    for part in (_warnings, _faults, _line, _apart, ladder_lines, _found, _contested, _claims, _attributes, _beside):
        said = list(part(report))
        if said:
            lines += ["", *said]
    return lines


def _warnings(report: Report) -> Iterator[str]:
    for pooled in report.map.margin.pooled:
        yield f"POOLED over {pooled}: this is no single cup."
    yield from report.map.margin.notices


def _faults(report: Report) -> Iterator[str]:
    coffee = report.coffee.name
    yield from filter(None, (banner(report.faults, coffee), open_banner(report.open_faults, coffee)))
    if report.faults:
        yield "Faults (never on the wheel)"
    for f in report.faults:
        when = f", first noticed {f.moment}" if f.moment else ""
        who = f"{len(f.tasters)} of {f.of} ({names(f.tasters)})"
        yield f"  {f.print}: {who}, bowls {f.bowls_text}{when}, on the {f.sense}"
        stage = f"may come from the {f.stage}; " if f.stage else ""
        yield f"    {stage}ask first: {f.ask}"
    for q in report.questions[:NAMES]:
        yield f'  "{q.word}" ({names(q.tasters)}) is a flavour or a fault; ask: {q.ask}'
    if len(report.questions) > NAMES:
        yield f"  and {len(report.questions) - NAMES} more words that may be a flavour or a fault"


def _line(report: Report) -> Iterator[str]:
    made, line, of = report.map, report.line, len(report.map.tasters)
    if not line.words:
        yield f"Notes line: none. {report.ladder.verdict}"
        return
    labels = {r.descriptor: r for r in report.ladder.rungs}
    yield f"Notes line: {', '.join(labels[w].print for w in line.words)}"
    yield f"  {line.why}"
    for word in line.words:
        rung = labels[word]
        low, high = share_interval(rung.people, rung.of, least=quorum(rung.of))
        yield f"  {rung.label}: {rung.why}{_when(report, word)}"
        if of < CROWD:
            range_ = f"{100 * low:.0f} to {100 * high:.0f} %"
            yield f"    Of such tasters {range_} would find it (95 % interval, allowing for its choice by quorum)."
    yield f"  It stands for {share_text(line.coverage, of)} of the map; {_bests(report)}."
    yield f"  {_stability(report)}"
    others = [r for r in report.ladder.rungs if r.descriptor not in line.words]
    if others:
        yield f"  Also at quorum: {', '.join(f'{r.label} ({r.people} of {r.of})' for r in others)}"
    yield f"  Weighting {WEIGHTINGS[made.weighting]}."


def _when(report: Report, word: str) -> str:
    when = report.when(word)
    return f" {when.people} of them found it {when.moment}." if when else ""


def _bests(report: Report) -> str:
    of = len(report.map.tasters)
    bests = ", ".join(
        f"{b.size} words {'' if b.exact else 'at least '}{share_text(b.coverage, of)}" for b in report.line.best
    )
    claims = f"; the roaster's claims stand for {share_text(report.claims_coverage, of)}" if report.claims else ""
    return f"the best line of any words would: {bests}{claims}"


def _stability(report: Report) -> str:
    unstable = report.line.unstable
    if unstable is None:
        return f"More than {PANEL_LIMIT} tasters: leaving one out was not tried."
    if len(report.map.tasters) < 2:
        return "One taster: there is nobody to leave out."
    if not unstable:
        return "Leaving any one taster out changes no word."
    prints = report.map.by_id
    told = [
        f"without {taster}: {', '.join(in_text(w, prints[w].print) if w in prints else w for w in words) or 'no word'}"
        for taster, words in unstable
    ]
    return f"Leaving one taster out changes it ({'; '.join(told)})."


def _apart(report: Report) -> Iterator[str]:
    if not report.apart:
        return
    yield "What sets it apart from the other coffees (p adjusted for all words and coffees asked)"
    width = max(len(a.print) for a in report.apart[:LADDER])
    yield from (f"  {a.print:<{width}}  {apart_text(a)}" for a in report.apart[:LADDER])


def apart_text(apart: Apart) -> str:
    """ "24 of 30, elsewhere 9 of 60; +51 to +79 points (95 % interval, taster by taster), p 0.001"."""
    counts = f"{apart.people:,} of {apart.of:,}, elsewhere {apart.people_rest:,} of {apart.of_rest:,}"
    if apart.low is not None and apart.high is not None:
        points = f"{100 * apart.low:+.0f} to {100 * apart.high:+.0f} points (95 % interval, taster by taster)"
        return f"{counts}; {points}, p {apart.p:.2g}"
    return f"{counts}, p {apart.p:.2g}"


def ladder_lines(report: Report) -> Iterator[str]:
    """The rungs with what became of each; a thing bears "any form" where one of its forms goes by the same name."""
    steps = report.ladder.steps
    if not steps:
        return
    of = len(report.map.tasters)
    yield f"Ladder, narrowest first ({quorum(of)} of {of} is the quorum)"
    shown = [s for s in steps if s.chosen or s.people >= quorum(of)]
    best_rest = sorted((s for s in steps if s not in shown), key=lambda s: -s.people)[: max(0, LADDER - len(shown))]
    kept = [s for s in steps if s in shown or s in best_rest]
    twice = Counter(s.print for s in kept)
    shown_as = [f"{s.print}, any form" if s.level == "thing" and twice[s.print] > 1 else s.print for s in kept]
    width = max(map(len, shown_as))
    for s, name in zip(kept, shown_as, strict=True):
        mark = ">" if s.chosen else " "
        yield f"  {mark} {name:<{width}}  {s.people} of {s.of}  span {s.notes:>2}  {s.verdict}"
    if len(kept) < len(steps):
        yield f"    ({len(steps) - len(kept)} further words with two people or more are below quorum)"


def _found(report: Report) -> Iterator[str]:
    nodes = [n for n in report.map.nodes if n.wedge > 0]
    if not nodes:
        return
    of, most = len(report.map.tasters), max(n.wedge for n in nodes)
    if of >= CROWD:
        nodes = sorted(sorted(nodes, key=lambda n: -n.people)[:40], key=lambda n: report.map.nodes.index(n))
    deep = depths(report.map.nodes)
    rows = {n.descriptor: "  " * deep[n.descriptor] + _name(n) for n in nodes}
    width = max(map(len, rows.values()))
    yield "Found"
    for n in nodes:
        bar = "#" * round(BAR * n.wedge / most) or "."
        doubt = f", {share_text(n.hedged_share, of)} in doubt" if n.hedged_share else ""
        no = f", {n.denials} said no" if n.denials else ""
        people = f"{_people(n):>{len(str(of))}} of {of}"
        yield f"  {rows[n.descriptor]:<{width}}  {people}  {bar:<{BAR}}  {share_text(n.share, of)}{doubt}{no}"


def _name(node: Node) -> str:
    return node.print + (", said broadly" if node.level in CROSSING else "")


def _people(node: Node) -> int:
    """Those who count in its row: of a word over several categories those who said it, as for its wedge."""
    return node.named if node.level in CROSSING else node.people


def _contested(report: Report) -> Iterator[str]:
    if not report.map.denied:
        return
    yield "Contested or denied"
    for d in report.map.denied:
        node = report.map.by_id.get(d.descriptor)
        found = f"{node.people} of {len(report.map.tasters)} found it, " if node else "nobody found it, "
        yield f"  {d.print}: {found}{len(d.tasters)} said it is not there ({names(d.tasters)})"


def _claims(report: Report) -> Iterator[str]:
    if not report.claims:
        return
    yield "The roaster's claims"
    for c in report.claims:
        yield f"  {c.state:<7} {c.wording}"


def _attributes(report: Report) -> Iterator[str]:
    if not report.attributes:
        return
    yield "Attributes (middle and range of the marks; high is not better)"
    width = max(len(a.print) for a in report.attributes)
    for a in report.attributes:
        yield f"  {a.print:<{width}}  {a.words}{_range(a)}; {_marks(a)}"


def _range(strip: AttributeStrip) -> str:
    if strip.low == strip.high:
        return ""
    from tastevocab.panel.attributes import step_words

    return f" ({step_words(strip.scale, strip.low)} .. {step_words(strip.scale, strip.high)})"


def _marks(strip: AttributeStrip) -> str:
    if len(strip.marks) > 12:
        counts = [sum(1 for _, s in strip.marks if round(s) == step) for step in range(1, 6)]
        return f"{len(strip.marks)} of {strip.of} marked it: " + ", ".join(
            f"{word} {n}" for word, n in zip(strip.scale, counts, strict=False) if n
        )
    return ", ".join(f"{taster} {step:g}" for taster, step in strip.marks)


def _beside(report: Report) -> Iterator[str]:
    kinds = {
        "echo": "echoed",
        "led": "in answer to a question that named it",
        "informed": "after the reveal",
        "unattributed": "by nobody on the panel",
    }
    told = [f"{count} {kinds[kind]}" for kind, count in report.map.beside.items() if count]
    if told:
        yield f"Findings beside, counted for nobody: {', '.join(told)}"


def markdown(reports: Sequence[Report]) -> str:
    """The reports as Markdown: a section a serving set, tables for what is counted."""
    parts = []
    for report in reports:
        lines = [f"## {heading(report)}", ""]
        lines += [f"> {line}  " for line in (*_warnings(report), *_faults(report))]
        lines += ["", *(line.strip() + "  " for line in _line(report)), ""]
        lines += _table(
            ("descriptor", "level", "people", "denials", "share", "hedged"),
            [
                (
                    _name(n),
                    n.level,
                    f"{_people(n)} of {len(report.map.tasters)}",
                    n.denials,
                    share_text(n.share, len(report.map.tasters)),
                    share_text(n.hedged_share, len(report.map.tasters)),
                )
                for n in report.map.nodes
            ],
        )
        if report.claims:
            lines += [
                "",
                *_table(("claim", "state", "wording"), [(c.claim, c.state, c.wording) for c in report.claims]),
            ]
        if report.attributes:
            marked = [(a.print, a.words + _range(a), _marks(a)) for a in report.attributes]
            lines += ["", *_table(("attribute", "middle and range", "marks"), marked)]
        lines += ["", *_beside(report)]
        parts.append("\n".join(lines).rstrip() + "\n")
    return "\n".join(parts)


def _table(columns: Sequence[str], rows: Sequence[Sequence[object]]) -> list[str]:
    def line(cells: Sequence[object]) -> str:
        return "| " + " | ".join(str(c).replace("|", "\\|").replace("\n", " ") for c in cells) + " |"

    return [line(columns), line(["---"] * len(columns)), *(line(row) for row in rows)]
