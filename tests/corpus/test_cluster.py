"""A corpus read and a crowd counted on two worker processes: what is missing alone, told where it fails, the same when
one is killed. One file, for the processes take seconds to start."""

from __future__ import annotations

import json
import os
import signal
import socket
import threading
import time
from contextlib import suppress
from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from corpus_tables import found_in, notes, run, told, write_csv, write_lines, write_parquet
from distributed import Client

from tastevocab.corpus import crowds
from tastevocab.corpus.columns import SERVED
from tastevocab.corpus.frame import empty_frame, read_frame
from tastevocab.corpus.parts import cut
from tastevocab.corpus.reading import DIGEST, READER, VOCABULARY, job_of
from tastevocab.corpus.run import metadata, read_parts
from tastevocab.corpus.tallies import Ask
from tastevocab.errors import InputError, TastevocabError

# --- reading ---


def test_the_command_reads_what_is_missing_and_keeps_the_rest(app, client, tmp_path: Path) -> None:
    files = [write_parquet(tmp_path / "a.parquet", notes(20)), write_csv(tmp_path / "b.csv", notes(9))]
    out = tmp_path / "found"
    first = run(app, client, *files, "--out", f"{out}/")
    assert first.exit_code == 0, first.output
    assert "4 parts read; " in first.stderr
    whole = {p.name: p.read_bytes() for p in out.glob("*.parquet")}
    assert sorted(whole) == ["a.parquet.00000.parquet", "a.parquet.00001.parquet", "a.parquet.00002.parquet",
                             "b.csv.00000.parquet"]  # fmt: skip
    (out / "a.parquet.00001.parquet").unlink()
    again = run(app, client, *files, "--out", out)
    assert "1 part read, 3 were there" in again.stderr
    assert {p.name: p.read_bytes() for p in out.glob("*.parquet")} == whole
    kept = metadata(out / "b.csv.00000.parquet")
    assert len(kept[VOCABULARY]) == len(kept[READER]) == len(kept[DIGEST]) == 16


def test_a_file_that_shrank_leaves_no_old_part(app, client, tmp_path: Path) -> None:
    table = write_parquet(tmp_path / "a.parquet", notes(20))
    run(app, client, table, "--out", tmp_path / "found")
    write_parquet(table, notes(7))
    run(app, client, table, "--out", tmp_path / "found")
    assert [p.name for p in (tmp_path / "found").glob("*.parquet")] == ["a.parquet.00000.parquet"]
    assert {row["note"] for row in found_in(tmp_path / "found")} <= {f"n{i}" for i in range(7)}


def test_captions_are_one_task_a_file(app, client, tmp_path: Path) -> None:
    talk = tmp_path / "table.txt"
    talk.write_text("Mira: I get blackberry.\nOtto: For me it's peach, really.\n", "utf-8")
    done = run(app, client, talk, "--out", f"{tmp_path / 'found'}/", "--coffee", "vale_alto")
    assert done.exit_code == 0, done.output
    rows = found_in(tmp_path / "found")
    assert {(r["speaker"], r["coffee"]) for r in rows if r["kind"] == SERVED} == {
        ("Mira", "vale_alto"), ("Otto", "vale_alto")
    }  # fmt: skip
    assert "blackberry" in {r["words"] for r in rows}


def test_a_failed_part_names_its_row_and_stops_no_other(app, client, tmp_path: Path) -> None:
    good = write_csv(tmp_path / "good.csv", notes(4))
    broken = tmp_path / "broken.csv"
    broken.write_bytes(b"taster,text\nann,plum\nbo,caf\xe9\n")
    offsets, data = pa.py_buffer(b"\0\0\0\0\4\0\0\0\10\0\0\0"), pa.py_buffer(b"plumcaf\xe9")
    text = pa.StringArray.from_buffers(2, offsets, data)
    pq.write_table(pa.table({"text": text, "taster": ["ann", "bo"]}), tmp_path / "bytes.parquet")
    nameless = write_csv(tmp_path / "nameless.csv", [{"who": "ann", "price": 3}])
    lines = tmp_path / "lines.jsonl"
    lines.write_text('{"text": "plum"}\n{"text": ["peach"]}\n', "utf-8")
    files = [broken, tmp_path / "bytes.parquet", nameless, lines, good]
    done = run(app, client, *files, "--out", tmp_path / "found/")
    assert done.exit_code == 1
    why = str(done.exception)
    assert isinstance(done.exception, TastevocabError)
    for sentence in (
        "4 of 5 parts failed",
        f"{broken}:3: is not UTF-8",
        f"{tmp_path / 'bytes.parquet'}:2: is not UTF-8",
        f"{nameless}:2: has no column of words; the columns are: who, price",
        f'{lines}:2: "text" holds a list',
    ):
        assert sentence in why
    assert [p.name for p in (tmp_path / "found").glob("*.parquet")] == ["good.csv.00000.parquet"]


