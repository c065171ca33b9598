"""Small invented vocabularies made in few words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from tastevocab.vocabulary.model import Descriptor, Level, Vocabulary

TOY = Path(__file__).with_name("toy")
WriteFiles = Callable[[Mapping[str, str]], Path]


def tree_of(homes: Mapping[str, str | None], *, spans: Mapping[str, tuple[str, ...]] | None = None) -> Vocabulary:
    """A vocabulary with the given homes (None under the root) and reach words (id to span, home None)."""
    levels: dict[int, Level] = {0: "category", 1: "family"}

    def depth(id: str) -> int:
        home = homes[id]
        return 0 if home is None else 1 + depth(home)

    descriptors = {id: Descriptor(id, levels.get(depth(id), "note"), id, home) for id, home in homes.items()}
    for id, span in (spans or {}).items():
        descriptors[id] = Descriptor(id, "reach", id, None, span=span)
    return Vocabulary("toy", "1", "0", (), ("en",), descriptors, {}, {}, {})
