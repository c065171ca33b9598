"""Waiting in a real browser for something to hold, on pages whose policy lets no text be run as script.

Playwright's own `wait_for_function` runs its text inside the page again and again, which such a policy refuses.
"""

from __future__ import annotations

from time import monotonic
from typing import Any


def until(page: Any, script: str, given: object = None, seconds: float = 15) -> None:
    """Wait until `script` (an expression, or a function of `given`) is true on the page. Fails after `seconds`."""
    end = monotonic() + seconds
    while not page.evaluate(script, given):
        assert monotonic() < end, f"not so after {seconds} s: {script}"
        page.wait_for_timeout(25)
