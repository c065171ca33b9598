"""Timed pieces of talk to turns: who speaks in each piece, and where one speaker's turn ends."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from tastevocab.reading.intake.layout import Layout
from tastevocab.reading.intake.names import Names, learn
from tastevocab.reading.intake.strand import Strand, join
from tastevocab.reading.records import Turn

# House values: a longer silence ends a turn; speech runs at about this pace where a file gives no end times.
SILENCE_S = 20.0
_CHARACTERS_PER_SECOND = 14.0
# A phrase runs on into the next unlabelled cue only if that follows within this time.
_RUN_ON_S = 2.0

_LEAD = re.compile(r"[ \t]*(?P<mark>>>+|[-–—•][ \t]+)?[ \t]*")
_ENDED = re.compile(r"[.!?…][\"'”’)\]»]*$")


@dataclass(frozen=True, slots=True)
class Cue:
    """One caption, or one stamped line: its times in seconds (None: not said), its words, its line in the file.

    `voices` are the words of each labelled voice in it, in order; a voice None is not labelled.
    """

    start: float | None
    end: float | None
    voices: tuple[tuple[str | None, Strand], ...]
    line: int = 0


@dataclass(frozen=True, slots=True)
class Piece:
    """Words of one mouth within one cue. `fresh`: these begin a turn whoever spoke before."""

    strand: Strand
    speaker: str | None
    fresh: bool
    start: float | None
    end: float | None
    line: int


def line_counter(text: str) -> Callable[[int], int]:
    """A function from a position in `text` to its line, counted from 1."""
    ends = [m.start() for m in re.finditer("\n", text)]
    return lambda position: bisect_left(ends, position) + 1


def turns_of_cues(
    cues: Sequence[Cue], *, text: str, source: str, layout: Layout, running: bool = False
) -> tuple[Turn, ...]:
    """Join cues into turns.

    A voice label or a name before the words says who speaks. Where a file names speakers before their words, a cue
    without a name goes on with the last one; where every cue has a voice label, only an unfinished sentence goes on.
    A file without any labels gives a turn a cue, speaker unknown, unless a phrase plainly runs on; with `running`
    (cues cut by width, not by mouth) everything runs on until a pause.
    """
    voiced = any(voice for cue in cues for voice, _ in cue.voices)
    starts = [
        _after_lead(line) for cue in cues for voice, strand in cue.voices if not voice for line in _lines(strand.text)
    ]
    names = learn(starts, layout, whole=text)
    where = line_counter(text)
    raw = [piece for cue in cues for piece in _pieces(cue, names, where, labelled=voiced or bool(names))]
    marks = sum(strand.text.count(">>") for cue in cues for _, strand in cue.voices) > 1
    ended = sum(1 for p in raw if _ENDED.search(p.strand.text)) * 3 >= len(raw)
    told = _Told(bool(names), voiced, marks, ended, running)
    return _gather(list(_attribute(raw, told)), source)


class _Told(NamedTuple):
    """What a file tells of who speaks: whether it has `names` before the words, voice labels (`voiced`) or `marks`
    where another mouth begins, whether its sentences are `ended`, whether all is `running` on until a pause."""

    names: bool
    voiced: bool
    marks: bool
    ended: bool
    running: bool


def _lines(text: str) -> list[str]:
    return text.split("\n")


def _after_lead(line: str) -> str:
    match = _LEAD.match(line)
    return line[match.end() :] if match else line


def _pieces(cue: Cue, names: Names, where: Callable[[int], int], *, labelled: bool) -> Iterator[Piece]:
    """The cue's words cut where a name, a dash or a turn mark says that another mouth begins."""
    for voice, strand in cue.voices:
        dashes = sum(
            1
            for line in _lines(strand.text)
            if (m := _LEAD.match(line)) and (m["mark"] or "").strip() in ("-", "–", "—")
        )
        marked = dashes > 1 or not labelled
        bounds = _bounds(strand.text, Names() if voice else names, dashes_count=marked)
        for (begin, words, name, mark), after in zip(
            bounds, [*(b[0] for b in bounds[1:]), len(strand.text)], strict=True
        ):
            part = strand.cut(words, after).trim()
            if part.text:
                fresh = mark and not voice
                yield Piece(part, voice or name, fresh, cue.start, cue.end, where(part.where(0)))
            del begin


def _bounds(text: str, names: Names, *, dashes_count: bool) -> list[tuple[int, int, str | None, bool]]:
    """Where mouths begin in a cue's words: (place, place of the first word, name, whether a mark stands there)."""
    found: list[tuple[int, int, str | None, bool]] = []
    for match in re.finditer(r"^|>>+", text, re.MULTILINE):
        lead = _LEAD.match(text, match.start())
        assert lead is not None  # every part of the pattern may be empty
        mark = lead["mark"] or ""
        named = names.before(text, lead.end())
        counts = mark.startswith(">") or (bool(mark) and dashes_count)
        if found and not named and not counts:
            continue
        start, begin = match.start(), (named[1] if named else lead.end())
        if found and start <= found[-1][1] and start < found[-1][1]:
            continue
        found.append((start, begin, named[0] if named else None, counts))
    return found


