"""A whole corpus read over a cluster: parts that are there already are kept, parts that fail are listed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from tastevocab.corpus.parts import Part
from tastevocab.corpus.reading import DIGEST, INPUT, READER, VOCABULARY, Done, Job, read_part
from tastevocab.errors import InputError, Place

if TYPE_CHECKING:
    from distributed import Client

TRIES = 3
"""Workers that may die over a part before it is taken for the cause."""


def read_parts(
    parts: Sequence[Part], job: Job, client: Client, step: Callable[[int], object] = lambda parts: None
) -> tuple[Done, ...]:
    """Read parts, each a task, and say in their order what became of them; `step` hears of each that is done."""
    from distributed import as_completed

    # A name of this call alone: a scheduler gives what it still holds under an old one, and no file would be written.
    call = uuid4().hex
    tasks = {f"read-{part.name}-{part.digest}-{call}": part for part in parts}
    futures = [client.submit(read_part, part, job, key=key, pure=False, retries=TRIES) for key, part in tasks.items()]
    made = {}
    for future in as_completed(futures, loop=client.loop):
        part = tasks[future.key]
        problem = future.exception() if future.status == "error" else None
        made[part.name] = Done(part, failure=f"{part.source}:{part.line}: {problem}") if problem else future.result()
        future.release()
        step(1)
    return tuple(made[part.name] for part in parts)


def missing(parts: Iterable[Part], job: Job, *, mix: bool = False) -> list[Part]:
    """The parts that `job.out` does not hold yet as they would be read now (with `mix`: of the same bytes, read by
    anybody)."""
    return [part for part in parts if not _is_there(part, job, mix)]


def _is_there(part: Part, job: Job, mix: bool) -> bool:
    kept = metadata(Path(job.out) / part.name)
    if mix:
        return kept.get(DIGEST) == part.digest
    return kept == {VOCABULARY: job.vocabulary, READER: job.reader, DIGEST: part.digest, INPUT: Path(part.path).name}


def metadata(path: Path) -> dict[str, str]:
    """What a part of findings was read with; nothing where there is no such part."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        kept = pq.read_schema(path).metadata or {}
    except (OSError, pa.ArrowInvalid):
        return {}
    return {key.decode(): value.decode() for key, value in kept.items() if key.startswith(b"tastevocab.")}


def findings_in(folder: Path) -> list[Path]:
    """The parts of findings in a folder, by name. Raises `InputError` where there is none."""
    parts = sorted(path for path in folder.glob("*.parquet") if metadata(path))
    if not parts:
        raise InputError(
            "holds no findings", place=Place(str(folder)), mend="make them with `tastevocab read NOTES --out FOLDER/`"
        )
    return parts


def require_vocabulary(folder: Path, vocabulary: str) -> None:
    """Raises `InputError` where a folder's parts were read with another vocabulary than this one."""
    for path in findings_in(folder):
        if (read_with := metadata(path).get(VOCABULARY)) != vocabulary:
            raise InputError(
                f"was read with vocabulary {read_with}, and this one is {vocabulary}: words may have moved",
                place=Place(str(path)),
                mend="give the --vocab and --house it was read with, read it again, or add --mix",
            )


def require_one_reader(folder: Path, job: Job | None = None) -> None:
    """Raises `InputError` where a folder's parts were read with several vocabularies or readers (with `job`: others
    than its own)."""
    found = {(kept.get(VOCABULARY), kept.get(READER)) for path in folder.glob("*.parquet") if (kept := metadata(path))}
    own = {(job.vocabulary, job.reader)} if job else set()
    if len(found | own) < 2:
        return
    told = "; ".join(f"vocabulary {v}, reader {r}" for v, r in sorted(map(_both, found)))
    now = f", and would now be read with vocabulary {job.vocabulary}, reader {job.reader}" if job else ""
    raise InputError(
        f"was read with {told}{now}: the same word may not mean the same there",
        place=Place(str(folder)),
        mend="read into a new folder, or add --mix to have them side by side",
    )


def _both(pair: tuple[str | None, str | None]) -> tuple[str, str]:
    return pair[0] or "", pair[1] or ""


def drop_stale(folder: Path, parts: Sequence[Part]) -> int:
    """Delete the parts of findings that were made of a piece which one of these input files no longer has."""
    inputs, names = {Path(part.path).name for part in parts}, {part.name for part in parts}
    stale = [p for p in folder.glob("*.parquet") if p.name not in names and metadata(p).get(INPUT) in inputs]
    for path in stale:
        path.unlink()
    return len(stale)
