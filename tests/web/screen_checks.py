"""What holds of every screen: nothing is cut at any width, all can be reached and pressed, axe is content.

WCAG 2.2 A and AA as far as axe-core can tell; targets of 44 px as WCAG 2.5.5 has them.
"""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from screens import SCHEMES, WIDTHS

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
WIDE = """() => [...document.querySelectorAll("body *:not(.unseen, .skip)")]
  .filter(e => !e.closest(".scroll, svg, .unseen") && e.getBoundingClientRect().right > innerWidth + 1)
  .map(e => e.outerHTML.slice(0, 100))"""
SMALL = """() => [...document.querySelectorAll(
    "main button:not(.when, .run, .plain, .fold), main textarea, main select, dialog button")]
  .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 43.5).map(e => e.outerHTML.slice(0, 100))"""
LISTEN = """() => {
  for (const e of document.querySelectorAll("[data-reached]")) delete e.dataset.reached;
  document.activeElement?.blur();
  if (window.listens) return;
  window.listens = true;
  document.addEventListener("focusin", e => {
    const style = getComputedStyle(e.target);
    e.target.dataset.reached = style.outlineStyle !== "none" || style.strokeWidth !== "0px" ? "seen" : "unseen";
  });
}"""
MISSED = """() => {
  const open = document.querySelector("dialog[open]");
  const all = [...(open ?? document).querySelectorAll(
    "button, input, select, textarea, summary, a[href], [tabindex='0']")];
  const there = all.filter(e => e.checkVisibility() && !e.disabled && e.tabIndex >= 0 && e.dataset.reached !== "seen");
  const radio = e => e.type === "radio" && document.querySelector(`[name="${e.name}"][data-reached=seen]`);
  return there.filter(e => !radio(e)).map(e => e.outerHTML.slice(0, 100));
}"""


def checked(name: str, page: Any) -> None:
    """A screen that can be read, reached and pressed by everybody, at every width, light and dark."""
    assert axe(page, {"runOnly": RULES}) == [], name
    for scheme in SCHEMES[1:]:
        page.emulate_media(color_scheme=scheme)
        assert axe(page, {"runOnly": {"type": "rule", "values": ["color-contrast"]}}) == [], (name, scheme)
        page.emulate_media(color_scheme=SCHEMES[0])
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate(WIDE) == [], (name, width)
        assert page.evaluate(SMALL) == [], (name, width)
    page.evaluate(LISTEN)
    for presses in range(160):
        page.keyboard.press("Tab")
        if presses % 20 == 19 and not page.evaluate(MISSED):
            break
    assert page.evaluate(MISSED) == [], name
    page.evaluate("document.activeElement?.blur()")


def axe(page: Any, options: dict[str, Any]) -> list[Any]:
    """What axe finds, with the elements it finds it in."""
    found = Axe().run(page, options=options).response["violations"]
    return [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found]
