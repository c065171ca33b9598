"""Rows of notes to rows of findings: the one function that every partition of a corpus goes through."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab import __version__
from tastevocab.corpus.columns import Row, frame_of, rows_of, table_of
from tastevocab.errors import InputError, Place, TastevocabError
from tastevocab.reading.intake.files import default_layout
from tastevocab.reading.intake.tables import columns_of, table_turns
from tastevocab.reading.read import read_turns, with_defaults
from tastevocab.reading.records import Turn
from tastevocab.reading.report.contract import Labels
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon

if TYPE_CHECKING:
    import pandas as pd

PACKAGE = Path(__file__).parents[1]

SOURCE = "frame"
"""What rows are said to come from that came in a frame."""


@lru_cache(maxsize=2)
def opened(vocab: str | None, house: str | None, *tongues: str) -> Lexicon:
    """The vocabulary in the folder `vocab` with the file `house` over it, in the languages `tongues`, opened once a
    process."""
    return open_lexicon(Path(vocab) if vocab else None, Path(house) if house else None, *tongues)


@lru_cache(maxsize=1)
def reader_hash() -> str:
    """What reads: 16 hex digits of the program's version, the code of its reading rooms and its fitted network."""
    digest = hashlib.sha256(__version__.encode())
    files = [f for room in ("vocabulary", "reading") for f in (PACKAGE / room).rglob("*") if f.is_file()]
    for file in sorted(f for f in files if f.suffix != ".pyc"):
        digest.update(f"{file.relative_to(PACKAGE).as_posix()}\0".encode())
        digest.update(hashlib.sha256(file.read_bytes()).digest())
    return digest.hexdigest()[:16]


def read_frame(
    df: pd.DataFrame,
    *,
    text: str = "text",
    taster: str | None = None,
    coffee: str | None = None,
    vocab: str | None = None,
    house: str | None = None,
    tongues: tuple[str, ...] = (),
) -> pd.DataFrame:
    """What was found in a frame of notes, a row a finding, in the fixed columns of `columns.COLUMNS`.

    `text`, `taster` and `coffee` name its columns; those left out, and brew, moment, bowl and id, go by their usual
    names. For `map_partitions`: give `meta=empty_frame()`. Raises `InputError` (row from 1) where a column is
    missing or a cell holds no words.
    """
    import pyarrow as pa

    named = {"text": text, "taster": taster, "coffee": coffee}
    listed = pa.Table.from_pandas(df, preserve_index=False).to_pylist()
    rows = chosen_rows(enumerate(listed, 1), {ours: theirs for ours, theirs in named.items() if theirs}, SOURCE)
    return frame_of(table_of(found_rows(rows, opened(vocab, house, *tongues), SOURCE)))


def empty_frame() -> pd.DataFrame:
    """A frame of the fixed columns without a row: the `meta` of `read_frame`."""
    return frame_of(table_of(()))


def chosen_rows(
    rows: Iterable[tuple[int, Mapping[str, Any]]], named: Mapping[str, str], source: str
) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """Numbered rows with the columns `named` (ours to theirs) under our names, and no other that would be taken for
    them. Raises `InputError` where the first row has no such column."""
    if not named:
        yield from rows
        return
    known: dict[tuple[str, ...], dict[str, str]] = {}
    for line, row in rows:
        keys = tuple(row)
        if not known:  # later rows of JSON may leave a key out
            _require(keys, named, Place(source, line))
        if keys not in known:
            known[keys] = _renamed(keys, named)
        yield line, {ours: row.get(theirs) for ours, theirs in known[keys].items()}


def _require(keys: tuple[str, ...], named: Mapping[str, str], place: Place) -> None:
    for column in named.values():
        if column not in keys:
            have = ", ".join(keys[:12]) or "none"
            raise InputError(f'has no column "{column}"; the columns are: {have}', place=place, mend="name one of them")


def _renamed(keys: tuple[str, ...], named: Mapping[str, str]) -> dict[str, str]:
    """Our names to theirs: those chosen, and of the others what goes by its usual name."""
    left = [key for key in keys if key not in named.values()]
    usual = columns_of(left, default_layout())
    more = {} if "text" in named else {key: key for key, _ in usual.more}
    fields = {ours: theirs for ours, theirs in usual.fields.items() if ours not in named}
    return {**more, **fields, **named}


def found_rows(
    rows: Iterable[tuple[int, Mapping[str, Any]]],
    lexicon: Lexicon,
    source: str,
    defaults: Mapping[str, str] | None = None,
) -> Iterator[Row]:
    """What was found in numbered rows of notes; each stands alone, and goes by file and line where it has no id.

    Raises `InputError` (`source`, line) for the first row that cannot be read.
    """
    labels = Labels(lexicon.prints, lexicon.levels_of)
    for turn in table_turns(rows, source=source, layout=default_layout()):
        turn = turn if turn.note else replace(turn, note=f"{source}:{turn.line}")
        yield from rows_of(_read(with_defaults(turn, defaults or {}), lexicon), labels)


def _read(turn: Turn, lexicon: Lexicon) -> Any:
    try:
        return read_turns([turn], lexicon, isolated=True)
    except TastevocabError:
        raise
    except Exception as problem:  # a corpus of millions is not lost for one row that the reader trips over
        raise InputError(
            f"cannot be read: {type(problem).__name__}: {problem}",
            place=Place(turn.source, turn.line),
            mend="take this row out and read again",
        ) from problem
