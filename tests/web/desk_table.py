"""An invented table for the desk: two coffees, two brews, voices without names in the middle, a recording of tones."""

from __future__ import annotations

import math
import struct
import wave
from pathlib import Path
from typing import Any

from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.desk.state import state

SESSION = """\
session: quay-table
date: 2026-04-11
blind: true
tasters: [mira, otto, pilar]
audio: table.wav
coffees:
  alder: {name: Alder Bank, process: washed, claims: [plum]}
  rook: {name: Rook Hill, process: natural}
brews:
  filter: {method: filter, dose_g: 15, water_g: 250}
  espresso: {method: espresso, dose_g: 18, yield_g: 38}
notes:
  - {source: table.vtt}
  - {taster: otto, coffee: rook, brew: espresso, moment: cool, text: "cooling to plum jam, maybe quince"}
"""

CUES = (
    ("Mira", "Alder Bank first, on filter. Okay, hot."),
    ("Mira", "I get plum, lots of plum, and black tea."),
    ("Otto", "Plum for me too, and a bit of bergamot. No lemon."),
    ("Pilar", "Mind the orange kettle. I taste cocoa and, hm, orinje."),
    ("", "Then it turns to toffee and apricot. I get toffee."),
    ("", "Toffee, yes. And the body is silky."),
    ("Mira", "Now the espresso, still Alder Bank."),
    ("Otto", "Dark chocolate. A whiff of walnut."),
    ("Pilar", "I get dark chocolate too, and molasses."),
    ("Mira", "Rook Hill now, on filter, hot."),
    ("Otto", "Strawberry jam, loads of it. Earthy too. And it is a bit medicinal."),
    ("Pilar", "Same here, and boozy. He tastes the cherry. Otto tastes lime. Or prunes, Mira tastes them."),
)
SECONDS = 4


def make_table(folder: Path) -> Path:
    """The session's file, with all it names beside it."""
    lines = ["WEBVTT", ""]
    for n, (who, text) in enumerate(CUES):
        at, until = n * SECONDS, (n + 1) * SECONDS
        said = f"<v {who}>{text}</v>" if who else text
        lines += [f"00:00:{at:02}.000 --> 00:00:{until:02}.000", said, ""]
    (folder / "table.vtt").write_text("\n".join(lines), encoding="utf-8")
    path = folder / "session.yaml"
    path.write_text(SESSION, encoding="utf-8")
    with wave.open(str(folder / "table.wav"), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(8000)
        tone = (int(3000 * math.sin(2 * math.pi * 220 * i / 8000)) for i in range(8000 * SECONDS * len(CUES)))
        out.writeframes(b"".join(struct.pack("<h", s) for s in tone))
    return path


def most_heard(quay: Sitting) -> dict[str, Any]:
    """The note of the first coffee that was said most often."""
    words = [word for word in state(quay, "alder")["map"]["words"] if not word["broad"]]
    return max(words, key=lambda word: len(word["heard"]))
