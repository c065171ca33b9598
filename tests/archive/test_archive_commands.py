"""The commands as they are used: what they print, where it goes, with which exit status."""

from __future__ import annotations

import csv
import io
import json
import shutil

import pytest
from archive_tables import ROWS, write_session
from invented import PEOPLE, Maker
from typer.testing import CliRunner

from tastevocab.archive import adding, worth
from tastevocab.archive.store import opened
from tastevocab.cli.main import build
from tastevocab.errors import TastevocabError
from tastevocab.vocabulary.cache import open_vocabulary


@pytest.fixture
def run(archive, monkeypatch):
    """Run a command on the small archive; gives its result, standard output and error apart."""
    monkeypatch.setenv("TASTEVOCAB_ARCHIVE", str(archive.path))
    monkeypatch.setenv("COLUMNS", "200")

    def command(*words: str, ok: bool = True):
        done = CliRunner().invoke(build(), ["archive", *map(str, words)])
        if ok and done.exception:
            raise done.exception
        return done

    return command


def test_add_tells_each_session_and_goes_on_after_a_bad_one(run, tmp_path):
    good = write_session(tmp_path / "next", "next", rows=ROWS[:2])
    bad = tmp_path / "bad.yaml"
    bad.write_text("session: bad\ntasters: []\n", "utf-8")
    done = run("add", bad, good, write_session(tmp_path / "table"), ok=False)
    assert done.stdout.splitlines() == [
        "next: added, coffees 2, findings 4",
        "spring: unchanged, coffees 2, findings 12",
    ]
    assert isinstance(done.exception, TastevocabError)
    assert "1 of 3 sessions were not added" in str(done.exception)
    assert "names no tasters" in done.stderr


def test_find_prints_places_and_json(run):
    shown = run("find", "jasmine").stdout
    assert shown.startswith("jasmine (flower_bench/white_blossom/jasmine), and talk with 'jasmine': 2 places")
    rows = json.loads(run("find", "jasmine", "--taster", "mira", "--format", "json").stdout)
    assert [(r["kind"], r["coffee"], r["taster"]) for r in rows] == [("finding", "vale", "mira")]
    assert "jasmine and peach" in run("find", "quilt").stdout
    assert run("find", "zebra").stdout == "talk with 'zebra': 0 places\n"
    done = run("find", "jasmine", "--fact", "washed", ok=False)
    assert "is no KEY=VALUE" in str(done.exception)


def test_coffee_taster_and_worth_say_what_they_know(run):
    assert "spring, roasted 2026-02-20" in run("coffee", "Vale Alto").stdout
    told = run("taster", "mira").stdout
    assert "not for pay, rank or discipline" in " ".join(told.split())
    assert max(map(len, told.splitlines())) <= 100
    assert json.loads(run("taster", "mira", "--format", "json").stdout)["code"] == "P1"
    rates = list(csv.DictReader(io.StringIO(run("worth", "--format", "csv").stdout)))
    caramel = next(row for row in rates if row["word"] == "caramel")
    assert (caramel["agreed_on"], caramel["coffees"], caramel["people"], caramel["seats"]) == ("2", "2", "5", "6")


def test_worth_and_like_of_a_session_that_is_not_kept(run, archive, tmp_path, keeper, spans):
    for taken in Maker(spans, people=PEOPLE[:7], talk=0).sessions(6):
        adding.write(archive, taken, keeper.vocabulary)
    path = write_session(tmp_path / "other", "other", rows=ROWS[:3], coffees={"vale": "name: New One"})
    rows = json.loads(run("worth", path, "--format", "json").stdout)
    assert {r["coffee"] for r in rows} == {"vale"}
    assert all(r["base"]["of"] == 14 for r in rows)
    near = json.loads(run("like", path, "--most", "2", "--format", "json").stdout)
    assert (near[0]["session"], near[0]["coffee"]) == ("spring", "vale")
    assert near[0]["steps"] == 0
    assert "New One: nearest of the archive" in run("like", path).stdout


def test_forget_asks_first(run):
    done = CliRunner().invoke(build(), ["archive", "forget", "mira"], input="n\n")
    assert "nothing was forgotten" in str(done.exception)
    done = run("forget", "mira", "--yes")
    assert done.stdout.startswith("forgotten: they are P1 from now on (sessions 1, turns 2, findings 4)")
    assert "Copies of the archive" in done.stderr
    assert "(withdrawn)" in run("find", "jasmine").stdout


