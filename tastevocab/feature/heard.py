"""Brew facts and claims heard in the talk, offered for card and claim list; nothing is taken without consent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from tastevocab.feature.brew_card import NAMES, Card, ratio_of
from tastevocab.feature.material import Material
from tastevocab.reading.intake.spoken_number import Number, Token, number_at, tokens
from tastevocab.reading.records import Turn
from tastevocab.vocabulary.folder import default_folder
from tastevocab.vocabulary.sources import parse_yaml, read_yaml


@dataclass(frozen=True, slots=True)
class HeardFact:
    """A brew fact somebody said: `key` as on a brew card, `value` in its unit, the exact words, who and when (seconds).

    `brew` is the brew last announced ("" before any); `verdict` what the card says of it, `contradicts` whether that
    differs.
    """

    brew: str
    key: str
    name: str
    value: float
    words: str
    speaker: str
    source: str
    at: float | None
    verdict: str = ""
    contradicts: bool = False


@dataclass(frozen=True, slots=True)
class HeardClaim:
    """A claim read out: the exact words, who and when, and whether the claim list has it."""

    claim: str
    words: str
    speaker: str
    source: str
    at: float | None
    listed: bool


@lru_cache(maxsize=1)
def _speech() -> Mapping[str, Any]:
    text = (resources.files("tastevocab.feature") / "heard_facts.yaml").read_text("utf-8")
    made: Mapping[str, Any] = parse_yaml(text, "heard_facts.yaml")
    return {**made, "numbers": read_yaml(default_folder() / "numbers.yaml")}


def facts_heard(turns: Iterable[Turn], brews: Mapping[str, str], first: str = "") -> tuple[HeardFact, ...]:
    """Every brew fact in the talk, in its order. `brews` maps the names a brew is announced by to its id; `first`
    is the brew that talk before any announcement is about.
    """
    speech = _speech()
    announced = {tuple(t.text for t in tokens(name)): id for name, id in brews.items()}
    longest = max(map(len, announced), default=0)
    found = []
    brew = first
    for turn in turns:
        words = tokens(turn.text)
        at = 0
        while at < len(words):
            names = (tuple(t.text for t in words[at : at + n]) for n in range(longest, 0, -1))
            brew = next((announced[name] for name in names if name in announced), brew)
            number = number_at(words, at, speech["numbers"])
            fact = _fact(words, at, number, brew, speech)
            if fact:
                found.append(_heard(turn, words, at, fact, brew))
            at = fact.end if fact else number.end if number else at + 1
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Fact:
    """A fact and the token after it."""

    key: str
    value: float
    end: int


def _heard(turn: Turn, words: Sequence[Token], at: int, fact: _Fact, brew: str) -> HeardFact:
    start = words[at].start
    return HeardFact(
        brew=brew,
        key=fact.key,
        name="Ratio" if fact.key == "ratio" else NAMES[fact.key][0],
        value=fact.value,
        words=" ".join(turn.text[start : words[fact.end - 1].end].split()),
        speaker=turn.speaker or "",
        source=turn.source,
        at=turn.time_at(start),
    )


def _fact(words: Sequence[Token], at: int, number: Number | None, brew: str, speech: Mapping[str, Any]) -> _Fact | None:
    if number is None:
        return None
    return (
        _ratio(words, at, speech)
        or _temperature(words, number, speech)
        or _time(words, at, number, speech)
        or _pressure(words, number, speech)
        or _mass(words, number, brew, speech)
    )


def _ratio(words: Sequence[Token], at: int, speech: Mapping[str, Any]) -> _Fact | None:
    named = any(w.text == "ratio" for w in words[max(0, at - 4) : at + 6])
    first = words[at].text
    if ":" in first and first[0] == "1" and named:
        return _Fact("ratio", float(first.split(":")[1]), at + 1)
    if first in ("one", "1") and at + 1 < len(words) and words[at + 1].text == "to":
        second = number_at(words, at + 2, speech["numbers"]) if at + 2 < len(words) else None
        if second and (named or second.value >= 1.5):
            return _Fact("ratio", second.value, second.end)
    return None


def _unit(words: Sequence[Token], at: int, names: Sequence[str]) -> bool:
    return at < len(words) and words[at].text in names


def _temperature(words: Sequence[Token], number: Number, speech: Mapping[str, Any]) -> _Fact | None:
    units = speech["units"]
    end = number.end
    if not _unit(words, end, units["degrees"]):
        return None
    hot = words[end].text in units["fahrenheit"] or _unit(words, end + 1, units["fahrenheit"])
    end += 2 if _unit(words, end + 1, units["degrees"]) else 1
    value = (number.value - 32) / 1.8 if hot or number.value > 110 else number.value
    return _Fact("temperature_c", round(value, 1), end) if 0 < value <= 110 else None


def _time(words: Sequence[Token], at: int, number: Number, speech: Mapping[str, Any]) -> _Fact | None:
    units = speech["units"]
    before = " ".join(w.text for w in words[max(0, at - 3) : at])
    if any(before.endswith(phrase) for phrase in speech["not_a_time"]):
        return None
    if _unit(words, number.end, units["seconds"]):
        return _Fact("time_s", number.value, number.end + 1)
    if not _unit(words, number.end, units["minutes"]):
        return None
    total, end = number.value * 60, number.end + 1
    after = end + 1 if _unit(words, end, ("and",)) else end
    rest = number_at(words, after, speech["numbers"]) if after < len(words) else None
    if rest and rest.value < 60:
        end = rest.end + 1 if _unit(words, rest.end, units["seconds"]) else rest.end
        total += rest.value
    return _Fact("time_s", total, end)


def _pressure(words: Sequence[Token], number: Number, speech: Mapping[str, Any]) -> _Fact | None:
    named = _unit(words, number.end, speech["units"]["bar"])
    return _Fact("pressure_bar", number.value, number.end + 1) if named else None


def _mass(words: Sequence[Token], number: Number, brew: str, speech: Mapping[str, Any]) -> _Fact | None:
    with_unit = _unit(words, number.end, speech["units"]["mass"])
    end = number.end + 1 if with_unit else number.end
    for key, phrases in speech["after"].items():
        for phrase in phrases:
            parts = phrase.split()
            if [w.text for w in words[end : end + len(parts)]] != parts:
                continue
            if not with_unit and not _bare(key, phrase, number, words, end):
                continue
            return _Fact(_named(key, brew, speech), number.value, end + len(parts))
    return None


def _bare(key: str, phrase: str, number: Number, words: Sequence[Token], at: int) -> bool:
    """Whether a figure without its grams is a mass all the same: "forty out", and "eighteen in" beside an "out"."""
    if number.value < 5 or phrase not in ("in", "out") or key not in ("dose_g", "out"):
        return False
    return phrase == "out" or any(w.text == "out" for w in words[at : at + 8])


def _named(key: str, brew: str, speech: Mapping[str, Any]) -> str:
    """What runs "out" is the yield of a pressed shot, and the water poured over for all else."""
    if key != "out":
        return key
    return "yield_g" if any(m in brew.casefold() for m in speech["yield_methods"]) else "water_g"


def weighed(
    facts: Iterable[HeardFact], cards: Mapping[str, Card], tolerance: Mapping[str, float]
) -> tuple[HeardFact, ...]:
    """Heard facts against the cards, and against what was heard before: fits, differs, or is new."""
    from dataclasses import replace

    made: list[HeardFact] = []
    for fact in facts:
        card = cards.get(fact.brew)
        written = None if card is None else ratio_of(card.facts) if fact.key == "ratio" else card.facts.get(fact.key)
        within = tolerance.get(fact.key, 0.0) / 2 if fact.key != "ratio" else 0.03 * (written or 0.0)
        earlier = next((f for f in made if (f.brew, f.key) == (fact.brew, fact.key) and f.value != fact.value), None)
        if written is not None and abs(written - fact.value) > within:
            verdict, wrong = f"the card says {written:.4g}", True
        elif earlier is not None:
            verdict, wrong = f"said before as {earlier.value:.4g}", True
        else:
            verdict, wrong = ("fits the card" if written is not None else "not on the card"), False
        made.append(replace(fact, verdict=verdict, contradicts=wrong))
    return tuple(made)


def claims_heard(material: Material) -> tuple[HeardClaim, ...]:
    """Claims read out in the talk (set aside by the reading, counted for nobody), offered for the claim list."""
    others = (c for coffee in material.session.coffees.values() for c in coffee.claims)
    listed = _listed(material, material.coffee.claims)
    return tuple(_claims(material, listed, _listed(material, others) - listed))


def _listed(material: Material, claims: Iterable[str]) -> set[str | None]:
    """Claims as they may be heard: what each means, and its words."""
    return {found for c in claims for found in (material.tools.find(c), c.casefold()) if found}


def _claims(material: Material, listed: set[str | None], others: set[str | None]) -> Iterator[HeardClaim]:
    """Claims heard; one of another coffee's alone was read out for that coffee."""
    for s in material.gathered.set_aside:
        if s.reason != "claim":
            continue
        words = " ".join(s.spot.words.split())
        name = material.label(s.descriptor) if s.descriptor else words
        claimed = s.descriptor or words.casefold()
        if claimed in others:
            continue
        known = claimed in listed
        yield HeardClaim(name, words, s.spot.speaker or "", s.spot.source, s.spot.at, known)
