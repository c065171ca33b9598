"""Marked talk: files of invented talk with the answers in the line (`tests/talk`; its README has the form)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tastevocab.errors import InputError, Place

_MARK = re.compile(r"\{([^{}]*)\}")
_INSIDE = re.compile(r"^(?P<sign>[+?=xw-]|a\b)(?P<degree>[1-5])?\s*(?P<rest>.*)$", re.S)
_SPEAKER = re.compile(r"(?P<name>[\w .'’-]{1,24}|\?):\s?")
_MORE = ("place", "coffee", "brew", "moment")
_DEGREES = ("", "barely", "weak", "moderate", "strong", "very strong")


@dataclass(frozen=True, slots=True)
class Marked:
    """One mark: `sign` (+ found, ? doubted, - denied, = assent, x none, w taken back, a quality), its characters
    [start, end) of the turn, and what it says."""

    sign: str
    start: int
    end: int
    concept: str = ""
    degree: str = ""
    reason: str = ""
    attribute: str = ""
    level: str = ""
    place: str = ""
    coffee: str | None = None
    brew: str | None = None
    moment: str | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One turn of marked talk, with what is in hand where a careful listener could know it."""

    speaker: str | None
    text: str
    marks: tuple[Marked, ...]
    coffee: str | None
    brew: str | None
    moment: str | None


@dataclass(frozen=True, slots=True)
class Recording:
    """A file of marked talk. `manner` is "table", "recording" or "notes", from its author's folder."""

    author: str
    name: str
    head: dict[str, str]
    lines: tuple[Line, ...]

    @property
    def only_meaning(self) -> bool:
        """Whether its lines were written one by one to say a thing: what they mean can be learnt from them, not when
        something is said."""
        return self.head.get("only") == "meaning"


def recordings(folder: Path) -> Iterator[Recording]:
    """Every file of marked talk below `folder`, one folder an author, in the order of their names."""
    for path in sorted(folder.glob("*/*.talk")):
        yield recording(path)


def recording(path: Path) -> Recording:
    """One file of marked talk. Raises `InputError` (file and line) where it breaks the form."""
    head: dict[str, str] = {}
    lines: list[Line] = []
    scene: list[str | None] = [None, None, None]
    for number, raw in enumerate(path.read_text("utf-8").splitlines(), 1):
        line = raw.rstrip()
        if line.startswith("#"):
            key, _, value = line[1:].partition(":")
            head[key.strip()] = value.strip()
        elif line.startswith("["):
            scene = [None if p.strip() == "-" else p.strip() for p in line.strip("[]").split("|")]
            if len(scene) != 3:
                raise _broken(path, number, "a scene is [coffee | brew | moment]")
        elif line:
            lines.append(_line(path, number, line, scene, lines))
    return Recording(path.parent.name, path.stem, head, tuple(lines))


def _line(path: Path, number: int, line: str, scene: list[str | None], lines: list[Line]) -> Line:
    who = _SPEAKER.match(line)
    if who:
        text, marks = _marks(path, number, line[who.end() :], 0)
        return Line(None if who["name"] == "?" else who["name"], text, tuple(marks), *scene)
    if not lines:
        raise _broken(path, number, "the first line of talk needs a name before a colon, or ?:")
    before = lines.pop()  # a line without a name goes on with the turn before
    text, marks = _marks(path, number, line, len(before.text) + 1)
    whole = f"{before.text} {text}"
    return Line(before.speaker, whole, (*before.marks, *marks), before.coffee, before.brew, before.moment)


def _marks(path: Path, number: int, line: str, offset: int) -> tuple[str, list[Marked]]:
    text, at, marks = "", 0, []
    for found in _MARK.finditer(line):
        text += line[at : found.start()]
        at = found.end()
        inside = _INSIDE.match(found[1])
        if inside is None:
            raise _broken(path, number, f"{{{found[1]}}} begins with none of + ? - = x w a")
        mark, words = _mark(inside, offset + len(text))
        marks.append(mark)
        text += words
    if set("{}") & set(line[at:]):
        raise _broken(path, number, "a brace that opens or closes nothing")
    return text + line[at:], marks


def _mark(inside: re.Match[str], start: int) -> tuple[Marked, str]:
    body, *notes = (part.strip() for part in inside["rest"].split(";"))
    name, bar, words = body.partition("|")
    name, words = name.strip(), (words if bar else name).strip()
    sign, end = inside["sign"], start + len(words)
    if sign == "a":
        attribute, _, level = name.partition("=")
        return Marked(sign, start, end, attribute=attribute, level=level), words
    if sign in "xw":
        return Marked(sign, start, end, reason="withdrawn" if sign == "w" else (notes or ["other"])[0]), words
    pairs = (note.partition("=") for note in notes)
    more = {key: value for key, _, value in pairs if key in _MORE and value != "-"}
    return Marked(sign, start, end, name.lower(), _DEGREES[int(inside["degree"] or 0)], **more), words


def _broken(path: Path, number: int, what: str) -> InputError:
    return InputError(what, place=Place(str(path), number), mend="tests/talk/README.md has the form")
