"""How heavy our page is and how soon it is ready on a slow phone, beside the same wheel as a page of Plotly's.

`pytest tests/bench/test_page_bench.py -n 0 --benchmark-enable -s` prints both, at four and six times a slowed processor
(Chromium's own throttling), each the median of five fresh loads from a file.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "wheel"))

from test_page import CHROMIUM, FLAGS, printed_tree

from tastevocab.wheel.page import draw_page
from tastevocab.wheel.page_figure import figure_page

READY = """const look = () =>
  document.querySelector(%r) ? window.ready = performance.now() : requestAnimationFrame(look);
look();"""
MARKS = {"ours": ".wheel [role=button]", "plotly": "#wheel .slice path"}


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    maps = {
        f"{brew}, {moment}": printed_tree() for brew in ("filter", "espresso") for moment in ("hot", "warm", "cool")
    }
    made = {"ours": draw_page(maps), "plotly": figure_page(printed_tree())}
    for name, page in made.items():
        (folder / f"{name}.html").write_text(page, encoding="utf-8")
    return {name: folder / f"{name}.html" for name in made}


def ready_after(browser, page: Path, mark: str, slowed: int) -> float:
    """Milliseconds from the start of the load until the wheel stands and answers."""
    context = browser.new_context(viewport={"width": 390, "height": 800}, device_scale_factor=2, offline=True)
    tab = context.new_page()
    context.new_cdp_session(tab).send("Emulation.setCPUThrottlingRate", {"rate": slowed})
    tab.add_init_script(READY % mark)
    tab.goto(page.as_uri(), timeout=60_000)
    tab.wait_for_function("window.ready > 0", timeout=60_000)
    took = float(tab.evaluate("window.ready"))
    context.close()
    return took


@pytest.mark.parametrize("slowed", [4, 6])
@pytest.mark.parametrize("name", ["ours", "plotly"])
def test_time_to_ready(benchmark, request: pytest.FixtureRequest, name: str, slowed: int) -> None:
    if not benchmark.enabled:
        pytest.skip("a time: --benchmark-enable measures it; that the page is ready and small is tested in tests/wheel")
    if not CHROMIUM.exists():
        pytest.skip("needs Chromium at /usr/bin/chromium")
    from playwright.sync_api import sync_playwright

    pages: dict[str, Path] = request.getfixturevalue("pages")

    with sync_playwright() as engine:
        browser = engine.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        times = [ready_after(browser, pages[name], MARKS[name], slowed) for _ in range(5)]
        browser.close()
    middle = statistics.median(times)
    benchmark.extra_info |= {"bytes": pages[name].stat().st_size, "ready_ms": middle}
    print(f"\n{name}, {slowed} x: {pages[name].stat().st_size:,} bytes, ready after {middle:.0f} ms", flush=True)
    benchmark(lambda: middle)
