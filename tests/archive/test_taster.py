"""One taster over time: what was made up to be there is found, what was not is not; and the page."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import pytest
from archive_tables import write_session
from invented import PEOPLE, Maker

from tastevocab.archive import adding
from tastevocab.archive.chart_taster import (
    agreement_figure,
    habit_figure,
    page,
    repeat_figure,
    sums_figure,
    write_page,
)
from tastevocab.archive.store import Archive, opened
from tastevocab.archive.taster import BASE, Meeting, Repeat, pets, taster_report
from tastevocab.archive.tastings import Tasting
from tastevocab.archive.telling_taster import report_lines
from tastevocab.errors import InputError

CARAMEL = "sugar_jar/caramel_toffee/caramel"
PEACH = "orchard/golden_stone/peach"


@pytest.fixture(scope="session")
def years(tmp_path_factory, keeper, spans) -> Iterator[Archive]:
    """A hundred sessions of seven people: the first says caramel of most coffees, the second loses touch half way."""
    maker = Maker(
        spans, people=PEOPLE[:7], seed=5, talk=0, habits={PEOPLE[0]: CARAMEL}, loses_touch=PEOPLE[1], after=50
    )
    with opened(tmp_path_factory.mktemp("years") / "a.sqlite", make=True) as archive:
        for taken in maker.sessions(100):
            adding.write(archive, taken, keeper.vocabulary)
        yield archive


@pytest.fixture(scope="session")
def reports(years, spans):
    return {name: taster_report(years, name, spans) for name in PEOPLE[:7]}


def test_a_habit_is_found_and_only_that(reports):
    habits = {name: [p.print for p in made.pets if p.habit] for name, made in reports.items()}
    assert habits[PEOPLE[0]][0] == "caramel"
    caramel = reports[PEOPLE[0]].pets[0]
    assert caramel.coffees > 0.5 * caramel.of
    assert caramel.lift.low > 5
    others = [word for name, words in habits.items() if name != PEOPLE[0] for word in words]
    assert "caramel" not in others
    assert len(others) <= 2  # of some hundred words asked of six people


def test_who_loses_touch_is_seen_and_when(reports):
    made = reports[PEOPLE[1]]
    assert made.drift is not None
    signal = made.drift.sums.signal
    assert signal is not None
    assert made.drift.sums.low[signal] > made.drift.sums.limit
    after = next(i for i, m in enumerate(made.meetings) if m.session >= "table-00050")
    assert after <= signal <= after + 20
    assert any("further from the table" in line for line in report_lines(made))


def test_scored_attributes_of_careful_scorers(reports):
    """The scores were made with a spread of half a step around what each coffee was given."""
    for made in reports.values():
        for score in made.scores:
            assert score.figures is not None
            assert 0.2 < score.figures.repeatability < 0.9
            assert score.figures.p is not None
            assert score.figures.p < 0.05
            assert score.figures.agreement is not None
            assert score.figures.agreement > 0.7
            assert abs(score.figures.bias) < 0.3
            assert score.figures.absolute == pytest.approx(score.figures.agreement, abs=0.15)


def tasting(number: int, said: dict[int, set[str]], seats: int = 3, **more: str) -> Tasting:
    words = {who: frozenset(some) for who, some in said.items()}
    return Tasting(
        number, more.get("session", f"s{number:03}"), f"2026-01-{1 + number % 28:02}", more.get("key", "cup"), "Cup",
        more.get("duplicate_of", ""), frozenset(range(1, seats + 1)), words,
    )  # fmt: skip


def test_a_habit_by_hand(spans):
    """Taster 1 says caramel of all six, one of the two others of two: (1/2 + 1/2) to be expected."""
    all = [tasting(i, {1: {CARAMEL}, 2: {CARAMEL} if i < 2 else {PEACH}, 3: {PEACH}}) for i in range(6)]
    (pet,) = pets(all, 1, spans)
    assert (pet.coffees, pet.of, pet.expected) == (6, 6, 1.0)
    assert pet.lift.ratio == 6.5 / 1.5
    assert pet.p == pytest.approx((2 / 3) ** 2 * (1 / 3) ** 4)
    assert pet.change is None


def test_the_exact_chance_is_that_of_dealing_the_words_out(spans):
    """Against a slow count: at each coffee those who said it are dealt out in every way among those who spoke."""
    sayers = [{1, 2}, {1}, {1, 2, 3}, {2}, {1, 3}]
    all = [
        tasting(i, {who: ({CARAMEL} if who in some else {PEACH}) for who in (1, 2, 3)}) for i, some in enumerate(sayers)
    ]
    pet = next(p for p in pets(all, 1, spans) if p.descriptor == CARAMEL)
    ways = [list(itertools.combinations((1, 2, 3), len(some))) for some in sayers]
    deals = list(itertools.product(*ways))
    as_many = sum(sum(1 in dealt for dealt in deal) >= 4 for deal in deals)
    assert pet.p == pytest.approx(as_many / len(deals))


def test_hidden_duplicates_by_hand(tmp_path, keeper, spans):
    cups = {"vale": "name: Vale", "two": "name: Two, duplicate_of: vale"}
    rows = [("mira", "vale", "peach, caramel"), ("mira", "two", "peach, cocoa powder"), ("otto", "vale", "peach")]
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        keeper.add(archive, write_session(tmp_path / "t", rows=rows, coffees=cups, tasters="mira, otto"))
        made = taster_report(archive, "mira", spans)
        other = taster_report(archive, "otto", spans)
    # Three families in either pour (stone fruit, caramel, cocoa); two of them in one only.
    assert made.repeats == (Repeat("spring", "2026-03-02", 3, 2),)
    assert made.repeat_chart is not None
    assert made.repeat_chart.points[0].exact
    assert other.repeats == ()  # nothing was said of the second pour
    assert any("so far 1" in line for line in made.lacking)


def test_agreement_by_hand(archive, spans):
    """Vale: mira and otto share white blossom of two families each (one shared of three, 1/3 x 1/3)."""
    made = taster_report(archive, "mira", spans)
    (meeting,) = made.meetings
    assert isinstance(meeting, Meeting)
    assert 0 < meeting.own < 1
    assert meeting.others is not None
    assert meeting.apart == pytest.approx(meeting.own - meeting.others)
    assert made.drift is None
    assert made.lacking[0] == f"Drift is looked for from more than {BASE} sessions with others on; so far 1."


def test_whoever_was_never_there(archive, spans):
    with pytest.raises(InputError, match="knows nobody called 'zoe'"):
        taster_report(archive, "zoe", spans)


# --- the page ---


def test_figures_hold_what_they_show(reports):
    made = reports[PEOPLE[1]]
    agreement, sums, repeats, habits = (f(made) for f in (agreement_figure, sums_figure, repeat_figure, habit_figure))
    assert all(figure is not None for figure in (agreement, sums, repeats, habits))
    assert list(agreement.data[0].y) == [m.apart for m in made.meetings]
    assert list(sums.data[0].y) == list(made.drift.sums.high)
    assert list(repeats.data[2].y) == [p.value for p in made.repeat_chart.points]
    assert [math.isclose(x, p.lift.ratio) for x, p in zip(habits.data[-1].x, reversed(made.pets[:10]), strict=True)]


def test_the_page_stands_alone_and_escapes_names(reports, tmp_path, spans, years):
    from dataclasses import replace

    made = replace(reports[PEOPLE[0]], name="<b>Mira</b>_o")
    text = page(made)
    assert "&lt;b&gt;Mira&lt;/b&gt; o, over time" in text
    assert "<b>Mira" not in text
    assert 'src="http' not in text
    assert page(made) == text
    write_page(made, tmp_path / "mira.html")
    assert (tmp_path / "mira.html").read_text("utf-8") == text


def test_an_empty_page_says_what_is_lacking(archive, spans):
    text = page(taster_report(archive, "otto", spans))
    assert "No hidden duplicate was poured" in text
