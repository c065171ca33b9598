"""Faults on their own path: never on the wheel, counted by bowl, with the first question to ask and the hold."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tastevocab.reading.records import MOMENTS, Finding
from tastevocab.vocabulary.model import Vocabulary

HOLD = "HOLD AND RE-TASTE"
OPEN = "FAULT NOT YET DECIDED"

CAUTION = (
    "Suspected mould, chemical, fuel or detergent: stop, do not swallow, hold the lot, isolate the kit, tell the "
    "person responsible. A tongue cannot tell whether food is safe."
)
NO_VERDICT = "Facts about these bowls on this day: no verdict on farm or roaster, no statement on safety."


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault as the panel met it.

    `tasters` own findings only (`denied` said it is not there), `words` as spoken, `bowls` the bowls named out of
    `poured` (0: unsaid), `moment` the first at which it was noticed, `sense` nose, mouth or both, `strength` the
    strongest stated 0..100 (None: unsaid), `certainty` the surest 0.25..1. `stage` is where it may come from, `ask` the
    first question, `hold` whether one taster is enough to hold the lot.
    """

    descriptor: str
    print: str
    family: str
    hold: bool
    tasters: tuple[str, ...]
    of: int
    denied: tuple[str, ...]
    words: tuple[str, ...]
    bowls: tuple[str, ...]
    poured: int
    moment: str | None
    sense: str
    degree: str | None
    strength: float | None
    certainty: float
    brews: tuple[str, ...]
    stage: str
    ask: str
    beside: int
    evidence: tuple[str, ...]

    @property
    def bowls_text(self) -> str:
        """ "1 of 5 (bowl 3)", as far as it was said."""
        if not self.bowls:
            return "not said"
        of = f"{len(self.bowls)} of {self.poured} " if self.poured else ""
        return f"{of}(bowl{'s' if len(self.bowls) > 1 else ''} {', '.join(self.bowls)})".strip()


@dataclass(frozen=True, slots=True)
class OpenFault:
    """A fault that would hold the lot, named by `tasters` (empty: by nobody known), which no person has decided."""

    descriptor: str
    print: str
    tasters: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """A two-faced word somebody used: `word` as spoken, who, and what to ask them."""

    word: str
    tasters: tuple[str, ...]
    ask: str
    evidence: tuple[str, ...]


def faults_found(
    findings: Iterable[Finding], tasters: Sequence[str], vocabulary: Vocabulary, *, poured: int = 0
) -> tuple[Fault, ...]:
    """Every fault with an own finding, those that hold the lot first, then by how many tasted it."""
    panel = set(tasters)
    grouped: dict[str, list[Finding]] = {}
    for f in findings:
        if f.fault and f.descriptor in vocabulary.descriptors and f.spot.speaker in panel:
            grouped.setdefault(f.descriptor, []).append(f)
    made = [_fault(id, group, len(panel), vocabulary, poured) for id, group in grouped.items()]
    kept = (fault for fault in made if fault is not None)
    return tuple(sorted(kept, key=lambda fault: (not fault.hold, -len(fault.tasters), fault.descriptor)))


def must_hold(faults: Iterable[Fault]) -> bool:
    """Whether any fault asks to hold the lot and taste it again, fresh."""
    return any(fault.hold for fault in faults)


def banner(faults: Sequence[Fault], coffee: str) -> str:
    """The line to print above everything else ("" where nothing holds the lot)."""
    holding = [f for f in faults if f.hold]
    if not holding:
        return ""
    what = "; ".join(f"{f.print}, {len(f.tasters)} of {f.of} tasters, bowls {f.bowls_text}" for f in holding)
    return f"{HOLD}: {coffee}: {what}"


def open_faults(unsettled: Iterable[Finding], faults: Iterable[Fault], vocabulary: Vocabulary) -> tuple[OpenFault, ...]:
    """Faults that would hold the lot and that are in no record yet: of findings that count for nobody, since they are
    asked or nobody on the panel said them. Not tasting again is the worse error, so they are said before the line."""
    settled = {fault.descriptor for fault in faults}
    heard: dict[str, set[str]] = {}
    for f in unsettled:
        known = vocabulary.descriptors.get(f.descriptor)
        if f.fault and f.present and known and f.descriptor not in settled and _holds(f.descriptor, vocabulary):
            heard.setdefault(f.descriptor, set()).update(filter(None, (f.spot.speaker,)))
    return tuple(OpenFault(id, vocabulary.descriptors[id].print, tuple(sorted(who))) for id, who in heard.items())


