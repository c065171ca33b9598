"""What a person means by an id, part of one, a label or a name."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from tastevocab.errors import VocabularyError
from tastevocab.vocabulary.load import short_names
from tastevocab.vocabulary.lookup import Names, flavour_sense
from tastevocab.vocabulary.model import Attribute, Descriptor, Vocabulary
from tastevocab.vocabulary.tongues import base_of, qualities_of


def point_at(vocabulary: Vocabulary, text: str, *tongues: str) -> Descriptor:
    """The descriptor with this id, last part of an id, label or name; names in `tongues` (tags) have the first say.

    Raises `VocabularyError` with near choices if there is none, or if the text could mean several.
    """
    (id,) = _ids(vocabulary, [text], tongues)
    if id is None:
        raise _nothing(vocabulary, text)
    return vocabulary.descriptors[id]


def anything_at(vocabulary: Vocabulary, texts: Sequence[str], *tongues: str) -> list[Descriptor | Attribute]:
    """As `point_at` for each text, and attributes (by id, label or name) where no descriptor is called so."""
    attributes = vocabulary.attributes
    spoken = [q for tag in tongues for q in qualities_of(vocabulary, base_of(tag))]
    qualities = {name.lower(): attributes[q.id] for q in spoken for name in q.names}
    qualities |= {name.lower(): a for a in attributes.values() for name in (*a.names, a.print, a.id)}
    found: list[Descriptor | Attribute] = []
    for text, id in zip(texts, _ids(vocabulary, texts, tongues), strict=True):
        thing = vocabulary.descriptors[id] if id else qualities.get(text.strip().lower())
        if thing is None:
            raise _nothing(vocabulary, text)
        found.append(thing)
    return found


def _ids(vocabulary: Vocabulary, texts: Sequence[str], tongues: Sequence[str]) -> list[str | None]:
    shorts = short_names(list(vocabulary.descriptors))
    ids = [shorts.get(text.strip()) or shorts.get(f"reach/{text.strip()}") for text in texts]
    if all(ids):
        return ids
    names = Names(vocabulary, *tongues)
    named = [flavour_sense(names.book.exact(names.keys(text))) for text in texts]
    return [id or (sense.value if sense else None) for id, sense in zip(ids, named, strict=True)]


def _nothing(vocabulary: Vocabulary, text: str) -> VocabularyError:
    text = text.strip()
    twice = [id for id in vocabulary.descriptors if id.rsplit("/", 1)[-1] == text]
    choices = twice or difflib.get_close_matches(text, _everything(vocabulary), n=4, cutoff=0.6)
    mend = f"did you mean {', '.join(choices)}?" if choices else "see `tastevocab vocab tree`"
    return VocabularyError(f"the vocabulary has no {text!r}", mend=mend)


def _everything(vocabulary: Vocabulary) -> list[str]:
    known = vocabulary.descriptors.values()
    words = [word for d in known for listed in d.words.values() for word in listed]
    return list(dict.fromkeys([*words, *(d.print for d in known), *vocabulary.descriptors, *vocabulary.attributes]))
