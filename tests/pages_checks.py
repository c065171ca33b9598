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


class Tabs:
    """A browser's tabs, one for each make of context, used again and again: a new one takes a second to start.

    `opened` gives a tab as if it were new: blank, at a size and in a scheme, and nothing kept of the page before it.
    """

    def __init__(self, browser: Any) -> None:
        self.browser = browser
        self.own: tuple[str, ...] = ()
        self.said: list[str] = []
        self.tabs: dict[tuple[tuple[str, object], ...], Any] = {}

    def opened(
        self,
        own: tuple[str, ...],
        viewport: dict[str, int] | None = None,
        color_scheme: str = "light",
        **fixed: object,
    ) -> tuple[Any, list[str]]:
        """A tab, and all that will be complained of in it: what its console says, scripts that fail, and every address
        asked for that does not begin as one of its `own`."""
        kind = tuple(sorted(fixed.items()))
        tab = self.tabs[kind] if kind in self.tabs else self._made(kind)
        self.shut()
        tab.context.clear_cookies()
        tab.set_viewport_size(viewport or {"width": 1280, "height": 720})
        tab.emulate_media(color_scheme=color_scheme)
        self.own, self.said = own, []
        return tab, self.said

    def shut(self) -> None:
        """Leave every page, which forgets what it kept, and complain of nothing that this brings."""
        self.own, self.said = ("",), []
        for tab in self.tabs.values():
            if tab.url != "about:blank":
                tab.evaluate("() => { try { localStorage.clear(); sessionStorage.clear(); } catch { /* has none */ } }")
                tab.goto("about:blank")

    def _made(self, kind: tuple[tuple[str, object], ...]) -> Any:
        tab = self.tabs[kind] = self.browser.new_context(**dict(kind)).new_page()
        tab.on("console", lambda message: self.said.append(message.text))
        tab.on("pageerror", lambda error: self.said.append(str(error)))
        tab.on("request", lambda asked: None if asked.url.startswith(self.own) else self.said.append(asked.url))
        return tab
