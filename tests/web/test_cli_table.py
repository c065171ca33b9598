"""`tastevocab table` as it is started: what it prints, how it ends, what it refuses."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest
from table_toys import write_session
from typer.testing import CliRunner
from web_client import Client

from tastevocab.cli.main import build
from tastevocab.errors import InputError
from tastevocab.web.serve import Door

RUN = [sys.executable, "-c", "from tastevocab.cli.main import run; run()", "table"]


def refused(*words: str) -> tuple[int, str]:
    done = subprocess.run([*RUN, *words], capture_output=True, text=True, check=False, timeout=60)
    return done.returncode, done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="ends by a signal of POSIX")
def test_it_says_where_everybody_finds_their_page_and_ends_in_order(tmp_path):
    session = write_session(tmp_path)
    given = [str(session), "--port", "0", "--no-browser"]
    running = subprocess.Popen([*RUN, *given], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert running.stdout is not None
    tasters, leader = running.stdout.readline(), running.stdout.readline()
    url = tasters.split()[1]
    door = Door(None, "127.0.0.1", int(url.rsplit(":", 1)[1]), frozenset())  # type: ignore[arg-type]
    client = Client(door)
    assert client.get("/")[0] == 200
    assert client.get(leader.split()[1].removeprefix(url))[0] == 200
    code, told = refused(str(session), "--port", "0", "--no-browser")
    assert code == 1
    assert "close the other `tastevocab table`" in told
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=30)
    assert running.returncode == 0, err
    assert out == ""
    assert "Traceback" not in err
    assert "give --lan to let phones in" in err
    assert f"all is kept in {tmp_path / 'toy-table'}" in err
    assert {"key-keep-closed.csv", "table.sqlite3"} <= set(os.listdir(tmp_path / "toy-table"))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("session: a\ntasters: [mira]\n", "names no coffees"),
        ("session: a\ncoffees: [one]\n", "names no tasters"),
        ("session: a\ntasters: [mira, mira]\ncoffees: [one]\n", "names taster 'mira' twice"),
        ("session: a\ntasters: [mira]\ncoffee: [one]\n", "'coffee' is no key that is read"),
    ],
)
def test_a_session_that_cannot_be_set_is_refused_with_the_mend(tmp_path, text, told):
    path = tmp_path / "bad.yaml"
    path.write_text(text, "utf-8")
    done = CliRunner().invoke(build(), ["table", str(path), "--port", "0", "--no-browser"])
    assert isinstance(done.exception, InputError)
    assert told in str(done.exception)
    assert "mend:" in str(done.exception)


@pytest.mark.parametrize("words", [["--moment", "later"], ["--address", "192.168.1.2"], ["--guests", "-1"]])
def test_wrong_use_is_status_2(tmp_path, words):
    done = CliRunner().invoke(build(), ["table", str(write_session(tmp_path)), *words])
    assert done.exit_code == 2


def test_more_seats_than_a_table_has(tmp_path):
    done = CliRunner().invoke(build(), ["table", str(write_session(tmp_path)), "--port", "0", "--guests", "500"])
    assert isinstance(done.exception, InputError)
    assert "507 seats are more than one table has" in str(done.exception)


def test_the_table_of_another_session_is_not_taken_up(tmp_path):
    from tastevocab.web.serve import open_door
    from tastevocab.web.table.opening import open_table
    from tastevocab.web.table.setting import Wanted

    door = open_door(0)
    with door.socket:
        open_table(write_session(tmp_path), tmp_path / "out", Wanted(), door).store.close()
        other = write_session(tmp_path, id="another-day")
        with pytest.raises(InputError, match="holds the table of 'toy-table', not of 'another-day'"):
            open_table(other, tmp_path / "out", Wanted(), door)
