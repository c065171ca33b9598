"""Turns of files to items: talk is heard as a whole, notes and cells are judged one by one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from tastevocab.errors import InputError, Place
from tastevocab.reading.hand.situation import METHOD, known_of
from tastevocab.reading.hearing.encoder import open_encoder
from tastevocab.reading.language.items import Item, Scene, items_of, pieces_of
from tastevocab.reading.language.mark import quality_of
from tastevocab.reading.language.offers import offered
from tastevocab.reading.language.talk import Hears, judge_talk
from tastevocab.reading.language.typed import judge_note
from tastevocab.reading.language.unknown import unknown_in
from tastevocab.reading.records import MOMENTS, Spot, Table, Turn
from tastevocab.reading.words.lexicon import Lexicon
from tastevocab.reading.words.looks import languages_of
from tastevocab.reading.words.utterance import Utterance
from tastevocab.vocabulary.words import split_words

TYPED = ("note", "cell", "heading")
MOST = 2_000_000
"""Characters of talk in one file at most, some forty hours of it: a longer one is no afternoon, and takes hours."""


def items_in(
    turns: Iterable[Turn], lexicon: Lexicon, *, isolated: bool, table: Table | None = None, hears: Hears | None = None
) -> Iterator[Item | Spot]:
    """Everything turns give, and the text itself in pieces, in their order.

    `isolated`: rows of a table, each on its own; `table` is what is known of who tasted what; `hears` stands in for the
    encoder.
    """
    if isolated:
        for turn in turns:
            yield from pieces_of(_timed(turn, lexicon), {})
            yield from note_items(turn, lexicon, {})
        return
    scene: Scene = {}
    talk: list[Turn] = []
    for turn in turns:
        if turn.kind not in TYPED:
            talk.append(turn)
            continue
        yield from _talk_items(talk, lexicon, table, hears)
        talk = []
        yield from pieces_of(_timed(turn, lexicon), scene)
        if turn.kind == "heading" or turn.topic == "header":
            scene = _headed(turn, lexicon.reading(turn.text), scene, table or Table())
        else:
            yield from note_items(turn, lexicon, scene)
    yield from _talk_items(talk, lexicon, table, hears)


def spoken(talk: Sequence[Turn], lexicon: Lexicon) -> Iterator[tuple[Turn, str]]:
    """The turns of talk, each with its language. The network knows the vocabulary's first alone; turns in others are
    read one by one, as notes are."""
    return zip(talk, languages_of(talk, lexicon.looks, lexicon.language), strict=True)


def _talk_items(talk: list[Turn], lexicon: Lexicon, table: Table | None, hears: Hears | None) -> Iterator[Item | Spot]:
    heard, known = [], lexicon.looks.languages[0]
    for turn, language in spoken(talk, lexicon):
        if language == known:
            heard.append(turn)
        else:
            yield from pieces_of(turn, {})
            yield from _items(turn, lexicon.of(language), {})
    yield from _heard_items(heard, lexicon.of(known), table, hears)


def _heard_items(talk: list[Turn], lexicon: Lexicon, table: Table | None, hears: Hears | None) -> Iterator[Item | Spot]:
    if not any(t.text.strip() for t in talk):
        return
    if (length := sum(len(t.text) for t in talk)) > MOST:
        raise InputError(
            f"holds {length:,} characters of talk; {MOST:,} (some forty hours) are heard as one",
            place=Place(talk[0].source),
            mend="cut it where one table ends, and name the parts under notes",
        )
    bounds = lexicon.weights["talk"]["bounds"]
    for told in judge_talk(talk, lexicon, known_of(table, lexicon), hears or open_encoder()):
        yield from pieces_of(told.turn, told.scene)
        items = list(items_of(told.u, told.turn, told.judged, bounds["count"], bounds["ask"]))
        yield from items
        yield from offered(told.turn, told.u, lexicon, told.scene, items)
        yield from told.unknown


def _timed(turn: Turn, lexicon: Lexicon) -> Turn:
    """The turn with its own word for a moment as one of the five."""
    return replace(turn, moment=moment_of(turn.moment, lexicon)) if turn.moment else turn


def note_items(turn: Turn, lexicon: Lexicon, scene: Scene) -> Iterator[Item]:
    """What one typed note gives, read in the language it looks like; `scene` is what the headings above it name."""
    return _items(turn, lexicon.reading(turn.text), scene)


def _items(turn: Turn, lexicon: Lexicon, scene: Scene) -> Iterator[Item]:
    u = Utterance(turn.text, lexicon)
    if not u.words:
        return
    bounds = lexicon.weights["typed"]["bounds"]
    topic = turn.topic if turn.topic in lexicon.attribute_levels else topic_of(turn.topic, lexicon)
    moment = _timed(turn, lexicon).moment
    judged = judge_note(u, topic, {**scene, "moment": moment} if moment else scene)
    items = list(items_of(u, turn, judged, bounds["count"], bounds["ask"]))
    yield from items
    yield from offered(turn, u, lexicon, scene, items)
    yield from unknown_in(u, turn, judged)


def topic_of(heading: str | None, lexicon: Lexicon) -> str | None:
    """The attribute a column's heading names, if it names one."""
    words = tuple(k for k in lexicon.names.keys(heading) if not k.isdigit()) if heading else ()
    found = quality_of(lexicon.names.book.exact(words)) if words else None
    return found[0] if found else None


@lru_cache(maxsize=256)
def moment_of(text: str, lexicon: Lexicon) -> str:
    """A column's own word for a moment ("when cold", "first pass") as one of the five."""
    plain = text.strip().lower()
    if plain in MOMENTS:
        return plain
    cues = sorted(Utterance(text, lexicon).of("moment"), key=lambda c: c.start - c.end)
    return cues[0].value if cues else plain


def _headed(turn: Turn, lexicon: Lexicon, scene: Scene, table: Table) -> Scene:
    """What a heading says of the notes below it. One that names neither brew nor moment ends the moment; one that names
    nothing else that is known (a coffee not of the table, "Other remarks") ends the coffee too.

    The title speaks of a brew only where the table has it: "Tuesday cupping" is the name of the day.
    """
    u = Utterance(turn.text, lexicon)
    brews, moments = u.of("brew"), u.of("moment")
    brew = METHOD.get(brews[0].value, brews[0].value) if brews else None
    if turn.topic == "header" and table.brews and brew not in {method for _, method in table.brews}:
        brew = None
    coffee = headed_coffee(turn.text, table)
    if not coffee and (brew or moments or turn.speaker):
        coffee = scene.get("coffee")
    return {
        "coffee": coffee,
        "brew": brew or scene.get("brew"),
        "moment": _headed_moment(turn.text, [cue.value for cue in moments]),
    }


def _headed_moment(text: str, heard: Sequence[str]) -> str | None:
    """The moment that a heading tells: its own name first ("cool" is also what "cools" makes of "as it cools")."""
    plain = (word.casefold() for word in split_words(text))
    return next((word for word in plain if word in heard), heard[0] if heard else None)


def headed_coffee(text: str, table: Table) -> str | None:
    """The coffee of the table that a heading names ("Rio Claro, hot"); None where it names none, or two."""
    plain = f" {' '.join(split_words(text)).casefold()} "
    found = {
        poured.id
        for poured in table.coffees
        for name in (poured.id, *poured.names)
        if f" {' '.join(split_words(name)).casefold()} " in plain
    }
    return found.pop() if len(found) == 1 else None
