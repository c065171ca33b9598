"""Attributes: "bright", "low acidity", "body: 3 out of 5" to a level on a word scale."""

from __future__ import annotations

from tastevocab.reading.language.levels import answered_before, attribute_of, level_under, opening_end
from tastevocab.reading.language.marks import SCORE, STEP_OF_LEVEL, level_of_step, may_score, score_level
from tastevocab.reading.language.mention import Mention
from tastevocab.reading.language.utterance import Cue, Utterance
from tastevocab.vocabulary.compose import Piece
from tastevocab.vocabulary.lookup import ATTRIBUTE, QUALITY


def attribute_mentions(u: Utterance, topic: str | None = None, *, loose: bool = False) -> list[Mention]:
    """The attribute findings of a turn. `topic` is the attribute a table column is about ("acidity"); `loose` where it
    is only what was last talked of."""
    found: list[Mention] = []
    taken: set[int] = set()
    named = [(p, a) for p in u.pieces if p.descriptor is None and (a := attribute_of(p))]
    if not named and not topic:
        return found
    for piece, (kind, id, _) in named:
        if kind == QUALITY:
            made = _quality(u, piece, id, named, taken)
            if made:
                found.append(made)
    for piece, (kind, id, step) in named:
        if kind == ATTRIBUTE and piece.start not in taken:
            found.append(_word(u, piece, id, step))
    if loose and topic and found and answered_before(u, found[0]):
        found = [m for m in found if m.target != topic or m.explicit]
    told = loose and any(m.start < opening_end(u) for m in found)
    if topic and not told and not any(m.target == topic for m in found):
        found.extend(level_under(u, topic, loose=loose))
    return _one_level(u, sorted(found, key=lambda m: m.start))


def _one_level(u: Utterance, found: list[Mention]) -> list[Mention]:
    """A level said outright holds against a looser word in the same sentence ("medium body, kind of creamy")."""
    if len(found) < 2:
        return found
    found = [m for i, m in enumerate(found) if not (i and _describes_level(u, found[i - 1], m))]
    return [
        m for m in found
        if m.explicit or not any(
            o is not m and o.target == m.target and u.sentence[o.start] == u.sentence[m.start]
            and (o.explicit or (o.end - o.start > 1 and m.end - m.start == 1)) and o.start < m.start
            for o in found
        )
    ]  # fmt: skip


def _describes_level(u: Utterance, before: Mention, m: Mention) -> bool:
    """ "Body's medium. Like, silky.": the level stands, the word alone after it describes it."""
    first, last = u.sentence_range(m.start)
    told = before.explicit and before.target == m.target and u.sentence[m.start] == u.sentence[before.quote[1] - 1] + 1
    return told and not m.explicit and all(m.start <= i < m.end or u.is_filler(i) for i in range(first, last))


def _word(u: Utterance, piece: Piece, id: str, step: int) -> Mention:
    levels = u.lexicon.attribute_levels[id]
    made = Mention(piece.start, piece.end, id, attribute=True, level=levels[step - 1], step=step, mark=piece.mark)
    _tempered(u, piece, made)
    score = _score_near(u, piece.start, piece.end)
    behind = _level_near(u, piece, close=False) if u.gaps[piece.end].strip() in (",", ":") else None
    if score:
        made.level, made.step = score[0], score[1]
        made.widen(score[2], score[3])
    elif behind and behind[1] > piece.end:  # "savoury, I'd put medium"
        made.level, made.step = behind[0], STEP_OF_LEVEL[behind[0]]
        made.widen(behind[1], behind[2])
    return made


def _tempered(u: Utterance, piece: Piece, made: Mention) -> Mention:
    """ "Bright but, um, it's gentle": a high acidity that the word after a "but" takes back a step."""
    if made.target != "acidity" or made.level != "high" or "but" not in u.own:
        return made
    last = u.sentence_range(piece.start)[1]
    but = next((i for i in range(piece.end, min(piece.end + 3, last)) if u.own[i] == "but"), None)
    if but is None:
        return made
    for i in range(but + 1, min(but + 6, last)):
        if u.own[i] in u.lexicon.sets["tempering"] or " ".join(u.own[i : i + 2]) in u.lexicon.sets["tempering"]:
            made.level, made.step, made.explicit = "medium", 3.0, True
            made.widen(piece.start, i + 1)
            break
    return made


