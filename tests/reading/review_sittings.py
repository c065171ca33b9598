"""Sittings over invented notes: what the tests of the review share."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from report_examples import TEXT, desk, example

from tastevocab.errors import InputError
from tastevocab.reading.records import Finding, Reading
from tastevocab.reading.review.company import Company
from tastevocab.reading.review.context import Texts
from tastevocab.reading.review.question import Ask
from tastevocab.reading.review.walk import Notes, Walk

KUMQUAT = "citrus_crate/orange_mandarin/kumquat"
CELLAR = "yard_faults/drying_mould/damp_earth_taint"


def walk(path: Path, reading: Reading | None = None, **more: object) -> Walk:
    return Walk([Notes(path, reading or example(), Texts.of(TEXT))], desk(), **more)  # type: ignore[arg-type]


def no_house(word: str, under: str) -> str:
    raise InputError("no house file")


def ask_of(sitting: Walk, words: str) -> Ask:
    return next(a for a in sitting.asks() if a.key.words == words)


def asked(words: str, who: str, id: str, sure: float, coffee: str = "c", **more: object) -> Finding:
    at = replace(example().findings[0].spot, words=words, speaker=who, coffee=coffee, span=(0, 0))
    return Finding(f"{words} {who}", id, at, sure=sure, asked=True, **more)  # type: ignore[arg-type]


def order(notes: Path, reading: Reading, **company: object) -> list[str]:
    known = Company(("Mira", "Otto", "Pilar"), **company)  # type: ignore[arg-type]
    return [f"{a.key.words} {a.key.speaker}" for a in walk(notes, reading, company=known).asks()]


def found(words: str, who: str, id: str, coffee: str = "c") -> Finding:
    return replace(asked(words, who, id, 1.0, coffee), asked=False)
