"""Records as msgpack: plain data, read back into the kinds of record that the reader was given and nothing else.

A record is an extension type whose code is the place of its kind in a closed list and whose bytes are its fields in
order. No name in a file is ever looked up, so that a file can call nothing, whatever stands in it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from typing import Any

from tastevocab.vocabulary.lines import Lines

_FROZENSET, _SET, _YAML, _FIRST = 0, 1, 2, 3
# Records within records; the lexicon has five. Each level takes much of the C stack, so a hostile file is stopped here.
MAX_DEPTH = 12
# Longer records are seldom met twice.
_SHARED = 200


def packed(value: object, kinds: Sequence[type]) -> bytes:
    """`value` as bytes: records of `kinds` (dataclasses and named tuples), mappings, tuples, sets, text and numbers.

    A mapping read from YAML is kept as it stands, without its lines; a list elsewhere comes back as a tuple. Raises
    `TypeError`, `ValueError` or `OverflowError` for anything else.
    """
    import msgpack

    codes = {kind: code for code, kind in enumerate(kinds, _FIRST)}

    def pack(value: object) -> bytes:
        return bytes(msgpack.packb(value, default=plain, strict_types=True))

    def plain(value: Any) -> Any:
        kind = type(value)
        if kind in codes:
            fields = value if isinstance(value, tuple) else [getattr(value, name) for name in _fields(kind)]
            return msgpack.ExtType(codes[kind], pack(list(fields)))
        if kind is tuple:
            return list(value)
        if kind in (frozenset, set):  # in order, so that the same value is the same bytes
            return msgpack.ExtType(_FROZENSET if kind is frozenset else _SET, pack(sorted(value)))
        if kind is Lines:
            return msgpack.ExtType(_YAML, msgpack.packb(value))
        raise TypeError(f"{kind.__name__} is not kept")

    return pack(value)


def unpacked(data: bytes, kinds: Sequence[type]) -> Any:
    """What `packed` was given; a record that stands in the bytes more than once is one object.

    Raises an exception of any kind where the bytes are not what `packed` makes of these kinds.
    """
    return _Reader(kinds).read(data)


class _Reader:
    def __init__(self, kinds: Sequence[type]) -> None:
        import msgpack

        self.unpackb: Callable[..., Any] = msgpack.unpackb
        self.makers = [_maker(kind) for kind in kinds]
        self.shares = [_never_changes(kind) for kind in kinds]
        self.seen: dict[tuple[int, bytes], Any] = {}
        self.depth = 0

    def read(self, data: bytes) -> Any:
        if self.depth > MAX_DEPTH:
            raise ValueError("records are nested too deeply")
        self.depth += 1
        value = self.unpackb(data, ext_hook=self._made, use_list=False, strict_map_key=False)
        self.depth -= 1
        return value

    def _made(self, code: int, data: bytes) -> Any:
        if code == _YAML:
            return self.unpackb(data, strict_map_key=False)
        if code == _SET:
            return set(self.read(data))
        if code == _FROZENSET:
            return frozenset(self.read(data))
        found = self.seen.get((code, data))
        if found is None:
            found = self.makers[code - _FIRST](self.read(data))
            if self.shares[code - _FIRST] and len(data) < _SHARED:
                self.seen[code, data] = found
        return found


def _fields(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in dataclasses.fields(kind))


def _never_changes(kind: Any) -> bool:
    return issubclass(kind, tuple) or bool(kind.__dataclass_params__.frozen)


def _maker(kind: Any) -> Callable[[tuple[Any, ...]], Any]:
    """How a record of `kind` is made of its fields: set as they were, since it was checked when it was first made."""
    if issubclass(kind, tuple):
        return lambda values: kind._make(values)
    names, put, ready = _fields(kind), object.__setattr__, getattr(kind, "__post_init__", None)

    def make(values: tuple[Any, ...]) -> Any:
        made = object.__new__(kind)
        for name, value in zip(names, values, strict=True):
            put(made, name, value)
        if ready:
            ready(made)
        return made

    return make
