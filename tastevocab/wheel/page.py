"""The page of a wheel: one HTML file that opens anywhere, with the printed wheel to point at and every word behind it.

The page holds our own drawing, a list that says the same, and a small script. Nothing is loaded from outside: a content
security policy in the page allows its one script and its one style sheet, by their hashes. Wheels of further steps
(moments, brews) lie in it compressed. Everything people wrote is escaped. The same maps give the same bytes.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from itertools import zip_longest
from typing import Any

from tastevocab.errors import InputError
from tastevocab.wheel.colour import Theme, theme
from tastevocab.wheel.page_picture import SCREENS, Items, Palette, letters_svg, spoken, wheel_items, wheel_svg
from tastevocab.wheel.tree import WheelNode, WheelTree
from tastevocab.wheel.typeface import clean
from tastevocab.wheel.words import CAUTION, NOT_QUALITY, UNSPECIFIED, alt_text, counted, percent, step_word

MOST_BYTES = 250_000
"""What a page of a table may weigh."""


@dataclass(frozen=True, slots=True)
class Around:
    """What stands around the wheel of a page.

    `description` and `picture` (a file beside the page) are what a link to it shows elsewhere. `sound` is where the
    page finds the recording of the table, from its own place ("": words cannot be heard).
    """

    description: str = ""
    picture: str = ""
    sound: str = ""


def draw_page(
    maps: Mapping[str, WheelTree], *, first: str | None = None, around: Around | None = None, font: str = ""
) -> str:
    """The page as HTML. `maps` are the steps to walk through, by the name that the page shows (moments, brews).

    `first` names the one that shows when the page opens (None: the first of them), `font` a font file to letter with
    ("": the one that ships). Raises `InputError` when there is no map or one contradicts itself, and for letters that
    no font has.
    """
    if not maps:
        raise InputError("there is no map to draw", mend="give at least one")
    opened = list(maps).index(first) if first is not None and first in maps else 0
    main, around = list(maps.values())[opened], around or Around()
    palette = Palette()
    drawn = [[wheel_items(tree, screen, palette, font) for screen in SCREENS] for tree in maps.values()]
    style = _style(palette, theme("light", main.ring), theme("dark", main.ring))
    script = _template("page.js")
    steps = [_step(i, name, tree, drawn[i], font, bool(around.sound)) for i, (name, tree) in enumerate(maps.items())]
    values = {
        "title": clean(main.title) or "Flavour wheel",
        "views": [{"index": i, "name": _name(i, name)} for i, name in enumerate(maps)],
        "further_names": ", ".join(name for i, name in enumerate(maps) if i != opened),
        "opened": opened,
        "step": steps[opened],
        "spoken": spoken(main),
        "around": around,
        "hold": clean(main.hold),
        "letters": letters_svg([items for pair in drawn for items in pair], font),
        "style": style,
        "script": script,
        "policy": _policy(script, style, bool(around.sound)),
    }
    page = ""
    for screens in (len(SCREENS), 1):  # a heavy page has the further wheels for wide screens only
        further = [None if i == opened else step | {"wheels": step["wheels"][:screens]} for i, step in enumerate(steps)]
        page = str(_environment().get_template("page.html.j2").render(values, further=_packed(further)))
        if len(page.encode("utf-8")) <= MOST_BYTES:
            break
    return page


@lru_cache(maxsize=1)
def _environment() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("tastevocab.wheel"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _template(name: str) -> str:
    return (resources.files("tastevocab.wheel") / "templates" / name).read_text(encoding="utf-8")


def _style(palette: Palette, light: Theme, dark: Theme) -> str:
    """The style sheet with the page's colours by day and by night; printed it is day."""

    def declared(side: int, look: Theme) -> str:
        named = (("paper", look.paper), ("ink", look.ink), ("muted", look.muted), ("line", look.line))
        return ":root{" + "".join(f"--{name}:{value};" for name, value in named) + palette.css(side) + "}"

    night = f"@media screen and (prefers-color-scheme:dark){{{declared(1, dark)}}}"
    return f"{declared(0, light)}\n{night}\n{_template('page.css')}"


