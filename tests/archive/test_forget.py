"""Who withdraws is gone from the file, and what was counted stays."""

from __future__ import annotations

import re

import pytest
from archive_tables import ROWS, said, write_session

from tastevocab.archive import upkeep
from tastevocab.archive.forget import forget
from tastevocab.archive.recall import editions, gathered_of, read_again
from tastevocab.archive.store import opened
from tastevocab.errors import InputError


def test_who_withdraws_is_gone_from_every_byte_of_the_file(archive, tmp_path, keeper):
    path = write_session(tmp_path / "table", rows=[*ROWS, ("mira", "rio", "slatterberry, I think")])
    keeper.add(archive, path)  # the old version is history, and holds her too
    assert b"quilt" in archive.path.read_bytes()
    made = forget(archive, "Mira")
    assert (made.code, made.sessions, made.turns) == ("P1", 1, 5)  # one session, in two versions
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
