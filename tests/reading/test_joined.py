"""What is said again right away is one finding, over the words of both."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from trials import trials

from tastevocab.reading.language.items import Judged
from tastevocab.reading.language.talk import APART, joined

PLUM, ROSE = "orchard/plums", "flower_bench/rose_petal/rose"


def test_what_is_said_again_right_away_is_one_finding_as_sure_as_the_surer() -> None:
    plum, again = Judged(1, 2, PLUM, 0.9), Judged(4, 7, PLUM, 0.4, degree="strong", place="finish")
    (one,) = joined([plum, again])
    assert one == plum._replace(end=7, degree="strong", place="finish")
    assert joined([again._replace(start=1, end=3), plum._replace(start=4, end=5)]) == [one._replace(end=5)]


def test_what_is_said_of_something_else_denied_or_much_later_stands_by_itself() -> None:
    plum = Judged(1, 2, PLUM, 0.9)
    for other in (
        Judged(2, 3, ROSE, 0.9),
        Judged(2, 3, PLUM, 0.9, present=False),
        Judged(2 + APART, 3 + APART, PLUM, 0.9),
    ):
        assert joined([plum, other]) == [plum, other]
    between = Judged(2, 3, ROSE, 0.5)
    assert joined([plum, between, Judged(3, 4, PLUM, 0.5)]) == [plum, between, Judged(3, 4, PLUM, 0.5)]


@st.composite
def turns(draw: st.DrawFn) -> list[Judged]:
    found, at = [], 0
    for _ in range(draw(st.integers(0, 6))):
        start = at + draw(st.integers(0, APART + 1))
        at = start + draw(st.integers(1, 3))
        target, present = draw(st.sampled_from((PLUM, ROSE))), draw(st.booleans())
        found.append(Judged(start, at, target, draw(st.floats(0, 1)), present=present))
    return found


@given(turns())
@trials(200)
def test_nothing_is_lost_or_made_surer_and_nothing_is_joined_twice(found: list[Judged]) -> None:
    made = joined(found)
    assert joined(made) == made
    assert {i for j in found for i in range(j.start, j.end)} <= {i for j in made for i in range(j.start, j.end)}
    assert max((j.sure for j in made), default=0) == max((j.sure for j in found), default=0)
    for j in found:
        (over,) = (m for m in made if m.start <= j.start and j.end <= m.end)
        assert (over.target, over.present) == (j.target, j.present)
        assert over.sure >= j.sure
