"""The pack's sentences: templates and word lists from a folder that the user may copy and change."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tastevocab.errors import InputError, Place
from tastevocab.panel.faults import CAUTION, NO_VERDICT
from tastevocab.vocabulary.sources import Lines, as_mapping, parse_yaml

if TYPE_CHECKING:
    from jinja2.sandbox import ImmutableSandboxedEnvironment

PAGES = ("notes.md.j2", "notes.html.j2", "brews.md.j2")
DATA = ("wording.yaml", "cautions.yaml")
STYLE = "house-style.yaml"


def shipped(name: str) -> str:
    """The text of one shipped template."""
    return (resources.files("tastevocab.feature") / "templates" / name).read_text("utf-8")


def template_files() -> dict[str, bytes]:
    """Every shipped template and the house style as it ships, by name: to be copied and changed."""
    return {name: shipped(name).encode("utf-8") for name in (*PAGES, *DATA, STYLE)}


class Wording:
    """All wording of one template folder; what the folder lacks is taken from the shipped one.

    Raises `InputError` where the folder is missing or holds none of the templates.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder
        if folder is not None and not folder.is_dir():
            raise InputError("no such template folder", place=Place(str(folder)), mend="check the path")
        if folder is not None and not any((folder / name).is_file() for name in (*PAGES, *DATA)):
            raise InputError(
                "holds none of the templates", place=Place(str(folder)), mend=f"copy from: {', '.join((*PAGES, *DATA))}"
            )
        self.words = self._data("wording.yaml")
        self.cautions = self._data("cautions.yaml")

    def text(self, name: str) -> str:
        """The text of one template, the user's own if there is one."""
        own = self.folder / name if self.folder else None
        if own is None or not own.is_file():
            return shipped(name)
        try:
            return own.read_text("utf-8-sig")
        except (OSError, UnicodeDecodeError):
            raise InputError("cannot be read as UTF-8", place=Place(str(own)), mend="save it as UTF-8") from None

    def at(self, path: str) -> Any:
        """The value at "copy.opening"; raises `InputError` where a changed wording file lost it."""
        value: Any = self.words
        for key in path.split("."):
            if not isinstance(value, dict) or key not in value:
                raise InputError(
                    f"wording.yaml lacks {path!r}", place=Place(str(self.folder or "")), mend="put it back"
                )
            value = value[key]
        return value

    def say(self, path: str, **values: Any) -> str:
        """The sentence at `path` with its values put in."""
        return self.fill(str(self.at(path)), path, **values)

    def fill(self, template: str, path: str, **values: Any) -> str:
        """A template's text with its values put in; `path` is where it stands, for errors."""
        from jinja2 import TemplateError

        try:
            made = _template(template).render(n=self.number, **values)
        except TemplateError as problem:
            raise InputError(
                f"{path}: {problem}", place=Place(str(self.folder or "")), mend="compare with the shipped wording.yaml"
            ) from None
        return _one_stop(" ".join(made.split()))

    def page(self, name: str, values: dict[str, Any], *, html: bool = False) -> str:
        """A whole page made from the template `name`."""
        from jinja2 import TemplateError

        try:
            return _environment(html).from_string(self.text(name)).render(**values)
        except TemplateError as problem:
            where = Place(str((self.folder or Path()) / name), getattr(problem, "lineno", None) or 0)
            raise InputError(
                f"the template fails: {problem}", place=where, mend="compare with the shipped one"
            ) from None

    def number(self, count: int) -> str:
        """A count in words, as far as the list goes: "four"."""
        words = self.at("numbers")
        return str(words[count]) if 0 <= count < len(words) else f"{count:,}"

    def counted(self, people: int, of: int) -> str:
        """ "four of five", "all five"."""
        if people == of and of > 2:
            return f"all {self.number(of)}"
        if people == of == 2:
            return "both"
        return f"{self.number(people)} of {self.number(of)}"

    def in_text(self, id: str, label: str) -> str:
        """A label as it stands in running text: "something chocolatey", "something of drinks and ferments".

        `in_text` of the wording has the forms of single labels and, under `category`, that of every category.
        """
        forms = self.at("in_text")
        if label in forms:
            return str(forms[label])
        if "/" not in id:
            return self.fill(str(forms["category"]), "in_text.category", label=label[:1].lower() + label[1:])
        return label

    def listed(self, words: Sequence[str]) -> str:
        """ "a, b and c"."""
        if len(words) < 2:
            return "".join(words)
        return f"{', '.join(words[:-1])} and {words[-1]}"

    def _data(self, name: str) -> dict[Any, Any]:
        base = as_mapping(parse_yaml(shipped(name), name, error=InputError), name)
        own = self.folder / name if self.folder else None
        if own is None or not own.is_file():
            return dict(base)
        return _over(dict(base), as_mapping(parse_yaml(self.text(name), str(own), error=InputError), str(own)))


def _over(base: dict[Any, Any], own: Any) -> dict[Any, Any]:
    """`own` laid over `base`, key by key."""
    for key, value in own.items():
        under = base.get(key)
        base[key] = _over(dict(under), value) if isinstance(under, dict) and isinstance(value, Lines) else value
    return base


@lru_cache(maxsize=2)
def _environment(html: bool) -> ImmutableSandboxedEnvironment:
    from jinja2 import StrictUndefined
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    made = ImmutableSandboxedEnvironment(
        autoescape=html, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True
    )
    made.globals |= {"stop_tasting": CAUTION, "no_verdict": NO_VERDICT}
    made.filters["md"] = markdown_safe
    made.filters["stop"] = stop
    made.filters["read"] = as_read
    return made


@lru_cache(maxsize=512)
def _template(text: str) -> Any:
    return _environment(False).from_string(text)


def as_read(id: object) -> str:
    """An id as people read it: "flat white" for flat_white."""
    return str(id).replace("_", " ")


def stop(text: object) -> str:
    """A sentence with its full stop, which it may have already."""
    said = str(text).rstrip()
    return said if not said or said[-1] in ".!?…" else f"{said}."


def _one_stop(text: str) -> str:
    """Text without doubled full stops, where a value brought its own."""
    return re.sub(r"(?<!\.)\.\.(?!\.)", ".", text)


def markdown_safe(value: object) -> str:
    """Text on one line in which Markdown and HTML see nothing to act on."""
    text = " ".join(str(value).split())
    for mark in "\\`*_[]<>|#":
        text = text.replace(mark, "\\" + mark)
    return re.sub(r"&(?=#?\w+;)", r"\\&", text)  # what is no entity is read as it stands
