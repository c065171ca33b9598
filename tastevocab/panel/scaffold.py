"""A new session file: ready to be filled in, or made of a person's answers. Nothing that nobody said stands in it."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from tastevocab.errors import InputError, Place
from tastevocab.written import make_folder, write_whole

METHODS = {
    "filter": "dose_g: 15, water_g: 250, temperature_c: 93, time: \"2:50\"",
    "immersion": "dose_g: 15, water_g: 250, temperature_c: 93, time: \"4:00\"",
    "espresso": "dose_g: 18, yield_g: 36, time: \"0:28\"",
    "cupping": "dose_g: 11, water_g: 200, temperature_c: 93",
}  # fmt: skip
"""Facts that a card of a method may hold, with common figures: shown as a comment, never taken for said."""

_PLAIN = re.compile(r"[a-z][a-z0-9_-]*")
_TRAPS = {"yes", "no", "on", "off", "y", "n", "true", "false", "null"}


def identifier(name: str) -> str:
    """A name as an id: "Vale Alto" is vale_alto."""
    return re.sub(r"[^\w]+", "_", name.strip().casefold()).strip("_") or "x"


def session_text(
    name: str, tasters: Sequence[str], coffees: Sequence[str], brews: Sequence[str], *, date: str = "", bowls: int = 0
) -> str:
    """The YAML of a new session: ids made from names; what nobody has said yet (blind, bowls, recipes, additions)
    stands there as a comment, to be filled in.

    Raises `InputError` for no taster, no coffee, or a name given twice.
    """
    _distinct(("taster", tasters), ("coffee", coffees), ("brew", brews))
    lines = [
        f"session: {_scalar(identifier(name))}",
        f"date: {_scalar(date)}" if date else "# date: 2026-01-31",
        "# blind: true              # or false; printed only if it stands here",
        f"tasters: [{', '.join(_scalar(identifier(t)) for t in tasters)}]",
        f"bowls: {bowls}                  # poured of each coffee"
        if bowls
        else "# bowls: 5                 # poured of each",
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
        lines.append(f"  {_card(brew)}")
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


@dataclass(frozen=True, slots=True)
class Answers:
    """What a person said of a table. `blind` None: not said; `called` (what people call it), `claims` and `additions`
    by coffee."""

    tasters: tuple[str, ...]
    coffees: tuple[str, ...]
    brews: tuple[str, ...] = ()
    blind: bool | None = None
    called: Mapping[str, Sequence[str]] = field(default_factory=dict)
    claims: Mapping[str, Sequence[str]] = field(default_factory=dict)
    additions: Mapping[str, str] = field(default_factory=dict)
    date: str = ""


def answered_text(
    name: str, answers: Answers, files: Sequence[str], owners: Mapping[str, str] = MappingProxyType({})
) -> str:
    """The YAML of a session made of answers and `files` of notes (paths from where it will lie; `owners` says whose one
    is); what was not answered is left out.

    Raises as `session_text` does.
    """
    _distinct(("taster", answers.tasters), ("coffee", answers.coffees), ("brew", answers.brews))
    lines = [f"session: {_scalar(identifier(name))}"]
    lines += [f"date: {_scalar(answers.date)}"] if answers.date else []
    lines += [f"blind: {str(answers.blind).lower()}"] if answers.blind is not None else []
    lines.append(f"tasters: [{', '.join(_scalar(identifier(t)) for t in answers.tasters)}]")
    spoken = [t for t in answers.tasters if identifier(t) != t.strip().casefold()]
    if spoken:
        lines.append(f"speakers: {{{', '.join(f'{_scalar(t)}: {_scalar(identifier(t))}' for t in spoken)}}}")
    lines.append("coffees:")
    for coffee in answers.coffees:
        lines += [f"  {_scalar(identifier(coffee))}:", f"    name: {_scalar(coffee.strip())}"]
        if called := answers.called.get(coffee):
            lines.append(f"    names: [{', '.join(map(_scalar, called))}]")
        if claims := answers.claims.get(coffee):
            lines.append(f"    claims: [{', '.join(map(_scalar, claims))}]")
        if additions := answers.additions.get(coffee):
            lines.append(f"    additions: {_scalar(additions)}")
    if answers.brews:
        lines += ["brews:", *(f"  {_card(brew)}" for brew in answers.brews)]
    one = f", coffee: {_scalar(identifier(answers.coffees[0]))}" if len(answers.coffees) == 1 else ""
    whose = {file: f", taster: {_scalar(identifier(taster))}" for file, taster in owners.items()}
    lines += ["notes:", *(f"  - {{source: {_scalar(file)}{one}{whose.get(file, '')}}}" for file in files)]
    return "\n".join(lines) + "\n"


def _card(brew: str) -> str:
    facts = METHODS.get(identifier(brew))
    comment = f"    # {facts}" if facts else ""
    return f"{_scalar(identifier(brew))}: {{method: {_scalar(brew.strip().casefold())}}}{comment}"


def _distinct(*given: tuple[str, Sequence[str]]) -> None:
    for what, names in given:
        ids = [identifier(one) for one in names]
        if not ids and what != "brew":
            raise InputError(f"no {what} named", mend=f"give one {what} or more")
        twice = next((id for id in ids if ids.count(id) > 1), None)
        if twice:
            raise InputError(f"{what} {twice!r} is named twice", mend="give each a name of its own")


def _scalar(text: str) -> str:
    """A word as it may stand in YAML: plain where that is safe, else in quotes."""
    return text if _PLAIN.fullmatch(text) and text not in _TRAPS else json.dumps(text, ensure_ascii=False)


def write_session(path: Path, text: str, *, force: bool = False) -> None:
    """Write a new session file. Raises `InputError` where one is there already (unless `force`)."""
    if path.exists() and not force:
        raise InputError("is there already", place=Place(os.fspath(path)), mend="choose another name, or --force")
    make_folder(path.parent)
    write_whole(path, text.encode())
