"""WebVTT and SubRip to cues: blocks, times, voices, tags and entities, with the exact place of every word.

Own grammar instead of a captions library's, because those give the words without their places in the file. It follows
the W3C's WebVTT text where a file is well formed and goes on as a person would where it is not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import unescape

from tastevocab.errors import InputError, Place
from tastevocab.reading.intake.speech import Cue
from tastevocab.reading.intake.strand import Strand, join

_VTT_TIME = re.compile(r"(?:(\d{1,}):)?(\d\d):(\d\d)\.(\d{3})")
_ANY_TIME = re.compile(r"(?:(\d+):)?(\d{1,2}):(\d{1,2})(?:[.,:](\d{1,3}))?")
_HEADER = re.compile("\ufeff?WEBVTT(?:[ \t].*)?")
_TAGS = r"c|i|b|u|s|v|lang|ruby|rt|font|strong|em|span|p|br"
_MARKUP = re.compile(
    rf"<(?P<close>/)?(?P<tag>{_TAGS})(?P<classes>(?:\.[^\s<>.]*)*)(?:[ \t\n]+(?P<note>[^<>]*))?/?>"
    r"|<\d[\d:.]*>|\{\\[^{}\n]*\}|\{[yYcCfFsSpP]:[^{}\n]*\}",
    re.IGNORECASE,
)
# Words, and over them what was heard there with the house's words (`captioning` writes it).
_OFFER = re.compile(r"<ruby>(?P<words>[^<>]*)<rt\.house>(?P<heard>[^<>]*)</rt></ruby>")
_STAMP = re.compile(r"<(?P<time>\d[\d:.]*)>(?:<ruby>)?\s*")
_ENTITY = re.compile(r"&(?:[A-Za-z]{2,8}|#\d{1,7}|#[xX][0-9A-Fa-f]{1,6});")
_TIMING = re.compile(r"\d[\d:.,]*\s*-->|-->\s*\d")
_DASH = re.compile(r"(?:^|(?<=\n))[ \t]*[-–—][ \t]*\Z")
_WORD_TIME = re.compile(r"<\d\d:\d\d:\d\d\.\d{3}><c>")
_LINE = re.compile(r"[^\n]+")
_NUMBER = re.compile(r"\s*\d+\s*")


def vtt_seconds(text: str) -> float | None:
    """A WebVTT time stamp in seconds, None where the text is none.

    `[hours:]minutes:seconds.thousandths`; minutes and seconds two digits up to 59, three digits after a full stop. One
    digit for the hours is read although the W3C's text does not let a writer write it.
    """
    match = _VTT_TIME.fullmatch(text)
    return _seconds(match) if match and int(match[2]) < 60 and int(match[3]) < 60 else None


def srt_seconds(text: str) -> float | None:
    """A SubRip time stamp in seconds, None where the text is none: `hours:minutes:seconds,thousandths`.

    A full stop for the comma, missing hours and short fields are read as well, for there is no standard to lean on.
    """
    match = _ANY_TIME.fullmatch(text)
    return _seconds(match) if match and int(match[2]) < 60 and int(match[3]) < 60 else None


def _seconds(match: re.Match[str]) -> float:
    thousandths = int((match[4] or "0").ljust(3, "0"))
    return (int(match[1] or 0) * 3_600_000 + int(match[2]) * 60_000 + int(match[3]) * 1000 + thousandths) / 1000


def caption_cues(text: str, kind: str, source: str) -> tuple[tuple[Cue, ...], tuple[str, ...]]:
    """The cues of a caption file (`kind` "vtt" or "srt"), and sentences about what was mended in reading it.

    A timing line that cannot be read costs the time, not the words. Raises `InputError` where there is no cue at all.
    """
    blocks, notices = _blocks(text, kind, source)
    cues = tuple(Cue(b.start, b.end, tuple(voices(b.strand)), b.line) for b in blocks)
    if is_running(text):
        cues = tuple(_without_repeats(cues))
    if not blocks:
        name = "WebVTT" if kind == "vtt" else "SubRip"
        raise InputError(
            f"holds no {name} cue: a line such as 00:00:01.000 --> 00:00:04.000 above the words was expected",
            place=Place(source),
            mend="export the captions again, or give the talk as plain text",
        )
    return cues, notices


@dataclass(frozen=True, slots=True)
class _Block:
    start: float | None
    end: float | None
    strand: Strand
    line: int


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    at: int
    number: int

    @property
    def blank(self) -> bool:
        return not self.text.strip()

    @property
    def timing(self) -> bool:
        return "-->" in self.text and bool(_TIMING.search(self.text))


def _blocks(text: str, kind: str, source: str) -> tuple[list[_Block], tuple[str, ...]]:
    lines = list(_lines(text))
    notices: list[str] = []
    at = 0
    if kind == "vtt":
        at = _skip_header(lines, source, notices)
    found: list[_Block] = []
    broken: list[int] = []
    stray: list[int] = []
    while at < len(lines):
        if lines[at].blank:
            at += 1
        elif lines[at].timing:
            block, at = _cue(text, lines, at, kind, broken)
            found.append(block)
        elif at + 1 < len(lines) and lines[at + 1].timing and (kind == "vtt" or _NUMBER.fullmatch(lines[at].text)):
            at += 1  # the cue's identifier or number
        elif kind == "vtt" and _aside(lines, at):
            at = _block_end(lines, at)
        else:
            end = _block_end(lines, at)
            if found:
                stray.append(lines[at].number)
                found[-1] = _longer(found[-1], _payload(text, lines, at, end))
            at = end
    notices += _mended(source, broken, "the time of this cue cannot be read; its words are kept without a time")
    notices += _mended(source, stray, "words outside a cue were read as part of the cue before them")
    return found, tuple(notices)


def _lines(text: str) -> Iterator[_Line]:
    at = 0
    for number, line in enumerate(text.split("\n"), 1):
        yield _Line(line, at, number)
        at += len(line) + 1


def _skip_header(lines: list[_Line], source: str, notices: list[str]) -> int:
    if not _HEADER.fullmatch(lines[0].text):
        notices.append(f"{source}:1: the first line of a WebVTT file should be WEBVTT; the rest was read all the same.")
        return 0
    at = 1
    while at < len(lines) and not lines[at].blank and not lines[at].timing:
        if at + 1 < len(lines) and lines[at + 1].timing:
            break
        at += 1
    return at


def _aside(lines: list[_Line], at: int) -> bool:
    """Whether a comment, style or region block begins here."""
    first = lines[at].text
    return first == "NOTE" or first.startswith(("NOTE ", "NOTE\t")) or first.rstrip() in ("STYLE", "REGION")


def _block_end(lines: list[_Line], at: int) -> int:
    while at < len(lines) and not _ends(lines, at) and not lines[at].timing:
        at += 1
    if at < len(lines) and lines[at].timing and not lines[at - 1].blank and _NUMBER.fullmatch(lines[at - 1].text):
        return at - 1
    return at


def _ends(lines: list[_Line], at: int) -> bool:
    """Whether a line ends its block: an empty one does; one of spaces only if no words of the cue come after it."""
    after = lines[at + 1 : at + 3]
    return lines[at].blank and (not lines[at].text or not after or after[0].blank or any(a.timing for a in after))


def _cue(text: str, lines: list[_Line], at: int, kind: str, broken: list[int]) -> tuple[_Block, int]:
    """The cue whose timing line is at `at`, and where the next block begins (a blank line between may be missing)."""
    timing = lines[at]
    times = _times(timing.text, kind)
    if times is None:
        broken.append(timing.number)
    end = max(_block_end(lines, at + 1), at + 1)
    start, stop = times or (None, None)
    return _Block(start, stop, _payload(text, lines, at + 1, end), timing.number), end


def _payload(text: str, lines: list[_Line], first: int, end: int) -> Strand:
    if first >= end:
        return Strand("")
    return Strand.of(text, lines[first].at, lines[end - 1].at + len(lines[end - 1].text))


def _times(line: str, kind: str) -> tuple[float, float] | None:
    before, _, after = line.partition("-->")
    last = after.split()
    seconds = vtt_seconds if kind == "vtt" else srt_seconds
    start, end = seconds(before.strip()), seconds(last[0]) if last else None
    if start is None or end is None:
        start, end = srt_seconds(before.strip()), srt_seconds(last[0]) if last else None
    return None if start is None or end is None else (start, end)


def _longer(block: _Block, more: Strand) -> _Block:
    return _Block(block.start, block.end, join([block.strand, more], " "), block.line)


def _mended(source: str, lines: list[int], what: str) -> list[str]:
    """One sentence for all the lines with the same trouble."""
    if not lines:
        return []
    more = f" (and {len(lines) - 1} more such)" if len(lines) > 1 else ""
    return [f"{source}:{lines[0]}: {what}{more}."]


def voices(strand: Strand) -> Iterator[tuple[str | None, Strand]]:
    """The words of a cue by voice, tags and time marks taken out, entities read; a voice None is not labelled."""
    voice: str | None = None
    parts: list[Strand] = []
    done = 0
    for match in _MARKUP.finditer(strand.text):
        tag = (match["tag"] or "").lower()
        if not (tag == "rt" and match["close"]):  # what stands over words is none of them
            parts.append(strand.cut(done, match.start()))
        done = match.end()
        if tag == "br":
            parts.append(Strand("\n", ((0, strand.where(match.start())),)))
        elif tag == "v":
            yield from _spoken(voice, [*parts[:-1], parts[-1].replace(_DASH, lambda _: "")])
            parts = []
            voice = None if match["close"] else (unescape(" ".join((match["note"] or "").split())) or None)
    yield from _spoken(voice, [*parts, strand.cut(done)])


def offers_in(text: str) -> Iterator[tuple[int, int, str]]:
    """The words [start, end) of a caption file over which others stand that only a recogniser with the house's words
    heard, and those: `<ruby>black current<rt.house>blackcurrant</rt></ruby>`."""
    for match in _OFFER.finditer(text):
        heard = " ".join(unescape(match["heard"]).split())
        if heard and match["words"].strip():
            yield match.start("words"), match.end("words"), heard


def stamps_in(text: str) -> Iterator[tuple[int, float]]:
    """The times within cues: where the words after each begin, and its second. None where a machine rolls lines up."""
    if not is_running(text):
        for match in _STAMP.finditer(text):
            second = vtt_seconds(match["time"])
            if second is not None:
                yield match.end(), second


def is_running(text: str) -> bool:
    """Whether a machine stamped every word: then it cut the cues by width, and shows each line twice as it rolls up."""
    return bool(_WORD_TIME.search(text))


def _without_repeats(cues: Sequence[Cue]) -> Iterator[Cue]:
    """The cues without the lines that the cue before has shown already."""
    shown: set[str] = set()
    for cue in cues:
        kept = []
        for voice, strand in cue.voices:
            new = _unseen(strand, shown)
            if new.text:
                kept.append((voice, new))
        shown = {line.strip() for _, strand in cue.voices for line in strand.text.split("\n")}
        if kept:
            yield Cue(cue.start, cue.end, tuple(kept), cue.line)


def _unseen(strand: Strand, shown: set[str]) -> Strand:
    return strand.replace(_LINE, lambda m: "" if m.group().strip() in shown else m.group()).trim()


def _spoken(voice: str | None, parts: list[Strand]) -> Iterator[tuple[str | None, Strand]]:
    words = read_entities(join(parts)).trim()
    if words.text:
        yield voice, words


def read_entities(strand: Strand) -> Strand:
    """The strand with `&amp;` and its like read as the characters they stand for."""
    return strand.replace(_ENTITY, lambda m: _character(m.group())) if "&" in strand.text else strand


def _character(entity: str) -> str:
    """The character an entity stands for; zero-width marks of direction vanish, what is unknown stays."""
    found = unescape(entity)
    return "" if found in ("\u200e", "\u200f") else found if len(found) == 1 and found >= " " else entity
