"""What talk is judged by is fitted on recordings as the networks hear them, and reads others."""

from __future__ import annotations

from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from reading_checks import lexicon

from tastevocab.errors import InputError
from tastevocab.reading.fitting.heard import Kept, kept
from tastevocab.reading.fitting.marked import Recording, recording
from tastevocab.reading.fitting.score import tally
from tastevocab.reading.fitting.talk import learn
from tastevocab.reading.fitting.tools import HELD, TALK, score
from tastevocab.vocabulary.compose import whole

FOLDER = Path(__file__).parents[1] / "talk"


def of(author: str, count: int) -> list[tuple[Recording, Kept]]:
    assert author in HELD, "the networks must not have learnt what this is fitted on"
    files = islice(sorted((FOLDER / author).glob("*.talk")), count)
    return [(r, kept(r, lexicon())) for r in map(recording, files)]


def id_of(concept: str) -> str | None:
    known = whole(lexicon().names, concept)
    return known.descriptor if known else None


def test_weights_of_a_few_recordings_read_another(monkeypatch: pytest.MonkeyPatch) -> None:
    *learnt, (other, hears) = of("aspen", 4)
    fitted = learn(learnt, lexicon(), id_of)["talk"]
    assert fitted["means"]["link"] > 0
    assert fitted["right"]["said at its height"] > 0
    shipped: Any = lexicon().weights
    other_parts = {name: shipped["talk"][name] for name in ("again", "right again", "bounds")}
    weights = {**shipped, "talk": {**fitted, **other_parts}}
    monkeypatch.setitem(lexicon().__dict__, "weights", weights)
    read = tally(other, hears, lexicon(), id_of)
    assert read.counts["gold"] > 5
    assert read.rates()["F1"] > 0.4  # chance finds none; with all authors it is twice that


def test_an_author_that_nobody_is_is_told() -> None:
    with pytest.raises(InputError, match="nothing by nobody"):
        score(lexicon(), "nobody")


def test_a_stretch_is_heard_again_once_however_often_it_is_asked_about() -> None:
    asked = []
    hears = Kept([], None, lambda *question: asked.append(question) or [0.7, 0.3])  # type: ignore[arg-type, func-returns-value]
    for _ in range(3):
        assert hears.ask(0, 1, 2, [("plum", "plums")]) == [0.7, 0.3]
    assert len(asked) == 1


def test_the_folder_of_marked_talk_is_where_the_tools_look() -> None:
    assert {p.name for p in FOLDER.iterdir() if p.is_dir()} >= set(HELD)
    assert Path(TALK).parts == ("tests", "talk")
