"""The notes of one coffee: everything an editor needs, as one record that the pages and the JSON are made from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from tastevocab.feature.brew_card import Card, brew_card
from tastevocab.feature.copy import Copy, one_sentence, write_copy
from tastevocab.feature.heard import HeardClaim, HeardFact, claims_heard, weighed
from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material
from tastevocab.feature.message import Message, fitted
from tastevocab.feature.printing import Barred, ClaimWording, Flag, claim_wordings, flags, not_to_print
from tastevocab.feature.said import Word, line_words, other_words
from tastevocab.feature.setting import additions_kind, additions_line, base_line, how
from tastevocab.feature.story import Difference, Story, brew_differences, cooling_story
from tastevocab.feature.track import Moment, best_moments, caption_sources
from tastevocab.feature.wheel_files import tree_of
from tastevocab.feature.wording import Wording, as_read
from tastevocab.feature.worth import WordWorth, words_worth
from tastevocab.panel.fault_record import fault_json
from tastevocab.panel.faults import CAUTION, banner, open_banner
from tastevocab.panel.flavour_map import depths
from tastevocab.panel.summary import Report
from tastevocab.panel.sums import WEIGHTINGS
from tastevocab.panel.telling import share_text
from tastevocab.reading.records import Turn
from tastevocab.vocabulary.model import CROSSING
from tastevocab.wheel.words import alt_text


@dataclass(frozen=True, slots=True)
class BrewLine:
    """One brew in a line: how it was tasted, its words with their people, and what it shows against the printed one."""

    brew: str
    how: str
    words: tuple[Word, ...]
    text: str
    difference: str


@dataclass(frozen=True, slots=True)
class Found:
    """A row of the printed map as a table: `depth` 0 category, 1 family or broad word, 2 note; `share` 0..1.

    `said` are those who count in the row: of a broad word, whose `people` may lie in several categories, those who said
    that very word.
    """

    descriptor: str
    print: str
    depth: int
    broad: bool
    people: int
    of: int
    denials: int
    share: float
    share_text: str
    said: int


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution, under its heading."""

    group: str
    text: str


@dataclass(frozen=True, slots=True)
class Notes:
    """One coffee's notes. `publish` is False where a fault holds the lot (`banner` says so), where one waits for an
    answer (`banner_open`), or nothing may be printed; `line` are the words for the bag, `also` further words at quorum,
    `worth` what they are worth at the house whose archive is named; `verdict` says whether the panel converged.
    """

    session: str
    date: str
    coffee: str
    name: str
    process: str
    house: str
    publish: bool
    banner: str
    banner_caution: str
    banner_open: str
    line: tuple[Word, ...]
    also: tuple[Word, ...]
    worth: tuple[WordWorth, ...]
    verdict: str
    line_why: str
    line_coverage: float
    line_stability: str
    sentence: str
    copy: Copy
    message: Message
    alt: str
    base: str
    additions: str
    found: tuple[Found, ...]
    brews: tuple[BrewLine, ...]
    differences: tuple[Difference, ...]
    story: Story
    claims: tuple[ClaimWording, ...]
    not_to_print: tuple[Barred, ...]
    flags: tuple[Flag, ...]
    questions: tuple[dict[str, Any], ...]
    faults: tuple[dict[str, Any], ...]
    cards: tuple[Card, ...]
    heard_facts: tuple[HeardFact, ...]
    heard_claims: tuple[HeardClaim, ...]
    moments: tuple[Moment, ...]
    notices: tuple[str, ...]
    beside: dict[str, int]
    cautions: tuple[Caution, ...]
    weighting: str
    vocabulary: dict[str, str]
    footer: str


