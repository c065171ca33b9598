"""The desk with a stop-watch: a session brought from what the reader gives to what a key says, through a real browser.

`python tests/bench/desk_watch.py [RECORDING KEY.jsonl ...]` does so with the two hard afternoons of `tests/panel`, and
with recordings whose keys say, one JSON object a line, what was found in which exact words.

Who presses here knows the key; what it presses, a person could, and all of it goes through the page: timeline, form,
questions, transcript. What a person would need is reckoned from the keys and presses (keystroke-level model: Card,
Moran and Newell 1980, operators remembered: key 0.28 s, pointing 1.1 s and press 0.2 s, making up one's mind 1.35 s)
and from the words to be read once (238 a minute, Brysbaert 2019), the page's own time as it was measured.
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))

from desk_key import Want, is_right, lines_of, meaning, paired, score, wants_of
from screens import browsing
from web_client import served

from tastevocab.web.desk.app import desk_app
from tastevocab.web.desk.sitting import Sitting
from tastevocab.web.desk.state import opening, state
from tastevocab.web.desk.timeline import LANES, line_starts

HARD = Path(__file__).parents[1] / "panel"
TOKEN = "a-token-of-the-watch"
KEY, POINT, PRESS, MIND = 0.28, 1.1, 0.2, 1.35
READ = 238 / 60
COLUMNS = (
    "session", "words", "flavours by word", "flavours, whole", "qualities", "actions", "keys + presses", "run, s",
    "page, s an action", "a person, min",
)  # fmt: skip


# --- hands ---


@dataclass
class Hands:
    """Somebody at the page: what they press is counted, and how long the page takes to follow."""

    page: Any
    sitting: Sitting
    wants: list[Want]
    counts: Counter[str] = field(default_factory=Counter)
    waited: float = 0.0

    def press(self, key: str) -> None:
        self.counts["keys"] += 1
        self.page.keyboard.press(key)

    def type(self, words: str) -> None:
        self.counts["keys"] += len(words)
        self.page.keyboard.type(words)

    def click(self, found: Any) -> None:
        self.counts["presses"] += 1
        found.first.click()

    def choose(self, id: str, value: str) -> None:
        self.counts["presses"] += 2
        self.page.locator(f"#{id}").select_option(value)

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        self.counts["presses"] += 2
        self.page.mouse.move(*start)
        self.page.mouse.down()
        self.page.mouse.move(*end, steps=4)
        self.page.mouse.up()

    def acted(self, what: str, do: Callable[[], None]) -> bool:
        """Do something that is written down; False where the desk refused it."""
        before, start = len(self.sitting.kept.past), time.perf_counter()
        self.counts[what] += 1
        do()
        while len(self.sitting.kept.past) == before and time.perf_counter() - start < 15:
            self.page.wait_for_timeout(10)
            if self.page.locator("#told.bad:not([hidden])").count():
                self.counts["refused"] += 1
                return False
        while self.page.locator("body[aria-busy]").count():
            self.page.wait_for_timeout(10)
        took = time.perf_counter() - start
        self.waited += took
        print(f"{took:5.1f} s  {what}: {self.page.locator('#told').text_content()}", file=sys.stderr, flush=True)
        return len(self.sitting.kept.past) > before

    @property
    def actions(self) -> int:
        return sum(n for what, n in self.counts.items() if what not in ("keys", "presses", "refused"))

    def seconds(self) -> float:
        """What a person would need for it, without reading: the model of this file's head."""
        return self.counts["keys"] * KEY + self.counts["presses"] * (POINT + PRESS) + self.actions * MIND + self.waited

    # --- the page ---

    def pages(self) -> list[dict[str, Any]]:
        made: list[dict[str, Any]] = state(self.sitting)["pages"]
        return made

    def mark(self, id: str) -> dict[str, Any] | None:
        return next((m for page in self.pages() for m in page["marks"] if m["id"] == id), None)

    def show(self, text: int) -> None:
        """Have the text on the page, by its tab."""
        files = list(dict.fromkeys(t["file"] or "typed notes" for t in opening(self.sitting)["texts"]))
        here = opening(self.sitting)["texts"][text]["file"] or "typed notes"
        tab = self.page.locator("#tabs button", has_text=here)
        if len(files) > 1 and tab.get_attribute("aria-pressed") != "true":
            self.click(tab)

    def in_hand(self, id: str) -> None:
        """Take a mark by pressing it, or through the mark that lies over it."""
        self.show(int(re.split(r"[.+]", id)[0]))
        own = self.page.locator(f"#transcript .m[data-mark='{id}']")
        if own.count():
            self.click(own)
            return
        mark = self.mark(id)
        over = self.page.locator(f"#transcript .w[data-start='{mark['start']}']")
        self.click(over)
        self.click(self.page.locator("#hand .row.small button", has_text=mark["means"] or mark["words"]))

    def word(self, text: int, place: int, *, last: bool = False) -> Any:
        self.show(text)
        words = self.page.locator(f"#transcript .w[data-text='{text}']")
        starts = words.evaluate_all("all => all.map(w => [+w.dataset.start, +w.dataset.end])")
        n = (
            max(i for i, (start, _) in enumerate(starts) if start <= place)
            if not last
            else min(i for i, (_, end) in enumerate(starts) if end >= place)
        )
        return words.nth(n)


