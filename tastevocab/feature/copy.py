"""The words for a page: one sentence, and 60 to 90 words of copy built from findings and from nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tastevocab.feature.material import Material
from tastevocab.feature.printing import found_elsewhere
from tastevocab.feature.said import Word, found_text, likeness, line_words, other_words, some_words, start
from tastevocab.feature.setting import additions_kind, how, roast_age
from tastevocab.feature.story import Story
from tastevocab.feature.wording import Wording
from tastevocab.panel.claims import Claim
from tastevocab.reading.review.company import quorum


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence of copy: `kind` names its template, `evidence` the findings it rests on, `keep` how early it is
    kept when there is no room for all (1 first).
    """

    kind: str
    text: str
    evidence: tuple[str, ...]
    keep: int


@dataclass(frozen=True, slots=True)
class Copy:
    """The copy. `short` says that the findings gave fewer words than wanted: nothing was invented to fill up."""

    text: str
    words: int
    short: bool
    sentences: tuple[Sentence, ...]


def one_sentence(material: Material, wording: Wording) -> str:
    """The notes line as one sentence with its people."""
    page = material.page
    words = line_words(page, material.tools.spans)
    values = {"coffee": material.coffee.name, "how": how(page, wording)}
    if words:
        return wording.say("sentence.found", found=found_text(words, wording), **values)
    return wording.say("sentence.none" if page.map.nodes else "sentence.empty", **values)


def write_copy(material: Material, story: Story, wording: Wording) -> Copy:
    """Sentences from the findings until there are 60 to 90 words (as `wording` sets them); fewer where there is no more
    to say."""
    least, most = int(wording.at("words_least")), int(wording.at("words_most"))
    offered = list(_sentences(material, story, wording))
    kept: list[Sentence] = []
    for sentence in sorted(offered, key=lambda s: s.keep):
        if count_words(kept) < least + (most - least) // 2 and count_words([*kept, sentence]) <= most:
            kept.append(sentence)
    ordered = tuple(s for s in offered if s in kept)
    words = count_words(ordered)
    return Copy(" ".join(s.text for s in ordered), words, words < least, ordered)


def count_words(sentences: list[Sentence] | tuple[Sentence, ...]) -> int:
    """Words as a page counts them: what stands between spaces."""
    return sum(len(s.text.split()) for s in sentences)


def _sentences(material: Material, story: Story, wording: Wording) -> Iterator[Sentence]:
    """Every sentence the findings allow, in the order they are read."""
    page, spans = material.page, material.tools.spans
    words = line_words(page, spans)

    def make(kind: str, evidence: tuple[str, ...] = (), **values: object) -> Sentence:
        keep, template = wording.at(f"copy.{kind}")
        return Sentence(kind, start(wording.fill(template, f"copy.{kind}", **values)), evidence, int(keep))

    yield make("opening", (), **_opening(material, wording))
    if words:
        yield make("line", _evidence(words), found=found_text(words, wording))
    else:
        yield make("none")
    if story.text:
        yield make("story", story.evidence, story=story.text)
    vivid = likeness(page) if words else None
    if vivid:
        doubt = wording.say("unsure") if vivid.unsure else ""
        yield make("likeness", vivid.evidence, one=wording.say("one_taster"), words=vivid.words, unsure=doubt)
    others = other_words(page, spans)[:2]
    if others:
        yield make("also", _evidence(others), found=found_text(others, wording))
    some = some_words(page, spans)[:2]
    if some:
        yield make("some", _evidence(some), found=found_text(some, wording))
    yield from _attributes(material, wording, make)
    yield from _brews(material, wording, make)
    yield from _claims(material, wording, make)
    if words and additions_kind(material.coffee) == "none":
        yield make("likenesses")


def _opening(material: Material, wording: Wording) -> dict[str, object]:
    page = material.page
    count, days = len(page.map.tasters), roast_age(page.session, page.coffee)
    return {
        "people": f"{wording.number(count)} {'person' if count == 1 else 'people'}",
        "coffee": material.coffee.name,
        "blind": page.session.blind is True,
        "how": how(page, wording),
        "age": wording.say("base.age", days=days) if days is not None else "",
    }


def _evidence(words: tuple[Word, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(id for word in words for id in word.evidence))


def _attributes(material: Material, wording: Wording, make) -> Iterator[Sentence]:  # type: ignore[no-untyped-def]
    for strip in material.page.attributes:
        if len(strip.marks) >= quorum(strip.of):
            found = wording.say("attribute", name=strip.print, words=strip.words, people=len(strip.marks))
            yield make("attribute", strip.evidence, found=found)


def _brews(material: Material, wording: Wording, make) -> Iterator[Sentence]:  # type: ignore[no-untyped-def]
    for report in material.brews[1:]:
        words = line_words(report, material.tools.spans)[:2]
        if words:
            yield make("brew", _evidence(words), brew=how(report, wording), found=found_text(words, wording))
        elif report.map.nodes:
            yield make("brew_none", brew=how(report, wording))


def _claims(material: Material, wording: Wording, make) -> Iterator[Sentence]:  # type: ignore[no-untyped-def]
    claims = material.page.claims
    nowhere = [c for c in claims if not found_elsewhere(c.descriptor or "", material, wording)]
    missing = [c.claim for c in nowhere if c.state in ("silent", "denied")]
    for claim in claims:
        if claim.state == "met" and claim.people >= quorum(claim.of):
            evidence = _claim_evidence(material, claim)
            people = wording.counted(claim.people, claim.of)
            yield make("met", evidence, words=claim.claim, many=False, people=people)
        elif claim.state == "near":
            id, _, people_near = claim.near[0]
            node = material.page.map.by_id[id]
            counted = wording.counted(people_near, claim.of)
            yield make("near", node.evidence, claim=claim.claim, people=counted, words=wording.in_text(id, node.print))
    if missing:
        yield make("missing", words=wording.listed(missing))


def _claim_evidence(material: Material, claim: Claim) -> tuple[str, ...]:
    node = material.page.map.by_id.get(claim.descriptor or "")
    return node.evidence if node else ()
