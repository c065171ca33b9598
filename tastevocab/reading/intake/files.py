"""Files of tasting talk and notes to turns: the one door to all the readers."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Literal, get_args

from tastevocab.errors import InputError, Place
from tastevocab.reading.intake import tables
from tastevocab.reading.intake.captions import caption_cues, is_running, offers_in, stamps_in
from tastevocab.reading.intake.decode import read_text, refuse_control
from tastevocab.reading.intake.layout import Layout, layout_of
from tastevocab.reading.intake.plain import plain_turns
from tastevocab.reading.intake.sheets import sheet_turns
from tastevocab.reading.intake.speech import turns_of_cues, with_offers, with_times
from tastevocab.reading.intake.stamped import is_stamped, stamped_cues
from tastevocab.reading.records import Turn

Kind = Literal["vtt", "srt", "stamped", "text", "sheet", "csv", "jsonl"]

_BY_SUFFIX: dict[str, Kind] = {
    ".vtt": "vtt",
    ".webvtt": "vtt",
    ".srt": "srt",
    ".md": "sheet",
    ".markdown": "sheet",
    ".csv": "csv",
    ".tsv": "csv",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
    ".json": "jsonl",
}
_TABLES = ("csv", "jsonl")
_SRT_TIMING = re.compile(r"^\s*\d{1,2}:\d{2}:\d{2}[,.]\d{1,3}\s*-->", re.MULTILINE)
_SHEET_MARK = re.compile(r"^(?: {0,3}#{1,6}[ \t]+\S|[ \t]*\|?[ \t]*:?-{3,}:?[ \t]*\|)", re.MULTILINE)
_JSON = re.compile(r'(?:\[\s*)?\{\s*"')
_BASE = ("speaker", "note", "coffee", "brew", "moment", "bowl")


@dataclass(frozen=True, slots=True)
class TurnFile:
    """What one file gave. `text` is the decoded text that the turns' places count in ("" for a table: there they count
    in each row's own text); `notices` are sentences about the file itself."""

    turns: tuple[Turn, ...]
    text: str
    kind: Kind
    notices: tuple[str, ...] = ()


def read_turns(
    path: Path, *, kind: str | None = None, layout: Layout | None = None, base: Turn | None = None
) -> TurnFile:
    """Read a file of talk or notes.

    `kind` says what it is where its name does not; `layout` holds the words that label parts of a sheet (the coffee
    vocabulary's, if left out); `base` fills what the file does not say (speaker, coffee, brew, moment, bowl). Raises
    `InputError` where the file is missing, unreadable, empty, no text, or holds nothing of its kind.
    """
    chosen = _kind(kind) or _BY_SUFFIX.get(path.suffix.lower())
    if chosen in _TABLES:
        notices: list[str] = []
        turns = tuple(stream_turns(path, kind=chosen, layout=layout, base=base, notice=notices.append))
        return TurnFile(turns, "", chosen, tuple(notices))
    text, notices_ = read_text(path)
    found = turns_of(text, source=os.fspath(path), kind=chosen, layout=layout, base=base)
    return replace(found, notices=(*notices_, *found.notices))


def stream_turns(
    path: Path,
    *,
    kind: str | None = None,
    layout: Layout | None = None,
    base: Turn | None = None,
    notice: Callable[[str], None] = lambda _: None,
) -> Iterator[Turn]:
    """The turns of a file one after the other; of a table, with memory that does not grow with its length.

    `notice` is called with each sentence about the file; the rest as for `read_turns`.
    """
    chosen = _kind(kind) or _BY_SUFFIX.get(path.suffix.lower())
    if chosen not in _TABLES:
        found = read_turns(path, kind=kind, layout=layout, base=base)
        for sentence in found.notices:
            notice(sentence)
        yield from found.turns
        return
    for turn in tables.file_turns(path, chosen, layout or default_layout(), notice):
        yield _based(turn, base)


def turns_of(
    text: str, *, source: str, kind: str | None = None, layout: Layout | None = None, base: Turn | None = None
) -> TurnFile:
    """Read text that is already decoded; `source` is the name to give for it, the rest as for `read_turns`."""
    refuse_control(text, source)
    if not text.strip("\ufeff \t\r\n"):
        raise InputError("is empty", place=Place(source), mend="give a file with notes or captions in it")
    chosen = _kind(kind)
    if chosen in (None, "text"):
        chosen = kind_of(text) if chosen is None else "text"
    words = layout or default_layout()
    if chosen in _TABLES:
        file = io.StringIO(text, newline="" if chosen == "csv" else None)
        return TurnFile(
            tuple(_based(t, base) for t in tables.text_turns(file, chosen, source=source, layout=words)), "", chosen
        )
    turns, notices = _parsed(text, source, chosen, words)
    return TurnFile(tuple(_based(t, base) for t in turns), text, chosen, notices)


@lru_cache(maxsize=8)
def _parsed(text: str, source: str, kind: Kind, words: Layout) -> tuple[tuple[Turn, ...], tuple[str, ...]]:
    """The turns of talk or of a sheet, and what to say of the file; a command may ask for one several times."""
    notices: tuple[str, ...] = ()
    if kind == "vtt" or kind == "srt":
        cues, notices = caption_cues(text, kind, source)
        turns = turns_of_cues(cues, text=text, source=source, layout=words, running=is_running(text))
        turns = with_offers(with_times(turns, tuple(stamps_in(text))), tuple(offers_in(text)))
    elif kind == "stamped":
        turns = turns_of_cues(stamped_cues(text), text=text, source=source, layout=words)
    elif kind == "sheet":
        turns, notices = sheet_turns(text, source=source, layout=words)
    else:
        turns = plain_turns(text, source=source, layout=words)
    return tuple(turns), notices


def kind_of(text: str) -> Kind:
    """What a text is, by its looks: captions, stamped talk, a sheet, JSON lines, or plain text."""
    body = text.lstrip("\ufeff \t\r\n")
    if re.match(r"WEBVTT(?:[ \t\n]|$)", body):
        return "vtt"
    if _SRT_TIMING.search(text):
        return "srt"
    if _JSON.match(body):
        return "jsonl"
    if is_stamped(text):
        return "stamped"
    return "sheet" if len(_SHEET_MARK.findall(text)) > 1 else "text"


@lru_cache(maxsize=1)
def default_layout() -> Layout:
    """The layout words of the coffee vocabulary."""
    from tastevocab.vocabulary.cache import open_vocabulary

    return layout_of(open_vocabulary())


def _kind(kind: str | None) -> Kind | None:
    if kind is None:
        return None
    known: tuple[Kind, ...] = get_args(Kind)
    for name in known:
        if name == kind:
            return name
    raise InputError(f'"{kind}" is no kind of notes', mend=f"use one of {', '.join(known)}")


def _based(turn: Turn, base: Turn | None) -> Turn:
    """The turn with what the file leaves open filled from `base`."""
    if base is None:
        return turn
    fill = {f: getattr(base, f) for f in _BASE if getattr(turn, f) is None and getattr(base, f) is not None}
    return replace(turn, **fill) if fill else turn
