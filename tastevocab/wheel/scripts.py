"""Letters that our typeface lacks: open fonts of other scripts, shaped and ordered as each script wants it.

The fonts are Noto's, from the packages manimgx-fonts and manimgx-fonts-cjk (SIL Open Font License 1.1). HarfBuzz joins
and stacks what a script joins and stacks; the direction follows the Unicode Bidirectional Algorithm (UAX 9).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from fontTools.pens.basePen import BasePen

from tastevocab.errors import InputError
from tastevocab.wheel.drawing import Command

EM = 1000
"""Units of the em in which outlines are given here, whatever the font's own."""
WEIGHT_AXIS = {"regular": 400.0, "semibold": 600.0}
JOINED = ("Mn", "Mc", "Me", "Cf")
"""Categories of characters that stay with the letter before them."""
SELECTORS = "\ufe0e\ufe0f"
"""They choose between a plain and a coloured picture: nothing to draw."""
EAST_ASIAN = ("HANGUL", "HIRAGANA", "KATAKANA")
COLLECTION = {"HANGUL": 1, "HIRAGANA": 0, "KATAKANA": 0, "": 2}
"""Which font of the collection sets a line: Korean, Japanese, else simplified Chinese."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A line set whole: its outline in thousandths of the em, y running up from the baseline, and its width in em."""

    commands: tuple[Command, ...]
    width: float


@dataclass(frozen=True, slots=True)
class _Font:
    """A font file made ready: which characters it has, and HarfBuzz's view of it."""

    file: str
    has: Any
    shaper: Any
    em: int


def set_line(text: str, weight: str, first: Sequence[Path]) -> Setting:
    """`text` set in the fonts of `first`, character by character in the first font that has it, then in those for
    other scripts. `weight` is "regular" or "semibold".

    Raises `InputError` that names the characters no font has.
    """
    runs: list[tuple[_Font, str, bool]] = []
    missing: list[str] = []
    for piece, rightward in _directions(text):
        for font, part in _by_font(piece, weight, tuple(first), missing):
            runs.append((font, part, rightward))
    if missing:
        raise InputError(
            f"no font here has {', '.join(_named(c) for c in dict.fromkeys(missing))}, which stands in “{text}”",
            mend="write it in other letters, or name a font that has them (`font:` in the house style)"
            + ("" if _east_asian() else "; for Chinese, Japanese and Korean: pip install 'tastevocab[cjk]'"),
        )
    pen, at = _Pen(), 0.0
    for font, part, rightward in runs:
        at = _shape(font, part, rightward, pen, at)
    return Setting(tuple(pen.commands), at / EM)


def _named(character: str) -> str:
    return f"{character} (U+{ord(character):04X} {unicodedata.name(character, 'unnamed')})"


# --- order ---


def _directions(text: str) -> Iterator[tuple[str, bool]]:
    """Pieces of one direction in the order they are seen from the left, and whether each runs to the right (UAX 9)."""
    from fpdf.bidi import BidiParagraph

    pieces: list[tuple[str, int]] = []
    for character in BidiParagraph(text).get_characters_with_embedding_level():
        level = int(character.embedding_level)
        if pieces and pieces[-1][1] == level:
            pieces[-1] = (pieces[-1][0] + character.character, level)
        else:
            pieces.append((character.character, level))
    for level in range(max((at for _, at in pieces), default=0), 0, -1):  # rule L2
        pieces = _turned(pieces, level)
    for piece, level in pieces:
        yield piece, level % 2 == 0


def _turned(pieces: list[tuple[str, int]], level: int) -> list[tuple[str, int]]:
    out: list[tuple[str, int]] = []
    held: list[tuple[str, int]] = []
    for piece in [*pieces, ("", -1)]:
        if piece[1] >= level:
            held.append(piece)
        else:
            out += [*reversed(held), piece]
            held = []
    return out[:-1]


