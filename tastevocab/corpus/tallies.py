"""What a crowd adds up to: group-bys over tasters who lie whole in one partition, in rows that are summed.

A row of a tally is a serving, what is counted (`what`), of which `id` and `key`, and four numbers. Certainties are
quarters and strengths whole thousandths, so that sums are exact in any order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from tastevocab.panel.flavour_map import things_by_note
from tastevocab.panel.folding import MODERATE
from tastevocab.panel.summary import Bench, bench
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.vocabulary.things import form_said

if TYPE_CHECKING:
    import pandas as pd

KEYS = ["serving", "what", "id", "key"]
NUMBERS = ["n1", "n2", "n3", "n4"]
WANTED = [
    "kind", "speaker", "note", "coffee", "brew", "moment", "source", "line", "at", "start", "descriptor", "attribute",
    "level", "step", "present", "standing", "strength", "certainty", "state", "fault", "asked", "closing",
]  # fmt: skip
"""The columns of findings that are counted."""
PERSON = ["serving", "taster"]
ONE_SERVING = "coffee"


class Ask(NamedTuple):
    """What a crowd is counted by, with which vocabulary; `named` is false where no row names a serving, and all are
    one."""

    by: str
    vocab: str | None
    house: str | None
    named: bool = True

    def tools(self) -> Bench:
        """The vocabulary made ready, once a process."""
        return _tools(self.vocab, self.house)


@lru_cache(maxsize=2)
def _tools(vocab: str | None, house: str | None) -> Bench:
    return bench(open_vocabulary(Path(vocab) if vocab else None, Path(house) if house else None))


def taken(df: pd.DataFrame, ask: Ask) -> pd.DataFrame:
    """Of a partition of findings what is counted, with `serving` and `taster`: who names none speaks for one note."""
    df = df[df["asked"].ne(True).fillna(True) & df["kind"].isin(["served", "flavour", "attribute"])]
    taster = df["speaker"].where(df["speaker"].notna(), df["note"])
    made = {"serving": df[ask.by] if ask.named else ONE_SERVING, "taster": taster}
    rest = {name: df[name] for name in WANTED if name not in ("speaker", "note", "asked")}
    df = df.assign(**made)[[*made, *rest]]
    return df[df["serving"].notna() & df["taster"].notna()].reset_index(drop=True)


def tally(df: pd.DataFrame, ask: Ask) -> pd.DataFrame:
    """The tallies of tasters who are here with all of their rows."""
    import pandas as pd

    tools = ask.tools()
    parts = [part for part in _tallies(df, tools) if len(part)]
    return pd.concat([empty_tally(), *parts], ignore_index=True) if parts else empty_tally()


def empty_tally() -> pd.DataFrame:
    """A tally without a row."""
    import pandas as pd

    text = {name: pd.Series([], dtype="str") for name in KEYS}
    return pd.DataFrame({**text, **{name: pd.Series([], dtype="float64") for name in NUMBERS}})


def _rows(what: str, counted: pd.DataFrame, id: str = "", key: str = "") -> pd.DataFrame:
    """Tally rows of counts: `counted` has the columns serving, `id` and `key` where they are named, n1 to n4."""
    import pandas as pd

    nothing = pd.Series("", index=counted.index)
    return pd.DataFrame(
        {
            "serving": counted["serving"],
            "what": what,
            "id": counted[id] if id else nothing,
            "key": counted[key].astype("str") if key else nothing,
            **{name: counted[name].astype(float) if name in counted else 0.0 for name in NUMBERS},
        }
    ).astype(dict.fromkeys(KEYS, "str"))


def _count(df: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    return df.groupby(by, sort=False).size().rename("n1").reset_index()


def _tallies(df: pd.DataFrame, tools: Bench) -> Iterator[pd.DataFrame]:
    flavours = df[df["kind"] == "flavour"]
    own = flavours[(flavours["standing"] == "own")]
    there = flavours["present"].astype(bool)
    known = own["descriptor"].isin(tools.spans.order) & ~own["fault"].astype(bool)
    people = present_people(df)
    folded = fold_frame(own[known & own["present"].astype(bool)])
    yield _rows("tasters", _count(people, ["serving"]))
    yield _rows("findings", _count(flavours, ["serving"]))
    yield from _of_folded(folded, tools)
    denied = own[known & ~own["present"].astype(bool)][[*PERSON, "descriptor"]].drop_duplicates()
    yield _rows("denied", _count(denied, ["serving", "descriptor"]), "descriptor")
    beside = flavours[there & ~flavours["fault"].astype(bool) & (flavours["standing"] != "own")]
    yield _rows("beside", _count(beside, ["serving", "standing"]), key="standing")
    yield _rows("moment", _count(flavours.fillna({"moment": ""}), ["serving", "moment"]), key="moment")
    brewed = own[own["present"].astype(bool) & ~own["fault"].astype(bool) & own["brew"].notna()]
    yield _rows("brew", _count(brewed, ["serving", "brew"]), key="brew")
    yield _forms(own[own["present"].astype(bool)], tools)
    yield _attributes(df[df["kind"] == "attribute"], tools)
    yield _faults(own[own["fault"].astype(bool)])


def present_people(df: pd.DataFrame) -> pd.DataFrame:
    """Who had what: a note, or words of their own."""
    return df[(df["kind"] == "served") | (df["standing"] == "own").fillna(False)][PERSON].drop_duplicates()


def fold_frame(own: pd.DataFrame) -> pd.DataFrame:
    """One row a taster, serving and descriptor: the surest, and the strongest in thousandths (moderate if unsaid)."""
    given = own[[*PERSON, "descriptor"]].assign(
        certainty=own["certainty"].astype(float), strength=np.rint(1000 * own["strength"].astype("float64").fillna(-1))
    )
    made = given.groupby([*PERSON, "descriptor"], sort=False).max().reset_index()
    return made.assign(strength=made["strength"].where(made["strength"] >= 0, 1000 * MODERATE))


def at_or_below(folded: pd.DataFrame, tools: Bench) -> pd.DataFrame:
    """One row a taster, serving and id that counts what they found: the surest and the strongest of it."""
    wide = folded.merge(_supports(tools), on="descriptor").drop(columns="descriptor")
    return wide.groupby([*PERSON, "id"], sort=False).max().reset_index()


def _supports(tools: Bench) -> pd.DataFrame:
    """Every descriptor beside each id that a finding of it counts a person for."""
    import pandas as pd

    pairs = [(d, id) for id in tools.spans.ids for d in tools.spans.supports[id]]
    return pd.DataFrame(pairs, columns=["descriptor", "id"])


def _of_folded(folded: pd.DataFrame, tools: Bench) -> Iterator[pd.DataFrame]:
    said = folded.groupby(PERSON, sort=False).size().rename("said").reset_index()
    yield _rows("said", _count(said, ["serving", "said"]), key="said")
    rows = folded.merge(said, on=PERSON)
    rows = rows.assign(n2=rows["certainty"], n3=rows["certainty"] * rows["strength"], n1=1)
    yield _rows("own", _sum(rows, ["serving", "descriptor", "said"]), "descriptor", "said")
    found = at_or_below(folded, tools)
    doubted = found["certainty"].where(found["certainty"] < 1, 0.0)
    found = found.assign(n1=1, n2=found["certainty"], n3=found["certainty"] * found["strength"], n4=doubted)
    yield _rows("at", _sum(found, ["serving", "id"]), "id")
    anywhere = found[["taster", "id"]].drop_duplicates().assign(serving="")
    yield _rows("anywhere", _count(anywhere, ["serving", "id"]), "id")


def _sum(df: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    return df.groupby(by, sort=False)[[name for name in NUMBERS if name in df]].sum().reset_index()


def _forms(found: pd.DataFrame, tools: Bench) -> pd.DataFrame:
    """Who found each thing in which form."""
    import pandas as pd

    vocabulary = tools.vocabulary
    things = things_by_note(tools.spans)
    states = found[["descriptor", "state"]].drop_duplicates()
    table = []
    for id, state in states.itertuples(index=False):
        d = vocabulary.descriptors.get(id)
        if d and d.thing:
            form = form_said(vocabulary.forms, d.form, None if pd.isna(state) else state)
            table += [(id, "" if pd.isna(state) else state, thing, form) for thing in things.get(id, ())]
    listed = pd.DataFrame(table, columns=["descriptor", "state", "thing", "form"], dtype="str")
    wide = found[[*PERSON, "descriptor", "state"]].fillna({"state": ""}).astype({"descriptor": "str", "state": "str"})
    wide = wide.merge(listed, on=["descriptor", "state"])
    distinct = wide[[*PERSON, "thing", "form"]].drop_duplicates()
    return _rows("form", _count(distinct, ["serving", "thing", "form"]), "thing", "form")


def _attributes(found: pd.DataFrame, tools: Bench) -> pd.DataFrame:
    """How many gave each step of an attribute: of several marks of one taster the middle one, the lower of two."""
    counts = (found["standing"] == "own") & (found["present"].astype(bool) | (found["level"] == "none"))
    found = found[counts & found["attribute"].isin(tools.vocabulary.attributes)]
    found = found.sort_values("step", kind="stable")
    groups = found.groupby([*PERSON, "attribute"], sort=False)
    middle = found[groups.cumcount() == (groups["step"].transform("size") - 1) // 2]
    return _rows("attribute", _count(middle, ["serving", "attribute", "step"]), "attribute", "step")


def _faults(found: pd.DataFrame) -> pd.DataFrame:
    """Who named a fault and did not take it back."""
    found = found.assign(at=found["at"].fillna(0.0)).sort_values(["source", "at", "line", "start"], kind="stable")
    said = found.groupby([*PERSON, "descriptor"], sort=False)["present"].last().reset_index()
    return _rows("fault", _count(said[said["present"].astype(bool)], ["serving", "descriptor"]), "descriptor")


def summed(tallies: pd.DataFrame) -> pd.DataFrame:
    """Tallies of one serving or several added up."""
    return tallies.groupby(KEYS, sort=True)[NUMBERS].sum().reset_index()


def people_rows(df: pd.DataFrame, ask: Ask, classes: Mapping[str, Any]) -> pd.DataFrame:
    """What a tally cannot tell of people: of a small serving (`classes` None) every taster's folded words, of another
    how many tasters found which `classes` of descriptors; and who found a word at quorum at which moment."""
    import pandas as pd

    tools = ask.tools()
    own = df[(df["kind"] == "flavour") & (df["standing"] == "own") & df["serving"].isin(list(classes))]
    own = own[own["present"].astype(bool) & ~own["fault"].astype(bool) & own["descriptor"].isin(tools.spans.order)]
    folded, parts = fold_frame(own), [empty_tally()]
    small = [serving for serving, c in classes.items() if c.alike is None]
    people = present_people(df)
    parts.append(_rows("row", people[people["serving"].isin(small)], key="taster"))
    for serving, rows in folded.groupby("serving", sort=True):
        alike = classes[str(serving)].alike
        if alike is None:
            given = rows.assign(n1=rows["certainty"], n2=rows["strength"])
            parts.append(_rows("row", given, "descriptor", "taster"))
        elif alike:
            found = rows.assign(stand=rows["descriptor"].map(alike)).dropna(subset="stand")
            found = found[["taster", "stand"]].drop_duplicates().sort_values(["taster", "stand"])
            together = found.groupby("taster", sort=False)["stand"].agg("|".join).rename("found").reset_index()
            parts.append(_rows("class", _count(together.assign(serving=serving), ["serving", "found"]), "found"))
    heard = own[own["moment"].notna() & ~own["closing"].astype(bool)]
    quorum = pd.DataFrame(
        [(s, id) for s, c in classes.items() for id in c.quorum], columns=["serving", "id"], dtype="str"
    )
    if len(heard) and len(quorum):
        wide = heard[[*PERSON, "descriptor", "moment"]].astype("str").merge(quorum, on="serving")
        wide = wide.merge(_supports(tools).astype("str"), on=["descriptor", "id"])
        distinct = wide[[*PERSON, "id", "moment"]].drop_duplicates()
        parts.append(_rows("when", _count(distinct, ["serving", "id", "moment"]), "id", "moment"))
    return pd.concat(parts, ignore_index=True)