def notes_of(
    material: Material,
    style: HouseStyle,
    wording: Wording,
    heard: Sequence[HeardFact] = (),
    turns: Sequence[Turn] = (),
) -> Notes:
    """The notes of one coffee. `heard` are the brew facts heard in its captions, `turns` the talk of those captions."""
    page, spans = material.page, material.tools.spans
    vocabulary = material.tools.vocabulary
    story, differences = cooling_story(material, wording), brew_differences(material, wording)
    words, also = line_words(page, spans), other_words(page, spans)
    faults = material.whole.faults
    held = banner(faults, material.coffee.name)
    waiting = open_banner(material.whole.open_faults, material.coffee.name)
    cards = tuple(brew_card(card, style.tolerance) for card in material.session.brews.values())
    used = [(w.descriptor, w.label) for w in (*words, *also)]
    used += [(c.descriptor or "", c.claim) for c in material.page.claims]
    return Notes(
        session=material.session.id,
        date=material.session.date,
        coffee=material.coffee.id,
        name=material.coffee.name,
        process=material.coffee.process,
        house=style.house,
        publish=not held and not waiting and bool(words),
        banner=held,
        banner_caution=CAUTION if held or waiting else "",
        banner_open=waiting,
        line=words,
        also=also,
        worth=words_worth(material, (*words, *also), style, wording),
        verdict=page.ladder.verdict,
        line_why=page.line.why,
        line_coverage=round(page.line.coverage, 6),
        line_stability=_stability(page, material),
        sentence=one_sentence(material, wording),
        copy=write_copy(material, story, wording),
        message=_message(material, words, wording),
        alt=alt_text(tree_of(page, material, style, wording)),
        base=base_line(page, wording),
        additions=additions_line(page, wording),
        found=tuple(_found(page)),
        brews=tuple(_brew_lines(material, differences, wording)),
        differences=differences,
        story=story,
        claims=claim_wordings(material, wording),
        not_to_print=not_to_print(material, wording),
        flags=flags(material, used, style, wording),
        questions=tuple(
            {"word": " ".join(q.word.split()), "tasters": list(q.tasters), "ask": q.ask}
            for q in material.whole.questions
        ),
        faults=tuple(fault_json(fault) for fault in faults),
        cards=cards,
        heard_facts=weighed(heard, {card.brew: card for card in cards}, style.tolerance),
        heard_claims=claims_heard(material),
        moments=best_moments(material, turns),
        notices=page.map.margin.notices,
        beside=dict(page.map.beside),
        cautions=tuple(_cautions(material, wording)),
        weighting=WEIGHTINGS[page.map.weighting],
        vocabulary={"name": vocabulary.name, "version": vocabulary.version, "hash": vocabulary.hash},
        footer=style.footer,
    )


def notes_json(notes: Notes) -> dict[str, Any]:
    """The notes as plain values; the published schema describes them."""
    return {"kind": "tastevocab notes", "version": 1, **asdict(notes)}


def _stability(page: Report, material: Material) -> str:
    unstable = page.line.unstable
    if not page.line.words or unstable is None or len(page.map.tasters) < 2:
        return ""
    if not unstable:
        return "Leaving any one taster out changes no word."
    told = [
        f"without {as_read(t)}: {', '.join(material.label(w) for w in words) or 'no word'}" for t, words in unstable
    ]
    return f"Leaving one taster out changes the line ({'; '.join(told)})."


def _message(material: Material, words: Sequence[Word], wording: Wording) -> Message:
    coffee = material.coffee.name
    if not words:
        return fitted([wording.say("message_none", coffee=coffee)])
    kind = "none" if additions_kind(material.coffee) == "none" else "other"
    values = {
        "coffee": coffee,
        "line": ", ".join(w.print for w in words),
        "base": base_line(material.page, wording),
        "likeness": wording.at("message_likeness")[kind],
    }
    parts = [wording.fill(str(part), "message", **values) for part in wording.at("message")]
    return fitted(parts)


def _brew_lines(material: Material, differences: Sequence[Difference], wording: Wording) -> Iterator[BrewLine]:
    shown = {d.brew: d.sentence for d in differences}
    for report in material.brews:
        words = line_words(report, material.tools.spans)
        text = ", ".join(f"{w.label} ({w.people} of {w.of})" for w in words) or report.ladder.verdict
        brew = report.map.serving.brew or ""
        yield BrewLine(brew, how(report, wording), words, text, shown.get(brew, ""))


def _found(page: Report) -> Iterator[Found]:
    of, deep = len(page.map.tasters), depths(page.map.nodes)
    for node in page.map.nodes:
        if node.wedge > 0:
            yield Found(
                descriptor=node.descriptor,
                print=node.print,
                depth=deep[node.descriptor],
                broad=node.level in CROSSING,
                people=node.people,
                of=of,
                denials=node.denials,
                share=round(node.share, 6),
                share_text=share_text(node.share, of),
                said=node.named if node.level in CROSSING else node.people,
            )


def _cautions(material: Material, wording: Wording) -> Iterator[Caution]:
    page = material.page
    tasters = max(1, len(page.map.tasters))
    vocabulary = material.tools.vocabulary
    pressed = ("espresso", "press", "hand press", "moka", "milk", "immersion", "plunger")
    applies = {
        "always": True,
        "additions": additions_kind(material.coffee) != "none",
        "fault": bool(material.whole.faults),
        "captions": bool(caption_sources(material)),
        "pressure": any(
            b.method.casefold() in pressed or "pressure_bar" in b.facts for b in material.session.brews.values()
        ),
    }
    for group, cautions in wording.cautions.items():
        for caution in cautions:
            if applies.get(str(caution["when"]), True):
                text = wording.fill(
                    str(caution["text"]),
                    "cautions",
                    additions=additions_line(page, wording),
                    tasters=tasters,
                    points=f"{100 / tasters:.0f}",
                    base=base_line(page, wording),
                    weighting=f"Weighting {WEIGHTINGS[page.map.weighting]}",
                    vocabulary=f"{vocabulary.name} {vocabulary.version} ({vocabulary.hash})",
                )
                yield Caution(str(group), text)
