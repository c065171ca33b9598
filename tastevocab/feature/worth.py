"""What the printed words are worth at this house: how often its tables agree on them, and what is distinct."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tastevocab.feature.house_style import HouseStyle
from tastevocab.feature.material import Material
from tastevocab.feature.said import Word
from tastevocab.feature.wording import Wording

if TYPE_CHECKING:
    from tastevocab.archive.worth import Worth

MOST = 3
"""Words told beside the printed ones, where they set the coffee apart."""


@dataclass(frozen=True, slots=True)
class WordWorth:
    """One word against the archive's other coffees: agreed on for `coffees` of `coffees_of`; here `people` of `of` (all
    brews and moments) found it, `ratio` times as often as elsewhere (`low` to `high`, 95 %). `q` is the chance of so
    many, corrected over all words asked about; `apart` whether it sets the coffee apart, `printed` whether it stands
    on the bag."""

    descriptor: str
    print: str
    people: int
    of: int
    coffees: int
    coffees_of: int
    ratio: float
    low: float
    high: float
    q: float
    apart: bool
    printed: bool
    text: str


def words_worth(
    material: Material, words: Sequence[Word], style: HouseStyle, wording: Wording
) -> tuple[WordWorth, ...]:
    """The worth of the printed `words`, and of others that set the coffee apart; nothing where no archive is named.

    Raises `InputError` where the archive cannot be opened.
    """
    if not style.archive:
        return ()
    from tastevocab.archive.store import opened
    from tastevocab.archive.worth import coffee_worth

    printed = [w.descriptor for w in words]
    with opened(Path(style.archive)) as archive:
        found = coffee_worth(archive, material.gathered, material.coffee.id, material.tools)
    ours = sorted((w for w in found if w.base.descriptor in printed), key=lambda w: printed.index(w.base.descriptor))
    beside = [w for w in found if w.apart and w.base.descriptor not in printed][:MOST]
    return tuple(_told(worth, worth.base.descriptor in printed, wording) for worth in (*ours, *beside))


def _told(worth: Worth, printed: bool, wording: Wording) -> WordWorth:
    from tastevocab.archive.worth import COMMON

    base, lift = worth.base, worth.lift
    kind = "apart" if worth.apart else "common" if base.coffees >= COMMON * base.of else "plain"
    values = {
        "word": base.print,
        "coffees": base.coffees,
        "coffees_of": base.of,
        "counted": wording.counted(worth.people, worth.of),
        "ratio": f"{lift.ratio:.1f}",
        "low": f"{lift.low:.1f}",
        "high": f"{lift.high:.1f}",
    }
    return WordWorth(
        descriptor=base.descriptor,
        print=base.print,
        people=worth.people,
        of=worth.of,
        coffees=base.coffees,
        coffees_of=base.of,
        ratio=round(lift.ratio, 6),
        low=round(lift.low, 6),
        high=round(lift.high, 6),
        q=round(worth.q, 6),
        apart=worth.apart,
        printed=printed,
        text=wording.say(f"worth.{kind}", **values),
    )
