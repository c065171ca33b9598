"""Spoken talk to judged findings: one recording at a time, heard by the encoder, weighed by the judge."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol, TypeVar

from tastevocab.reading.hand.clues import names_said
from tastevocab.reading.hand.scene import open_scenes
from tastevocab.reading.hand.situation import METHOD, Known, Situation, follow
from tastevocab.reading.hearing.again import Ask
from tastevocab.reading.hearing.encoder import Bearings, Heard
from tastevocab.reading.hearing.windows import (
    ANONYMOUS,
    ATTRIBUTES,
    BREWS,
    COFFEE,
    COFFEES,
    DEGREES,
    FLAVOUR,
    LEVELS,
    MOMENTS,
    PERSON,
    PLACES,
    PLAIN,
    REASONS,
    VOICES,
    Spoken,
    State,
)
from tastevocab.reading.hearing.windows import QUALITY as QUALITY_FLAG
from tastevocab.reading.language.items import Judged, Scene, unresolved
from tastevocab.reading.language.judge import chance, logit, moved_most
from tastevocab.reading.language.mark import Mention
from tastevocab.reading.language.meant import hearing, meant_by
from tastevocab.reading.language.reference import Named, candidates, latest, named_in
from tastevocab.reading.language.sounds import mentions_heard
from tastevocab.reading.language.spans import ASSENT, FOUND, QUALITY, Span, spans_of
from tastevocab.reading.records import Standing, Turn, Unresolved
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.utterance import Utterance

T = TypeVar("T")


class Hears(Protocol):
    """What hears a recording: the encoder, or in fitting what it made of the recording when it had not learnt it."""

    @property
    def bearings(self) -> Bearings:
        """What pointers and links are weighed by."""
        ...

    def hear(self, turns: Sequence[Spoken], known: State) -> list[Heard]:
        """What is made of each turn."""
        ...

    def again(self, turns: Sequence[Spoken]) -> Ask:
        """What hears a stretch of these turns a second time."""
        ...


@dataclass(frozen=True, slots=True)
class Told:
    """One turn as judged: its words, what was judged, what stayed unknown, and what was in hand."""

    turn: Turn
    u: Utterance
    judged: tuple[Judged, ...]
    unknown: tuple[Unresolved, ...]
    scene: Scene


def judge_talk(turns: Sequence[Turn], lexicon: Lexicon, known: Known, hears: Hears) -> Iterator[Told]:
    """Every turn of one recording, judged; what it refers to and what is in hand run on from turn to turn."""
    us = [Utterance(t.text, lexicon) for t in turns]
    named = [mentions_heard(u) for u in us]
    said = spoken(turns, us, named, known)
    heard, ask = hears.hear(said, State(0, 0, 0, len(known.coffees), known.brews[:4])), hears.again(said)
    before: list[Named] = []
    situations = follow(us, heard, [t.speaker for t in turns], known, open_scenes())
    informed = False
    closing = closing_from(us)
    for number, (turn, u, mentions, h) in enumerate(zip(turns, us, named, heard, strict=True)):
        here = named_in(u, h, mentions, turn.speaker)
        scene = _scene(situations[number], known)
        informed = informed or revealed(u)
        scene |= {"closing": number >= closing, "revealed": informed}
        teller = _Teller(u, h, turn, before, here, hears.bearings, scene, informed, number, ask)
        told = teller.told(mentions)
        if situations[number].heads:
            placed = (j._replace(scene=scene | _scene(situations[number].at(j.start), known)) for j in told.judged)
            told = replace(told, judged=tuple(placed))
        yield told
        before = latest([*before, *here])


def revealed(u: Utterance) -> bool:
    """Whether the coffees are told in this turn: as an act done now, not as a plan ("the reveal is later")."""
    planned = {u.sentence[c.start] for c in u.of("planned")}
    return any(u.sentence[c.start] not in planned for c in u.of("reveal"))


def closing_from(us: Sequence[Utterance]) -> int:
    """The turn from which a recording is its closing round, when each sums up in a few words; past the last for none.

    It is called in the second half: before that a table only agrees on it.
    """
    calls = (i for i, u in enumerate(us) if 2 * i >= len(us) and u.of("closing"))
    return next(calls, len(us))


def spoken(
    turns: Sequence[Turn], us: Sequence[Utterance], named: Sequence[Sequence[Mention]], known: Known
) -> list[Spoken]:
    """The turns as the encoder hears them: whose voice, and which words are names of flavours, people, coffees."""
    voices: dict[str, int] = {}
    made = []
    for turn, u, mentions in zip(turns, us, named, strict=True):
        flags = [PLAIN] * len(u.words)
        for m in sorted(mentions, key=lambda m: not m.quality):
            flags[m.start : m.end] = [QUALITY_FLAG if m.quality else FLAVOUR] * (m.end - m.start)
        for i, word in enumerate(u.own):
            if word in known.people:
                flags[i] = PERSON
        for c, names in enumerate(known.names[:COFFEES]):
            for start, end in names_said(u, names):
                flags[start:end] = [COFFEE + c] * (end - start)
        voice = ANONYMOUS if turn.speaker is None else voices.setdefault(turn.speaker, len(voices) % VOICES) + 1
        places = tuple(zip(u.starts, u.ends, strict=True))
        made.append(Spoken(turn.text, places, tuple(flags), voice))
    return made


def _scene(situation: Situation, known: Known) -> Scene:
    brew = BREWS[situation.brew]
    card = (known.cards or {}).get(situation.brew)
    return {
        "coffee": known.coffees[situation.coffee] if known.coffees else None,
        "or_coffee": known.coffees[situation.other] if situation.other >= 0 else None,
        "brew": card or METHOD.get(brew, brew) or None,
        "moment": MOMENTS[situation.moment] or None,
    }


@dataclass(frozen=True, slots=True)
class _Teller:
    """One turn, with all that bears on it: what was named `before` it and what in it, what is in hand (`scene`),
    whether the coffees were told by then (`informed`), and what hears a stretch of it again (`ask`)."""

    u: Utterance
    heard: Heard
    turn: Turn
    before: Sequence[Named]
    here: Sequence[Named]
    bearings: Bearings
    scene: Scene
    informed: bool
    number: int
    ask: Ask

    @property
    def weights(self) -> Mapping[str, Any]:
        found: Mapping[str, Any] = self.u.lexicon.weights["talk"]
        return found

    def told(self, mentions: Sequence[Mention]) -> Told:
        spans = list(self._whole(spans_of(self.u, self.heard)))
        found: list[Judged] = []
        unknown: list[Unresolved] = []
        for span in spans:
            made = self._finding(span)
            if made is not None:
                found.append(made)
            elif span.said > 0.5:
                unknown.extend(self._unknown(span))
        judged = joined(found)
        judged.extend(self._qualities(mentions))
        taken = {i for j in judged for i in range(j.start, j.end)}
        written = (m for m in mentions if not m.quality and m.via != "sound")
        judged.extend(self._aside(m) for m in written if taken.isdisjoint(range(m.start, m.end)))
        return Told(self.turn, self.u, tuple(judged), tuple(unknown), self.scene)

    def _whole(self, spans: Sequence[Span]) -> Iterator[Span]:
        """The stretches without those that only lead to a name, or trail one, over small words ("I get | mandarin")."""
        agrees = self.u.covered("assent.yes", "assent.no", "assent.deny")
        names = [any(n.mention.start < s.end and s.start < n.mention.end for n in self.here) for s in spans]

        def plain(start: int, end: int) -> bool:
            words = range(start, end)
            small = all(self.u.own[w] in self.u.lexicon.small and w not in agrees for w in words)
            return small and self.u.clause[start] == self.u.clause[end - 1]

        for i, span in enumerate(spans):
            leads = i + 1 < len(spans) and names[i + 1] and plain(span.start, spans[i + 1].start)
            trails = i > 0 and names[i - 1] and plain(spans[i - 1].end, span.end)
            if names[i] or not (leads or trails):
                yield span

    def _finding(self, span: Span) -> Judged | None:
        options = candidates(self.u, span, self.heard, self.before, self.here, self.bearings)
        if not options:
            return None
        meant = meant_by(span, options, self.weights, hearing(self.ask, self.number, span, self.u.lexicon))
        best = meant.best
        named = (o for o in options if o.descriptor == best.descriptor and "own" in o.features)
        said = next(named, None)  # whoever names it speaks for themselves, whether or not it was said before
        m, own = (said or best).mention, said is not None
        place = PLACES[head(self.heard, "place", span.start, span.end)]
        return Judged(
            span.start,
            span.end,
            best.descriptor,
            meant.sure,
            present=not span.denied,
            hedged=span.doubted,
            degree=self._degree(span),
            place="finish" if place == "back" else place if place not in ("", "nose") else None,
            standing=self._standing(best.descriptor, span, own),
            echo=not own and self._said_before(best.descriptor),
            via=m.via if own and m else "word" if not own else "heard",
            match=m.match if own and m else 1.0,
            state=m.state if own and m else None,
            parts=m.parts if own and m else (),
            nose=place == "nose",
            signs=moved_most(meant.weights, meant.features),
            scene=self.scene,
        )

    def _degree(self, span: Span) -> str | None:
        """How strong it is said to be: by the encoder, else by an amount word in the stretch or one that ends its
        clause right behind it."""
        heard = DEGREES[head(self.heard, "degree", span.start, span.end)]
        if heard:
            return heard
        for cue in self.u.of("degree.before"):
            if span.start <= cue.start and cue.end < span.end:  # "too plum", not "plum too"
                return cue.value
        for cue in self.u.of("degree.after"):
            behind = cue.start == span.end and cue.end == self.u.clause_range(cue.start)[1]
            if span.start <= cue.start < span.end or behind:
                return cue.value
        return None

    def _standing(self, descriptor: str, span: Span, own: bool) -> Standing:
        """Whose a finding is. Whoever names it speaks for themselves, and a denial is always the speaker's own: nobody
        agrees by tasting nothing."""
        if self.informed:
            return "informed"
        agreed = not own and not span.denied
        return "echo" if agreed and self._said_before(descriptor) else "own"

    def _said_before(self, descriptor: str) -> bool:
        """Whether somebody else named a descriptor in the turns before."""
        speaker = self.turn.speaker
        return any(n.mention.target == descriptor and (not speaker or n.speaker != speaker) for n in self.before)

    def _qualities(self, mentions: Sequence[Mention]) -> Iterator[Judged]:
        """Stretches that say a quality: by the words of the vocabulary in them, else by the encoder alone."""
        for span in spans_of(self.u, self.heard, QUALITY, QUALITY):
            for target, start, end, own in quality_parts(self.heard, span, mentions):
                level, features = quality_features(self.heard, target, span, start, end, own)
                sure = chance(self.weights["quality"], features)
                signs = moved_most(self.weights["quality"], features)
                yield Judged(start, end, target, sure, level=level, signs=signs, scene=self.scene)

    def _aside(self, m: Mention) -> Judged:
        reason = REASONS[head(self.heard, "reason", m.start, m.end)]
        said = float(self.heard.words["main"][m.start : m.end, FOUND : ASSENT + 1].sum(1).mean())
        return Judged(m.start, m.end, m.target, said, reason=reason, via=m.via, match=m.match, scene=self.scene)

    def _unknown(self, span: Span) -> Iterator[Unresolved]:
        u = self.u
        loose = [i for i in range(span.start, span.end) if u.own[i] not in u.lexicon.small]
        loose = [i for i in loose if u.own[i] not in u.lexicon.ordinary]
        if loose and tuple(u.own[loose[0] : loose[-1] + 1]) not in u.lexicon.names.ignored:
            start, end = loose[0], loose[-1] + 1
            phrase = " ".join(u.words[start:end])
            yield unresolved(u, self.turn, start, end, u.lexicon.guesser().nearest(phrase))


def joined(found: Sequence[Judged]) -> list[Judged]:
    """The findings of one turn, what is said again right away ("plum. The dark one, lots of it") made one: over the
    words of both, as sure as the surer."""
    return [_one(run) for run in runs(found, lambda j: (j.start, j.end, (j.target, j.present)))]


def _one(run: Sequence[Judged]) -> Judged:
    surest, *others = sorted(run, key=lambda j: -j.sure)
    degree = next((j.degree for j in (surest, *others) if j.degree), None)
    place = next((j.place for j in (surest, *others) if j.place), None)
    return surest._replace(start=run[0].start, end=run[-1].end, degree=degree, place=place)


def runs(said: Sequence[T], what: Callable[[T], tuple[int, int, object]]) -> list[list[T]]:
    """What is said in one turn, with what says the same again right away beside it. `what` gives of each its words
    [start, end) and what it means."""
    made: list[list[T]] = []
    reached, last = 0, None
    for one in said:
        start, end, means = what(one)
        if made and means == last and start - reached < APART:
            made[-1].append(one)
        else:
            made.append([one])
        reached, last = end, means
    return made


APART = 5  # words between two stretches from which on they are two findings, even of the same
SURE_ATTRIBUTE = 0.5  # from here on the encoder's attribute stands over the one a listed word is filed under


def head(heard: Heard, question: str, start: int, end: int) -> int:
    """The encoder's likeliest answer to a question for words [start, end)."""
    return int(heard.words[question][start:end].mean(0).argmax())