def _step(index: int, name: str, tree: WheelTree, drawn: Sequence[Items], font: str, heard: bool) -> dict[str, Any]:
    """One step as HTML: its wheel for every screen, its message, its words (with their seconds where `heard`)."""
    parts = _environment().get_template("page_step.html.j2").module
    view = _view(index, name, tree, heard)
    label = f"Flavour wheel: {spoken(tree)}"
    return {
        "wheels": [wheel_svg(items, screen, label, font) for items, screen in zip(drawn, SCREENS, strict=True)],
        "message": str(parts.message(view)),
        "words": str(parts.words(view, NOT_QUALITY)),
    }


def _packed(steps: Sequence[dict[str, Any] | None]) -> str:
    """The further steps as compressed text (gzip in base64); "" where there are none."""
    if not any(steps):
        return ""
    text = json.dumps(steps, ensure_ascii=False, separators=(",", ":"))
    return base64.b64encode(gzip.compress(text.encode("utf-8"), 9, mtime=0)).decode("ascii")


MEDIA = "media-src 'self' file:; "
"""A page opened as a file has no origin to be the same as; one from a site cannot reach files."""


def _policy(script: str, style: str, heard: bool) -> str:
    """Nothing but the page's own script and style (by their hashes), drawn pictures, and a recording beside it."""
    own_script, own_style = (
        f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" for text in (script, style)
    )
    return (
        f"default-src 'none'; script-src {own_script}; style-src {own_style}; img-src data:; "
        f"{MEDIA * heard}"
        "base-uri 'none'; form-action 'none'"
    )


def _printed(word: Any) -> dict[str, Any]:
    return {
        "id": word.id,
        "label": clean(word.label),
        "count": f"{word.people} of {word.of}",
        "leaning": clean(word.leaning),
        "over": " ".join(word.over),
    }


def _name(index: int, name: str) -> str:
    return clean(name) or f"map {index + 1}"


def _view(index: int, name: str, tree: WheelTree, heard: bool) -> dict[str, Any]:
    """What the template says of one step."""
    return {
        "index": index,
        "name": _name(index, name),
        "base": [clean(line) for line in tree.subtitle if clean(line)],
        "spoken": spoken(tree),
        "printed": [_printed(word) for word in tree.printed],
        "alt": alt_text(tree),
        "rows": list(_rows(tree, heard)),
        "footer": [clean(line) for line in (tree.footer or (CAUTION,))],
        "method": [clean(line) for line in tree.method],
        "strips": [
            {
                "label": clean(strip.label),
                "median": step_word(strip) or "no median",
                "marks": ", ".join(f"{clean(who)} {mark:g}" for who, mark in strip.marks),
                "scale": " · ".join(clean(word) for word in strip.scale),
            }
            for strip in tree.strips
        ],
    }


def _rows(tree: WheelTree, heard: bool) -> Iterator[dict[str, Any]]:
    """Every node in walking order. The very words stand where they were said, not again at all that they lie in.

    A broad word over several categories has its people above, where it is printed; its row, like its petal, has those
    who said that very word, so that no row holds more people than the one that it lies in. `all` are then the others.
    """
    total = sum(node.wedge for node in tree.nodes if not node.parent) or 1.0
    depth: dict[str, int] = {}
    for node in tree.nodes:
        depth[node.id] = depth.get(node.parent, -1) + 1
        people = node.people if not node.open or node.own_people is None else node.own_people
        yield {
            "id": node.id,
            "up": node.parent,
            "label": clean(node.label) + f", {UNSPECIFIED}" * node.open,
            "depth": min(depth[node.id], 2),
            "count": counted(people, node.of),
            "all": counted(node.people, node.of) if node.people != people else "",
            "fold": node.fold,
            "facts": ", ".join(_facts(node, node.wedge / total)),
            "said": list(_said(node, heard)) if node.own > 0 or node.level == "note" else (),
        }


def _said(node: WheelNode, heard: bool) -> Iterator[tuple[str, str | None]]:
    """The lines of evidence, each with its second in the recording (None: not known, or nothing to hear)."""
    seconds = node.heard if heard else ()
    for line, at in zip_longest(node.evidence, seconds[: len(node.evidence)]):
        yield clean(line), None if at is None else f"{at:.1f}".removesuffix(".0")


def _facts(node: WheelNode, share: float) -> Iterator[str]:
    yield f"{percent(share)} of the map"
    if node.open and node.own_people is not None and node.own_people != node.people:
        yield f"{counted(node.people, node.of)} with all that it stands for"
    if node.hedged_share > 0:
        yield f"{percent(node.hedged_share)} with doubt"
    if node.denials:
        yield f"{node.denials} said no"
