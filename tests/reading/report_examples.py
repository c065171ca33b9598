"""A reading made by hand: one of everything that the report, the marked page and the review must show."""

from __future__ import annotations

from functools import lru_cache

from tastevocab.reading.records import (
    AttributeFinding,
    Finding,
    Reading,
    SetAside,
    Spot,
    Suggestion,
    Unresolved,
)
from tastevocab.reading.review.question import Desk
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.vocabulary.load import load
from tastevocab.vocabulary.model import TwoFaced

TEXT = (
    "Mira: The orange kettle is on. Loads of blackberry, I get burger mott too.\n"
    "Otto: Same! No lemon though. Maybe a little fig, and something earthy.\n"
    "Mira: Bright. A whiff of kumquish at the end. <b>Cola</b> & phenolic?\n"
    "Otto: Hardly any plum. Rather round?\n"
)
BLACKBERRY = "hedgerow_vine/dark_berries/blackberry"
BERGAMOT = "citrus_crate/peel_oil/bergamot"
FIG = "reach/fig"
PLUM = "orchard/plums"


def spot(words: str, speaker: str, at: float | None = None, *, nth: int = 1, **more: object) -> Spot:
    """Where `words` stand in `TEXT` (its `nth` occurrence)."""
    start = -1
    for _ in range(nth):
        start = TEXT.index(words, start + 1)
    return Spot(words, (start, start + len(words)), "table.txt", speaker=speaker, at=at, **more)  # type: ignore[arg-type]


def example() -> Reading:
    """The reading of `TEXT`."""
    berry = spot("Loads of blackberry", "Mira", 4.2, moment="hot", place="front", brew="filter")
    return Reading(
        findings=(
            Finding("f1", BLACKBERRY, berry, degree="strong", strength=34.7),
            Finding("f2", BERGAMOT, spot("burger mott", "Mira", 6.0), via="heard", match=0.9),
            Finding("f3", BLACKBERRY, spot("Same!", "Otto", 65.0), standing="echo"),
            Finding("f4", "citrus_crate/lemon_lime/lemon", spot("No lemon", "Otto", 66.0), present=False),
            Finding(
                "f5",
                FIG,
                spot("Maybe a little fig", "Otto", 68.0),
                degree="weak",
                strength=6.1,
                certainty=0.25,
                hedged=True,
            ),
            Finding("f6", "reach/earthy", spot("earthy", "Otto", 70.0), two_faced=True),
            Finding("f7", "yard_faults/drying_mould/phenolic", spot("phenolic", "Mira", 3601.0), fault=True),
        ),
        attributes=(AttributeFinding("a1", "acidity", "high", 4.0, spot("Bright", "Mira", 75.0)),),
        set_aside=(
            SetAside(spot("orange kettle", "Mira", 1.0), "equipment", "citrus_crate/orange_mandarin/sweet_orange"),
        ),
        unresolved=(
            Unresolved(
                spot("kumquish", "Mira", 77.0, place="finish"),
                (
                    Suggestion("citrus_crate/orange_mandarin/kumquat", 0.75),
                    Suggestion("orchard/sweet_apple_pear/quince", 0.61),
                ),
            ),
        ),
        speakers={"Mira": 2, "Otto": 2},
        asked=(
            Finding(
                "f8",
                PLUM,
                spot("Hardly any plum", "Otto", 80.0),
                present=False,
                sure=0.72,
                signs=("+ means it", "- polarity"),
                asked=True,
            ),
            AttributeFinding("a2", "body", "medium", 3.0, spot("Rather round", "Otto", 82.0), sure=0.4, asked=True),
        ),
    )


EARTHY = TwoFaced(
    "earthy", "reach/earthy", "yard_faults/drying_mould/damp_earth_taint", "Forest floor, or like a wet cellar?"
)


@lru_cache(maxsize=1)
def desk() -> Desk:
    """The vocabulary that ships, with one two-faced word."""
    return Desk(Lexicon(load()).ready(), [EARTHY])
