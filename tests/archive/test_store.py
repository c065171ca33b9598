"""The file itself: whole or unchanged whatever happens, brought up from old versions, two writers, names forgotten."""

from __future__ import annotations

import json
import os
import re
import signal
import sqlite3
import subprocess
import sys
import threading
from dataclasses import fields
from pathlib import Path

import pytest
from archive_tables import ROWS, write_session

from tastevocab.archive import adding, schema, snapshot, upkeep
from tastevocab.archive.forget import forget
from tastevocab.archive.recall import editions, gathered_of, read_again
from tastevocab.archive.store import default_path, opened
from tastevocab.errors import InputError
from tastevocab.feature import demo
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.gather import gather
from tastevocab.panel.session import BrewCard, Coffee, Session, Source, open_session
from tastevocab.panel.summary import bench, map_of
from tastevocab.reading.records import Turn

HERE = Path(__file__).parent
DEMO = Path(demo.__file__).parent / "demo_table" / "session.yaml"


def said(gathered):
    return [
        (f.descriptor, f.spot.speaker, f.spot.coffee, f.spot.brew, f.spot.moment, f.spot.span, f.spot.at, f.spot.words,
         f.spot.source, f.present, f.standing, f.certainty, f.strength, f.state, f.parts)
        for f in gathered.findings
    ]  # fmt: skip


# --- what goes in comes out ---


def test_a_recording_comes_back_as_it_was_counted_and_reads_again_the_same(tmp_path, keeper):
    """The demo's captions, sheet and decisions: from the archive alone, without its files."""
    session = open_session(DEMO)
    taken = adding.intake(session, keeper.lexicon, adding.digest_of(session))
    fresh = taken.gathered
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        assert adding.write(archive, taken, keeper.vocabulary).state == "added"
        (edition,) = editions(archive.db)
        kept, again = gathered_of(archive.db, edition), read_again(archive.db, edition, keeper.lexicon)
    assert said(kept) == said(again) == said(fresh)
    assert [(a.attribute, a.step, a.spot.speaker) for a in kept.attributes] == [
        (a.attribute, a.step, a.spot.speaker) for a in fresh.attributes
    ]


VALE = """session: {name}
date: 2026-03-02
tasters: [mira, otto, pilar]
{more}coffees:
  vale: {{name: Vale Alto}}
notes:
"""


def both_readings(folder: Path, keeper, session: str, files: dict[str, str]):
    """What a session of these files counted when it was kept, and what it counts read again."""
    for name, text in {**files, "t.yaml": session}.items():
        (folder / name).write_text(text, "utf-8")
    with opened(folder / "a.sqlite", make=True) as archive:
        keeper.add(archive, folder / "t.yaml")
        (edition,) = editions(archive.db)
        return gathered_of(archive.db, edition), read_again(archive.db, edition, keeper.lexicon)


def test_what_only_the_house_words_let_a_recogniser_hear_is_asked_again(tmp_path, keeper):
    """And stays counted where a person had said that it was so."""
    captions = (
        "WEBVTT\n\n00:01.000 --> 00:04.000\n<v mira>I get <ruby>a mumble<rt.house>bergamot</rt></ruby> and peach."
        "\n\n00:05.000 --> 00:08.000\n<v otto>I get <ruby>a whatnot<rt.house>lychee</rt></ruby> and jasmine.\n"
    )
    decided = "decisions:\n  - {words: a mumble, speaker: mira, decide: accept}\n"
    session = VALE.format(name="heard", more="") + "  - {source: t.vtt}\n"
    kept, again = both_readings(tmp_path, keeper, session, {"t.vtt": captions, "t.decisions.yaml": decided})
    assert {f.descriptor.split("/")[-1] for f in again.findings} == {"bergamot", "peach", "jasmine"}
    assert said(again) == said(kept)
    assert ("lychee", "a whatnot") in {(f.descriptor.split("/")[-1], f.spot.words) for f in again.asked}


LEFT = {
    Session: {"file", "folder", "speakers", "audio", "odd", "misspelt", "place", "sources", "coffees", "brews"},
    Source: {"text", "speakers", "place"},
    Coffee: {"place"},
    BrewCard: {"place"},
    Turn: set(),
}
"""What is not kept on purpose: places on a disk, typed texts (kept as turns), names people go by in the talk (kept as
the taster's). Of a session the parts are held one by one."""


