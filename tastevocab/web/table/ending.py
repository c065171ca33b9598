"""What is made of a table once a round is shown, and at its end: counts for the wall, files, decisions, the pack."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tastevocab.errors import InputError, TastevocabError
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import Gathered, gather, read_source
from tastevocab.panel.session import Session, read_session
from tastevocab.panel.summary import Bench, Report, bench, report_of
from tastevocab.reading.records import Reading
from tastevocab.reading.report.contract import Item
from tastevocab.reading.review.context import keyed, texts_of
from tastevocab.reading.review.decisions import Decision, Verb, beside, decided, save
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.model import Vocabulary
from tastevocab.web.table import files as tables
from tastevocab.web.table import state as st
from tastevocab.web.table.setting import Setting
from tastevocab.web.table.state import Mark, State
from tastevocab.written import make_folder, write_whole

SHOWN = 12
"""So many words of a coffee at most are shown on the wall and on phones."""
VERBS: Mapping[str, Verb] = {"keep": "accept", "wrong": "reject", "change": "change"}
Result = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Tools:
    """What counting needs: the vocabulary, its language, and both made ready."""

    vocabulary: Vocabulary
    lexicon: Lexicon
    bench: Bench


def open_tools(vocab: Path | None = None, house: Path | None = None, *tongues: str) -> Tools:
    """The tools of a vocabulary (the one that ships if None) with a house file over it, for a table of `tongues`."""
    from tastevocab.reading.words.lexicon import open_lexicon
    from tastevocab.vocabulary.cache import open_vocabulary

    vocabulary, lexicon = open_vocabulary(vocab, house), open_lexicon(vocab, house, *tongues)
    return Tools(vocabulary, lexicon, bench(vocabulary, lexicon.names))


def write_session(folder: Path, session: Session, setting: Setting, state: State, tools: Tools) -> list[Path]:
    """Write the table as a session into `folder`, with the decisions of its tasters beside the notes.

    Raises `InputError` where nobody tasted anything, and as `write_whole` does.
    """
    files = tables.session_files(session, setting, state)
    if not files:
        raise InputError("nobody wrote or closed anything: there is no session to write", mend="taste, then end")
    make_folder(folder)
    for name in (tables.LATE, str(beside(Path(tables.LATE))), str(beside(Path(tables.NOTES)))):
        (folder / name).unlink(missing_ok=True)
    written = []
    for name, data in files.items():
        write_whole(folder / name, data)
        written.append(folder / name)
    written += write_decisions(folder, setting, state, tools)
    return written


def write_decisions(folder: Path, setting: Setting, state: State, tools: Tools) -> list[Path]:
    """Write what tasters said of the reading of their notes as the decisions file of each table of notes."""
    said = {
        (tables.note_id(seat.id, mark.note), mark.start, mark.end, mark.was): mark
        for seat in setting.seats
        for mark in st.marks_of(state, seat.id)
    }
    written: list[Path] = []
    session = read_session(folder / tables.SESSION)
    for source in session.sources:
        path = folder / source.source
        reading = read_source(session, source, tools.lexicon)
        made = list(_decisions(reading, path, said, tools.vocabulary))
        if made:
            save(beside(path), made, source.source)
            written.append(beside(path))
    return written


def _decisions(
    reading: Reading, path: Path, said: Mapping[tuple[str, int, int, str], Mark], vocabulary: Vocabulary
) -> Iterator[Decision]:
    texts = texts_of(path)
    items: list[Item] = [*reading.findings, *reading.attributes, *reading.asked]
    items += [*reading.set_aside, *reading.unresolved]
    for key, item in keyed(items, texts):
        start, end = item.spot.span
        blank = 1 if texts.at(item.spot).startswith(" ") else 0  # put there by `unrun`
        mark = said.get((item.spot.note or "", start - blank, end - blank, key.was or ""))
        if mark is None or mark.words != item.spot.words:
            continue
        target = vocabulary.descriptors.get(mark.descriptor)
        if mark.verdict == "change" and target is None:
            continue
        id = mark.descriptor if mark.verdict == "change" else None
        yield decided(key, VERBS[mark.verdict], id, fault=bool(target and target.fault))


# --- counts for the wall ---


def results_of(session: Session, setting: Setting, state: State, tools: Tools) -> dict[str, dict[str, Any]]:
    """For every round that was shown, what the table found of each thing poured, as {brew: {pour: ...}} twice:

    under `counts` a result with `of` (tasters), `line` and `words` (print, people), `verdict` and `hold` (faults that
    hold the lot); under `wheels`, from the reveal on (a wheel bears the coffee's name), its wheel as SVG.
    """
    counts: dict[str, dict[str, Result]] = {}
    wheels: dict[str, dict[str, str]] = {}
    told = [brew for brew in setting.brews if state.told_at(brew) is not None]
    gathered = gathered_of(session, setting, state, tools) if told else None
    for brew in told:
        if gathered is None or (brew and brew not in gathered.session.brews):  # nobody had any of it
            continue
        reports = {
            pour.id: _report(gathered, pour.id, brew, tools)
            for pour in setting.pours
            if pour.id in gathered.session.coffees and gathered.session.panel(pour.id, brew)
        }
        counts[brew] = {pour: _result(report) for pour, report in reports.items()}
        if state.revealed is not None:
            wheels[brew] = {pour: _wheel(report, tools) for pour, report in reports.items() if report.map.nodes}
    return {"counts": counts, "wheels": wheels}


def _wheel(report: Report, tools: Tools) -> str:
    from tastevocab.panel.weighted_tree import wheel_tree
    from tastevocab.wheel.card import draw_card
    from tastevocab.wheel.svg import svg_text

    return svg_text(draw_card(wheel_tree(report, tools.bench), "square"))


def gathered_of(session: Session, setting: Setting, state: State, tools: Tools) -> Gathered | None:
    """The table's findings as `panel` would have them, from the same files; None where there are none."""
    with tempfile.TemporaryDirectory(prefix="tastevocab-") as name:
        try:
            write_session(Path(name), session, setting, state, tools)
            return gather(read_session(Path(name) / tables.SESSION), tools.lexicon)
        except InputError:
            if not tables.sitting(setting, state):
                return None
            raise


def _report(gathered: Gathered, coffee: str, brew: str, tools: Tools) -> Report:
    own = replace(gathered, findings=tuple(f for f in gathered.findings if f.spot.coffee == coffee))
    return report_of(own, Serving(coffee, brew or None), tools.bench, pool=True)


def _result(report: Report) -> Result:
    rungs = {rung.descriptor: rung for rung in report.ladder.rungs}
    line = [rungs[id] for id in report.line.words if id in rungs]
    named = [n for n in report.map.nodes if n.named]
    ranked = sorted(named, key=lambda n: (-n.people, -n.weight, n.descriptor))[:SHOWN]
    return {
        "of": len(report.map.tasters),
        "line": [{"print": rung.print, "people": rung.people} for rung in line],
        "words": [{"print": n.print, "people": n.people} for n in ranked],
        "verdict": report.ladder.verdict,
        "hold": [f"{f.print}, {len(f.tasters)} of {f.of}, bowls {f.bowls_text}" for f in report.faults if f.hold],
    }


# --- the pack ---


def make_pack(folder: Path, tools: Tools, style: Path | None = None) -> list[str]:
    """Make the feature pack of every coffee of the session written into `folder`, in the house style of a file (None:
    the one that ships); gives its folders, or why not."""
    from tastevocab.feature.house_style import HouseStyle, read_style
    from tastevocab.feature.material import Wishes
    from tastevocab.feature.pack import make_packs, write_packs
    from tastevocab.feature.wording import Wording

    gathered = gather(read_session(folder / tables.SESSION), tools.lexicon)
    described = {f.spot.coffee for f in gathered.findings} | {a.spot.coffee for a in gathered.attributes}
    wishes = Wishes(tuple(c for c in gathered.session.coffees if c in described))
    if not wishes.coffees:
        return []
    look = read_style(style) if style else HouseStyle()
    try:
        packs = make_packs(gathered, tools.bench, look, Wording(None), wishes)
        write_packs(folder / "pack", packs)
    except TastevocabError as problem:
        return [f"no pack: {problem.what}"]
    return [f"pack/{pack.folder}" for pack in packs]
