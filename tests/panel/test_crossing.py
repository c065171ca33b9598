"""Talk that may be of another coffee than was taken to be in hand: asked, never counted, settled by one answer.

Readings are made by hand here (what the reader took to be in hand is given), so that no encoder is needed.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from panel_seats import HERE

from tastevocab.panel.crossing import doubted
from tastevocab.panel.gather import Entry, Told
from tastevocab.panel.notes_check import check_notes
from tastevocab.panel.session import Coffee, Session, Source
from tastevocab.reading.records import AttributeFinding, Finding, Poured, Reading, Spot, Table
from tastevocab.reading.review.apply import apply
from tastevocab.reading.review.company import Company
from tastevocab.reading.review.context import Texts
from tastevocab.reading.review.decisions import Decisions, load_beside
from tastevocab.reading.review.question import Desk
from tastevocab.reading.review.walk import Notes, Walk
from tastevocab.reading.words.lexicon import Lexicon, open_lexicon

TABLE = Table(("mira",), (Poured("vale", ("Vale Alto", "the washed")), Poured("rio", ("Rio Claro", "natural"))))
PLUM = "orchard/plums/plum"


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return open_lexicon(HERE / "vocab")


def reading(*lines: tuple[str, str, str]) -> Reading:
    """Lines of (coffee in hand, or "one|the other it may be"; text; found words): each word a finding."""
    said, found, at = [], [], 0
    for n, (coffee, text, words) in enumerate(lines):
        one, _, other = coffee.partition("|")
        spot = Spot(
            text, (at, at + len(text)), "t.vtt",
            speaker="mira", at=60.0 * n, coffee=one, or_coffee=other or None, line=n + 1,
        )  # fmt: skip
        said.append(spot)
        for word in words.split(",") if words else ():
            start = at + text.index(word)
            there = replace(spot, words=word, span=(start, start + len(word)))
            found.append(Finding(f"t:{start}", PLUM, there, sure=0.9))
        at += len(text) + 1
    return Reading(tuple(found), said=tuple(said))


def test_where_the_coffee_is_unsure_it_is_asked_for_the_stretch() -> None:
    first = (("vale", "Vale Alto first.", ""), ("vale", "A plum.", "plum"), ("vale|rio", "And then, warm.", ""))
    then = (("vale|rio", "Then honey.", "honey"), ("vale", "Back to Vale Alto: fig.", "fig"))
    made = doubted(reading(*first, *then))
    assert [f.spot.words for f in made.findings] == ["plum", "fig"]
    (honey,) = made.asked
    assert (honey.asked, honey.crossing.other, honey.crossing.words) == (True, "rio", "And then, warm.")
    assert (honey.crossing.at, honey.crossing.until) == (120.0, 240.0)


def test_other_coffees_are_other_stretches() -> None:
    made = doubted(reading(("vale|rio", "Plum.", "Plum"), ("rio|vale", "Fig.", "Fig")))
    assert [(f.crossing.other, f.crossing.at, f.crossing.until) for f in made.asked] == [
        ("rio", 0.0, 60.0), ("vale", 60.0, None)]  # fmt: skip


def test_what_is_sure_is_left_alone() -> None:
    whole = reading(("vale", "Vale Alto is fig.", "fig"), ("rio", "And the other one is all plum.", "plum"))
    assert doubted(whole) is whole


# --- answered ---

LINES = (
    ("rio|vale", "And then.", ""), ("rio|vale", "Plum.", "Plum"), ("rio|vale", "Fig.", "Fig"),
    ("vale", "Vale Alto.", ""),
)  # fmt: skip


def walk(folder: Path, made: Reading, lexicon: Lexicon) -> Walk:
    text = "\n".join(line for _, line, _ in LINES)
    notes = Notes(folder / "t.vtt", made, Texts.of(text))
    return Walk([notes], Desk(lexicon), company=Company(("mira",), table=TABLE))


def test_one_answer_holds_for_the_stretch(tmp_path: Path, lexicon: Lexicon) -> None:
    made = doubted(reading(*LINES))
    sitting = walk(tmp_path, made, lexicon)
    (ask,) = sitting.asks()
    assert ask.kind == "which coffee"
    assert ask.why == "counted for nobody yet: of which coffee? “And then.” at 0:00"
    assert [c.coffee for c in ask.candidates] == ["rio", "vale"]
    assert ask.candidates[0].print.endswith(", of Rio Claro")
    assert str(ask.candidates[0].effect) == "0 -> 1 of 1"
    sitting.choose(ask, ask.candidates[0])
    assert sitting.asks() == ()
    kept = load_beside(tmp_path / "t.vtt", known={}, text="\n".join(line for _, line, _ in LINES))
    now = apply(made, kept)
    assert [(f.spot.words, f.spot.coffee, f.asked) for f in now.findings] == [
        ("Plum", "rio", False), ("Fig", "rio", False)]  # fmt: skip
    assert sitting.undo().details.coffee == "rio"
    assert len(sitting.asks()) == 1


def test_accepted_it_is_of_the_coffee_in_hand(tmp_path: Path, lexicon: Lexicon) -> None:
    made = doubted(reading(*LINES))
    sitting = walk(tmp_path, made, lexicon)
    decision = sitting.accept(sitting.asks()[0])
    assert (decision.decide, decision.details.coffee) == ("stretch", "rio")
    now = apply(made, Decisions(tmp_path / "x", (decision,), sitting.notes[0].texts))
    assert {f.spot.coffee for f in now.findings} == {"rio"}


def test_what_is_unsure_besides_stays_asked(tmp_path: Path, lexicon: Lexicon) -> None:
    whole = reading(*LINES)
    faint = replace(whole, findings=(), asked=tuple(replace(f, asked=True, sure=0.3) for f in whole.findings))
    made = doubted(faint)
    sitting = walk(tmp_path, made, lexicon)
    sitting.choose(sitting.asks()[0], sitting.asks()[0].candidates[0])
    assert {ask.kind for ask in sitting.asks()} == {"asked"}


def test_a_quality_is_asked_about_like_a_flavour(tmp_path: Path, lexicon: Lexicon) -> None:
    whole = reading(*LINES)
    spot = whole.findings[0].spot
    bright = AttributeFinding("t:a", "acidity", "high", 4.0, spot, sure=0.9)
    made = doubted(replace(whole, findings=(), attributes=(bright,)))
    assert made.attributes == ()
    (ask,) = walk(tmp_path, made, lexicon).asks()
    assert ask.candidates[0].print == "acidity, of Rio Claro"


# --- told before ---


def test_the_check_warns_with_the_line_that_settles_it(lexicon: Lexicon) -> None:
    source = Source("t.vtt")
    coffees = {"vale": Coffee("vale", "vale"), "rio": Coffee("rio", "rio")}
    session = Session("s", "s.yaml", Path(), tasters=("mira",), coffees=coffees, sources=(source,))
    made = doubted(reading(*LINES))
    (problem,) = [
        p for p in check_notes(Told(session, (Entry(source, made),)), lexicon) if p.code not in ("no-brew", "silent")
    ]
    assert (problem.code, problem.severity) == ("crossed", "warning")
    assert '"And then." at 0:00: rio or vale; 2 findings' in problem.what
    assert '- {decide: stretch, from: "0:00", to: "3:00", coffee: vale}` with the coffee it was' in problem.mend
