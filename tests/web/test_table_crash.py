"""The server is killed outright (SIGKILL) while phones type, double and reorder their sends; tests/bench does it 50
times, and plays an hour of eight tasters."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from crashing import crash
from hour import CHROMIUM, Hour, play

pytestmark = [pytest.mark.slow, pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX does")]


def test_nothing_acknowledged_is_lost_when_the_server_is_killed(tmp_path):
    outcome = crash(tmp_path, guests=4, kills=2, most=0.8)
    assert outcome.acknowledged > 10
    assert (outcome.lost, outcome.twice, outcome.breaches, outcome.waiting) == ([], [], [], 0)
    assert outcome.acknowledged == outcome.written


@pytest.mark.skipif(not Path(CHROMIUM).exists(), reason="needs Chromium at /usr/bin/chromium")
def test_a_short_hour_in_a_browser(tmp_path):
    """With kills of the server, of tabs and of networks, in one run; what is looked at is seen to be there."""
    outcome = play(tmp_path, Hour(people=2, notes=8, kills=2, seed=3, pause=200))
    assert outcome.wrong == {}
    assert outcome.counts["kills of the server"] == 2
    assert outcome.counts["bytes sent to seats"] > 10_000
