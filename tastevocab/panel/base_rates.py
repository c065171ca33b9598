"""Base rates counted from tables of notes: `python -m tastevocab.panel.base_rates NOTES... > base_rates.yaml`."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

from tastevocab.reading.records import Reading

HEAD = """\
# How often each descriptor is named: the part of short typed notes (one drinker on one coffee) that name it. Figures
# only; what is not here was named in none. Made by `python -m tastevocab.panel.base_rates NOTES...`.
"""


def count_notes(readings: Iterable[Reading]) -> tuple[int, Counter[str]]:
    """How many notes there were, and how many of them found each descriptor (own findings, no faults)."""
    notes, named = 0, Counter[str]()
    for reading in readings:
        notes += 1
        named.update({f.descriptor for f in reading.findings if f.present and not f.fault and f.standing == "own"})
    return notes, named


def rates_text(notes: int, named: Counter[str]) -> str:
    """The rates as a vocabulary file, commonest first."""
    lines = [HEAD, f"notes: {notes}\n", "rates:\n"]
    for id, count in sorted(named.items(), key=lambda pair: (-pair[1], pair[0])):
        lines.append(f"  {id}: {count / notes:.6f}\n")
    return "".join(lines)


def main(paths: Sequence[str]) -> None:
    """Read the tables of notes and print their rates."""
    from tastevocab.reading.read import stream_file
    from tastevocab.reading.words.lexicon import open_lexicon

    lexicon = open_lexicon(None, None)
    notes, named = count_notes(reading for path in paths for reading in stream_file(Path(path), lexicon))
    sys.stdout.write(rates_text(notes, named))


if __name__ == "__main__":
    main(sys.argv[1:])