# --- stretches ---


@dataclass(frozen=True)
class Stretch:
    """Of [start, end) of a text some lanes are to be other than they are."""

    text: int
    start: int
    end: int
    values: tuple[tuple[str, str], ...]


def stretches(hands: Hands) -> list[Stretch]:
    """Where two things or more that stand one after the other have the same wrong in a lane."""
    pages = hands.pages()
    found: dict[tuple[int, int, int], list[tuple[str, str]]] = {}
    for n, text in enumerate(hands.sitting.texts):
        if not any(p.at is not None for p in text.said.pieces) and len(line_starts(text.said)) < 5:
            continue
        lines = [li[0] for li in pages[n]["lines"]] + [len(text.said.text)]
        for name in LANES:
            told = [(w, dict(w.told)[name]) for w in hands.wants if w.text == n and name in dict(w.told)]
            for value, places in _groups(told, lambda place, n=n, name=name: _lane(pages[n], name, place)):  # type: ignore[misc]
                start = max(s for s in lines if s <= places[0])
                end = min(s for s in lines if s > places[-1])
                if all(v == value for w, v in told if start <= w.start < end):  # else mark by mark
                    found.setdefault((n, start, end), []).append((name, value))
    return [Stretch(*place, tuple(values)) for place, values in sorted(found.items())]


def _groups(told: Sequence[tuple[Want, str]], lane: Callable[[int], str | None]) -> Iterator[tuple[str, list[int]]]:
    """Neighbours, two or more, that are of one value and that the lane gives another: the value, their places."""
    for (value, off), group in groupby(told, lambda one: (one[1], lane(one[0].start) != one[1])):
        places = [want.start for want, _ in group]
        if off and len(places) > 1:
            yield value, places


def _lane(page: dict[str, Any], name: str, place: int) -> str | None:
    return next((value for start, end, value, _ in page["lanes"][name] if start <= place < end), None)


def drag_border(hands: Hands, want: Stretch) -> bool:
    """Say a stretch by dragging the border that it begins or ends with, where there is one wide enough to be hit."""
    if len(want.values) > 1:
        return False
    (name, value), page = want.values[0], hands.pages()[want.text]
    runs = page["lanes"][name]
    before = next(
        (r for r in runs if r[0] == want.start and _lane(page, name, want.start - 1) == value and want.start), None
    )
    after = next((r for r in runs if r[0] == want.end and r[2] == value), None)
    border, to = (want.start, want.end) if before else (want.end, want.start)
    if not before and not after:
        return False
    hands.show(want.text)
    handle = hands.page.locator(f"[data-key='{want.text}.{name}.{border}.border']")
    if not handle.count():
        return False
    track = hands.page.locator(".lane", has_text=LANE_NAMES[name]).locator(".track").first.bounding_box()
    times = opening(hands.sitting)["texts"][want.text]["times"]
    stops = sorted({li[0] for li in page["lines"]} | {place for place, _ in times})
    x = {place: _x(times, place, len(hands.sitting.texts[want.text].said.text)) * track["width"] for place in stops}
    if to not in x or min((abs(x[s] - x[to]) for s in stops if s != to), default=9) < 4:
        return False
    box = handle.bounding_box()
    at = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    return hands.acted("borders dragged", lambda: hands.drag(at, (track["x"] + x[to], at[1])))


LANE_NAMES = {"coffee": "Coffee", "brew": "Brew", "moment": "Moment", "taster": "Speaker"}


def _x(times: list[Any], place: int, length: int) -> float:
    if not times:
        return place / length
    at = [second for p, second in times if p <= place][-1]
    return float((at - times[0][1]) / max(times[-1][1] - times[0][1], 0.001))


