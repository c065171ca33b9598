"""One part of a corpus to one part of its findings, whole or not at all: what a worker does."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.corpus.columns import Row, rows_of, table_of
from tastevocab.corpus.frame import chosen_rows, found_rows, opened, reader_hash
from tastevocab.corpus.parts import END, Part
from tastevocab.errors import InputError, Place, TastevocabError
from tastevocab.reading.intake.files import default_layout
from tastevocab.reading.intake.tables import columns_of, csv_rows, json_rows
from tastevocab.reading.read import read_file
from tastevocab.reading.report.contract import Labels
from tastevocab.vocabulary.cache import open_vocabulary
from tastevocab.written import whole_file

if TYPE_CHECKING:
    import pyarrow as pa

VOCABULARY, READER, DIGEST, INPUT = (
    "tastevocab.vocabulary",
    "tastevocab.reader",
    "tastevocab.digest",
    "tastevocab.input",
)
"""Keys of a part's Parquet metadata: what it was read with, and of which bytes of which file."""


@dataclass(frozen=True, slots=True)
class Job:
    """What all parts have in common: where findings go, the vocabulary's folder, house file and languages, columns by
    our names, what notes leave open, and what every worker must have: the vocabulary's hash, and the reader's with
    those languages."""

    out: str
    vocab: str | None
    house: str | None
    tongues: tuple[str, ...]
    named: tuple[tuple[str, str], ...]
    defaults: tuple[tuple[str, str], ...]
    vocabulary: str
    reader: str


@dataclass(frozen=True, slots=True)
class Done:
    """What became of a part: how many rows of findings it gave, or why it failed ("" where it did not)."""

    part: Part
    rows: int = 0
    failure: str = ""


def job_of(
    out: Path,
    vocab: Path | None = None,
    house: Path | None = None,
    *tongues: str,
    named: Mapping[str, str] | None = None,
    defaults: Mapping[str, str] | None = None,
) -> Job:
    """The job with the hashes of this machine; paths are made absolute, so that workers find them.

    Raises `VocabularyError` where the vocabulary is wrong or does not speak one of `tongues`.
    """
    folder, file = (str(path.resolve()) if path else None for path in (vocab, house))
    opened(folder, file, *tongues)
    hash = open_vocabulary(Path(folder) if folder else None, Path(file) if file else None).hash
    columns, given = tuple((named or {}).items()), tuple((defaults or {}).items())
    return Job(str(out.resolve()), folder, file, tongues, columns, given, hash, reader_of(tongues))


def reader_of(tongues: Sequence[str]) -> str:
    """What reads and in which languages: where that is another, the same word may mean something else."""
    return " ".join((reader_hash(), *tongues))


def read_part(part: Part, job: Job) -> Done:
    """Read one part and write its findings under its name. What is wrong with it is said, not raised."""
    try:
        _require_same(job)
        table = table_of(_rows(part, job))
        _write(table, part, job)
    except TastevocabError as problem:
        return Done(part, failure=str(problem))
    return Done(part, rows=table.num_rows)


def _require_same(job: Job) -> None:
    """Raises `InputError` where this worker would read otherwise than the machine that sent the job."""
    vocabulary = open_vocabulary(*(Path(path) if path else None for path in (job.vocab, job.house))).hash
    for what, here, there in (
        ("vocabulary", vocabulary, job.vocabulary),
        ("program", reader_of(job.tongues), job.reader),
    ):
        if here != there:
            raise InputError(
                f"a worker has another {what} ({here}) than the one that was asked for ({there})",
                mend="give all machines the same version, and the same files under the same paths",
            )


def _write(table: pa.Table, part: Part, job: Job) -> None:
    import pyarrow.parquet as pq

    kept = {VOCABULARY: job.vocabulary, READER: job.reader, DIGEST: part.digest, INPUT: Path(part.path).name}
    with whole_file(Path(job.out) / part.name) as file:
        pq.write_table(table.replace_schema_metadata(kept), file, compression="zstd")


def _rows(part: Part, job: Job) -> Iterator[Row]:
    lexicon, defaults = opened(job.vocab, job.house, *job.tongues), dict(job.defaults)
    if part.kind == "talk":
        reading = read_file(Path(part.path), lexicon, defaults=defaults)
        for row in rows_of(reading, Labels(lexicon.prints, lexicon.levels_of)):
            yield {**row, "source": part.source, "id": _at_home(row.get("id"), part)}
        return
    rows = _parquet_rows(part, job) if part.kind == "parquet" else _text_rows(part)
    yield from found_rows(chosen_rows(rows, dict(job.named), part.source), lexicon, part.source, defaults)


def _at_home(id: str | None, part: Part) -> str | None:
    """A finding's id with the file as it was given, not as it lies on this machine."""
    return part.source + id.removeprefix(part.path) if id and id.startswith(part.path) else id


def _parquet_rows(part: Part, job: Job) -> Iterator[tuple[int, dict[str, Any]]]:
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        with pq.ParquetFile(part.path) as file:
            columns = _wanted(file.schema_arrow.names, dict(job.named))
            table = file.read_row_group(part.group, columns).slice(part.start, part.stop - part.start)
    except (OSError, pa.ArrowException) as problem:
        raise InputError(
            f"cannot be read: {problem}", place=Place(part.source, part.line), mend="write it again, or leave it out"
        ) from None
    try:
        yield from enumerate(table.to_pylist(), part.line)
    except UnicodeDecodeError:
        raise _no_text(part.source, part.line + _first_broken(table)) from None


def _wanted(names: Sequence[str], named: Mapping[str, str]) -> list[str] | None:
    """The columns that are read at all; all of them where none would be, so that the error can list them."""
    usual = columns_of(names, default_layout())
    wanted = {*named.values(), *usual.fields.values(), *(key for key, _ in usual.more)}
    return [name for name in names if name in wanted] if named.get("text", "") in names or usual.fields else None


def _first_broken(table: pa.Table) -> int:
    """The first row with a cell that is no UTF-8."""
    for row in range(table.num_rows):
        try:
            table.slice(row, 1).to_pylist()
        except UnicodeDecodeError:
            return row
    return 0


def _no_text(path: str, line: int) -> InputError:
    return InputError("is not UTF-8", place=Place(path, line), mend="save the file as UTF-8, or take that row out")


def _text_rows(part: Part) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """The rows of a piece of a text table with their lines in the file."""
    text = _text(part)
    head = part.head.count("\n")
    file = io.StringIO(part.head + text, newline="" if part.kind == "csv" else None)
    layout = default_layout()
    rows = csv_rows(file, part.source, layout) if part.kind == "csv" else json_rows(file, part.source)
    moved = part.line - head - 1
    try:
        for line, row in rows:
            yield line + moved, row
    except InputError as problem:
        line = problem.place.line + moved if problem.place else part.line
        raise InputError(problem.what, place=Place(part.source, line), mend=problem.mend) from None


def _text(part: Part) -> str:
    """The piece decoded; the whole file, where it is one, may have a mark of its encoding."""
    try:
        with open(part.path, "rb") as file:
            file.seek(part.start)
            raw = file.read() if part.stop == END else file.read(part.stop - part.start)
    except OSError as problem:
        raise InputError(
            f"cannot be read: {problem.strerror}", place=Place(part.source), mend="check the path"
        ) from None
    codec = "utf-16" if part.start == 0 and raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8"
    try:
        return raw.decode(codec)
    except UnicodeDecodeError as problem:
        raise _no_text(part.source, part.line + raw.count(b"\n", 0, problem.start)) from None
