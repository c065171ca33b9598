"""The typeface: outlines, widths and kerning of characters, read from an open font file.

Lettering is drawn as outlines, so that a print file needs no font. One character is one glyph: no ligatures.
Kerning comes from the font's own pair positioning (GPOS, feature `kern`).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.errors import InputError, Place

if TYPE_CHECKING:
    from tastevocab.wheel.scripts import Setting

WEIGHTS = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf"}

JOINING = ((0x0900, 0x109F), (0x1780, 0x17FF), (0xA980, 0xABFF))
"""Scripts from India to Java whose letters change beside each other (the Unicode Standard, chapters 12, 13, 16, 17)."""
MARKS = ("Mn", "Mc", "Me")

INVISIBLE = frozenset("\u00ad\u200b\u200c\u200d\u2060\ufeff\ufe0e\ufe0f")


@lru_cache(maxsize=8192)
def clean(text: str) -> str:
    """`text` as it can be set: composed characters, single spaces, nothing that XML forbids or that turns the reading
    direction of what follows."""
    composed = unicodedata.normalize("NFC", text)
    kept = (" " if c.isspace() or unicodedata.category(c) == "Cc" else c for c in composed)
    return " ".join("".join(c for c in kept if not _barred(c)).split())


def _joins(character: str) -> bool:
    """Whether a character runs to the left, or joins or stacks with what stands beside it."""
    code = ord(character)
    leftward = unicodedata.bidirectional(character) in ("R", "AL", "AN")
    return leftward or any(low <= code <= high for low, high in JOINING) or unicodedata.category(character) in MARKS


def _barred(character: str) -> bool:
    turns = "\u202a" <= character <= "\u202e" or "\u2066" <= character <= "\u2069"
    return turns or unicodedata.category(character) == "Cs" or character in "\ufffe\uffff"


class Face:
    """One weight of a font: `advance` and `outline` by character, `kern` by pair, all in units of the em."""

    def __init__(self, path: Path, weight: str = "regular") -> None:
        from fontTools.ttLib import TTFont, TTLibError

        self.path = path
        self.weight = weight
        try:
            self._font = TTFont(BytesIO(path.read_bytes()), lazy=True)
            self._names: dict[int, str] = self._font.getBestCmap() or {}
        except (OSError, TTLibError) as problem:
            raise InputError(
                f"cannot be read as a font ({problem})", place=Place(str(path)), mend="name a .ttf or .otf file"
            ) from problem
        self.em: int = self._font["head"].unitsPerEm
        self._glyphs = self._font.getGlyphSet()
        self._outlines: dict[str, str] = {}
        self._advances: dict[str, int] = {}
        self._kerns: dict[tuple[str, str], int] = {}
        self._widths: dict[str, float] = {}
        self._wholes: dict[str, Setting] = {}
        self._alone: dict[str, bool] = {}
        self._pairs: list[Any] | None = None

    def has(self, text: str) -> bool:
        """Whether `text` can be set here letter by letter: every visible one is in the font, runs left to right and
        keeps its shape whatever stands beside it. What cannot is set whole (`set_whole`)."""
        return all(self._stands_alone(c) for c in text)

    def _stands_alone(self, character: str) -> bool:
        if character not in self._alone:
            here = ord(character) in self._names or character in INVISIBLE
            self._alone[character] = here and not _joins(character)
        return self._alone[character]

    def _name(self, character: str) -> str:
        return self._names.get(ord(character), ".notdef")

    def advance(self, character: str) -> int:
        """How far the pen moves on."""
        if character not in self._advances:
            shown = character not in INVISIBLE
            self._advances[character] = self._font["hmtx"][self._name(character)][0] if shown else 0
        return self._advances[character]

    def outline(self, character: str) -> str:
        """The character's outline as SVG path commands relative to its origin ("" for a blank), y running up."""
        if character not in self._outlines:
            from tastevocab.wheel._pen import RelativePen

            pen = RelativePen(self._glyphs)
            if character not in INVISIBLE:
                self._glyphs[self._name(character)].draw(pen)
            self._outlines[character] = pen.path()
        return self._outlines[character]

    def kern(self, left: str, right: str) -> int:
        """The change of distance between two characters (mostly negative: closer)."""
        pair = (left, right)
        if pair not in self._kerns:
            self._kerns[pair] = self._look_up(self._name(left), self._name(right))
        return self._kerns[pair]

    def _look_up(self, left: str, right: str) -> int:
        if self._pairs is None:
            self._pairs = list(_pair_tables(self._font))
        for table in self._pairs:
            if left not in table.Coverage.glyphs:
                continue
            value = _pair_value(table, left, right)
            if value is not None:
                return value
        return 0

    def positions(self, text: str) -> list[int]:
        """Where each character of `text` starts, and at the end where the line ends."""
        at, out = 0, []
        for i, character in enumerate(text):
            if i:
                at += self.kern(text[i - 1], character)
            out.append(at)
            at += self.advance(character)
        return [*out, at]

    def width(self, text: str) -> float:
        """Length of a line of `text` in em."""
        if text not in self._widths:
            alone = self.has(text)
            self._widths[text] = self.positions(text)[-1] / self.em if alone else self.set_whole(text).width
        return self._widths[text]

    def set_whole(self, text: str) -> Setting:
        """A line that cannot be set letter by letter, each letter in the first font that has it: this one, ours, then
        those for other scripts. Raises `InputError` that names the letters no font has."""
        if text not in self._wholes:
            from tastevocab.wheel.scripts import set_line

            own = _shipped(self.weight)
            self._wholes[text] = set_line(text, self.weight, [self.path, *([own] if own != self.path else [])])
        return self._wholes[text]


def _pair_tables(font: Any) -> Iterator[Any]:
    if "GPOS" not in font:
        return
    table = font["GPOS"].table
    if not table.FeatureList or not table.LookupList:
        return
    wanted = sorted(
        {i for r in table.FeatureList.FeatureRecord if r.FeatureTag == "kern" for i in r.Feature.LookupListIndex}
    )
    for i in wanted:
        for sub in table.LookupList.Lookup[i].SubTable:
            inner = getattr(sub, "ExtSubTable", sub)
            if type(inner).__name__ == "PairPos":
                yield inner


def _pair_value(table: Any, left: str, right: str) -> int | None:
    """The pair's own value in one table; None when the table does not speak of it (the next one may)."""
    if table.Format == 1:
        records = table.PairSet[table.Coverage.glyphs.index(left)].PairValueRecord
        found = next((r for r in records if r.SecondGlyph == right), None)
        return int(getattr(found.Value1, "XAdvance", 0) or 0) if found else None
    first = table.ClassDef1.classDefs.get(left, 0)
    second = table.ClassDef2.classDefs.get(right, 0)
    value = table.Class1Record[first].Class2Record[second].Value1
    return int(getattr(value, "XAdvance", 0) or 0)


@lru_cache(maxsize=16)
def face(weight: str, font: str = "") -> Face:
    """The face for a weight ("regular", "semibold"); `font` names a font file to use for both instead of our own.

    Raises `InputError` when that file is no font.
    """
    return Face(Path(font) if font else _shipped(weight), weight)


def _shipped(weight: str) -> Path:
    import font_source_sans_pro

    return Path(font_source_sans_pro.font_directory) / WEIGHTS[weight]
