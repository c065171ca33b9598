"""The server is killed outright (SIGKILL) while phones type, double and reorder their sends; tests/bench does it 50
times."""

from __future__ import annotations

import sys

import pytest
from crashing import crash


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does")
def test_nothing_acknowledged_is_lost_when_the_server_is_killed(tmp_path):
    outcome = crash(tmp_path, guests=4, kills=2, most=0.8)
    assert outcome.acknowledged > 10
    assert (outcome.lost, outcome.twice, outcome.breaches, outcome.waiting) == ([], [], [], 0)
    assert outcome.acknowledged == outcome.written
