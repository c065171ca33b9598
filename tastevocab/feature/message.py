"""Text messages: what a text costs on a phone, and shortening it until it fits one message."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

BASIC = (
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
"""The basic characters of the GSM 7-bit alphabet (3GPP TS 23.038, 6.2.1; from memory): one unit each."""

EXTENDED = "^{}\\[~]|€\f"
"""Its extension table (6.2.1.1): two units each."""

GSM_UNITS, WIDE_UNITS = 160, 70
"""What one message holds: 160 seven-bit units, or 70 UTF-16 units where a character is in neither table."""

PLAIN = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "…": "...", "·": ".", " ": " "})


@dataclass(frozen=True, slots=True)
class Message:
    """One text message: `units` of at most `limit` in `encoding` ("GSM-7" or "UCS-2")."""

    text: str
    units: int
    limit: int
    encoding: str


def measured(text: str) -> Message:
    """What `text` costs as one message.

    >>> measured("bergamot").units, measured("5 €").units, measured("桃").encoding
    (8, 4, 'UCS-2')
    """
    if all(c in BASIC or c in EXTENDED for c in text):
        return Message(text, len(text) + sum(c in EXTENDED for c in text), GSM_UNITS, "GSM-7")
    return Message(text, len(text.encode("utf-16-le")) // 2, WIDE_UNITS, "UCS-2")


def plain(text: str) -> str:
    """`text` in characters of the GSM alphabet as far as accents and quotes allow; other scripts stay as they are."""
    return "".join(c if c in BASIC or c in EXTENDED else _bare(c) for c in text.translate(PLAIN))


def _bare(character: str) -> str:
    bare = "".join(c for c in unicodedata.normalize("NFKD", character) if not unicodedata.combining(c))
    return bare if bare and all(c in BASIC for c in bare) else character


def fitted(parts: Sequence[str]) -> Message:
    """As many of `parts`, from the first on, as fit one message; the first alone is cut at a word if it must be."""
    kept = [plain(part) for part in parts if part]
    for count in range(len(kept), 0, -1):
        made = measured(" ".join(kept[:count]))
        if made.units <= made.limit:
            return made
    return _cut(kept[0] if kept else "")


def _cut(text: str) -> Message:
    words = text.split()
    for count in range(len(words) - 1, 0, -1):
        made = measured(" ".join(words[:count]).rstrip(",;:") + "...")
        if made.units <= made.limit:
            return made
    made = measured(text)
    while made.units > made.limit:
        made = measured(made.text[:-1])
    return made
