"""A comparison as plain lines of text and as rows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tastevocab.errors import InputError
from tastevocab.panel.comparison import Comparison, compare
from tastevocab.panel.contrast import PROOF, Contrast, together
from tastevocab.panel.crowd import Standing
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered
from tastevocab.panel.settling import some
from tastevocab.panel.summary import CROWD, Bench
from tastevocab.panel.telling import apart_text, names, share_text

MOST = 12

COLUMNS = (
    "first",
    "second",
    "descriptor",
    "print",
    "before",
    "after",
    "of",
    "gained",
    "lost",
    "p_adjusted",
    "verdict",
)


def comparison_lines(comparison: Comparison) -> list[str]:
    """What changes from serving to serving, what may be told of it, and what separates many coffees."""
    sizes = ", ".join(
        f"{comparison.name(id)} ({some(len(made.tasters), 'taster')})" for id, made in comparison.maps.items()
    )
    lines = [comparison.title, f"  {sizes}"]
    for id, made in comparison.maps.items():
        lines += [f"  {comparison.name(id)}: POOLED over {pooled}" for pooled in made.margin.pooled]
    crowd = max(len(made.tasters) for made in comparison.maps.values()) >= CROWD
    if comparison.axis != "coffee" or not crowd:
        for pair in comparison.pairs:
            lines += ["", *_pair(pair)]
        lines += ["", f"{together(comparison.pairs[0].test)} Each p above is adjusted for all of them."]
    if comparison.standing:
        for part in (_separations, _apart):
            said = list(part(comparison, comparison.standing))
            if said:
                lines += ["", *said]
    return lines


def contrast_sentences(gathered: Gathered, tools: Bench, serving: Serving) -> list[str]:
    """What changes between the moments and the brews that a map throws together; nothing for a crowd or one of each."""
    if len(gathered.session.panel(serving.coffee, serving.brew)) >= CROWD:
        return []
    axes = [axis for axis, given in (("moment", serving.moment), ("brew", serving.brew)) if given is None]
    told: list[str] = []
    for axis in axes:
        try:
            made = compare(gathered, tools, axis, replace(serving, bowl=None), pool=True)
        except InputError:  # fewer than two of them: nothing to contrast
            continue
        told += [f"  {pair.sentence}" for pair in made.pairs]
    return ["Contrasts (see `tastevocab contrast`)", *told] if told else []


def _pair(pair: Contrast) -> Iterator[str]:
    yield pair.sentence
    shown = [c for c in pair.changes if c.gained or c.lost][:MOST]
    if shown:
        width = max(len(c.print) for c in shown)
        for c in shown:
            plus = f"+{len(c.gained)} ({names(c.gained)})" if c.gained else ""
            minus = f"-{len(c.lost)} ({names(c.lost)})" if c.lost else ""
            told = " ".join(part for part in (plus, minus) if part)
            yield f"  {c.print:<{width}}  {c.before} to {c.after} of {c.of}  {told}  p {c.p:.3g}: {c.verdict}"
    if pair.distance is not None and pair.steps is not None:
        yield (
            f"  The maps are {pair.distance:.2f} apart (0 alike, 1 nothing in common); on average a share moves "
            f"{pair.steps:.1f} steps along the tree (2 to a sibling note, 4 to another family, 6 to another category)."
        )
    yield f"  {pair.proof}"


def _separations(comparison: Comparison, standing: Standing) -> Iterator[str]:
    yield f"Each against all others: {together(standing.test)}"
    shown = [s for s in standing.separations if s.p <= PROOF][: 2 * MOST]
    if not shown:
        yield "No family or broad word separates them."
        return
    yield "Families and broad words that separate them (p adjusted for all that was asked)"
    width = max(len(s.print) for s in shown)
    for s in shown:
        counts = ", ".join(
            f"{comparison.name(id)} {people} of {s.of[id]} ({share_text(people / max(s.of[id], 1), s.of[id])})"
            for id, people in s.people.items()
        )
        yield f"  {s.print:<{width}}  p {s.p:.2g}, {s.tasters} tasters: {s.verdict(comparison.called)}"
        yield f"  {'':<{width}}  {counts}"


def _apart(comparison: Comparison, standing: Standing) -> Iterator[str]:
    for id, apart in standing.apart.items() if comparison.axis == "coffee" else ():
        sure = [a for a in apart if a.proved][:8]
        yield f"What sets {comparison.name(id)} apart from the others" + (":" if sure else ": nothing for sure")
        yield from (f"  {a.print}: {apart_text(a)}" for a in sure)


def comparison_rows(comparison: Comparison) -> list[tuple[object, ...]]:
    """A row a pair and family under `COLUMNS`."""
    return [
        (p.first, p.second, c.descriptor, c.print, c.before, c.after, c.of, len(c.gained), len(c.lost),
         f"{c.p:.6g}", c.verdict)
        for p in comparison.pairs
        for c in p.changes
    ]  # fmt: skip