def _quality(
    u: Utterance, piece: Piece, id: str, named: list[tuple[Piece, tuple[str, str, int]]], taken: set[int]
) -> Mention | None:
    """A quality's name with the level said beside it; None where nothing is said of it."""
    made = Mention(piece.start, piece.end, id, attribute=True)
    if u.words[piece.end - 1].lower() in ("finishes", "finishing") and u.own[piece.end : piece.end + 1] in (
        ["on"],
        ["with"],
    ):
        return None  # "finishes on a touch of rooibos": a place
    beside = _beside(u, piece, id)
    near = None if beside and beside[2] == piece.start else _same_attribute_beside(u, piece, id, named)
    if near:
        taken.add(near[0].start)
        made.widen(near[0].start, near[0].end)
        made.step = near[1]
        made.level = u.lexicon.attribute_levels[id][near[1] - 1]
        return _tempered(u, near[0], made)
    said = _score_near(u, piece.start, piece.end)
    if said:
        made.level, made.step = said[0], said[1]
        made.widen(said[2], said[3])
        return made
    bare = _bare_mark(u, piece)
    if bare:
        made.level, made.step = level_of_step(bare)
        made.widen(piece.start, piece.end + 1)
        return made
    if beside:
        step, start, end = beside
        made.said = (start, end) if start >= piece.end else None
        made.level, made.step = u.lexicon.attribute_levels[id][step - 1], step
    else:
        level = _level_near(u, piece, close=not u.lexicon.attribute_bare[id])
        if level:
            made.level, made.step, start, end = level[0], STEP_OF_LEVEL[level[0]], level[1], level[2]
            if _denied_between(u, piece.end, start):
                made.level, made.step = ("low", 2.0) if made.level == "high" else ("medium", 3.0)
        elif (gone := _gone(u, piece)) and u.lexicon.attribute_denied[id] == "low":
            made.level, made.step, start, end = "low", 2.0, *gone
        elif u.lexicon.attribute_bare[id]:
            made.step = u.lexicon.attribute_bare[id]
            made.level = u.lexicon.attribute_levels[id][int(made.step) - 1]
            return None if _balanced(u, piece, id, named) else made
        else:
            return None
    made.widen(start, end)
    made.explicit = True
    taken.update(range(start, end))
    return made


def _bare_mark(u: Utterance, piece: Piece) -> float | None:
    """ "Acidity three.": a mark out of five said right behind the name, and nothing more."""
    ones = u.lexicon.numbers.get("ones", {}) if u.lexicon.numbers else {}
    if u.isolated or piece.end >= len(u.words) or u.is_break(piece.end):
        return None
    value = ones.get(u.own[piece.end])
    ends = piece.end + 1 >= len(u.words) or u.is_break(piece.end + 1)
    return float(value) if value in (1, 2, 3, 4, 5) and ends else None


def _gone(u: Utterance, piece: Piece) -> tuple[int, int] | None:
    """ "The finish is just, like, gone": where it is said that the quality ends at once."""
    for cue in u.of("negation.after"):
        between = range(piece.end, cue.start)
        if piece.end < cue.start <= piece.end + 4 and all(
            u.own[i] in u.lexicon.sets["linking"] or u.is_filler(i) for i in between
        ):
            return cue.start, cue.end
    return None


def _balanced(u: Utterance, piece: Piece, id: str, named: list[tuple[Piece, tuple[str, str, int]]]) -> bool:
    """ "Acidity and bitterness are well balanced" speaks of the balance only."""
    return id != "balance" and any(
        a[1] == "balance"
        and u.sentence[p.start] == u.sentence[piece.start]
        and abs(p.start - piece.start) <= 5
        and not any("," in u.gaps[i] for i in range(min(p.end, piece.end), max(p.start, piece.start) + 1))
        for p, a in named
    )


