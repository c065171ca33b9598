"""What automatic captions make of flavour words: repaired where it is safe, left alone where it is not."""

from __future__ import annotations

import pytest
from reading_checks import expect, lexicon, note, present, talk

ALWAYS = [
    ("burger mott", "bergamot"), ("you zoo", "yuzu"), ("man drin", "mandarin"), ("pummel low", "pomelo"),
    ("pap eye a", "papaya"), ("mangos teen", "mangosteen"), ("rue barb", "rhubarb"), ("cram berry", "cranberry"),
    ("sold tana", "sultana"), ("jazz mean", "jasmine"), ("cam a mile", "reach/chamomile"), ("roy boss", "rooibos"),
    ("card a mom", "cardamom"), ("a niece seed", "aniseed"), ("mars a pan", "marzipan"), ("coco knits", "cocoa_nib"),
    ("mosque of auto", "muscovado"),
]  # fmt: skip

IN_CONTEXT = [
    ("red current jelly", "the current price is high"),
    ("notes of current and plum", "the current filter is fine"),
    ("a ripe pair", "a nice pair of cups"),
    ("rosemary and time", "time for another sip"),
    ("cinnamon, clothes and nutmeg", "my clothes smell of coffee"),
    ("violent candy", "a violent pour"),
    ("getting great fruit, lemon and orange", "a great cup"),
    ("hints of leaches", "it leaches out of the tin"),
    ("jasmine and honey circle", "sit in a circle"),
    ("oak and seeder", "the seeder is broken"),
    ("dried big", "a big cup"),
]

FAULT_WORDS = [
    "must he",
    "fee nolic",
    "quicker",
    "foamy",
    "bug",
    "bag he",
    "re oy",
    "phish",
]


@pytest.mark.parametrize(("said", "meant"), ALWAYS)
def test_words_that_are_safe_anywhere(said: str, meant: str) -> None:
    (found,) = note(f"getting {said}").findings
    assert found.descriptor.rsplit("/", 1)[-1] == meant or found.descriptor == meant
    assert found.via == "heard"
    assert found.spot.words == said


@pytest.mark.parametrize(("tasted", "ordinary"), IN_CONTEXT)
def test_ordinary_words_are_taken_only_in_their_context(tasted: str, ordinary: str) -> None:
    assert any(f.via == "heard" for f in note(tasted).findings), note(tasted)
    assert note(ordinary).findings == ()


@pytest.mark.parametrize("said", FAULT_WORDS)
def test_fault_words_are_never_repaired(said: str) -> None:
    assert not any(f.fault for f in note(f"a bit {said}").findings)


def test_musty_and_must_stay_apart() -> None:
    expect(note("musty"), "musty fault")
    assert note("it must be good").findings == ()


@pytest.mark.parametrize(
    "word", ["big", "great", "coffee", "fresh", "line", "date night", "raising", "sweet", "flower pot"]
)
def test_ordinary_words_are_left_alone(word: str) -> None:
    assert not any(f.via in ("heard", "sound", "spelling") for f in talk(f"Ana: that is a {word} one").findings)


@pytest.mark.parametrize(
    ("written", "meant", "via"),
    [
        ("strawbery", "strawberry", {"spelling", "heard", "word"}),
        ("rasberry", "raspberry", {"spelling", "heard", "word"}),
        ("blackcurrent", "blackcurrant", {"spelling", "heard", "word"}),
        ("bergamott", "bergamot", {"spelling", "heard"}),
        ("hazelnutt", "hazelnut", {"spelling", "heard"}),
        ("jasmin", "jasmine", {"spelling", "heard", "word"}),
    ],
)
def test_misspellings_are_repaired_and_say_so(written: str, meant: str, via: set[str]) -> None:
    (found,) = note(f"getting {written}").findings
    assert found.descriptor.endswith(meant)
    assert found.via in via
    assert found.match < 1 or found.via == "word"


@pytest.mark.parametrize(
    ("word", "near"),
    [("stage", "sage"), ("roast", "toast"), ("coffee", "toffee"), ("grind", "gin"), ("tangy", "tangerine"),
     ("lively", "olive"), ("pear", "peach"), ("clover", "clove"), ("hay", "bay_leaf")],
)  # fmt: skip
def test_near_words_are_not_crossed(word: str, near: str) -> None:
    """Pairs that a loose threshold crosses (computed with a plain character ratio)."""
    assert near not in present(note(f"getting {word}"))


def test_the_raw_words_are_kept_beside_the_repair() -> None:
    (found,) = note("notes of burger mott").findings
    assert found.spot.words == "burger mott"
    assert 0 < found.match < 1


def test_every_mishearing_that_is_an_ordinary_word_needs_a_context() -> None:
    language = lexicon()
    for phrase, rule in language.heard.items():
        if len(phrase) == 1 and phrase[0] in language.english:
            assert rule.get("frame") or rule.get("near") or rule.get("beside"), phrase
            assert present(note(f"we had to {phrase[0]} for the bus")) == []


def test_no_mishearing_means_a_fault() -> None:
    assert not {str(rule["means"]) for rule in lexicon().heard.values()} & lexicon().names.faults
