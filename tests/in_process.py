"""The program as it is called, in this process: what a new one would only spend on starting is saved."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock


@dataclass(frozen=True, slots=True)
class Done:
    """How a call ended, and what it wrote."""

    returncode: int
    stdout: str
    stderr: str


def run(*arguments: str, folder: Path) -> Done:
    """`tastevocab ARGUMENTS` in a folder, as its entry point runs it."""
    from tastevocab.cli import main

    out, err = io.StringIO(), io.StringIO()
    status: object = 0
    with (
        contextlib.chdir(folder),
        mock.patch.dict(os.environ, {"COLUMNS": "100", "NO_COLOR": "1"}),
        mock.patch.object(sys, "argv", ["tastevocab", *arguments]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main.run()
        except SystemExit as end:
            status = end.code
    return Done(status if isinstance(status, int) else 0, out.getvalue(), err.getvalue())