def quality_parts(
    heard: Heard, span: Span, mentions: Sequence[Mention]
) -> Iterator[tuple[str, int, int, list[Mention]]]:
    """The attributes a stretch speaks of, each with its words: those its words name, if it is more than one; else the
    encoder's, where it is sure, or what its words name ("the texture is silky" is no full body)."""
    inside = [m for m in mentions if m.quality and m.start < span.end and span.start < m.end]
    targets = list(dict.fromkeys(m.target for m in inside))
    if len(targets) < 2:
        shares = heard.words["attribute"][span.start : span.end].mean(0)
        likeliest = ATTRIBUTES[int(shares.argmax())]
        target = targets[0] if targets and shares.max() < SURE_ATTRIBUTE else likeliest
        yield target, span.start, span.end, inside
        return
    for target in targets:
        own = [m for m in inside if m.target == target]
        yield target, min(m.start for m in own), max(m.end for m in own), own


def quality_features(
    heard: Heard, target: str, span: Span, start: int, end: int, own: Sequence[Mention]
) -> tuple[str, dict[str, float]]:
    """The likeliest level of an attribute, and what its probability rests on."""
    levels = heard.words["level"][start:end].mean(0)
    known = ATTRIBUTES.index(target) if target in ATTRIBUTES else -1
    attribute = float(heard.words["attribute"][start:end].mean(0)[known]) if known >= 0 else 0.3
    return LEVELS[int(levels.argmax())], {
        "always": 1.0,
        "said": logit(span.classes[QUALITY]),
        "its attribute": logit(attribute),
        "its level": logit(float(levels.max())),
        "a listed word": float(bool(own)),
    }