def open_banner(faults: Sequence[OpenFault], coffee: str) -> str:
    """The line to print above everything where a fault waits for an answer ("" where none does)."""
    if not faults:
        return ""
    said = "; ".join(f"{f.print}, heard of {_heard_of(len(f.tasters))}" for f in faults)
    return f"{OPEN}: {coffee}: {said}. Answer in review before anything is printed."


def _heard_of(people: int) -> str:
    return f"{people} taster{'s' if people > 1 else ''}" if people else "somebody without a name"


def questions(findings: Iterable[Finding], tasters: Sequence[str], vocabulary: Vocabulary) -> tuple[Question, ...]:
    """Two-faced words spoken, with what to ask: only the taster knows whether a flavour or a fault was meant."""
    panel = set(tasters)
    grouped: dict[str, list[Finding]] = {}
    for f in findings:
        if f.two_faced and f.present and f.standing == "own" and f.spot.speaker in panel:
            grouped.setdefault(f.descriptor, []).append(f)
    return tuple(
        Question(
            word=group[0].spot.words,
            tasters=tuple(sorted({f.spot.speaker or "" for f in group})),
            ask=_ask(id, group, vocabulary),
            evidence=tuple(sorted(f.id for f in group)),
        )
        for id, group in grouped.items()
    )


def _ask(id: str, group: Sequence[Finding], vocabulary: Vocabulary) -> str:
    spoken = " ".join(f.spot.words.casefold() for f in group)
    asked = [t for t in vocabulary.two_faced.values() if id in (t.flavour, t.fault)]
    by_word = [t for t in vocabulary.two_faced.values() if t.word.casefold() in spoken]
    best = next(iter(by_word or asked), None)
    return best.ask if best else "a flavour, or something wrong with the cup?"


def _fault(id: str, group: Sequence[Finding], of: int, vocabulary: Vocabulary, poured: int) -> Fault | None:
    back = taken_back(group)
    own = [f for f in group if f.present and f.standing == "own" and f.spot.speaker not in back]
    if not own:
        return None
    d = vocabulary.descriptors[id]
    family = vocabulary.descriptors.get(d.home or "")
    moments = [m for m in MOMENTS if any(f.spot.moment == m for f in own)]
    stated = [f for f in own if f.strength is not None]
    strongest = max(stated, key=lambda f: f.strength or 0, default=None)
    return Fault(
        descriptor=id,
        print=d.print,
        family=family.print if family else "",
        hold=_holds(id, vocabulary),
        tasters=tuple(sorted({f.spot.speaker or "" for f in own})),
        of=of,
        denied=tuple(sorted({f.spot.speaker or "" for f in group if not f.present and f.standing == "own"})),
        words=tuple(dict.fromkeys(f.spot.words for f in own)),
        bowls=tuple(sorted({f.spot.bowl for f in own if f.spot.bowl}, key=_bowl_order)),
        poured=poured,
        moment=moments[0] if moments else None,
        sense=_sense(own),
        degree=strongest.degree if strongest else None,
        strength=strongest.strength if strongest else None,
        certainty=max(f.certainty for f in own),
        brews=tuple(sorted({f.spot.brew for f in own if f.spot.brew})),
        stage=d.stage or (family.stage if family else ""),
        ask=d.ask
        or (family.ask if family else "")
        or "is it in the other bowls, and with fresh water and a clean grinder?",
        beside=sum(f.present and f.standing != "own" for f in group),
        evidence=tuple(sorted(f.id for f in own)),
    )


def _holds(id: str, vocabulary: Vocabulary) -> bool:
    d = vocabulary.descriptors[id]
    family = vocabulary.descriptors.get(d.home or "")
    return d.hold or bool(family and family.hold)


def taken_back(group: Iterable[Finding]) -> frozenset[str]:
    """Who named a fault and later said that it is not there: of findings of one fault."""
    last: dict[str, Finding] = {}
    named: set[str] = set()
    for f in sorted(group, key=lambda f: (f.spot.source, f.spot.at or 0.0, f.spot.line, f.spot.span)):
        if f.standing == "own":
            last[f.spot.speaker or ""] = f
            named |= {f.spot.speaker or ""} if f.present else set()
    return frozenset(who for who, f in last.items() if not f.present and who in named)


def _sense(own: Sequence[Finding]) -> str:
    nose = any(f.nose or f.spot.moment in ("dry", "aroma") for f in own)
    mouth = any(not f.nose and f.spot.moment not in ("dry", "aroma") for f in own)
    return "nose and mouth" if nose and mouth else "nose" if nose else "mouth"


def _bowl_order(bowl: str) -> tuple[int, str]:
    return (int(bowl), "") if bowl.isdigit() else (10**6, bowl)
