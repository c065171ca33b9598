"""What the page shows, as plain values: the texts once, and after every action the marks, lanes, questions and map."""

from __future__ import annotations

from typing import Any

from tastevocab.cells import visible
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.summary import Report
from tastevocab.reading.hearing.windows import DEGREES, LEVELS
from tastevocab.reading.records import MOMENTS
from tastevocab.reading.review.details import PLACES
from tastevocab.reading.review.question import Ask
from tastevocab.web.desk.drawn import drawn_wheel
from tastevocab.web.desk.live import live_map
from tastevocab.web.desk.marks import mark_row, times_of
from tastevocab.web.desk.sitting import Page, Sitting, Text, View
from tastevocab.web.desk.timeline import LANES, lane


def opening(sitting: Sitting) -> dict[str, Any]:
    """What does not change while the session lies on the desk: its texts, and what may be chosen."""
    session = sitting.session
    return {
        "session": visible(session.id),
        "generation": sitting.generation,
        "tasters": list(session.tasters),
        "coffees": [{"id": c.id, "name": visible(c.name or c.id)} for c in session.coffees.values()],
        "brews": list(session.brews) or sorted({p.brew for t in sitting.texts for p in t.said.pieces if p.brew}),
        "moments": list(MOMENTS),
        "places": [p for p in PLACES if p],
        "degrees": [d for d in DEGREES if d],
        "levels": list(LEVELS),
        "house": sitting.house is not None,
        "audio": sitting.recording() is not None,
        "texts": [_text(text) for text in sitting.texts],
    }


def _text(text: Text) -> dict[str, Any]:
    source = text.part.source
    times = list(times_of(text.said))
    return {
        "name": visible(text.name),
        "file": source.source or None,
        "about": [v for v in (source.coffee, source.brew, source.moment) if v],
        "text": text.said.text,
        "times": times,
        "rows": text.part.notes.texts.table or bool(source.text),
    }


def state(sitting: Sitting, coffee: str = "", brew: str = "") -> dict[str, Any]:
    """Everything as it is now, with the map of one coffee (the session's first if "") and brew ("": all of it)."""
    view = sitting.view()
    prints = sitting.lexicon.prints
    attributes = sitting.search.attributes
    return {
        "revision": view.revision,
        "generation": sitting.generation,
        "pages": [_page(page, prints, attributes) for page in view.pages],
        "asks": [_ask(ask, mark) for ask, mark in view.asks],
        "map": live_map(view.gathered, _report(sitting, view, coffee, brew), view.found_in),
        "past": sitting.kept.can_undo,
        "future": bool(sitting.kept.future),
        "decided": sum(len(entries) for entries in view.files.values()),
        "homeless": len(view.gathered.unattributed),
    }


def _page(page: Page, prints: Any, attributes: Any) -> dict[str, Any]:
    return {
        "lines": [[li.start, li.end, li.speaker, li.at, li.note] for li in page.lines],
        "marks": [mark_row(m, prints, attributes) for m in page.marks],
        "lanes": {name: [[r.start, r.end, r.value, r.at] for r in lane(page.said, name)] for name in LANES},
    }


def _ask(ask: Ask, mark: str) -> dict[str, Any]:
    return {
        "mark": mark,
        "kind": ask.kind,
        "why": ask.why,
        "question": ask.question,
        "candidates": [
            {
                "descriptor": c.descriptor,
                "print": c.print,
                "present": c.present,
                "effect": str(c.effect),
                "fault": c.fault,
                "coffee": c.coffee,
            }
            for c in ask.candidates
        ],
    }


def wheel(sitting: Sitting, coffee: str = "", brew: str = "") -> dict[str, Any]:
    """The drawn wheel of what `state` shows beside the text (see `drawn_wheel`)."""
    view = sitting.view()
    return drawn_wheel(_report(sitting, view, coffee, brew), sitting.tools, view.found_in)


def _report(sitting: Sitting, view: View, coffee: str, brew: str) -> Report:
    chosen = coffee if coffee in sitting.session.coffees else next(iter(sitting.session.coffees))
    heard = {f.spot.brew for f in view.gathered.findings if f.spot.coffee == chosen}
    return view.report(Serving(chosen, brew if brew in heard else None))