def _attribute(pieces: Sequence[Piece], told: _Told) -> Iterator[Piece]:
    """Give pieces without a name the mouth they go on from, or none; say which begin a turn."""
    before: Piece | None = None
    for piece in pieces:
        if piece.speaker is None:
            piece = _unnamed(piece, before, told)
        else:
            piece = Piece(piece.strand, piece.speaker, False, piece.start, piece.end, piece.line)
        yield piece
        before = piece


def _unnamed(piece: Piece, before: Piece | None, told: _Told) -> Piece:
    """A piece without a name, as the one before it goes on or as a mouth unknown.

    Marks or names before the words say where mouths change, so that what has neither goes on. Else only an unfinished
    sentence goes on, and for an unknown mouth only where the file ends its sentences.
    """
    speaker, goes_on = None, False
    if before is not None and not piece.fresh:
        silence = _silence(before, piece)
        near = silence is None or silence <= _RUN_ON_S
        unfinished = near and not _ENDED.search(before.strand.text)
        known = told.voiced and before.speaker is not None
        runs_on = (told.running and near) or (unfinished and (known or (told.ended and piece.strand.text[0].islower())))
        goes_on = told.marks or (told.names and not told.voiced) or runs_on
        speaker = before.speaker if goes_on else None
    return Piece(piece.strand, speaker, not goes_on, piece.start, piece.end, piece.line)


def _silence(before: Piece, piece: Piece) -> float | None:
    """Seconds between two pieces; the first one's end is guessed from its length where the file has none."""
    if before.start is None or piece.start is None:
        return None
    if piece.start < before.start - SILENCE_S:
        return before.start - piece.start
    end = before.end if before.end is not None else before.start + len(before.strand.text) / _CHARACTERS_PER_SECOND
    return piece.start - end


def _gather(pieces: Sequence[Piece], source: str) -> tuple[Turn, ...]:
    turns: list[Turn] = []
    run: list[Piece] = []
    for piece in pieces:
        if run and (piece.fresh or piece.speaker != run[-1].speaker or (_silence(run[-1], piece) or 0.0) > SILENCE_S):
            turns.append(_turn(run, source))
            run = []
        run.append(piece)
    return (*turns, _turn(run, source)) if run else tuple(turns)


def _turn(run: Sequence[Piece], source: str) -> Turn:
    times: list[tuple[int, float]] = []
    length = 0
    for piece in run:
        if piece.start is not None and (not times or times[-1][1] != piece.start):
            times.append((length, piece.start))
        length += len(piece.strand.text) + 1
    whole = join((p.strand for p in run), " ")
    return said(whole, source, speaker=run[0].speaker, line=run[0].line, times=tuple(times))


def with_offers(turns: Sequence[Turn], offers: Sequence[tuple[int, int, str]]) -> tuple[Turn, ...]:
    """The turns, each with the offers (words [start, end) of the file, and others heard there) that lie in it."""
    made = []
    for turn in turns:
        places = _Places(turn)
        ends = [(places.of(start), places.of(end - 1), heard) for start, end, heard in offers]
        own = tuple((start, last + 1, heard) for start, last, heard in ends if start is not None and last is not None)
        made.append(replace(turn, offers=own) if own else turn)
    return tuple(made)


def with_times(turns: Sequence[Turn], stamps: Sequence[tuple[int, float]]) -> tuple[Turn, ...]:
    """The turns with the second of single words (place in the file, second) beside those of their cues."""
    made = []
    for turn in turns:
        places = _Places(turn)
        near = stamps[bisect_left(stamps, (places.first, -1.0)) : bisect_left(stamps, (places.end, -1.0))]
        stamped = ((places.of(at), second) for at, second in near)
        own = {place: second for place, second in stamped if place is not None}
        made.append(replace(turn, times=tuple(sorted({**dict(turn.times), **own}.items()))) if own else turn)
    return tuple(made)


class _Places:
    """From a place in the file to the place in a turn's text."""

    def __init__(self, turn: Turn) -> None:
        ends = (*(position for position, _ in turn.offsets[1:]), len(turn.text))
        self._runs = sorted((at, start, end - start) for (start, at), end in zip(turn.offsets, ends, strict=True))
        self.first, self.end = self._runs[0][0], self._runs[-1][0] + self._runs[-1][2]

    def of(self, place: int) -> int | None:
        """The place in the text, None where the file's character is not in it."""
        n = bisect_right(self._runs, (place, 1 << 62)) - 1
        if n < 0:
            return None
        at, start, length = self._runs[n]
        return start + place - at if place - at < length else None


def said(
    strand: Strand, source: str, *, speaker: str | None, line: int, times: tuple[tuple[int, float], ...] = ()
) -> Turn:
    """A turn of talk out of a strand; line breaks become spaces, one for one, so that places stay."""
    return Turn(strand.text.replace("\n", " "), source, strand.offsets, times, speaker, line=line)