def _same_attribute_beside(
    u: Utterance, piece: Piece, id: str, named: list[tuple[Piece, tuple[str, str, int]]]
) -> tuple[Piece, int] | None:
    """An attribute word of the same attribute in the same clause: "heavy, round body", "the body is syrupy"."""
    for other, (kind, other_id, step) in named:
        if kind == ATTRIBUTE and other_id == id and u.sentence[other.start] == u.sentence[piece.start]:
            between = range(other.end, piece.start) if other.end <= piece.start else range(piece.end, other.start)
            words = [u.own[i] for i in between]
            if (
                len(words) <= 3
                and u.clause[other.start] == u.clause[piece.start]
                and all(w in u.lexicon.sets["linking"] or u.lexicon.cues.exact((w,)) for w in words)
            ):
                return other, step
    return None


def _beside(u: Utterance, piece: Piece, id: str) -> tuple[int, int, int] | None:
    """The step of a word that means one only beside this attribute's name ("creamy mouthfeel")."""
    book = u.lexicon.beside[id]
    start, end = _window(u, piece)
    if end < u.sentence_range(piece.start)[1]:  # a flavour's word that is a level here: "the body is buttery"
        stop, senses = book.longest(u.own, end)
        end = stop if senses and (stop >= len(u.words) or u.is_break(stop)) else end
    best: tuple[int, int, int, int] | None = None
    for i in range(start, end):
        if u.own[i] not in book.root:
            continue
        stop, senses = book.longest(u.own[:end], i)
        if not senses or (i < piece.end and stop > piece.start):
            continue
        distance = piece.start - stop if stop <= piece.start else i - piece.end
        if (stop <= piece.start and _leads_to(u, stop, piece.start) and not _crosses(u, stop, piece)) or (
            i >= piece.end and _links(u, piece.end, i)
        ):
            step = int(senses[0].value)
            if best is None or (distance, i) < (best[0], best[2]):
                best = (distance, step, i, stop)
    return best[1:] if best else None


def _modifies(u: Utterance, cue: Cue) -> bool:
    """ "The finish was a little bland": the level word belongs to another word after it."""
    if cue.end >= len(u.words) or u.is_break(cue.end) or u.own[cue.end] in u.lexicon.sets["linking"]:
        return False
    if u.own[cue.end] in u.lexicon.small or u.own[cue.end] == "side":
        return False
    return any(c.start == cue.start and c.end == cue.end for c in u.of("degree.before"))


def _denied_between(u: Utterance, start: int, end: int) -> bool:
    """ "The bitterness isn't strong": the denial stands between the name and the level."""
    return any(start <= c.start and c.end <= end for c in u.of("negation.before", "negation.little"))


def _level_near(u: Utterance, piece: Piece, *, close: bool) -> tuple[str, int, int] | None:
    """A level word before the name ("low", up to three words off) or after it through linking words ("is high").

    `close`: only right beside it, for names that are also places ("a strong oak finish" is no long one).
    """
    start, end = _window(u, piece)
    best: tuple[int, int, Cue] | None = None
    placed = u.own[max(0, piece.start - 2) : piece.start]
    if close and placed[-1:] == ["the"] and placed[0] in u.lexicon.sets["at_words"]:
        end = piece.start  # "almond at the finish, soft": a place
    for cue in u.of("level"):
        if cue.value == "none" and u.gaps[cue.end].lstrip().startswith("?"):
            continue  # "higher, no?": a tag
        if (
            cue.start < start
            or cue.end > end
            or cue.start < piece.end <= cue.end
            or (cue.end > piece.start and cue.start < piece.end)
        ):
            continue
        if cue.end <= piece.start and (cue.end == piece.start if close else _leads_to(u, cue.end, piece.start)):
            rank = (piece.start - cue.end, -(cue.end - cue.start))
        elif _links(u, piece.end, cue.start) and not _modifies(u, cue):
            rank = (cue.start - piece.end, -(cue.end - cue.start))
        else:
            continue
        if best is None or rank < best[:2]:
            best = (*rank, cue)
    return (best[2].value, best[2].start, best[2].end) if best else None


