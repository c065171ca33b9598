"""How a serving was tasted, in words: the base line, the age of the roast, what was added."""

from __future__ import annotations

from datetime import date

from tastevocab.feature.wording import Wording, as_read
from tastevocab.panel.session import Coffee, Session
from tastevocab.panel.summary import Report
from tastevocab.vocabulary.model import Vocabulary


def roast_age(session: Session, coffee: Coffee) -> int | None:
    """Days from roasting to tasting (None where a date is missing, unreadable, or lies after the tasting)."""
    try:
        days = (date.fromisoformat(session.date) - date.fromisoformat(coffee.roasted)).days
    except ValueError:
        return None
    return days if days >= 0 else None


def how(report: Report, wording: Wording) -> str:
    """The serving in words: "filter, hot to cool", "filter, warm"; what was thrown together is said."""
    serving = report.map.serving
    parts = [
        as_read(serving.brew) if serving.brew else wording.say("base.unknown_brew"),
        _passes(report, wording),
        f"bowl {serving.bowl}" if serving.bowl else None,
        *(wording.say("base.pooled", what=what) for what in report.map.margin.pooled),
    ]
    return ", ".join(str(part) for part in parts if part)


def _passes(report: Report, wording: Wording) -> str:
    """The moments a map is over: the one it is of, or the first and the last."""
    moments = report.map.margin.moments
    if len(moments) < 2:
        return "".join(str(wording.at("moments").get(m, m)) for m in moments)
    first, last = (wording.at("passes").get(m, m) for m in (moments[0], moments[-1]))
    return wording.say("base.passes", first=first, last=last)


def base_line(report: Report, wording: Wording, served: str | None = None) -> str:
    """ "5 tasters, blind, filter, warm, day 9 after roasting"; `served` says otherwise what was tasted how,
    or "" nothing of it."""
    days = roast_age(report.session, report.coffee)
    blind = wording.at("base.blind")[str(report.session.blind).lower()]
    parts = [
        wording.say("base.tasters", tasters=len(report.map.tasters)),
        str(blind),
        how(report, wording) if served is None else served,
        wording.say("base.age", days=days) if days is not None else "",
    ]
    return ", ".join(part for part in parts if part)


def additions_kind(coffee: Coffee) -> str:
    """ "none" where the record says that nothing was added, "some" where it names something, else "unknown"."""
    said = coffee.additions.strip().casefold().rstrip(".")
    if not said:
        return "unknown"
    return "none" if said in ("none", "no", "nothing", "nothing added") else "some"


def additions_line(report: Report, wording: Wording, served: str = "") -> str:
    """The sentence that must stand on every page: a likeness, and whether anything was added."""
    served = served or how(report, wording)
    on = f" on {report.session.date}, {served}" if report.session.date else f", {served}"
    return wording.say(
        f"additions.{additions_kind(report.coffee)}",
        tasters=len(report.map.tasters),
        on=on,
        additions=report.coffee.additions.rstrip("."),
    )


def chart_lines(report: Report, wording: Wording, served: str = "") -> tuple[str, ...]:
    """What must stand below every picture: that words are likenesses, and what was added.

    `served` is for a picture of several servings: what was tasted how, in words, which is then said as well.
    """
    kind = additions_kind(report.coffee)
    values = {"likeness": wording.say(f"likeness.{kind}", additions=report.coffee.additions.rstrip("."))}
    lines = tuple(wording.fill(str(line), "chart", **values) for line in wording.at("chart"))
    return (*lines, wording.say("several", base=base_line(report, wording, served))) if served else lines


def method_lines(report: Report, vocabulary: Vocabulary, wording: Wording) -> tuple[str, ...]:
    """How it was counted: how many people, what was added, weighting, vocabulary. For a page or the back of a print."""
    tasters = max(1, len(report.map.tasters))
    values = {
        "additions": additions_line(report, wording),
        "base": base_line(report, wording),
        "points": f"{100 / tasters:.0f}",
        "weighted": wording.at("weighted")[report.map.weighting],
        "vocabulary": f"{vocabulary.name} {vocabulary.version}",
    }
    return tuple(wording.fill(str(line), "method", **values) for line in wording.at("method"))