def test_no_field_is_lost_on_the_way():
    """A session in which everything is said comes back whole: a new field is kept, or left on purpose."""
    source = Source(
        "t.vtt", "", "mira", "vale", "v60", "hot", "2", {"Miri": "mira"}, ("mira", "otto"), 9.0, 8.0, 1.0, 7.0, True
    )
    coffee = Coffee("vale", "Vale Alto", ("the Vale",), ("peach",), "none", "washed", "2026-02-20", ("mira",), "rio",
                    {"farm": "Alta"})  # fmt: skip
    brew = BrewCard("v60", "filter", {"dose_g": 15.0}, ("otto",))
    session = Session(
        "s", "t.yaml", Path(), "2026-03-02", True, ("mira", "otto"), {"vale": coffee}, {"v60": brew}, (source,),
        {"Miri": "mira"}, 5, {"417": "vale"}, {"417": "v60"}, "t.m4a", ("es-MX",),
    )  # fmt: skip
    body = json.loads(json.dumps(snapshot.session_body(session, str.upper)))
    back = snapshot.session_of(body, "s", "2026-03-02", str.lower)
    turn = Turn("peach", "t.vtt", ((0, 4),), ((0, 1.0),), "mira", "n1", "vale", "v60", "hot", "2", "acidity", "note", 3,
                ((0, 5, "quince"),))  # fmt: skip
    row = dict(zip(snapshot.TURN, snapshot.turn_row(turn), strict=True))
    for before, after in (
        (session, back), (source, back.sources[0]), (coffee, back.coffees["vale"]), (brew, back.brews["v60"]),
        (turn, snapshot.turn_of(row, "mira", "t.vtt")),
    ):  # fmt: skip
        for field in fields(before):
            value = getattr(before, field.name)
            if field.name not in LEFT[type(before)]:
                assert value, f"{field.name} has nothing that could be lost"
                assert getattr(after, field.name) == value, field.name


def test_what_an_entry_says_of_its_notes_is_kept(tmp_path, keeper):
    """Its language, and that the coffee had been named: read again, neither is lost."""
    session = VALE.format(name="late", more="language: es-MX\n")
    session += "  - {source: t.csv}\n  - {taster: otto, coffee: vale, informed: true, text: peach and jasmine}\n"
    sheet = "taster,coffee,text\nmira,vale,lim\u00f3n y durazno\npilar,vale,nada de lim\u00f3n\n"
    kept, again = both_readings(tmp_path, keeper, session, {"t.csv": sheet})
    assert said(again) == said(kept)
    assert {f.standing for f in again.findings if f.spot.speaker == "otto"} == {"informed"}
    assert "citrus_crate/lemon_lime/lime" in {f.descriptor for f in again.findings}


def test_who_was_not_there_is_not_counted_against(tmp_path, keeper):
    """Pilar has no row: the kept map is over two, as the panel's is."""
    session = VALE.format(name="two", more="") + "  - {source: t.csv}\n"
    kept, _ = both_readings(tmp_path, keeper, session, {"t.csv": "taster,coffee,text\nmira,vale,peach\notto,vale,\n"})
    fresh = gather(open_session(tmp_path / "t.yaml"), keeper.lexicon)
    for gathered in (kept, fresh):
        assert map_of(gathered, Serving("vale"), bench(keeper.vocabulary), pool=True).tasters == ("mira", "otto")
    with opened(tmp_path / "a.sqlite") as archive:
        assert archive.db.execute("SELECT people, frequency FROM arc").fetchall() == [(1, 50.0)]