def test_other_vocabularies_do_not_mix_unless_told(app, client, tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    house.write_text("house: bar\nignore: [plum]\n", "utf-8")
    table, out = write_csv(tmp_path / "a.csv", notes(4)), tmp_path / "found"
    run(app, client, table, "--out", f"{out}/")
    refused = run(app, client, table, "--out", out, "--house", house)
    assert refused.exit_code == 1
    assert "the same word may not mean the same" in str(refused.exception)
    more = write_csv(tmp_path / "b.csv", notes(4))
    mixed = run(app, client, table, more, "--out", out, "--house", house, "--mix")
    assert "1 part read, 1 were there" in mixed.stderr
    assert len({metadata(p)[VOCABULARY] for p in out.glob("*.parquet")}) == 2


@pytest.mark.parametrize(
    ("write", "sentence"),
    [
        (lambda path: path.write_bytes(b""), "is empty"),
        (lambda path: path.write_bytes(b"PAR0 no such thing"), "is no Parquet file"),
        (lambda path: None, "cannot be read"),
    ],
)
def test_files_that_are_none_are_told_before_anything_is_read(app, client, tmp_path: Path, write, sentence) -> None:
    path = tmp_path / "a.parquet"
    write(path)
    done = run(app, client, path, "--out", tmp_path / "found/")
    assert done.exit_code == 1
    assert sentence in str(done.exception)
    assert str(path) in str(done.exception)


def test_a_table_without_rows_gives_a_part_without_rows(app, client, tmp_path: Path) -> None:
    pq.write_table(pa.table({"text": pa.array([], pa.string())}), tmp_path / "none.parquet")
    (tmp_path / "head.csv").write_text("taster,text\n", "utf-8")
    done = run(app, client, tmp_path / "none.parquet", tmp_path / "head.csv", "--out", tmp_path / "found/")
    assert done.exit_code == 0, done.output
    assert found_in(tmp_path / "found") == []


def test_parquet_needs_a_folder_and_options_of_corpora_a_corpus(app, client, tmp_path: Path) -> None:
    table = write_parquet(tmp_path / "a.parquet", notes(2))
    assert "add --out" in str(run(app, client, table).exception)
    assert run(app, client, write_csv(tmp_path / "a.csv", notes(2))).exit_code == 2
    assert run(app, client, table, "--out", tmp_path / "f/", "--column", "colour=x").exit_code == 2


def test_two_corpora_may_be_read_at_once() -> None:
    """Dask's own port is taken, as by another: it would warn, which fails here."""
    from tastevocab.corpus import cluster

    with socket.socket() as port:
        with suppress(OSError):  # it is taken already
            port.bind(("127.0.0.1", 8787))
            port.listen()
        with cluster.cluster(None, 1) as client:
            assert client.submit(sum, (1, 2)).result() == 3


def test_nobody_answers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tastevocab.corpus import cluster

    monkeypatch.setattr(cluster, "WAIT", "1s")
    with (
        pytest.raises(InputError, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"),
        cluster.cluster("tcp://127.0.0.1:9"),
    ):
        pass


def test_without_dask_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    from tastevocab.corpus import cluster

    monkeypatch.setattr(cluster, "find_spec", lambda name: None if name in ("dask", "pyarrow") else object())
    with pytest.raises(InputError, match=r"dask and pyarrow not installed\n.*pip install 'tastevocab\[cluster\]'"):
        cluster.require_dask()


def test_partitions_of_a_dask_frame(client: Client) -> None:
    import dask.dataframe as dd

    frame = pd.DataFrame(notes(20))
    made = dd.from_pandas(frame, npartitions=3).map_partitions(read_frame, meta=empty_frame()).compute()
    whole = read_frame(frame)
    # Rows are numbered within a partition; all else is the same.
    pd.testing.assert_frame_equal(made.drop(columns="line").reset_index(drop=True), whole.drop(columns="line"))


@pytest.mark.slow
def test_a_worker_killed_in_the_middle_changes_nothing(client, tmp_path: Path) -> None:
    table = write_lines(tmp_path / "n.jsonl", notes(1200))
    parts = list(cut([table], 100))
    outs = []
    for name in ("calm", "killed"):
        out = tmp_path / name
        out.mkdir()
        job = job_of(out)
        killed: list[int] = []

        def step(done: int, out: Path = out, killed: list[int] = killed) -> None:
            if out.name == "killed" and not killed:
                pid = next(iter(client.run(os.getpid).values()))
                killed.append(pid)
                os.kill(pid, signal.SIGKILL)

        done = read_parts(parts, job, client, step)
        assert [d.failure for d in done] == [""] * len(parts)
        assert len(killed) == (name == "killed")
        outs.append({p.name: p.read_bytes() for p in out.glob("*.parquet")})
    assert len(outs[0]) == 12
    assert outs[0] == outs[1]
    for _ in range(100):  # the nanny starts another
        if len(client.scheduler_info()["workers"]) == 2:
            break
        time.sleep(0.1)


# --- counting ---


def crowd_notes() -> list[dict[str, str]]:
    """Notes of ninety tasters, more than sixty a coffee."""
    said = ("plum, jasmine", "cocoa, maybe plum", "fruity, bright acidity", "peach; musty", "", "tons of caramel, plum")
    return [
        {"id": f"n{i}{c}", "coffee": c, "taster": f"t{i}", "text": said[(i * (1 + "ABC".index(c))) % 6]}
        for i in range(90)
        for c in "ABC"
        if (i + ord(c)) % 5
    ]


@pytest.mark.slow
def test_a_crowd_on_a_cluster_is_told_as_the_panel_tells_it(app, client, tmp_path: Path, monkeypatch) -> None:
    """From notes to maps and contrasts by the commands; over sixty tasters each, so that only sums are known,
    in several partitions."""
    monkeypatch.setattr(crowds, "PARTITION", 150)
    rows = crowd_notes()
    table = write_csv(tmp_path / "notes.csv", rows)
    run(app, client, table, "--out", f"{tmp_path / 'found'}/")
    at = ("--scheduler", client.scheduler.address)
    done = told(app, "crowd", tmp_path / "found", "--out", tmp_path / "maps", *at)
    assert done.exit_code == 0, done.output
    assert f"3 maps and lines of {len(rows)} servings, 3 compared" in done.stderr
    ours = [json.loads(line) for line in (tmp_path / "maps" / "maps.jsonl").read_text("utf-8").splitlines()]
    panel = json.loads(told(app, "panel", table, "--format", "json", "--bootstrap", 0).stdout)["maps"]
    figures = (
        "coffee",
        "tasters",
        "quorum",
        "ladder",
        "line",
        "line_coverage",
        "best_lines",
        "apart",
        "chance",
        "hold",
    )
    for made, map in zip(ours, panel, strict=True):
        assert [made[name] for name in figures] == [map[name] for name in figures]
        for name in ("nodes", "rungs", "denied"):
            bare = [{k: v for k, v in one.items() if k != "evidence"} for one in map[name]]
            assert [{k: v for k, v in one.items() if k != "evidence"} for one in made[name]] == bare
    assert any(made["line"] for made in ours)
    contrast = json.loads((tmp_path / "maps" / "contrast.json").read_text("utf-8"))
    assert contrast == json.loads(told(app, "contrast", table, "--by", "coffee", "--format", "json").stdout)
    assert contrast["pairs"][0]["changes"]
    assert sorted(p.name for p in (tmp_path / "maps").iterdir()) == ["contrast.json", "lines.csv", "maps.jsonl"]
    lines = (tmp_path / "maps" / "lines.csv").read_text("utf-8").splitlines()
    assert [line.split(",")[0] for line in lines] == ["serving", "A", "B", "C"]


def test_what_cannot_be_counted_is_said(app, client, tmp_path: Path) -> None:
    at = ("--out", tmp_path / "maps", "--scheduler", client.scheduler.address)
    (tmp_path / "none").mkdir()
    assert "holds no findings" in str(told(app, "crowd", tmp_path / "none", *at).exception)
    found, house = tmp_path / "found", tmp_path / "house.yaml"
    house.write_text("house: bar\nignore: [plum]\n", "utf-8")
    plain = write_csv(tmp_path / "plain.csv", [{"text": "plum"}, {"text": "plum, peach"}, {"text": "nothing much"}])
    run(app, client, plain, "--out", f"{found}/")
    assert "words may have moved" in str(told(app, "crowd", found, *at, "--house", house).exception)
    assert "no row names a brew" in str(told(app, "crowd", found, *at, "--by", "brew").exception)
    (tmp_path / "maps" / ".crowd-of-one-that-was-killed" / "tasters").mkdir(parents=True)
    assert told(app, "crowd", found, *at).exit_code == 0
    assert sorted(p.name for p in (tmp_path / "maps").iterdir()) == ["lines.csv", "maps.jsonl"]
    made = json.loads((tmp_path / "maps" / "maps.jsonl").read_text("utf-8"))
    assert (made["coffee"], made["tasters"], made["line"]) == ("coffee", 3, ["orchard/plums"])
    assert not (tmp_path / "maps" / "contrast.json").exists()


@pytest.mark.slow
def test_a_worker_killed_while_a_crowd_is_counted_changes_nothing(app, client, tmp_path: Path, monkeypatch) -> None:
    """A moment after the start, after tasters were brought together, and after the sums."""
    monkeypatch.setattr(crowds, "PARTITION", 150)
    run(app, client, write_csv(tmp_path / "notes.csv", crowd_notes()), "--out", f"{tmp_path / 'found'}/")

    def counted(name: str, kill_after: int = -1) -> dict[str, bytes]:
        out, steps = tmp_path / name, 0
        out.mkdir()
        killer = threading.Timer(0.1, os.kill, (min(client.run(os.getpid).values()), signal.SIGKILL))

        def step(done: int) -> None:
            nonlocal steps
            steps += done
            if steps == kill_after:
                killer.start()

        step(0)
        crowds.count_crowd(tmp_path / "found", out, Ask("coffee", None, None), client, step=step)
        assert killer.finished.is_set() == (kill_after >= 0)
        return {p.name: p.read_bytes() for p in out.iterdir()}

    calm = counted("calm")
    assert len(calm) == 3
    for steps in range(3):
        assert counted(f"killed after {steps}", steps) == calm
