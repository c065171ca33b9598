"""Brew cards: what the session says of a brew, its sums, and where they contradict each other."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tastevocab.panel.session import BrewCard

RATIO_SLACK = 0.03
"""A ratio as people round it ("1:17" for 1:16.7); beyond 3 % it does not fit its dose and water. A house setting."""

NAMES: Mapping[str, tuple[str, str]] = {
    "dose_g": ("Dose", "g"),
    "water_g": ("Water", "g"),
    "yield_g": ("Yield", "g"),
    "bypass_g": ("Added afterwards (bypass)", "g"),
    "temperature_c": ("Temperature", "°C"),
    "time_s": ("Time", "s"),
    "pressure_bar": ("Pressure", "bar"),
}
"""The facts that are reckoned with: what each is called and its unit."""

SPELLED = {
    "dose": "dose_g",
    "water": "water_g",
    "yield": "yield_g",
    "bypass": "bypass_g",
    "dilution_g": "bypass_g",
    "temperature": "temperature_c",
    "pressure": "pressure_bar",
}
TIMES = ("time", "time_s", "total_time", "brew_time")
LIMITS: Mapping[str, tuple[float, float]] = {
    "dose_g": (1, 5000),
    "water_g": (1, 100000),
    "yield_g": (1, 100000),
    "bypass_g": (0, 100000),
    "temperature_c": (0, 100),
    "time_s": (1, 172800),
    "pressure_bar": (0, 20),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a card to print."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Card:
    """A brew card ready to print. `facts` are the figures by key (grams, °C, seconds, bar), `contradictions` sentences
    with the place in the session file."""

    brew: str
    method: str
    lines: tuple[Line, ...]
    contradictions: tuple[str, ...]
    facts: Mapping[str, float]
    ratio: float | None
    grams_per_litre: float | None


def brew_card(card: BrewCard, tolerance: Mapping[str, float]) -> Card:
    """The card of one brew: figures with their tolerance, ratio, strength in grams a litre, and what does not fit."""
    facts, wrong = read_facts(card)
    wrong += list(_impossible(facts))
    wrong += list(_sums(card, facts))
    ratio, strength = ratio_of(facts), grams_per_litre(facts)
    lines = [*_figures(facts, tolerance), *_reckoned(facts), *_others(card)]
    return Card(
        brew=card.id,
        method=card.method or card.id,
        lines=tuple(lines),
        contradictions=tuple(f"{card.place}: {what}" if card.place.file else what for what in wrong),
        facts=facts,
        ratio=ratio,
        grams_per_litre=strength,
    )


def read_facts(card: BrewCard) -> tuple[dict[str, float], list[str]]:
    """The figures of a card in their units, and sentences about values that are none or are given twice differently."""
    facts: dict[str, float] = {}
    wrong: list[str] = []
    for key, value in card.facts.items():
        wanted = SPELLED.get(key, key)
        if key in TIMES:
            _put(facts, wrong, "time_s", key, seconds_of(value), value)
        elif key == "temperature_f":
            number = _number(value)
            _put(facts, wrong, "temperature_c", key, None if number is None else (number - 32) / 1.8, value)
        elif wanted in NAMES:
            _put(facts, wrong, wanted, key, _number(value), value)
    return facts, wrong


def _put(facts: dict[str, float], wrong: list[str], key: str, given: str, number: float | None, value: object) -> None:
    if number is None:
        wrong.append(f"{given}: {value!r} is no figure")
    elif key in facts and abs(facts[key] - number) > 0.6:
        name, unit = NAMES[key]
        wrong.append(f"{name.lower()} is given twice: {_figure(key, facts[key])} and {_figure(key, number)} ({unit})")
    else:
        facts.setdefault(key, number)


def _number(value: object) -> float | None:
    if isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        return float(value)
    found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(?:g|ml|°?\s?c|bar)?\s*", str(value), re.IGNORECASE)
    return float(found[1].replace(",", ".")) if found else None


def seconds_of(value: object) -> float | None:
    """A time as seconds: "2:50", "28 s", "2 min 50", 170. None where it is no time.

    >>> seconds_of("2:50"), seconds_of("2 min 50 s"), seconds_of("soon")
    (170.0, 170.0, None)
    """
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    text = str(value).strip().lower()
    if re.fullmatch(r"\d+(:\d{1,2}){1,2}(\.\d+)?", text):
        total = 0.0
        for part in text.split(":"):
            total = total * 60 + float(part)
        return total
    found = re.fullmatch(
        r"(?:(\d+(?:\.\d+)?)\s*h\w*)?\s*(?:(\d+(?:\.\d+)?)\s*m\w*)?\s*(?:(\d+(?:\.\d+)?)\s*(?:s\w*)?)?", text
    )
    if not found or not any(found.groups()):
        return None
    hours, minutes, seconds = (float(part or 0) for part in found.groups())
    return hours * 3600 + minutes * 60 + seconds


def ratio_of(facts: Mapping[str, float]) -> float | None:
    """Grams of water (or of yield, where that is all there is) to a gram of dose."""
    wet = facts.get("water_g", facts.get("yield_g"))
    return wet / facts["dose_g"] if wet and facts.get("dose_g") else None


def grams_per_litre(facts: Mapping[str, float]) -> float | None:
    """Grams of dose to a litre of all water used (of yield, where that is all there is); a gram of water as 1 ml."""
    wet = facts.get("water_g", facts.get("yield_g"))
    if not wet or not facts.get("dose_g"):
        return None
    return 1000 * facts["dose_g"] / (wet + facts.get("bypass_g", 0.0))


def _impossible(facts: Mapping[str, float]) -> Iterator[str]:
    for key, (low, high) in LIMITS.items():
        if key in facts and not low <= facts[key] <= high:
            name, unit = NAMES[key]
            yield f"{name.lower()} of {facts[key]:g} {unit} cannot be ({low:g} to {high:g})"
    if "water_g" in facts and "yield_g" in facts and facts["yield_g"] > facts["water_g"] + facts.get("bypass_g", 0):
        yield f"yield ({facts['yield_g']:g} g) is more than the water ({facts['water_g']:g} g)"


def _sums(card: BrewCard, facts: Mapping[str, float]) -> Iterator[str]:
    if "ratio" in card.facts:
        given, reckoned = _ratio(card.facts["ratio"]), ratio_of(facts)
        if given is None:
            yield f'ratio: {card.facts["ratio"]!r} is no ratio (write "1:16")'
        elif reckoned and abs(given - reckoned) > RATIO_SLACK * reckoned:
            wet = "water" if "water_g" in facts else "yield"
            yield f"ratio 1:{given:g} does not fit dose and {wet}: they give 1:{reckoned:.1f}"
    pours = card.facts.get("pours_g")
    if pours is not None and "water_g" in facts:
        poured = sum(float(part) for part in re.findall(r"\d+(?:\.\d+)?", str(pours)))
        if abs(poured - facts["water_g"]) > 0.5:
            yield f"pours add up to {poured:g} g, the water is {facts['water_g']:g} g"


def _ratio(value: object) -> float | None:
    found = re.fullmatch(r"\s*(?:1\s*(?::|to|/)\s*)?(\d+(?:\.\d+)?)\s*", str(value))
    return float(found[1]) if found else None


def _figures(facts: Mapping[str, float], tolerance: Mapping[str, float]) -> Iterator[Line]:
    for key, (name, unit) in NAMES.items():
        if key not in facts:
            continue
        within = tolerance.get(key)
        if key == "time_s" and within:
            within = min(within, max(1, round(facts[key] / 10)))
        text = _figure(key, facts[key]) + ("" if key == "time_s" else f" {unit}")
        if key == "temperature_c":
            text += f" ({facts[key] * 1.8 + 32:.0f} °F)"
        if within:
            text += f" ± {within:g} {unit}"
            text += f" (± {within * 1.8:.0f} °F)" if key == "temperature_c" else ""
        yield Line(name, text)


def _figure(key: str, value: float) -> str:
    if key == "time_s":
        return f"{int(value) // 60}:{int(value) % 60:02}"
    return f"{round(value, 1):g}"


def _reckoned(facts: Mapping[str, float]) -> Iterator[Line]:
    ratio, strength = ratio_of(facts), grams_per_litre(facts)
    wet = "water" if "water_g" in facts else "yield"
    if ratio:
        yield Line("Ratio", f"1:{ratio:.1f} (dose to {wet})")
    if ratio and facts.get("bypass_g"):
        whole = ratio + facts["bypass_g"] / facts["dose_g"]
        yield Line("Ratio after dilution", f"1:{whole:.1f} ({facts['bypass_g']:g} g added to {facts[f'{wet}_g']:g} g)")
    if strength:
        yield Line("Strength", f"{strength:.0f} g to a litre of {wet}")


def _others(card: BrewCard) -> Iterator[Line]:
    """The card's other lines, as written."""
    known = {*NAMES, *SPELLED, *TIMES, "temperature_f", "ratio"}
    for key, value in card.facts.items():
        if key not in known:
            yield Line(key.replace("_", " ").capitalize(), str(value))