def test_the_same_again_is_no_change_and_a_changed_one_keeps_its_history(archive, tmp_path, keeper):
    before = archive.path.read_bytes()
    path = write_session(tmp_path / "table")
    assert keeper.add(archive, path).state == "unchanged"
    path.write_text("# a comment more\n" + path.read_text("utf-8"), "utf-8")
    assert keeper.add(archive, path).state == "unchanged"
    assert archive.path.read_bytes() == before
    write_session(tmp_path / "table", rows=[*ROWS, ("otto", "vale", "bergamot")])
    made = keeper.add(archive, path)
    assert (made.state, made.edition, made.findings) == ("replaced", 2, 13)
    assert [(e.number, e.current) for e in editions(archive.db, "spring", history=True)] == [(1, False), (2, True)]
    assert len(gathered_of(archive.db, editions(archive.db, "spring", history=True)[0]).findings) == 12
    assert upkeep.check(archive) == []


def test_decisions_beside_the_notes_count_as_a_change(archive, tmp_path, keeper):
    path = write_session(tmp_path / "table")
    (tmp_path / "table" / "spring.decisions.yaml").write_text(
        "decisions:\n  - {words: jasmine, speaker: otto, decide: reject}\n", "utf-8"
    )
    made = keeper.add(archive, path)
    assert (made.state, made.findings) == ("replaced", 11)


def test_another_session_of_the_same_name_is_not_taken_for_it(archive, tmp_path, keeper):
    path = write_session(tmp_path / "other", date="2026-04-09")
    with pytest.raises(InputError, match="holds a session 'spring' of 2026-03-02"):
        keeper.add(archive, path)
    assert keeper.add(archive, path, moved=True).state == "replaced"


def test_kept_maps_are_the_panels(archive, tmp_path, keeper):
    """The SQL folding against the panel's own."""
    gathered = gather(open_session(write_session(tmp_path / "table")), keeper.lexicon)
    for coffee in ("vale", "rio"):
        made = map_of(gathered, Serving(coffee), bench(keeper.vocabulary), pool=True)
        rows = archive.db.execute(
            "SELECT descriptor, people, SQRT(frequency * intensity) FROM arc JOIN coffee ON id = coffee WHERE key = ?",
            (coffee,),
        ).fetchall()
        assert {(d, n, round(w, 9)) for d, n, w in rows} == {
            (node.descriptor, node.named, round(node.own, 9)) for node in made.nodes if node.named
        }


# --- versions of the file ---


def old_file(path: Path, version: int) -> None:
    """A file as an earlier version left it: `version1.sql` is a dump of one, `version2.sql` what 2 has more."""
    db = sqlite3.connect(path)
    for number in range(1, version + 1):
        db.executescript((HERE / f"version{number}.sql").read_text("utf-8"))
    db.close()


@pytest.mark.parametrize("version", [1, 2])
def test_an_old_file_is_brought_up_to_date(tmp_path, keeper, version):
    old_file(tmp_path / "old.sqlite", version)
    with opened(tmp_path / "old.sqlite") as archive:
        assert archive.db.execute("PRAGMA user_version").fetchone() == (schema.VERSION,)
        assert upkeep.check(archive) == []
        facts = archive.db.execute(
            "SELECT f.key, f.value FROM fact AS f JOIN coffee AS c ON c.id = f.coffee WHERE c.key = 'vale'"
        )
        assert dict(facts) == {"process": "washed", "roasted": "2026-02-20", "origin": "Huehuetenango"}
        query = "SELECT people FROM arc JOIN coffee ON id = coffee WHERE key = 'rio' AND descriptor LIKE '%/caramel'"
        assert archive.db.execute(query).fetchall() == [(3,)]
        (edition,) = editions(archive.db)
        kept = gathered_of(archive.db, edition)
        assert len(kept.findings) == 12
        assert said(read_again(archive.db, edition, keeper.lexicon)) == said(kept)


def test_a_step_that_fails_leaves_the_old_version(tmp_path, monkeypatch):
    old_file(tmp_path / "old.sqlite", 1)
    before = (tmp_path / "old.sqlite").read_bytes()

    def broken(db: sqlite3.Connection) -> None:
        schema._to_2(db)
        raise RuntimeError("power gone")

    monkeypatch.setattr(schema, "STEPS", (schema.STEPS[0], broken))
    with pytest.raises(RuntimeError, match="power gone"), opened(tmp_path / "old.sqlite"):
        pass
    assert (tmp_path / "old.sqlite").read_bytes() == before


def test_a_file_of_a_later_program_is_left_alone(archive):
    archive.db.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    with pytest.raises(InputError, match="written by a later tastevocab"), opened(archive.path):
        pass