def _window(u: Utterance, piece: Piece) -> tuple[int, int]:
    """Up to three words before the name in its clause, up to five after it in its sentence, not over another name."""
    first = u.clause_range(piece.start)[0]
    start = max(first, piece.start - 3)
    sentence_end = u.sentence_range(piece.start)[1]
    end = min(sentence_end, piece.end + 8)
    for other in u.pieces:
        if other.end < piece.start and other.end > start and other.descriptor is not None:
            start = other.end
        names = other.descriptor is not None or attribute_of(other)
        if piece.end <= other.start < end and names and not _level_word(u, other):
            end = other.start
            break
    return start, end


def _leads_to(u: Utterance, start: int, end: int) -> bool:
    """Only small words, kinds, qualities' words and one flavour may stand between a level and the name after it."""
    kinds = u.lexicon.names.states.kinds
    for i in range(start, end):
        if (
            u.own[i] in u.lexicon.sets["linking"]
            or kinds.exact((u.own[i],))
            or any(p.start <= i < p.end for p in u.pieces)
        ):
            continue
        return False
    return True


def _crosses(u: Utterance, start: int, piece: Piece) -> bool:
    """Whether another quality's name stands between: "low acid aftertaste" is about the acid."""
    return any(start <= p.start and p.end <= piece.start and p.descriptor is None and attribute_of(p) for p in u.pieces)


def _level_word(u: Utterance, piece: Piece) -> bool:
    return any(c.start == piece.start for c in u.of("level"))


def _links(u: Utterance, start: int, end: int) -> bool:
    """Whether words [start, end) only link a name to what is said of it, with no full comma between."""
    gaps = [u.gaps[i] for i in range(start, end + 1)]
    if any("," in g or "(" in g or "/" in g for g in gaps[:1]) and end == start:
        return ":" in gaps[0] or ("," in gaps[0] and not u.isolated and _level_alone(u, start))
    if any(u.parts(i) for i in range(start + 1, end + 1)):
        return False
    if (
        gaps
        and "," in gaps[0]
        and start < end
        and not (u.own[start] in u.lexicon.sets["talking"] or u.is_filler(start))
    ):
        return False
    denials = u.covered("negation.before", "negation.little", "degree.before")
    return all(
        u.own[i] in u.lexicon.sets["linking"] or len(u.own[i]) == 1 or i in denials or u.is_filler(i)
        for i in range(start, end)
    )


def _level_alone(u: Utterance, start: int) -> bool:
    """Whether the level at word `start` closes its phrase ("acidity, high") and is not another name's ("high body")."""
    cues = [c for c in u.of("level") if c.start == start]
    beside = (book.longest(u.own, start)[0] for book in u.lexicon.beside.values())
    end = max([*(c.end for c in cues), *beside], default=start)
    return end > start and (end >= len(u.words) or u.is_break(end) or u.is_filler(end))


def _score_near(u: Utterance, start: int, end: int) -> tuple[str, float, int, int] | None:
    """A mark out of five or ten within the next few words or just before: (level, step, first word, end word)."""
    if not may_score(u.text):
        return None
    first, last = u.sentence_range(start)
    low = max(first, start - 4)
    high = min(last, end + 7)
    text = u.text[u.starts[low] : u.ends[high - 1]]
    matches = sorted(SCORE.finditer(text), key=lambda m: (u.starts[low] + m.start() < u.starts[start], m.start()))
    for match in matches:  # the mark after a name before the one in front of it
        at = u.starts[low] + match.start()
        level = score_level(match)
        if level is None:
            continue
        words = [i for i in range(low, high) if u.starts[i] < at + len(match.group()) and u.ends[i] > at]
        if any(p.start >= end and p.start < words[0] and (p.descriptor or attribute_of(p)) for p in u.pieces):
            continue
        if words[-1] < start and any(first <= p.start < words[0] and attribute_of(p) for p in u.pieces):
            continue
        if any(p.end <= start and p.start > words[-1] for p in u.pieces):
            continue
        return level[0], level[1], words[0], words[-1] + 1
    return None
