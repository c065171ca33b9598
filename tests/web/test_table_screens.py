"""Every screen of the table can be read, reached and pressed by everybody (`screen_checks.py`)."""

from __future__ import annotations

from typing import Any

import pytest
from screen_checks import checked
from screens import CHROMIUM, table_screens

pytestmark = pytest.mark.skipif(not CHROMIUM.exists(), reason="needs Chromium at /usr/bin/chromium")


@pytest.mark.slow
def test_the_table(browser: Any, tmp_path, work) -> None:
    table_screens(browser, tmp_path, work, checked)