@pytest.mark.parametrize("content", [b"taster,text\nmira,peach\n" * 200, None], ids=["text", "another database"])
def test_what_is_no_archive_is_refused_and_not_touched(tmp_path, content):
    path = tmp_path / "notes.sqlite"
    if content is None:
        db = sqlite3.connect(path)
        db.execute("CREATE TABLE shopping (milk)")
        db.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(InputError, match="is no archive"), opened(path, make=True):
        pass
    assert path.read_bytes() == before


def test_without_a_file_there_is_nothing_to_look_at(tmp_path):
    with pytest.raises(InputError, match="there is no archive"), opened(tmp_path / "none.sqlite"):
        pass
    assert not (tmp_path / "none.sqlite").exists()


def test_the_file_lies_in_the_users_data_folder_unless_named(monkeypatch, tmp_path):
    monkeypatch.delenv("TASTEVOCAB_ARCHIVE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    if sys.platform == "linux":
        assert default_path() == tmp_path / "tastevocab" / "archive.sqlite"
    monkeypatch.setenv("TASTEVOCAB_ARCHIVE", str(tmp_path / "own.sqlite"))
    assert default_path() == tmp_path / "own.sqlite"


def test_the_file_is_its_owners_alone(archive):
    if os.name == "posix":
        assert archive.path.stat().st_mode & 0o077 == 0


# --- nothing half, nothing lost ---


def test_a_full_disk_changes_nothing(archive, tmp_path, keeper):
    (pages,) = archive.db.execute("PRAGMA page_count").fetchone()
    archive.db.execute(f"PRAGMA max_page_count = {pages}")
    path = write_session(tmp_path / "big", "big", rows=ROWS * 20)
    with pytest.raises(InputError, match="full"):
        keeper.add(archive, path)
    archive.db.execute(f"PRAGMA max_page_count = {pages + 1000}")
    assert [e.session for e in editions(archive.db)] == ["spring"]
    assert upkeep.check(archive) == []
    assert keeper.add(archive, path).state == "added"


@pytest.mark.skipif(not hasattr(signal, "SIGXFSZ"), reason="limits of a file's size are POSIX")
def test_a_disk_that_takes_no_more_is_told_as_such(archive, tmp_path):
    """The system itself refuses to let the file grow."""
    code = (
        "import resource, signal, sys\n"
        "from pathlib import Path\n"
        "from tastevocab.archive.store import opened\nfrom tastevocab.errors import InputError\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\npath = Path(sys.argv[1])\n"
        "with opened(path) as a:\n"
        "    size = path.stat().st_size\n    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))\n"
        "    try:\n"
        "        with a.writing() as db:\n"
        "            db.executemany('INSERT INTO session (name) VALUES (?)', ((str(i) * 50,) for i in range(20000)))\n"
        "    except InputError as problem:\n        print(problem.what)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, str(archive.path)], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("cannot be used: ")
    assert [e.session for e in editions(archive.db)] == ["spring"]
    assert upkeep.check(archive) == []


def test_two_writers_at_once_lose_nothing(tmp_path, keeper):
    path = tmp_path / "a.sqlite"
    taken = []
    for number in range(12):
        session = open_session(write_session(tmp_path / "tables", f"s{number:02}", rows=ROWS[:3]))
        taken.append(adding.intake(session, keeper.lexicon, adding.digest_of(session)))
    problems: list[Exception] = []

    def work(mine):
        try:
            with opened(path, make=True) as archive:
                for one in mine:
                    adding.write(archive, one, keeper.vocabulary)
        except Exception as problem:
            problems.append(problem)

    # Both also write s00: the second finds it there, or the other way round.
    threads = [threading.Thread(target=work, args=(part,)) for part in (taken[::2], [taken[0], *taken[1::2]])]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert problems == []
    with opened(path) as archive:
        assert [(e.session, e.number) for e in editions(archive.db)] == [(f"s{n:02}", 1) for n in range(12)]
        assert archive.db.execute("SELECT COUNT(*) FROM person").fetchone() == (3,)
        assert upkeep.check(archive) == []


KILLED = """
import os, signal, sqlite3, sys
from pathlib import Path
from tastevocab.archive import adding
from tastevocab.archive.store import opened
from tastevocab.panel.session import BrewCard, Coffee, Session, Source, open_session
from tastevocab.reading.language.lexicon import open_lexicon
from tastevocab.vocabulary.cache import open_vocabulary

left = int(sys.argv[3])

def tick():
    global left
    left -= 1
    if left <= 0:
        os.kill(os.getpid(), signal.SIGKILL)

with opened(Path(sys.argv[1]), make=True) as archive:
    archive.db.execute("PRAGMA cache_size = 4")
    archive.db.set_progress_handler(tick, 50)
    print(adding.add(archive, open_session(Path(sys.argv[2])), open_lexicon(), open_vocabulary()).state)
"""


@pytest.mark.skipif(os.name != "posix", reason="kill -9 is POSIX")
@pytest.mark.parametrize("steps", [1, 40, 90])
def test_killed_in_the_middle_of_an_add(archive, tmp_path, steps, keeper):
    """SIGKILL from inside SQLite after so many steps of it; the small cache makes it write before the end.

    A hundred points are tried by `tests/bench/test_archive_bench.py`.
    """
    path = write_session(tmp_path / "next", "next", rows=ROWS * 20)
    run = [sys.executable, "-c", KILLED, str(archive.path), str(path), str(steps)]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert [e.session for e in editions(archive.db)] == ["spring"]
    assert upkeep.check(archive) == []
    assert keeper.add(archive, path).state == "added"


# --- forgetting ---


def test_who_withdraws_is_gone_from_every_byte_of_the_file(archive, tmp_path, keeper):
    path = write_session(tmp_path / "table", rows=[*ROWS, ("mira", "rio", "slatterberry, I think")])
    keeper.add(archive, path)  # the old version is history, and holds her too
    assert b"quilt" in archive.path.read_bytes()
    made = forget(archive, "Mira")
    assert (made.code, made.sessions, made.turns) == ("P1", 2, 5)
    raw = archive.path.read_bytes()
    for word in (rb"(?i)\bmira\b", rb"quilt", rb"(?i)slatterberr"):
        assert not re.search(word, raw), word
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_file()) == ["archive.sqlite"]
    (edition,) = editions(archive.db)
    gathered = gathered_of(archive.db, edition)
    assert gathered.session.tasters == ("P1", "otto", "pilar")
    assert {f.spot.words for f in gathered.findings if f.spot.speaker == "P1"} == {""}
    assert sum(f.descriptor.endswith("/jasmine") for f in gathered.findings) == 2
    assert archive.db.execute("SELECT rowid FROM talk WHERE talk MATCH 'mira'").fetchall() == []
    assert upkeep.check(archive) == []
    # What the others said can still be read again, at its old places.
    again = read_again(archive.db, edition, keeper.lexicon)
    assert {f.spot.speaker for f in again.findings} == {"otto", "pilar"}
    assert [f.spot.words for f in again.findings if f.spot.coffee == "rio"][-2:] == ["caramel", "blackberry"]


def test_before_the_file_is_written_afresh_the_words_are_overwritten_too(archive, monkeypatch):
    from tastevocab.archive import forget as module

    monkeypatch.setattr(module, "scrub", lambda archive: None)
    forget(archive, "mira")
    raw = archive.path.read_bytes()
    assert not re.search(rb"(?i)\bmira\b", raw)
    assert b"quilt" not in raw


def test_a_name_that_is_a_flavour_is_hidden_only_where_it_is_written_as_a_name(tmp_path, keeper):
    rows = [("rose", "vale", "peach"), ("otto", "vale", "rose and jasmine, as Rose says"), ("pilar", "vale", "rose")]
    path = write_session(tmp_path / "t", rows=rows, tasters="rose, otto, pilar")
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        keeper.add(archive, path)
        forget(archive, "rose")
        texts = [text for (text,) in archive.db.execute("SELECT text FROM turn ORDER BY id")]
    assert texts == ["rose and jasmine, as ···· says", "rose"]


def test_other_names_of_theirs_are_hidden_where_they_are_told(archive, tmp_path, keeper):
    rows = [*ROWS, ("pilar", "vale", "honey, says Miri")]
    keeper.add(archive, write_session(tmp_path / "table", rows=rows))
    forget(archive, "mira", also=("Miri",))
    assert b"Miri" not in archive.path.read_bytes()


def test_words_that_stood_under_another_voice_are_theirs_too(tmp_path, keeper):
    """A person decided that one line of otto's was mira's: it goes with her, and what he said himself stays."""
    rows = [("otto", "vale", "bergamot, I think it was"), ("otto", "vale", "peach"), ("mira", "vale", "jasmine")]
    path = write_session(tmp_path / "t", rows=rows, tasters="mira, otto")
    (tmp_path / "t" / "spring.decisions.yaml").write_text(
        "decisions:\n  - {words: bergamot, decide: accept, taster: mira}\n", "utf-8"
    )
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        keeper.add(archive, path)
        (edition,) = editions(archive.db)
        assert [f.spot.speaker for f in gathered_of(archive.db, edition).findings] == ["mira", "otto", "mira"]
        assert said(read_again(archive.db, edition, keeper.lexicon)) == said(gathered_of(archive.db, edition))
        forget(archive, "mira")
        texts = [text for (text,) in archive.db.execute("SELECT text FROM turn ORDER BY id")]
        assert texts == ["········, I think it was", "peach"]
        assert archive.db.execute("SELECT COUNT(*) FROM decision").fetchone() == (0,)
        assert upkeep.check(archive) == []
    assert b"ergamot," not in (tmp_path / "a.sqlite").read_bytes()


def test_the_forgotten_do_not_come_back_with_a_changed_session(archive, tmp_path, keeper):
    forget(archive, "mira")
    path = write_session(tmp_path / "table")
    assert keeper.add(archive, path).state == "unchanged"
    write_session(tmp_path / "table", rows=[*ROWS, ("otto", "vale", "bergamot")])
    with pytest.raises(InputError, match="mira would come in now"):
        keeper.add(archive, path)
    without = [row for row in ROWS if row[0] != "mira"]
    assert keeper.add(archive, write_session(tmp_path / "table", rows=without, tasters="otto, pilar")).edition == 2


def test_nobody_of_that_name(archive):
    with pytest.raises(InputError, match=r"knows nobody called 'mirra'\n  mend: did you mean mira\?"):
        forget(archive, "mirra")


# --- looked after ---


def test_a_copy_is_whole_while_another_writes(archive, tmp_path):
    with archive.writing() as db:
        db.execute("INSERT INTO session (name) VALUES ('half')")
        with opened(archive.path) as other:
            upkeep.backup(other, tmp_path / "copy.sqlite")
    with opened(tmp_path / "copy.sqlite") as copy:
        assert [e.session for e in editions(copy.db)] == ["spring"]
        assert upkeep.check(copy) == []
    with pytest.raises(InputError, match="is the archive itself"):
        upkeep.backup(archive, archive.path)


def test_check_finds_what_is_half(archive):
    with archive.writing() as db:
        db.execute("DELETE FROM arc WHERE coffee = 1")
        db.execute("UPDATE edition SET current = 0")
        db.execute("DROP TRIGGER turn_gone")
        db.execute("DELETE FROM turn WHERE id = 1")
    assert upkeep.check(archive) == [
        "the full-text index does not fit what was said",
        "session 'spring': 0 versions of it count",
        "the kept maps do not fit the findings",
    ]


def test_a_damaged_file_is_told(archive):
    raw = bytearray(archive.path.read_bytes())
    raw[4096 * 3 : 4096 * 12] = b"\xff" * (4096 * 9)
    archive.path.write_bytes(raw)
    with pytest.raises(InputError, match="damaged"), opened(archive.path) as broken:
        upkeep.check(broken)


def test_rows_of_the_export(archive):
    rows = list(upkeep.exported(archive, codes=True))
    assert len(rows) == 12
    assert rows[0] | {"end": 0} == rows[0] | {
        "end": 0,
        "session": "spring",
        "coffee": "vale",
        "taster": "P1",
        "words": "jasmine",
    }
    assert {row["taster"] for row in upkeep.exported(archive)} == {"mira", "otto", "pilar"}