def test_check_backup_export(run, archive, tmp_path):
    assert run("check").stdout.splitlines()[-1] == "whole: the file, the full-text index, every session"
    run("backup", tmp_path / "copy.sqlite")
    with opened(tmp_path / "copy.sqlite") as copy:
        assert copy.db.execute("SELECT COUNT(*) FROM finding").fetchone() == (12,)
    run("export", "--codes", "--format", "csv", "--out", tmp_path / "all.csv")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "all.csv").read_text("utf-8"))))
    assert len(rows) == 12
    assert {r["taster"] for r in rows} == {"P1", "P2", "P3"}
    archive.db.execute("UPDATE edition SET current = 0")
    done = run("check", ok=False)
    assert done.exit_code == 1
    assert "wrong: session 'spring': 0 versions of it count" in done.stdout


def test_diff_over_the_archive_and_reread(run, archive, tmp_path):
    house = tmp_path / "house.yaml"
    house.write_text("house: corner\nprint: {jasmine: jasmine flower}\n", "utf-8")
    done = CliRunner().invoke(build(), ["vocab", "diff", str(house), "--over-archive", "--archive", str(archive.path)])
    assert "jasmine > jasmine flower" in done.stdout
    assert "1 session read with coffee" in done.stderr
    assert run("reread", "spring").stdout.startswith("spring: 12 findings then (coffee ")
    assert "the archive holds no session 'sprin'" in str(run("reread", "sprin", ok=False).exception)


def test_the_pack_says_what_words_are_worth_where_an_archive_is_named(tmp_path, spring, keeper, spans):
    from tastevocab.feature.house_style import HouseStyle, read_style
    from tastevocab.feature.pack import make_packs
    from tastevocab.feature.wording import Wording
    from tastevocab.panel.gather import gather
    from tastevocab.panel.session import open_session
    from tastevocab.panel.summary import bench

    shutil.copy(spring, tmp_path / "a.sqlite")
    with opened(tmp_path / "a.sqlite") as archive:
        for taken in Maker(spans, people=PEOPLE[:7], talk=0).sessions(6):
            adding.write(archive, taken, keeper.vocabulary)
    (tmp_path / "style.yaml").write_text("archive: a.sqlite\n", "utf-8")
    style = read_style(tmp_path / "style.yaml")
    cups = {"new": "name: New One, additions: none"}
    rows = [(who, "new", text) for who, _, text in ROWS[3:]]
    gathered = gather(open_session(write_session(tmp_path / "t", "t", rows=rows, coffees=cups)), keeper.lexicon)
    (pack,) = make_packs(gathered, bench(keeper.vocabulary, keeper.lexicon.names), style, Wording())
    caramel = next(w for w in pack.notes.worth if w.print == "caramel")
    assert (caramel.people, caramel.of, caramel.coffees_of, caramel.printed) == (3, 3, 14, True)
    for page in ("notes.md", "notes.html"):
        text = pack.files[page].decode("utf-8")
        assert "What the words are worth here" in text
        assert f"caramel: our tables agreed on it for {caramel.coffees} of 14 other coffees." in text
    (plain,) = make_packs(gathered, bench(keeper.vocabulary, keeper.lexicon.names), HouseStyle(), Wording())
    assert plain.notes.worth == ()
    assert "worth here" not in plain.files["notes.md"].decode("utf-8")


def test_rates_are_a_part_of_the_house_file(run, tmp_path, monkeypatch):
    """Counted by hand over the six rows of the small archive: one note a taster and coffee."""
    done = run("rates", ok=False)
    assert "rates need 100" in str(done.exception)
    monkeypatch.setattr(worth, "ENOUGH", 1)
    house = tmp_path / "house.yaml"
    house.write_text(run("rates").stdout, "utf-8")
    rates = open_vocabulary(None, house).language["base_rates"]["rates"]
    by_print = {id.rpartition("/")[2]: rate for id, rate in rates.items()}
    assert (by_print["jasmine"], by_print["caramel"]) == (
        pytest.approx(2 / 6, abs=1e-5),
        pytest.approx(5 / 6, abs=1e-5),
    )
