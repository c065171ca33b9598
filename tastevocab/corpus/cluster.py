"""The cluster that work goes to: one that is there already, or processes of this machine."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from typing import TYPE_CHECKING

from tastevocab.errors import InputError

if TYPE_CHECKING:
    from distributed import Client

WAIT = "20s"

UNWATCHED = {"distributed.worker.profile.enabled": False, "distributed.admin.system-monitor.gil.enabled": False}
"""Dask's settings for processes of our own: they are not sampled a hundred times a second for a page nobody opens."""

ANY_PORT = {"dashboard_address": "127.0.0.1:0"}
"""Of this machine alone, whatever port is free: two corpora may be read at once."""


@contextmanager
def cluster(scheduler: str | None, processes: int | None = None) -> Iterator[Client]:
    """A client of the cluster at the address `scheduler`; where None, of `processes` of this machine (one a core).

    Raises `InputError` where Dask is not installed or nothing answers.
    """
    require_dask()
    import dask
    from distributed import Client, LocalCluster

    if scheduler:
        try:
            client = Client(scheduler, timeout=WAIT)
        except (OSError, ValueError) as problem:
            raise InputError(
                f"no scheduler answers at {scheduler}: {problem}",
                mend="start one with `dask scheduler`, or leave it out",
            ) from None
        with client:
            yield client
        return
    count = processes or os.cpu_count() or 1
    with (
        dask.config.set(UNWATCHED),
        LocalCluster(
            n_workers=count,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            scheduler_kwargs=ANY_PORT,
            silence_logs=50,
        ) as local,
        Client(local) as client,
    ):
        yield client


def require_dask() -> None:
    """Raises `InputError` where what a corpus takes is not installed."""
    absent = [name for name in ("dask", "distributed", "pandas", "pyarrow") if find_spec(name) is None]
    if absent:
        raise InputError(f"{' and '.join(absent)} not installed", mend="pip install 'tastevocab[cluster]'")