def _by_font(piece: str, weight: str, first: tuple[Path, ...], missing: list[str]) -> list[tuple[_Font, str]]:
    """The piece in runs of one font each, as seen from the left for what runs to the right."""
    runs: list[tuple[_Font, str]] = []
    collection = next((COLLECTION[s] for s in EAST_ASIAN if any(s in unicodedata.name(c, "") for c in piece)), 2)
    fonts = [_open(str(path), 0, weight) for path in first]
    for letter in _letters(piece):
        needed = [ord(c) for c in letter if unicodedata.category(c) != "Cf" and c not in SELECTORS]
        last = [runs[-1][0]] if runs and letter == " " else []
        font = next((f for f in (*last, *fonts, *_others(weight, collection)) if all(c in f.has for c in needed)), None)
        if font is None:
            missing += letter
        elif runs and runs[-1][0] is font:
            runs[-1] = (font, runs[-1][1] + letter)
        else:
            runs.append((font, letter))
    return list(reversed(runs)) if piece and _leftward(piece) else runs


def _letters(piece: str) -> list[str]:
    """The characters, each with the marks and joiners that follow it."""
    out: list[str] = []
    for character in piece:
        if out and unicodedata.category(character) in JOINED:
            out[-1] += character
        else:
            out.append(character)
    return out


def _leftward(piece: str) -> bool:
    return any(unicodedata.bidirectional(c) in ("R", "AL") for c in piece)


# --- fonts ---


def _others(weight: str, collection: int) -> Iterator[_Font]:
    for file in _files():
        yield _open(file, collection if file.endswith(".ttc") else 0, weight)


@lru_cache(maxsize=1)
def _files() -> tuple[str, ...]:
    """The fonts of other scripts that are installed: plain Noto Sans first, symbols and emoji after the scripts."""
    import manimgx_fonts

    packages = [manimgx_fonts]
    if _east_asian():
        import manimgx_fonts_cjk

        packages.append(manimgx_fonts_cjk)
    found: list[str] = []
    for package in packages:
        files = (str(file) for file in Path(package.__file__).parent.iterdir() if file.suffix in (".ttf", ".ttc"))
        upright = (name for name in files if "Italic" not in name)
        found += sorted(upright, key=lambda n: ("NotoSans[" not in n, "Symbols" in n or "Emoji" in n, n))
    return tuple(found)


def _east_asian() -> bool:
    """Whether the fonts of Chinese, Japanese and Korean are installed: they are large, and an extra."""
    return find_spec("manimgx_fonts_cjk") is not None


@lru_cache(maxsize=128)
def _open(file: str, index: int, weight: str) -> _Font:
    import uharfbuzz as hb

    face = hb.Face(hb.Blob.from_file_path(file), index)
    shaper = hb.Font(face)
    if any(axis.tag == "wght" for axis in face.axis_infos):
        shaper.set_variations({"wght": WEIGHT_AXIS[weight]})
    return _Font(file, face.unicodes, shaper, face.upem)


def _shape(font: _Font, text: str, rightward: bool, pen: _Pen, at: float) -> float:
    """Draws one run from `at` on; gives where the next one starts (thousandths of the em)."""
    import uharfbuzz as hb

    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "ltr" if rightward else "rtl"
    hb.shape(font.shaper, buffer, {"kern": True, "liga": True})
    scale = EM / font.em
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        pen.move(at + place.x_offset * scale, place.y_offset * scale, scale)
        font.shaper.draw_glyph_with_pen(info.codepoint, pen)
        at += place.x_advance * scale
    return at


class _Pen(BasePen):  # type: ignore[misc]
    """Collects outlines as absolute commands in thousandths of the em."""

    def __init__(self) -> None:
        super().__init__(None)
        self.commands: list[Command] = []
        self._x = self._y = 0.0
        self._scale = 1.0

    def move(self, x: float, y: float, scale: float) -> None:
        """Where the next glyph's origin lies."""
        self._x, self._y, self._scale = x, y, scale

    def _at(self, *points: tuple[float, float]) -> list[float]:
        return [round(v, 1) for px, py in points for v in (self._x + px * self._scale, self._y + py * self._scale)]

    def _moveTo(self, point: tuple[float, float]) -> None:
        self.commands.append(("M", *self._at(point)))

    def _lineTo(self, point: tuple[float, float]) -> None:
        self.commands.append(("L", *self._at(point)))

    def _curveToOne(self, first: tuple[float, float], second: tuple[float, float], end: tuple[float, float]) -> None:
        self.commands.append(("C", *self._at(first, second, end)))

    def _closePath(self) -> None:
        self.commands.append(("Z",))
