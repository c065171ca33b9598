"""The house style: one YAML that says how a shop's packs look and are worded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any, Literal

from tastevocab.errors import InputError, near
from tastevocab.panel.chance import CHOICES, Choice
from tastevocab.panel.sums import WEIGHTINGS
from tastevocab.reading.records import MOMENTS
from tastevocab.vocabulary.sources import Lines, as_mapping, read_yaml
from tastevocab.wheel.sizes import CARDS, LABEL, MOST_BLEED, MOST_SAFE

NARROWEST, WIDEST = 40, 120
"""mm that a label may be wide."""
THEMES = ("light", "dark", "grey")
PAPERS = ("tint", "none")
SOUNDS = ("none", "copy", "link")
ORDERS = ("strongest", "unfolding")
WHOLE = "whole"
"""The moment of what is printed, where it is the whole tasting."""
TOLERANCE: Mapping[str, float] = {
    "dose_g": 0.2,
    "water_g": 3,
    "yield_g": 2,
    "bypass_g": 3,
    "temperature_c": 1,
    "time_s": 10,
    "pressure_bar": 0.5,
}
"""House settings, stated on every card (a time never wider than a tenth); change them in the style's `tolerance`."""


@dataclass(frozen=True, slots=True)
class HouseStyle:
    """How packs look.

    `house` is the shop's name (in footers), `theme` light, dark or grey, `sizes` the sheets to draw (the first is
    wheel.svg, the others wheel-SIZE.svg), `font` a font file ("": the one that ships), `bleed` mm beyond the trimmed
    edge, `safe` mm kept free inside it (None: what suits the sheet), `label_width` how wide a label is (mm), `marks`
    whether a PDF has crop marks, `paper` whether the paper's tint is printed or "none", `strips` whether attributes
    stand below the wheel. `words` on the notes line, in `order`; `moment` the pass that is printed ("whole": all);
    `weighting` of the map. `footer` is a line under every wheel and page. `tasters` "names" or "codes" (T1, T2, ...
    in every file). `jsonld` adds product.jsonld, for a shop's page. `tolerance` says how exact a brew card is,
    `not_known` gives words customers may not know, each with plain help, `put_off` words that put people off.
    `chance` is what becomes of words that tables of random words would agree on as well: "say" so, "leave_out", or
    "off". `sound` is whether the page plays the words of a recorded table: "none", "copy" (the recording goes into the
    pack) or "link" (the page looks for it where the session has it): it is people's voices. `archive` is the house's
    archive ("": none), by which the pack says what each printed word is worth there.
    """

    house: str = ""
    theme: str = "light"
    sizes: tuple[str, ...] = ("page",)
    font: str = ""
    bleed: float = 0.0
    safe: float | None = None
    label_width: float = 60
    marks: bool = False
    paper: str = "tint"
    strips: bool = True
    words: int = 3
    order: str = "strongest"
    moment: str = WHOLE
    weighting: Literal["mark", "voice", "plain"] = "mark"
    footer: str = ""
    tasters: str = "names"
    jsonld: bool = False
    tolerance: Mapping[str, float] = field(default_factory=lambda: dict(TOLERANCE))
    not_known: Mapping[str, str] = field(default_factory=dict)
    put_off: tuple[str, ...] = ()
    chance: Choice = "say"
    sound: str = "none"
    archive: str = ""


def read_style(path: Path) -> HouseStyle:
    """The house style in a YAML file; what it leaves out stays as shipped.

    Raises `InputError` with file and line for an unknown key or a value that does not fit.
    """
    top = as_mapping(read_yaml(path, error=InputError), str(path))
    assert isinstance(top, Lines)
    known = {f.name for f in fields(HouseStyle)}
    given: dict[str, Any] = {}
    for key, value in top.items():
        if key not in known:
            raise InputError(f"unknown key {key!r}", place=top.place(key), mend=near(str(key), sorted(known)))
        given[key] = _VALUES[key](top, key, value)
    style = replace(HouseStyle(), **given)
    if style.font and not Path(style.font).is_absolute():
        style = replace(style, font=str(path.resolve().parent / style.font))
    if style.archive:
        style = replace(style, archive=str(path.resolve().parent / style.archive))
    if style.font and not Path(style.font).is_file():
        raise InputError("no such font file", place=top.place("font"), mend="paths start at the style file")
    return style


def _wrong(top: Lines, key: str, wanted: str) -> InputError:
    return InputError(f"{key} should be {wanted}", place=top.place(key), mend=f"got {top[key]!r}")


def _text(top: Lines, key: str, value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, (dict, list, bool)):
        raise _wrong(top, key, "plain text")
    return str(value)


def _one_of(*choices: str) -> Callable[[Lines, str, Any], str]:
    def read(top: Lines, key: str, value: Any) -> str:
        if value not in choices:
            raise _wrong(top, key, f"one of {', '.join(choices)}")
        return str(value)

    return read


def _number(low: float, high: float) -> Callable[[Lines, str, Any], float]:
    def read(top: Lines, key: str, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
            raise _wrong(top, key, f"a number from {low:g} to {high:g}")
        return value

    return read


def _yes_or_no(top: Lines, key: str, value: Any) -> bool:
    if not isinstance(value, bool):
        raise _wrong(top, key, "true or false")
    return value


def _names(top: Lines, key: str, value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        raise _wrong(top, key, "a list of words")
    return tuple(value)


def _sizes(top: Lines, key: str, value: Any) -> tuple[str, ...]:
    found = _names(top, key, value)
    if not found or any(name not in (*CARDS, LABEL) for name in found):
        raise _wrong(top, key, f"of {', '.join((*CARDS, LABEL))}")
    return tuple(dict.fromkeys(found))


def _tolerance(top: Lines, key: str, value: Any) -> dict[str, float]:
    if not isinstance(value, Lines):
        raise _wrong(top, key, "a mapping such as {dose_g: 0.2}")
    for name in value:
        if name not in TOLERANCE:
            raise InputError(f"unknown key {name!r}", place=value.place(name), mend=f"use: {', '.join(TOLERANCE)}")
        _number(0, 1000)(value, name, value[name])
    return {**TOLERANCE, **value}


def _helps(top: Lines, key: str, value: Any) -> dict[str, str]:
    if not isinstance(value, Lines) or not all(isinstance(v, str) for v in value.values()):
        raise _wrong(top, key, "a mapping such as {greengage: a green plum}")
    return dict(value)


_VALUES: Mapping[str, Callable[[Lines, str, Any], Any]] = {
    "house": _text,
    "theme": _one_of(*THEMES),
    "sizes": _sizes,
    "font": _text,
    "bleed": _number(0, MOST_BLEED),
    "safe": lambda top, key, value: None if value is None else _number(0, MOST_SAFE)(top, key, value),
    "label_width": _number(NARROWEST, WIDEST),
    "marks": _yes_or_no,
    "paper": _one_of(*PAPERS),
    "strips": _yes_or_no,
    "words": lambda top, key, value: int(_number(1, 6)(top, key, value)),
    "order": _one_of(*ORDERS),
    "moment": _one_of(WHOLE, *MOMENTS),
    "weighting": _one_of(*WEIGHTINGS),
    "footer": _text,
    "tasters": _one_of("names", "codes"),
    "jsonld": _yes_or_no,
    "tolerance": _tolerance,
    "not_known": _helps,
    "put_off": _names,
    "chance": _one_of(*CHOICES),
    "sound": _one_of(*SOUNDS),
    "archive": _text,
}
