"""Who was served what: no row is a gap, a row without a word nothing found; what counts for nobody changes nothing."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tastevocab.panel.agreement import agreement
from tastevocab.panel.attendance import Seat, served
from tastevocab.panel.contrast import contrast
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import gather, settle
from tastevocab.panel.report import map_json
from tastevocab.panel.session import Source, read_session
from tastevocab.panel.summary import bench as make_bench
from tastevocab.panel.summary import map_of, report_of
from tastevocab.reading.records import Reading, Spot
from tastevocab.reading.words.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary

HEAD = """session: gaps
tasters: [mira, otto, pilar, sven, tao]
coffees: {vale: {name: Vale Alto}}
brews: {cone: {method: filter}, shot: {method: espresso, tasters: [mira, otto, pilar]}}
notes:
"""
SHEET = """taster,coffee,brew,moment,text
mira,vale,cone,hot,milk chocolate
otto,vale,cone,hot,milk chocolate
pilar,vale,cone,hot,
sven,vale,cone,hot,milk chocolate
mira,vale,cone,cool,mandarin
otto,vale,cone,cool,mandarin
pilar,vale,cone,cool,mandarin
mira,vale,shot,hot,dark chocolate
pilar,vale,shot,hot,
"""


@pytest.fixture(scope="module")
def lexicon():
    return open_lexicon()


@pytest.fixture(scope="module")
def bench(lexicon):
    return make_bench(open_vocabulary(), lexicon.names)


@pytest.fixture
def gathered(tmp_path: Path, lexicon):
    (tmp_path / "sheet.csv").write_text(SHEET)
    (tmp_path / "session.yaml").write_text(HEAD + "  - {source: sheet.csv}\n")
    return gather(read_session(tmp_path / "session.yaml"), lexicon)


def there(gathered, brew: str | None = None, moment: str | None = None) -> tuple[str, ...]:
    return served(gathered.session, gathered.present, "vale", brew, moment)


def test_a_row_without_a_word_is_there_and_no_row_is_a_gap(gathered) -> None:
    assert there(gathered, "cone") == ("mira", "otto", "pilar", "sven")
    assert there(gathered, "cone", "hot") == ("mira", "otto", "pilar", "sven")
    assert there(gathered, "cone", "cool") == ("mira", "otto", "pilar")
    assert there(gathered, "shot") == ("mira", "pilar")


def test_denominators_are_of_those_who_were_there(gathered, bench) -> None:
    hot = report_of(gathered, Serving("vale", "cone", "hot"), bench)
    whole = report_of(gathered, Serving("vale", "cone"), bench)
    assert (len(hot.map.tasters), len(whole.map.tasters)) == (4, 4)
    assert whole.map.margin.absent == ("tao",)
    assert "tao has neither row nor word here: a gap, not a no, and not counted." in whole.map.margin.notices
    cool = report_of(gathered, Serving("vale", "cone", "cool"), bench)
    assert [(r.print, r.people, r.of) for r in cool.ladder.rungs] == [("mandarin", 3, 3)]
    assert map_json(cool)["absent"] == ["sven", "tao"]


def test_silence_is_no_loss(gathered, bench) -> None:
    """sven found chocolate hot and was not there when it was cool: that he lost it is not said."""
    hot, cool = (map_of(gathered, Serving("vale", "cone", m), bench) for m in ("hot", "cool"))
    made = contrast(hot, cool, bench.spans, ("hot", "cool"))
    assert made.tasters == ("mira", "otto", "pilar")
    assert all("sven" not in (*c.gained, *c.lost) for c in made.changes)


def test_an_entry_can_say_who_sat_there(tmp_path: Path, lexicon, bench) -> None:
    (tmp_path / "sheet.csv").write_text(SHEET)
    entry = "  - {source: sheet.csv}\n  - {taster: Mira, coffee: vale, brew: cone, text: cocoa, tasters: [Mira, TAO]}\n"
    (tmp_path / "session.yaml").write_text(HEAD + entry)
    made = gather(read_session(tmp_path / "session.yaml"), lexicon)
    assert there(made, "cone") == ("mira", "otto", "pilar", "sven", "tao")
    assert there(made, "cone", "cool") == ("mira", "otto", "pilar")


def test_who_only_speaks_was_there_and_who_comes_after_the_reveal_was_not(session, table) -> None:
    def spoke(who: str, moment: str | None, at: float) -> Spot:
        return Spot("", (0, 0), "table.vtt", speaker=who, brew="filter", moment=moment, at=at)

    tape = Source(source="table.vtt", coffee="vale", reveal=60.0)
    said = table.say("Mira", "blackberry", brew="filter", moment="hot", at=1.0)
    heard = (spoke("mira", "hot", 1.0), spoke("Otto", "hot", 5.0), spoke("sven", "cool", 61.0))
    made = settle(session, [(tape, Reading((said,), said=heard))])
    assert made.present == {Seat("vale", "cone", "hot"): frozenset({"mira", "otto"})}


def test_what_counts_for_nobody_changes_no_figure(gathered, bench) -> None:
    """Echoes, answers and late findings beside: everything but the count of what stands beside stays as it is."""
    found = gathered.findings[0]
    beside = [
        replace(found, id=f"{who}-{standing}-{moment}", standing=standing,
                spot=replace(found.spot, speaker=who, moment=moment))
        for who in ("otto", "pilar", "sven", "tao")
        for moment in ("hot", "cool")
        for standing in ("echo", "led", "informed")
    ]  # fmt: skip
    crowded = replace(gathered, findings=(*gathered.findings, *beside))
    for serving in (Serving("vale", "cone"), Serving("vale", "cone", "hot"), Serving("vale", "cone", "cool")):
        with_, without = (map_json(report_of(g, serving, bench)) for g in (crowded, gathered))
        assert with_.pop("beside") != without.pop("beside")
        assert with_ == without
    assert agreement(crowded, bench.spans) == agreement(gathered, bench.spans)


def test_panel_and_pack_name_the_same_scope(tmp_path: Path) -> None:
    from tastevocab.cli.main import build

    (tmp_path / "sheet.csv").write_text(SHEET)
    (tmp_path / "session.yaml").write_text(HEAD + "  - {source: sheet.csv}\n")
    asked = [str(tmp_path / "session.yaml"), "--format", "json"]
    (panel,) = json.loads(CliRunner().invoke(build(), ["panel", *asked]).stdout)["maps"]
    done = CliRunner().invoke(build(), ["feature", asked[0], "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    maps = json.loads((tmp_path / "out" / "vale" / "map.json").read_text())["maps"]
    keys = ("coffee", "brew", "moment", "moments", "tasters", "absent", "line", "claims", "nodes")
    (packed,) = [m for m in maps if (m["brew"], m["moment"]) == (panel["brew"], panel["moment"])]
    for node in panel["nodes"]:
        node.pop("wedge_interval", None), node.pop("share_interval", None)
    assert {k: panel[k] for k in keys} == {k: packed[k] for k in keys}
