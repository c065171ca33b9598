"""What is asked of an archive: places, coffees over time, nearest maps, worth of words, a moved vocabulary."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from archive_tables import ROWS, write_session
from hypothesis import given
from hypothesis import strategies as some
from invented import PEOPLE, Maker
from trials import trials

from tastevocab.archive import adding, drift
from tastevocab.archive.adding import Intake
from tastevocab.archive.alike import SHARE, map_shares, nearest
from tastevocab.archive.history import history, history_json, history_lines
from tastevocab.archive.recall import editions, gathered_of
from tastevocab.archive.search import Wanted, find
from tastevocab.archive.store import Archive, opened
from tastevocab.archive.tastings import tastings, today
from tastevocab.archive.worth import LEAST, base_rates, coffee_worth
from tastevocab.errors import InputError
from tastevocab.panel.distances import tree_movers
from tastevocab.panel.flavour_map import Serving
from tastevocab.panel.summary import Bench, bench, map_of

CARAMEL = "sugar_jar/caramel_toffee/caramel"
JASMINE = "flower_bench/white_blossom/jasmine"


@pytest.fixture(scope="session")
def tools(keeper) -> Bench:
    return bench(keeper.vocabulary, keeper.lexicon.names)


@pytest.fixture(scope="session")
def year(tmp_path_factory, keeper, spans) -> Iterator[Archive]:
    """Forty sessions of two coffees by seven people."""
    maker = Maker(spans, people=PEOPLE[:7], seed=3, habits={"taster00": CARAMEL})
    with opened(tmp_path_factory.mktemp("year") / "a.sqlite", make=True) as archive:
        for taken in maker.sessions(40):
            adding.write(archive, taken, keeper.vocabulary)
        yield archive


# --- places ---


def test_a_flavour_is_found_with_who_said_it_where(archive):
    hits, count = find(archive, Wanted(descriptors=(JASMINE,)))
    assert count == 2
    assert [(h.taster, h.coffee, h.words, h.source, h.start, h.counts) for h in hits] == [
        ("mira", "vale", "jasmine", "spring.csv", 0, "counted"),
        ("otto", "vale", "jasmine", "spring.csv", 0, "counted"),
    ]


def test_talk_is_found_by_any_of_its_words(archive):
    hits, _ = find(archive, Wanted(words="grandmother's quilt"))
    assert [(h.kind, h.taster, h.coffee) for h in hits] == [("talk", "mira", "vale")]
    assert hits[0].words.startswith("jasmine and peach")
    assert find(archive, Wanted(words='quilt" OR "peach'))[1] == 0  # every word is a word, nothing is syntax
    assert find(archive, Wanted(words="*"))[1] == 0


@pytest.mark.parametrize(
    ("wanted", "coffees"),
    [
        (Wanted(descriptors=(CARAMEL,), facts=(("process", "Natural"),)), {"rio"}),
        (Wanted(descriptors=(CARAMEL,), facts=(("origin", "huehue"),)), {"vale"}),
        (Wanted(descriptors=(CARAMEL,), coffee="vale alto"), {"vale"}),
        (Wanted(descriptors=(CARAMEL,), taster="PILAR", coffee="rio"), {"rio"}),
        (Wanted(descriptors=(CARAMEL,), since="2026-03-03"), set()),
        (Wanted(descriptors=(CARAMEL,), since="2026-03-02", until="2026-03-02"), {"rio", "vale"}),
        (Wanted(descriptors=(CARAMEL,), since="2026-03", until="2026-03"), {"rio", "vale"}),
        (Wanted(descriptors=(CARAMEL,), until="2026-02"), set()),
    ],
)
def test_where_and_when_can_be_narrowed(archive, wanted, coffees):
    assert {h.coffee for h in find(archive, wanted)[0]} == coffees


def test_a_fact_or_a_person_nobody_knows_is_told(archive):
    with pytest.raises(
        InputError, match=r"no coffee of the archive has a fact 'proces'\n  mend: did you mean process\?"
    ):
        find(archive, Wanted(words="x", facts=(("proces", "washed"),)))
    with pytest.raises(InputError, match="knows nobody called"):
        find(archive, Wanted(words="x", taster="nobody"))
    with pytest.raises(InputError, match=r"holds no coffee 'Vale Altto'\n  mend: did you mean Vale Alto\?"):
        find(archive, Wanted(words="x", coffee="Vale Altto"))
    with pytest.raises(InputError, match=r"holds no session 'sprin'\n  mend: did you mean spring\?"):
        find(archive, Wanted(words="x", session="sprin"))


@pytest.mark.parametrize("day", ["5.3.2026", "2026-3-5", "yesterday"])
def test_what_is_no_date_is_told(archive, day):
    for wanted in (Wanted(words="x", since=day), Wanted(words="x", until=day)):
        with pytest.raises(InputError, match=rf"'{day}' is no date\n  mend: write it as 2026-03-02"):
            find(archive, wanted)


def test_names_are_found_in_capitals_or_small_letters_of_any_script(tmp_path, keeper):
    cups = {"e": "name: \u00c9lan \u00d6st, origin: \u00c5land", "two": "name: Two"}
    rows = [("mira", "e", "jasmine"), ("otto", "two", "jasmine")]
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        keeper.add(archive, write_session(tmp_path / "t", rows=rows, coffees=cups, tasters="mira, otto"))
        for wanted in (
            Wanted(descriptors=(JASMINE,), coffee="\u00e9lan \u00f6st"),
            Wanted(descriptors=(JASMINE,), facts=(("origin", "\u00e5LAND"),)),
        ):
            assert [h.coffee for h in find(archive, wanted)[0]] == ["e"]


def test_old_versions_are_not_found(archive, tmp_path, keeper):
    keeper.add(archive, write_session(tmp_path / "table", rows=[("otto", "vale", "peach"), ("otto", "rio", "peach")]))
    assert find(archive, Wanted(descriptors=(JASMINE,), words="jasmine"))[1] == 0


def test_the_newest_stands_first_and_the_rest_is_counted(year):
    hits, count = find(year, Wanted(descriptors=(CARAMEL,)), most=5)
    assert len(hits) == 5 < count
    assert [h.date for h in hits] == sorted((h.date for h in hits), reverse=True)


# --- one coffee ---


def test_a_coffee_over_time(archive, tmp_path, keeper, tools):
    rows = [(who, cup, text.replace("jasmine", "bergamot")) for who, cup, text in ROWS]
    cups = {"v2": "name: Vale Alto, process: washed, roasted: 2026-05-10, lot: B", "rio": "name: Rio Claro"}
    rows = [(who, "v2" if cup == "vale" else cup, text) for who, cup, text in rows]
    keeper.add(archive, write_session(tmp_path / "may", "may", "2026-05-20", rows, cups))
    made = history(archive, "vale alto", tools)
    assert [(s.session, s.coffee, s.batch, s.tasters) for s in made.sittings] == [
        ("spring", "vale", "roasted 2026-02-20", 3),
        ("may", "v2", "lot B", 3),
    ]
    assert ("jasmine", 2) in made.sittings[0].agreed
    (change,) = made.changes
    assert {c.print: (c.before, c.after) for c in change.changes if c.gained or c.lost}["white blossom"] == (2, 0)
    assert not any(c.proved for c in change.changes)  # three tasters prove nothing
    assert history_json(made)["changes"][0]["first"] == "2026-03-02 (roasted 2026-02-20)"
    assert any("bergamot" in line for line in history_lines(made))
    with pytest.raises(InputError, match="did you mean Vale Alto"):
        history(archive, "vale altto", tools)


def test_two_tastings_of_one_day_are_told_apart(archive, tmp_path, keeper, tools):
    cups = {"v2": "name: Vale Alto, roasted: 2026-02-20", "v3": "name: Vale Alto, roasted: 2026-02-20"}
    rows = [(who, cup, "bergamot") for who in ("mira", "otto") for cup in cups]
    keeper.add(archive, write_session(tmp_path / "two", "two", rows=rows, coffees=cups, tasters="mira, otto"))
    told = [(c.first, c.second) for c in history(archive, "Vale Alto", tools).changes]
    assert told == [("spring", "two"), ("v2", "v3")]


# --- nearest maps ---


def test_nearest_is_by_the_panels_own_distance(year, spans, tools):
    """The sums over all maps at once against `tree_movers` one by one."""
    (edition,) = editions(year.db, "table-00007")
    shares = map_shares(map_of(gathered_of(year.db, edition), Serving("cupa"), tools, pool=True))
    near = nearest(year, shares, spans, most=1000)
    assert len(near) == 80
    assert near[0].steps == 0  # itself: nothing was said of it being apart
    assert (near[0].session, near[0].coffee) == ("table-00007", "cupa")
    for one in near[1:80:13]:
        other = gathered_of(year.db, editions(year.db, one.session)[0])
        theirs = map_shares(map_of(other, Serving(one.coffee), tools, pool=True))
        assert one.steps == pytest.approx(tree_movers(shares, theirs, spans.parent), abs=1e-6)
        assert all(min(a, b) > 0 for _, a, b in one.shared)
    assert all(abs(a - b) >= SHARE for one in near for _, a, b in one.parted)
    assert near[0].parted == ()
    apart = nearest(year, shares, spans, apart_from=("table-00007", "cupa"), most=3)
    assert [one.session for one in apart] == [one.session for one in near[1:4]]
    assert nearest(year, {}, spans) == ()


# --- worth ---


def test_base_rates_are_plain_counts(year, spans):
    rates = {b.descriptor: b for b in base_rates(year, spans)}
    all = [t for t in tastings(year.db, spans.vocabulary) if not t.duplicate_of and t.said]
    caramel = rates[CARAMEL]
    found = [sum(CARAMEL in words for words in t.said.values()) for t in all]
    assert (caramel.people, caramel.seats, caramel.of) == (sum(found), 5 * len(all), 80)
    assert caramel.coffees == sum(k >= 3 for k in found)
    family = rates["sugar_jar/caramel_toffee"]
    assert family.people >= caramel.people
    assert list(rates.values()) == sorted(
        rates.values(), key=lambda b: (-b.coffees, -b.people, spans.order[b.descriptor])
    )


def named(year: Archive) -> list[str]:
    """The coffees of a year by their names, each hidden duplicate left out."""
    return [name for (name,) in year.db.execute("SELECT name FROM coffee WHERE duplicate_of = ''")]


def poured_again(taken: Intake, year: Archive) -> Intake:
    """A session whose first coffee was poured once before."""
    once = next(name for name, count in Counter(named(year)).items() if count == 1)
    cups = taken.session.coffees | {"cupa": replace(taken.session.coffees["cupa"], name=once)}
    session = replace(taken.session, coffees=cups)
    return replace(taken, session=session, gathered=replace(taken.gathered, session=session))


def test_a_word_that_nobody_says_elsewhere_sets_a_coffee_apart(year, keeper, spans, tools):
    maker = Maker(spans, people=PEOPLE[:7], seed=99)
    taken = poured_again(maker.session(900), year)
    rare = next(id for id in spans.ids if spans.descriptor(id).level == "note" and id not in _said(year, spans))
    spots = {f.spot.speaker: f for f in taken.gathered.findings if f.spot.coffee == "cupa"}
    more = tuple(replace(f, descriptor=rare) for f in list(spots.values())[:4])
    gathered = replace(taken.gathered, findings=(*taken.gathered.findings, *more))
    told = coffee_worth(year, gathered, "cupa", tools)
    first = next(w for w in told if w.base.descriptor == rare)
    assert first.apart
    assert (first.people, first.of, first.base.coffees) == (4, 5, 0)
    assert len(named(year)) == 80  # two coffees a table; one is of this name, and left out
    assert first.base.of == 79
    assert first.lift.ratio < 12  # shrunk: the plain ratio is without end
    assert (
        f"here 4 of 5; this archive's tables agreed on it for 0 of {first.base.of} coffees. It sets this coffee apart"
        in first.sentence
    )
    assert all(w.q >= w.p for w in told)


def _said(archive, spans):
    return {w for t in tastings(archive.db, spans.vocabulary) for words in t.said.values() for w in words}


def test_of_coffees_without_a_character_hardly_any_is_told_apart(tmp_path, keeper, spans, tools):
    """Words by chance alone, people with habits: of forty coffees no more than chance allows has one told of it."""
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        maker = Maker(spans, people=PEOPLE[:7], seed=3, character=0, talk=0, habits={"taster00": CARAMEL})
        for taken in maker.sessions(40):
            adding.write(archive, taken, keeper.vocabulary)
        told = [coffee_worth(archive, maker.session(100 + n).gathered, "cupb", tools) for n in range(40)]
    assert sum(map(len, told)) > 400
    assert sum(any(w.apart for w in words) for words in told) <= 5  # 2 are to be expected; more than 5 in 1 of 70


def test_a_small_archive_says_nothing_of_worth(archive, tmp_path, keeper, tools):
    (edition,) = editions(archive.db)
    assert LEAST > 2
    assert coffee_worth(archive, gathered_of(archive.db, edition), "vale", tools) == ()


# --- a vocabulary that moved ---


def moved_vocabulary(vocabulary):
    """Jasmine retired for another note, caramel's name given to a neighbour, blackberry gone."""
    kept = dict(vocabulary.descriptors)
    blackberry = next(id for id in kept if id.endswith("/blackberry"))
    toffee = next(id for id in kept if id.startswith("sugar_jar/caramel_toffee/") and id != CARAMEL)
    white = next(id for id in kept if id.startswith("flower_bench/white_blossom/") and id != JASMINE)
    del kept[blackberry]
    kept[JASMINE] = replace(kept[JASMINE], use_instead=white)
    names = {language: tuple(w for w in words if w != "caramel") for language, words in kept[CARAMEL].words.items()}
    kept[CARAMEL] = replace(kept[CARAMEL], words=names)
    kept[toffee] = replace(kept[toffee], words={**kept[toffee].words, "en": (*kept[toffee].words["en"], "caramel")})
    return replace(vocabulary, descriptors=kept, version="9.9", hash="later"), white, toffee


