"""Everything the panel can say of one serving set, put together once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from tastevocab.errors import StatisticsError
from tastevocab.panel.attributes import AttributeStrip, strips
from tastevocab.panel.chance import Chance, Choice, RandomTables, weighed
from tastevocab.panel.claims import Claim, Finder, exact_finder, weigh_claims
from tastevocab.panel.crowd import Apart, sets_apart
from tastevocab.panel.faults import Fault, OpenFault, Question, faults_found, open_faults, questions
from tastevocab.panel.flavour_map import FlavourMap, Serving, build_map
from tastevocab.panel.gather import Gathered
from tastevocab.panel.intervals import Intervals, intervals
from tastevocab.panel.line import NotesLine, coverage, notes_line
from tastevocab.panel.moments import When, people_by_moment, told_when
from tastevocab.panel.rungs import Ladder, climb
from tastevocab.panel.servings import Selection, select
from tastevocab.panel.session import Coffee, Session
from tastevocab.panel.spans import Spans
from tastevocab.panel.sums import Weighting, own_weights
from tastevocab.reading.records import Finding
from tastevocab.vocabulary.lookup import Names
from tastevocab.vocabulary.measures import TreeMeasures
from tastevocab.vocabulary.model import Vocabulary

CROWD = 50
"""From so many tasters on a panel is a crowd: shares may have a decimal, and coffees are told apart by comparison."""


@dataclass(frozen=True, slots=True)
class Bench:
    """A vocabulary made ready for counting; make it once with `bench` and use it for every map."""

    vocabulary: Vocabulary
    spans: Spans
    measures: TreeMeasures
    find: Finder
    random: RandomTables | None = None


@dataclass(frozen=True, slots=True)
class Choices:
    """How a report is made.

    `weighting` is what a finding weighs, `words` how many the line has at most, `order` how they stand ("strongest" or
    "unfolding"). `chance` says what becomes of words that tables of random words would agree on as well; `samples` > 0
    asks for intervals (a crowd's by so many resamples, drawn from `seed`).
    """

    weighting: Weighting = "mark"
    words: int = 3
    order: str = "strongest"
    chance: Choice = "say"
    samples: int = 0
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Report:
    """One serving set: its map and all that follows from it.

    `claims_coverage` (0..1) is the part of the map's weight that the roaster's claims stand for; `intervals` are
    intervals where asked and possible; `evidence` are the findings by id. `apart` is filled for a crowd,
    where hardly any word reaches quorum: what sets this coffee apart from the others. `chance` is what tables of random
    words agree on (None: no base rates), `chance_choice` what was to be done about it. `open_faults` are those of the
    coffee, in whatever brew, that nobody has decided.
    """

    session: Session
    coffee: Coffee
    map: FlavourMap
    ladder: Ladder
    line: NotesLine
    claims: tuple[Claim, ...]
    claims_coverage: float
    attributes: tuple[AttributeStrip, ...]
    faults: tuple[Fault, ...]
    questions: tuple[Question, ...]
    intervals: Intervals | None
    evidence: Mapping[str, Finding]
    apart: tuple[Apart, ...] = ()
    chance: Chance | None = None
    chance_choice: Choice = "say"
    open_faults: tuple[OpenFault, ...] = ()

    def by_moment(self, descriptor: str) -> Mapping[str, int]:
        """How many found a descriptor of the map, at it or below, at each moment."""
        node = self.map.by_id[descriptor]
        return people_by_moment(self.evidence[id] for id in node.evidence)

    def when(self, descriptor: str) -> When | None:
        """The moment that may be told of a descriptor of the map, if there is one."""
        return told_when(self.by_moment(descriptor), self.map.by_id[descriptor].people, self.map.margin.moments)


def bench(vocabulary: Vocabulary, names: Names | None = None) -> Bench:
    """The vocabulary with its spans, its tree measures and a finder of claimed words (by `names` if given)."""
    find = exact_finder(names or Names(vocabulary), vocabulary)
    spans = Spans(vocabulary)
    # Likeness counts the notes that a map can hold: faults and retired notes say nothing about how near flavours are.
    notes = {
        d.id: 1.0 for d in vocabulary.descriptors.values() if d.level == "note" and not d.fault and not d.use_instead
    }
    measures = TreeMeasures(vocabulary, notes or None)
    return Bench(vocabulary, spans, measures, find, _random_tables(vocabulary, spans))


def _random_tables(vocabulary: Vocabulary, spans: Spans) -> RandomTables | None:
    """Random tables by the base rates that the vocabulary brings along, if it does."""
    given = vocabulary.language.get("base_rates")
    rates = given.get("rates") if isinstance(given, Mapping) else None
    return RandomTables(spans, {str(id): float(rate) for id, rate in rates.items()}) if rates else None


def map_of(
    gathered: Gathered, serving: Serving, tools: Bench, *, pool: bool = False, weighting: Weighting = "mark"
) -> FlavourMap:
    """The flavour map alone; raises as `servings.select` does."""
    return _map(select(gathered, serving, pool=pool), tools, weighting)


def _map(chosen: Selection, tools: Bench, weighting: Weighting) -> FlavourMap:
    return build_map(
        chosen.findings, chosen.serving, chosen.tasters, tools.spans, weighting=weighting, margin=chosen.margin
    )


def ladder_of(made: FlavourMap, tools: Bench, choice: Choice) -> tuple[Ladder, Chance | None]:
    """The ladder of a map after what chance makes of it, and that (None: no base rates)."""
    ladder = climb(made, tools.spans)
    if tools.random is None:
        return ladder, None
    chance = tools.random.weigh(made)
    return weighed(ladder, chance, choice), chance


def report_of(
    gathered: Gathered, serving: Serving, tools: Bench, choices: Choices | None = None, *, pool: bool = False
) -> Report:
    """The whole report of one serving set; raises as `select` does."""
    choices = choices or Choices()
    chosen = select(gathered, serving, pool=pool)
    coffee = gathered.session.coffees[serving.coffee]
    made = _map(chosen, tools, choices.weighting)
    ladder, chance = ladder_of(made, tools, choices.chance)
    line = notes_line(
        made, ladder, tools.spans, tools.measures, words=choices.words, order=choices.order, findings=chosen.findings
    )
    faults = faults_found(chosen.findings, chosen.tasters, tools.vocabulary, poured=gathered.session.bowls)
    claims = weigh_claims(coffee.claims, made, tools.spans, tools.find, chosen.findings)
    claimed = [c.descriptor for c in claims if c.descriptor and c.state != "unknown"]
    return Report(
        session=gathered.session,
        coffee=coffee,
        map=made,
        ladder=ladder,
        line=line,
        claims=claims,
        claims_coverage=coverage(made.folded, own_weights(made.folded, made.weighting), claimed, tools.measures),
        attributes=strips(chosen.attributes, chosen.tasters, tools.vocabulary),
        faults=faults,
        questions=questions(chosen.findings, chosen.tasters, tools.vocabulary),
        intervals=_intervals(made, tools.spans, choices.samples, choices.seed),
        evidence={f.id: f for f in chosen.findings},
        apart=_apart(gathered, made, tools),
        chance=chance,
        chance_choice=choices.chance,
        open_faults=open_faults(_unsettled(gathered, coffee.id), faults, tools.vocabulary),
    )


def _unsettled(gathered: Gathered, coffee: str) -> Iterator[Finding]:
    """What may be of a coffee and counts for nobody: asked, or of nobody on the panel."""
    for f in (*gathered.asked, *gathered.unattributed):
        if isinstance(f, Finding) and f.spot.coffee in (None, coffee) and f.standing in ("own", "echo"):
            yield f


def _apart(gathered: Gathered, made: FlavourMap, tools: Bench) -> tuple[Apart, ...]:
    """What sets the coffee of a crowd's map apart from the session's other coffees, surest first."""
    coffee, described = made.serving.coffee, {f.spot.coffee for f in gathered.findings}
    if len(made.tasters) < CROWD or coffee not in described or len(described) < 2:
        return ()
    maps = {
        c: made if c == coffee else map_of(gathered, replace(made.serving, coffee=c), tools, pool=True)
        for c in gathered.session.coffees
        if c in described
    }
    try:
        found = sets_apart(maps, tools.spans, coffee)
    except StatisticsError:  # nobody tasted two of them
        return ()
    return tuple(a for a in found if a.proved)


def _intervals(made: FlavourMap, spans: Spans, samples: int, seed: int) -> Intervals | None:
    if samples <= 0:
        return None
    try:
        return intervals(made.folded, spans, made.weighting, samples=samples, seed=seed)
    except StatisticsError:
        return None
