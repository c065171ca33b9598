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
from typing import Any

from tastevocab.errors import InputError, Place

WEIGHTS = {"regular": "SourceSansPro-Regular.ttf", "semibold": "SourceSansPro-Semibold.ttf"}

INVISIBLE = frozenset("\u00ad\u200b\u200c\u200d\u2060\ufeff\ufe0e\ufe0f")


def clean(text: str) -> str:
    """`text` as it can be set: composed characters, single spaces, nothing that XML forbids or that turns the reading
    direction of what follows."""
    composed = unicodedata.normalize("NFC", text)
    kept = (" " if c.isspace() or unicodedata.category(c) == "Cc" else c for c in composed)
    return " ".join("".join(c for c in kept if not _barred(c)).split())


def _barred(character: str) -> bool:
    turns = "\u202a" <= character <= "\u202e" or "\u2066" <= character <= "\u2069"
    return turns or unicodedata.category(character) == "Cs" or character in "\ufffe\uffff"


class Face:
    """One weight of a font: `advance` and `outline` by character, `kern` by pair, all in units of the em."""

    def __init__(self, path: Path) -> None:
        from fontTools.ttLib import TTFont, TTLibError

        self.path = path
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
        self._pairs: list[Any] | None = None

    def has(self, text: str) -> bool:
        """Whether every visible character of `text` is in the font and runs left to right."""
        return all(ord(c) in self._names or c in INVISIBLE for c in text)

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
            self._widths[text] = self.positions(text)[-1] / self.em if self.has(text) else _rough_width(text)
        return self._widths[text]


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


def _rough_width(text: str) -> float:
    """A safe guess in em for characters another font will draw."""
    wide = sum(1.2 if unicodedata.east_asian_width(c) in "WF" or ord(c) >= 0x1F000 else 0.7 for c in text)
    return float(wide)


@lru_cache(maxsize=16)
def face(weight: str, font: str = "") -> Face:
    """The face for a weight ("regular", "semibold"); `font` names a font file to use for both instead of our own.

    Raises `InputError` when that file is no font.
    """
    if font:
        return Face(Path(font))
    import font_source_sans_pro

    return Face(Path(font_source_sans_pro.font_directory) / WEIGHTS[weight])