def say_stretch(hands: Hands, want: Stretch) -> bool:
    """Say a stretch in its form: from the first word on ("G"), to where it is typed."""
    hands.click(hands.word(want.text, want.start))
    hands.press("g")
    text = hands.sitting.texts[want.text].said
    end = ""
    if want.end < len(text.text):
        at = text.pieces[text.piece(want.end)].at
        end = (
            f"line {sum(s <= want.end for s in line_starts(text))}"
            if at is None
            else f"{int(at) // 60}:{int(at) % 60:02}"
        )
    to = hands.page.locator("#s-to")
    if to.input_value() != end:
        hands.click(to)
        hands.press("Control+a")
        hands.type(end) if end else hands.press("Delete")
    for name, value in want.values:
        hands.choose(f"s-{name}", value)
    return hands.acted("stretches said", lambda: hands.click(hands.page.get_by_role("button", name="Set", exact=True)))


# --- marks ---


def decide(hands: Hands, want: Want | None, mark: dict[str, Any], ask: dict[str, Any] | None) -> bool:
    """Put the meaning of the mark in hand right."""
    if want is None:
        return hands.acted("wrong", lambda: hands.press("r"))
    if meaning(mark) in want.means and mark["present"] in (want.present, None) and mark["kind"] != "unknown":
        if ask and ask["kind"] == "which coffee":
            right = dict(want.told).get("coffee")
            n = next((n for n, c in enumerate(ask["candidates"]) if c["coffee"] == right), 0)
            return hands.acted("coffee answered", lambda: hands.press(str(n + 1)))
        return hands.acted("kept", lambda: hands.press("a"))
    offered = ask["candidates"] if ask else []
    n = next(
        (n for n, c in enumerate(offered[:9]) if c["descriptor"] in want.means and c["present"] == want.present), None
    )
    if n is not None:
        return hands.acted("candidate", lambda: hands.press(str(n + 1)))
    hands.press("c")
    return hands.acted("changed", lambda: typed(hands, "change-to", want))


def typed(hands: Hands, field: str, want: Want) -> None:
    """Type what it is and take it from the list."""
    hands.page.locator(f"#{field}:focus").wait_for()
    words = f"{'' if want.present else 'no '}{want.typed}"
    hands.type(words)
    hits = hands.page.locator(f"#{field}-list li")
    hits.first.wait_for()
    hands.page.wait_for_timeout(150)
    found = hands.sitting.search.find(want.typed)
    at = next((n for n, h in enumerate(found) if (h.descriptor or f"{h.attribute}={h.level}") in want.means), 0)
    for _ in range(at):
        hands.press("ArrowDown")
    hands.press("Enter")


def answer_questions(hands: Hands) -> None:
    """Every question once, as it comes."""
    for _ in range(300):
        asks = state(hands.sitting)["asks"]
        if not asks:
            return
        ask = asks[0]
        pairs, _ = paired(hands.wants, hands.pages())
        mark = hands.mark(ask["mark"])
        now = hands.page.locator("#transcript .m.hand")
        if not now.count() or now.first.get_attribute("data-mark") != ask["mark"]:
            hands.in_hand(ask["mark"])
        want = next((hands.wants[i] for i, m in pairs.items() if m["id"] == ask["mark"]), None)
        if not decide(hands, want, mark, ask):
            return


def details(hands: Hands, want: Want, mark: dict[str, Any]) -> bool:
    """Put taster, coffee, brew and moment of the mark in hand right."""
    whose = hands.page.locator("#hand details.whose")
    if not whose.evaluate("d => d.open"):
        hands.click(whose.locator("summary"))
    return all(hands.acted("set", lambda n=n, v=v: hands.choose(f"d-{n}", v)) for n, v in want.off(mark))  # type: ignore[misc]


def read_through(hands: Hands) -> None:
    """The transcript from the top: what is false goes, what means else is changed, what is missing is added."""
    for _ in range(400):
        pairs, left = paired(hands.wants, hands.pages())
        if left:
            hands.in_hand(left[0]["id"])
            assert hands.acted("wrong", lambda: hands.press("r")), left[0]
            continue
        off = [(w, pairs.get(i)) for i, w in enumerate(hands.wants) if not w.optional]
        off = [(w, m) for w, m in off if m is None or not is_right(w, m, whole=True)]
        if not off:
            return
        want, mark = off[0]
        if mark is None:
            add(hands, want)
            continue
        hands.in_hand(mark["id"])
        done = decide(hands, want, mark, None) if not is_right(want, mark, whole=False) else details(hands, want, mark)
        if not done:
            hands.wants.remove(want)
            hands.counts["given up"] += 1


