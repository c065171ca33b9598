"""Marks on a sheet and in talk ("3/5", "three out of five") to a level and a step on a word scale."""

from __future__ import annotations

import re

_NUMBERS = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
}
SCORE = re.compile(
    r"\b(?P<n>\d+(?:\.\d+)?|one|two|three|four|five|six|seven|eight|nine|ten)(?P<half>½| and a half)?"
    r"\s*(?:/|out\s+of|of)\s*"
    r"(?P<of>\d+|five|ten|seven)\b",
    re.IGNORECASE,
)


def score_level(match: re.Match[str]) -> tuple[str, float] | None:
    """A mark "n of m" as a level and a step 1..5."""
    raw, top = match["n"].lower(), match["of"].lower()
    value = float(_NUMBERS.get(raw, 0) or (raw if raw.replace(".", "").isdigit() else 0))
    value += 0.5 if match["half"] else 0
    size = float(_NUMBERS.get(top, 0) or (top if top.isdigit() else 0))
    if not size or value > size or size not in (5, 10, 7):
        return None
    return level_of_step(1 + 4 * (value / size * 5 - 1) / 4 if size != 5 else value)


def level_of_step(step: float) -> tuple[str, float]:
    """Marks: up to 2 of 5 is low, over 2 and under 3.5 medium, from 3.5 high; 0 none (house rule)."""
    if step <= 0:
        return "none", 1.0
    return ("low", max(1.0, step)) if step <= 2 else ("medium", step) if step < 3.5 else ("high", min(5.0, step))