def test_what_old_findings_become(archive, keeper):
    assert drift.drifts(archive, keeper.vocabulary) == ()
    later, white, toffee = moved_vocabulary(keeper.vocabulary)
    (found,) = drift.drifts(archive, later)
    assert (found.version, found.sessions) == (keeper.vocabulary.version, 1)
    became = {b.print: (b.kind, b.findings, dict(b.into)) for b in found.became}
    assert became["jasmine"] == ("moved", 2, {white: 2})
    assert became["caramel"][0] == "moved"
    assert set(became["caramel"][2]) == {toffee}
    assert became["blackberry"][0] == "went"
    assert set(became) == {"jasmine", "caramel", "blackberry"}
    rows = drift.became_rows(found)
    assert ("moved", "jasmine: 2 findings in 1 session", JASMINE, f"{white} (2)") in rows


def test_ids_are_followed_to_what_they_are_today(keeper):
    later, white, _ = moved_vocabulary(keeper.vocabulary)
    assert today(JASMINE, later) == white
    assert today(CARAMEL, later) == CARAMEL
    assert today("no/such/id", later) is None
    ring = replace(later.descriptors[white], use_instead=JASMINE)
    assert today(JASMINE, replace(later, descriptors={**later.descriptors, white: ring})) is None


def test_a_kept_session_reads_again_with_a_vocabulary_that_learnt(tmp_path, keeper):
    from tastevocab.reading.words.lexicon import open_lexicon

    house = tmp_path / "house.yaml"
    house.write_text(
        "house: corner\nnotes:\n  slatterberry:\n    under: dark_berries\n    print: slatterberry\n"
        "    about: A small dark berry of hedges.\n    words: {en: [slatterberry]}\n",
        "utf-8",
    )
    path = write_session(
        tmp_path / "t", rows=[("otto", "vale", "slatterberry and peach"), ("mira", "rio", "cocoa powder")]
    )
    with opened(tmp_path / "a.sqlite", make=True) as archive:
        keeper.add(archive, path)
        lexicon = open_lexicon(None, house)
        (edition,) = editions(archive.db)
        made = drift.reread(archive, edition, lexicon)
        slatterberry = "hedgerow_vine/dark_berries/slatterberry"
        learnt = drift.learnt(archive, lambda words: slatterberry if words == "slatterberry" else None)
    assert (made.then, made.now) == (2, 3)
    assert [(m.old, m.new) for m in made.differ] == [("", (slatterberry,))]
    assert [(w.words, w.times) for w in learnt] == [("slatterberry", 1)]


# --- properties ---


@trials(12)
@given(some.integers(0, 10_000))
def test_whatever_is_written_comes_back(tmp_path_factory, keeper, spans, seed):
    taken = Maker(spans, seed=seed, coffees=3, talk=0).session(seed % 4)
    path: Path = tmp_path_factory.mktemp("any") / "a.sqlite"
    with opened(path, make=True) as archive:
        adding.write(archive, taken, keeper.vocabulary)
        back = gathered_of(archive.db, editions(archive.db)[0])
    assert [replace(f, id="") for f in back.findings] == [replace(f, id="") for f in taken.gathered.findings]
    assert [replace(a, id="") for a in back.attributes] == [replace(a, id="") for a in taken.gathered.attributes]
    assert back.session.tasters == taken.session.tasters
    assert {k: replace(c, place=None) for k, c in back.session.coffees.items()} == {
        k: replace(c, place=None) for k, c in taken.session.coffees.items()
    }