def add(hands: Hands, want: Want) -> None:
    """Choose the words (by dragging over them, where they are several) and say what they are."""
    first, last = hands.word(want.text, want.start), hands.word(want.text, want.end, last=True)
    covered = first.locator("xpath=ancestor::*[@data-mark]").count()
    first.scroll_into_view_if_needed()
    if first.get_attribute("data-start") == last.get_attribute("data-start"):
        hands.click(first)
    else:
        a, b = first.bounding_box(), last.bounding_box()
        hands.drag((a["x"] + 1, a["y"] + a["height"] / 2), (b["x"] + b["width"] - 1, b["y"] + b["height"] / 2))
    if covered and hands.page.locator("#add-as").count() == 0:
        hands.press("d")
    field = hands.page.locator("#add-as")
    field.wait_for()
    if not field.evaluate("f => f === document.activeElement"):
        hands.click(field)
    if not hands.acted("added", lambda: typed(hands, "add-as", want)):
        hands.wants.remove(want)
        hands.counts["given up"] += 1


# --- one session ---


@dataclass(frozen=True)
class Watch:
    """What a session took: F1 by what and when, actions by kind, seconds by the model and of the run."""

    name: str
    words: int
    before: tuple[float, ...]
    after: tuple[float, ...]
    hands: Hands
    ran: float

    def row(self) -> str:
        h = self.hands
        person = h.seconds() + self.words / READ
        kinds = ", ".join(f"{n} {what}" for what, n in h.counts.most_common() if what not in ("keys", "presses"))
        changes = " | ".join(f"{b:.2f} -> {a:.2f}" for b, a in zip(self.before, self.after, strict=True))
        pressed = f"{h.counts['keys']} + {h.counts['presses']}"
        return (
            f"| {self.name} | {self.words} | {changes} | {h.actions} ({kinds}) | {pressed} | {self.ran:.0f} |"
            f" {h.waited / max(h.actions, 1):.2f} | {person / 60:.1f} |"
        )


def watch(browser: Any, session: Path, key: Path, name: str) -> Watch:
    """Bring one session right."""
    sitting = Sitting(session)
    wants = wants_of(sitting, key)
    before = scores(sitting, wants)
    words = sum(len(t.said.text.split()) for t in sitting.texts)
    with served(desk_app(sitting, TOKEN)) as door:
        page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
        page.set_default_timeout(10_000)
        page.goto(f"{door.url}/open/{TOKEN}")
        page.wait_for_selector("body[data-ready=yes]")
        hands, start = Hands(page, sitting, list(wants)), time.perf_counter()
        for _ in range(40):
            todo = stretches(hands)
            if not todo or not (drag_border(hands, todo[0]) or say_stretch(hands, todo[0])):
                break
        answer_questions(hands)
        read_through(hands)
        ran = time.perf_counter() - start
        page.context.close()
    return Watch(name, words, before, scores(sitting, wants), hands, ran)


def scores(sitting: Sitting, wants: Sequence[Want]) -> tuple[float, ...]:
    """F1 of flavours by word alone, of flavours with whose and of what they are, of qualities with the same."""
    pages = state(sitting)["pages"]
    how = ((True, False), (True, True), (False, True))
    return tuple(score(wants, pages, flavours=f, whole=w).f1 for f, w in how)


def session_of(folder: Path, recording: Path, key: Path) -> Path:
    """A session file for a recording that has none, with the tasters and brews of its key."""
    rows = list(lines_of(key))
    tasters = sorted({r["speaker"].casefold() for r in rows if r["speaker"]}) or ["one", "two"]
    brews = sorted({r["brew"].replace(" ", "_") for r in rows if r["brew"]})
    shutil.copy(recording, folder)
    path = folder / "session.yaml"
    cards = "".join(f"  {b}: {{method: {b.replace('_', ' ')}}}\n" for b in brews)
    path.write_text(
        f"session: {recording.stem}\ntasters: [{', '.join(tasters)}]\ncoffees: [lot]\nbrews:\n{cards}"
        f"notes:\n  - {{source: {recording.name}, coffee: lot}}\n", "utf-8",
    )  # fmt: skip
    return path


def main(*given: str) -> None:
    print(f"| {' | '.join(COLUMNS)} |\n|{'---|' * len(COLUMNS)}")
    pairs = [(Path(a), Path(b)) for a, b in zip(given[::2], given[1::2], strict=True)]
    with browsing() as browser, tempfile.TemporaryDirectory() as name:
        for recording, key in pairs or [(HARD / n, HARD / n / "key.json") for n in ("afternoon", "crossing")]:
            folder = Path(name) / recording.stem
            if recording.is_dir():
                shutil.copytree(recording, folder)
                session = folder / "session.yaml"
            else:
                folder.mkdir()
                session = session_of(folder, recording, key)
            print(watch(browser, session, key, recording.stem).row(), flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
