"""YAML to plain values that remember their lines, guarded against bombs, duplicates and YAML 1.1 traps.

PyYAML's composer (libyaml where it is there) gives nodes with marks; we walk them ourselves, so that every value knows
`file:line`, no alias is followed, no key is given twice and `no` stays a word.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from tastevocab.errors import InputError, Place, TastevocabError, VocabularyError
from tastevocab.opened import plain
from tastevocab.vocabulary.lines import Lines

__all__ = ["MAX_BYTES", "MAX_DEPTH", "Lines", "as_mapping", "is_bare", "parse_yaml", "read_yaml"]

MAX_BYTES = 20_000_000
MAX_DEPTH = 24

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_BOOL_WORDS = {"yes", "no", "on", "off", "y", "n"}
_TAKEN_WORDS = _BOOL_WORDS | {"true", "false", "null"}
_BARE = re.compile(r"[A-Za-zÀ-ɏ][\wÀ-ɏ'/ -]*[\wÀ-ɏ]|[A-Za-zÀ-ɏ]")


@dataclass(frozen=True, slots=True)
class _Context:
    file: str
    error: type[TastevocabError]


def read_yaml(path: Path, *, error: type[TastevocabError] = VocabularyError) -> Any:
    """The values in a YAML file: mappings are `Lines`, everything else plain lists, strings, numbers, booleans.

    `error` is the error class to raise: missing file, not UTF-8, broken YAML, a duplicate key, an alias, nesting
    deeper than 24, a file over 20 MB.
    """
    name = os.fspath(path)
    try:
        data = plain(path).read_bytes()
    except FileNotFoundError:
        raise error("no such file", place=Place(name), mend="check the path") from None
    except OSError as problem:
        what = f"cannot be read: {problem.strerror}"
        raise error(what, place=Place(name), mend="check the path and its rights") from None
    if len(data) > MAX_BYTES:
        raise error(f"is {len(data):,} bytes; at most {MAX_BYTES:,} are read", place=Place(name), mend="split it")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data[: problem.start].count(b"\n") + 1
        raise error("is not UTF-8", place=Place(name, line), mend="save the file as UTF-8") from None
    return parse_yaml(text, name, error=error)


def parse_yaml(text: str, file: str, *, error: type[TastevocabError] = VocabularyError) -> Any:
    """As `read_yaml`, from a string; `file` is the name used in errors."""
    context = _Context(file, error)
    try:
        _refuse_aliases(text, context)
        node = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as problem:
        raise _yaml_error(problem, text, context) from None
    except RecursionError:  # only the loader without libyaml, which has a limit of its own
        raise context.error("is nested too deeply", place=Place(context.file, 1), mend="flatten it") from None
    return None if node is None else _value(node, context, 0)


def _refuse_aliases(text: str, context: _Context) -> None:
    """A few aliases of aliases can stand for gigabytes; stop at the first, before anything is built."""
    if "*" not in text or "&" not in text:
        return
    for event in yaml.parse(text, Loader=_Loader):
        if isinstance(event, yaml.AliasEvent):
            line = event.start_mark.line + 1 if event.start_mark else 0
            raise context.error("uses an alias (*name)", place=Place(context.file, line), mend="write the value out")


def is_bare(text: str) -> bool:
    """Whether every YAML reader takes `text`, written without quotes, for these very words."""
    return bool(_BARE.fullmatch(text)) and text.lower() not in _TAKEN_WORDS


def _yaml_error(problem: yaml.YAMLError, text: str, context: _Context) -> TastevocabError:
    mark = getattr(problem, "problem_mark", None) or getattr(problem, "context_mark", None)
    line = mark.line + 1 if mark else 0
    lines = text.split("\n")
    what = getattr(problem, "problem", None) or str(problem).splitlines()[0]
    if "nesting depth" in what:
        return context.error("is nested too deeply", place=Place(context.file, line), mend="flatten it")
    if line and line <= len(lines) and "\t" in lines[line - 1]:
        return context.error(
            "has a tab where YAML wants spaces", place=Place(context.file, line), mend="indent with spaces"
        )
    return context.error(f"is not YAML: {what}", place=Place(context.file, line), mend="check quotes, colons, indents")


def _value(node: yaml.Node, context: _Context, depth: int) -> Any:
    line = node.start_mark.line + 1
    if depth > MAX_DEPTH:
        raise context.error("is nested too deeply", place=Place(context.file, line), mend="flatten it")
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [_value(item, context, depth + 1) for item in node.value]
    assert isinstance(node, yaml.MappingNode)
    return _mapping(node, context, depth)


def _mapping(node: yaml.MappingNode, context: _Context, depth: int) -> Lines:
    found = Lines(context.file, node.start_mark.line + 1)
    for key_node, value_node in node.value:
        line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            raise context.error("has a key that is no word", place=Place(context.file, line), mend="use a plain word")
        key = str(key_node.value)
        if key == "<<":
            raise context.error("uses a merge key (<<)", place=Place(context.file, line), mend="write the values out")
        if key in found:
            first = found.lines[key]
            raise context.error(
                f"gives {key!r} twice (first at line {first})", place=Place(context.file, line), mend="keep one of them"
            )
        found[key] = _value(value_node, context, depth + 1)
        found.lines[key] = line
    return found


def _scalar(node: yaml.ScalarNode) -> Any:
    """Words stay words: only true/false, numbers and null are converted, never yes/no/on/off or dates."""
    text = str(node.value)
    if node.style in ("'", '"'):
        return text
    tag = node.tag.rsplit(":", 1)[-1]
    if tag == "null" or (tag == "str" and not text):
        return None
    if tag == "bool":
        return text if text.lower() in _BOOL_WORDS else text.lower() == "true"
    if tag == "int" and text.lstrip("+-").isdigit():
        return int(text)
    if tag == "float":
        try:
            return float(text)
        except ValueError:
            return text
    return text


def as_mapping(value: Any, file: str, *, error: type[TastevocabError] = InputError) -> Mapping[str, Any]:
    """`value` if it is a mapping, else an error that names the file."""
    if isinstance(value, Lines):
        return value
    raise error("should hold a mapping (key: value)", place=Place(file, 1), mend="see the example in the README")
