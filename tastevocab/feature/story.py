"""What changes from hot to cool, and from brew to brew: told only where the rules allow, never called proved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tastevocab.feature.material import Material
from tastevocab.feature.setting import how
from tastevocab.feature.wording import Wording
from tastevocab.panel.contrast import Change, Contrast, contrast
from tastevocab.panel.summary import Report

COOLING = ("hot", "warm", "cool")


@dataclass(frozen=True, slots=True)
class Story:
    """Hot to cool. `text` is what may be printed ("": nothing), `standing` how far it may be trusted, `evidence` the
    findings behind it."""

    text: str
    standing: str
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """What one brew shows against another: a sentence, and the changes that a majority made."""

    brew: str
    against: str
    sentence: str
    gained: tuple[str, ...]
    lost: tuple[str, ...]


def cooling_story(material: Material, wording: Wording) -> Story:
    """The change from the hottest to the coolest pass of the printed brew, if more than half moved the same way."""
    passes = {r.map.serving.moment: r for r in material.moments if r.map.serving.moment in COOLING and r.map.nodes}
    ordered = [passes[m] for m in COOLING if m in passes]
    if len(ordered) < 2:
        return Story("", wording.say("story.short"), ())
    first, last = ordered[0], ordered[-1]
    labels = (how(first, wording), how(last, wording))
    made = contrast(first.map, last.map, material.tools.spans, labels, shows="the temperature")
    if len(made.tasters) < 2:
        return Story("", wording.say("story.short"), ())
    gained, lost = _biggest(made, 1, material), _biggest(made, -1, material)
    if not gained and not lost:
        return Story("", wording.say("story.kept"), ())
    path = "story.both" if gained and lost else "story.gained" if gained else "story.lost"
    told = [change for change in (lost, gained) if change]
    return Story(
        text=wording.say(
            path,
            gained=wording.in_text(gained.descriptor, gained.print) if gained else "",
            lost=wording.in_text(lost.descriptor, lost.print) if lost else "",
            counted_gained=wording.counted(len(gained.gained), gained.of) if gained else "",
            counted_lost=wording.counted(len(lost.lost), lost.of) if lost else "",
            against_gained=len(gained.lost) if gained else 0,
            against_lost=len(lost.gained) if lost else 0,
        ),
        standing=_standing(told, wording),
        evidence=_evidence(told, first, last),
    )


def _standing(told: Sequence[Change], wording: Wording) -> str:
    tests = [
        wording.say("story.test", label=c.print, gained=len(c.gained), lost=len(c.lost), p=f"{c.p:.3g}") for c in told
    ]
    if all(c.proved for c in told):
        return f"{'; '.join(tests)}."
    return wording.say("story.told", tests="; ".join(tests))


def _biggest(made: Contrast, way: int, material: Material) -> Change | None:
    """The biggest net move that may be told, gains (`way` 1) or losses (-1); the narrower word where two tie."""
    spans = material.tools.spans
    moves = [c for c in made.changes if c.told and way * _net(c) > 0 and spans.parent(c.descriptor)]
    return min(
        moves,
        key=lambda c: (-abs(_net(c)), spans.size(c.descriptor), spans.order[c.descriptor]),
        default=None,
    )


def _net(change: Change) -> int:
    return len(change.gained) - len(change.lost)


def _evidence(told: Sequence[Change], first: Report, last: Report) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for change in told:
        for report in (first, last):
            node = report.map.by_id.get(change.descriptor)
            found.update(dict.fromkeys(node.evidence if node else ()))
    return tuple(found)


def brew_differences(material: Material, wording: Wording) -> tuple[Difference, ...]:
    """Every brew against the printed one: what a majority found in it and not there, and the other way round.

    A brew tasted at one moment only is compared with that moment of the printed one, where there is such: temperature
    must not be taken for brew.
    """
    at = {r.map.serving.moment: r for r in material.moments}
    made = []
    for report in material.brews[1:]:
        only = report.map.margin.moments[0] if len(report.map.margin.moments) == 1 else None
        page = at.get(only, material.page)
        labels = (how(page, wording), how(report, wording))
        found = contrast(page.map, report.map, material.tools.spans, labels)
        told = [c for c in found.changes if c.told]
        made.append(
            Difference(
                brew=report.map.serving.brew or "",
                against=page.map.serving.brew or "",
                sentence=found.sentence,
                gained=tuple(c.print for c in told if len(c.gained) > len(c.lost)),
                lost=tuple(c.print for c in told if len(c.lost) > len(c.gained)),
            )
        )
    return tuple(made)
