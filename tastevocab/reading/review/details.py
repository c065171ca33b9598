"""What a decision says beside the word itself: whose finding it is, of which serving, how strong, how sure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from tastevocab.errors import InputError, near
from tastevocab.reading.hearing.windows import DEGREES, LEVELS
from tastevocab.reading.records import MOMENTS, Spot, Standing
from tastevocab.reading.review.said import Mark
from tastevocab.vocabulary.sources import Lines

PLACES = ("", "front", "middle", "finish")
STANDINGS: tuple[Standing, ...] = ("own", "echo", "led", "informed")
_CHOICES: Mapping[str, tuple[str, ...]] = {
    "moment": ("", *MOMENTS), "place": PLACES, "standing": STANDINGS, "degree": DEGREES, "level": LEVELS,
}  # fmt: skip
_TIME = re.compile(r"(?:\d+:){0,2}\d+(?:\.\d+)?", re.ASCII)
_STRETCH = ("taster", "coffee", "brew", "moment", "standing")


@dataclass(frozen=True, slots=True)
class Details:
    """None stands for "as it was read", "" (of taster, coffee, brew, moment, place, degree) for "not said".

    `degree` is one of the five words of strength, `attribute` with its `level` a quality instead of a flavour.
    """

    taster: str | None = None
    coffee: str | None = None
    brew: str | None = None
    moment: str | None = None
    place: str | None = None
    standing: Standing | None = None
    degree: str | None = None
    doubt: bool | None = None
    attribute: str | None = None
    level: str | None = None

    def of_stretch(self) -> Details:
        """What of it can be said of a stretch of talk."""
        return Details(**{name: getattr(self, name) for name in _STRETCH})

    def over(self, other: Details) -> Details:
        """The same, and where it says nothing what `other` says."""
        return Details(**{name: asdict(other)[name] if own is None else own for name, own in asdict(self).items()})

    def at(self, spot: Spot) -> Spot:
        """The spot as it is by these details."""
        given = {
            "speaker": self.taster,
            "coffee": self.coffee,
            "brew": self.brew,
            "moment": self.moment,
            "place": self.place,
        }
        said: dict[str, Any] = {name: value or None for name, value in given.items() if value is not None}
        return replace(spot, **said) if said else spot


NOTHING = Details()


def details_of(entry: Lines) -> Details:
    """The details in an entry of a decisions file. Raises `InputError` for a value that is none."""
    given: dict[str, Any] = {}
    for name in Details.__dataclass_fields__:
        value = entry.get(name)
        if value is None:
            continue
        if name == "doubt":
            if not isinstance(value, bool):
                raise InputError(
                    f"doubt: {value!r} is no yes or no", place=entry.place(name), mend="write true or false"
                )
        elif isinstance(value, (list, dict, bool)):
            raise InputError(f"{name}: {value!r} is no word", place=entry.place(name), mend="write one word or id")
        else:
            value = str(value)
        choices = _CHOICES.get(name)
        if choices and value not in choices:
            mend = near(str(value), choices)
            raise InputError(f"{name}: {value!r} is not known", place=entry.place(name), mend=mend)
        given[name] = value
    return Details(**given)


def details_row(details: Details) -> dict[str, Any]:
    """What is written of details: what says nothing is left out."""
    return {name: value for name, value in asdict(details).items() if value is not None}


def mark_of(entry: Lines, name: str) -> Mark | None:
    """The place that `from` or `to` means; None where it is left out. Raises `InputError` where it is none."""
    given = entry.get(name)
    if given is None:
        return None
    if isinstance(given, Lines) and given.get("words") and given.keys() <= {"words", "occurrence", "context", "note"}:
        nth = given.get("occurrence", 1)
        if isinstance(nth, int) and not isinstance(nth, bool) and nth > 0:
            note = given.get("note")
            return Mark(str(given["words"]), nth, str(given.get("context") or ""), None if note is None else str(note))
    elif not isinstance(given, (Lines, list, bool)):
        at = seconds_of(str(given))
        if at is not None:
            return Mark(at=at)
    mend = 'write a time ("12:30") or {words: on to the espresso, occurrence: 1}'
    raise InputError(f"{name}: {given!r} is no place", place=entry.place(name), mend=mend)


def mark_row(mark: Mark) -> Any:
    """What is written of a place."""
    if mark.at is not None:
        return time_of(mark.at)
    made: dict[str, Any] = {"words": mark.words, "occurrence": mark.occurrence}
    if mark.context:
        made["context"] = mark.context
    if mark.note is not None:
        made["note"] = mark.note
    return made


def seconds_of(text: str) -> float | None:
    """The seconds that "75", "1:15" or "0:01:15.5" mean; None where it is no time."""
    if not _TIME.fullmatch(text.strip()):
        return None
    total = 0.0
    for part in text.strip().split(":"):
        total = total * 60 + float(part)
    return total


def time_of(seconds: float) -> str:
    """A time as it is written in a decisions file: "12:30", "1:02:03.25"."""
    whole, rest = divmod(round(seconds * 1000), 1000)
    minutes, second = divmod(whole, 60)
    hours, minute = divmod(minutes, 60)
    text = f"{hours}:{minute:02}:{second:02}" if hours else f"{minute}:{second:02}"
    return f"{text}.{rest:03}".rstrip("0") if rest else text


__all__ = [
    "LEVELS", "NOTHING", "PLACES", "STANDINGS", "Details", "details_of", "details_row", "mark_of", "mark_row",
    "seconds_of", "time_of",
]  # fmt: skip
