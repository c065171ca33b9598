"""Every screen of the desk can be read, reached and pressed by everybody (`screen_checks.py`)."""

from __future__ import annotations

from typing import Any

import pytest
from screen_checks import checked
from screens import CHROMIUM, desk_screens

from tastevocab.web.desk.sitting import Sitting

pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium")


@pytest.mark.slow
def test_the_desk(browser: Any, quay: Sitting) -> None:
    desk_screens(browser, quay, checked)
