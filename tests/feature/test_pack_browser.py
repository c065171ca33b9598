"""The pages of a pack in a real browser: text of people runs nothing, and the editor's page is for everybody."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from test_pack import hostile_pack

CHROMIUM = Path("/usr/bin/chromium")


@pytest.fixture(scope="module")
def browser() -> Iterator:
    playwright = pytest.importorskip("playwright.sync_api")
    if not CHROMIUM.exists():
        pytest.skip("needs Chromium at /usr/bin/chromium")
    with playwright.sync_playwright() as driver:
        running = driver.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu"])
        yield running
        running.close()


def test_hostile_text_runs_nothing(browser, table, tmp_path: Path) -> None:
    made = hostile_pack(table)
    seen: list[str] = []
    context = browser.new_context(offline=True, viewport={"width": 320, "height": 800})
    tab = context.new_page()
    tab.on("dialog", lambda dialog: (seen.append(dialog.message), dialog.dismiss()))
    tab.on("console", lambda message: seen.append(message.text) if message.type == "error" else None)
    for name in ("notes.html", "wheel.html", "wheel.svg"):
        (tmp_path / name).write_bytes(made.files[name])
        tab.goto((tmp_path / name).as_uri())
        tab.wait_for_timeout(200)
        if name == "notes.html":
            assert tab.evaluate("document.documentElement.scrollWidth") <= 320
    context.close()
    assert seen == []


@pytest.mark.parametrize(("width", "scheme"), [(1200, "light"), (320, "dark")])
def test_the_notes_page_is_accessible(browser, demo, tmp_path: Path, width: int, scheme: str) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    (tmp_path / "notes.html").write_bytes(demo.files["notes.html"])
    # The page's policy allows no script at all, so the checker itself has to be let in past it.
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True)
    tab = context.new_page()
    tab.goto((tmp_path / "notes.html").as_uri())
    found = axe.Axe().run(tab).response["violations"]
    context.close()
    assert [(v["id"], v["impact"]) for v in found if v["impact"] in ("serious", "critical")] == []
