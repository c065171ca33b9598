"""A new session file, ready to be filled in."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Sequence
from pathlib import Path

from tastevocab.errors import InputError, Place
from tastevocab.written import make_folder, write_whole

METHODS = {
    "filter": "{method: filter, dose_g: 15, water_g: 250, temperature_c: 93, time: \"2:50\"}",
    "immersion": "{method: immersion, dose_g: 15, water_g: 250, temperature_c: 93, time: \"4:00\"}",
    "espresso": "{method: espresso, dose_g: 18, yield_g: 36, time: \"0:28\"}",
    "cupping": "{method: cupping, dose_g: 11, water_g: 200, temperature_c: 93}",
}  # fmt: skip

_PLAIN = re.compile(r"[a-z][a-z0-9_-]*")
_TRAPS = {"yes", "no", "on", "off", "y", "n", "true", "false", "null"}


def identifier(name: str) -> str:
    """A name as an id: "Vale Alto" is vale_alto."""
    return re.sub(r"[^\w]+", "_", name.strip().casefold()).strip("_") or "x"


def session_text(
    name: str, tasters: Sequence[str], coffees: Sequence[str], brews: Sequence[str], *, date: str = "", bowls: int = 5
) -> str:
    """The YAML of a new session: ids made from names, a brew card a brew with common figures to correct.

    Raises `InputError` for no taster, no coffee, or a name given twice.
    """
    for what, given in (("taster", tasters), ("coffee", coffees)):
        ids = [identifier(one) for one in given]
        if not ids:
            raise InputError(f"no {what} named", mend=f"give one {what} or more")
        twice = next((id for id in ids if ids.count(id) > 1), None)
        if twice:
            raise InputError(f"{what} {twice!r} is named twice", mend="give each a name of its own")
    lines = [
        f"session: {_scalar(identifier(name))}",
        f"date: {_scalar(date)}" if date else "# date: 2026-01-31",
        "blind: true",
        f"tasters: [{', '.join(_scalar(identifier(t)) for t in tasters)}]",
        f"bowls: {bowls}                  # poured of each coffee",
        "coffees:",
    ]
    for coffee in coffees:
        lines.append(f"  {_scalar(identifier(coffee))}:")
        lines.append(f"    name: {_scalar(coffee.strip())}")
        lines.append("    # names: [what people call it]")
        lines.append("    # process: washed")
        lines.append("    # roasted: 2026-01-20")
        lines.append("    # claims: [the roaster's words, as given]")
        lines.append("    # additions: none          # or what went into the fermentation, in writing from the roaster")
    lines.append("brews:")
    for brew in brews:
        card = METHODS.get(identifier(brew), f"{{method: {_scalar(identifier(brew))}}}")
        lines.append(f"  {_scalar(identifier(brew))}: {card}")
    lines += [
        "notes:                      # add the files as they come in; paths start at this file's folder",
        "  # - {source: table.vtt, coffee: " + identifier(coffees[0]) + "}",
        "  # - {source: sheet.csv}    # columns taster, coffee, brew, moment, bowl, text",
        "  # - {taster: "
        + identifier(tasters[0])
        + ", coffee: "
        + identifier(coffees[0])
        + ', text: "what they said"}',
    ]
    return "\n".join(lines) + "\n"


def _scalar(text: str) -> str:
    """A word as it may stand in YAML: plain where that is safe, else in quotes."""
    return text if _PLAIN.fullmatch(text) and text not in _TRAPS else json.dumps(text, ensure_ascii=False)


def write_session(path: Path, text: str, *, force: bool = False) -> None:
    """Write a new session file. Raises `InputError` where one is there already (unless `force`)."""
    if path.exists() and not force:
        raise InputError("is there already", place=Place(os.fspath(path)), mend="choose another name, or --force")
    make_folder(path.parent)
    write_whole(path, text.encode())
