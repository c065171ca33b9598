"""The marked page: the text is all there, every item is marked and listed, and nothing in it can run."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st
from report_examples import TEXT, desk, example

from tastevocab.reading.records import Finding, Reading, SetAside, Spot
from tastevocab.reading.report.marked_page import KINDS, Entry, MarkedFile, draw_page, segments
from tastevocab.reading.report.told import Wording
from tastevocab.reading.review.context import Passage, Texts


def page(text: str = TEXT, reading: Reading | None = None, name: str = "table.txt") -> str:
    return draw_page([MarkedFile(name, reading or example(), Texts.of(text))], Wording(desk()))


class Seen(HTMLParser):
    """Tags, and the running text inside the text blocks without signs and tips."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.text = ""
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in ("meta",):
            self.open.append(f"{tag}.{dict(attrs).get('class', '')}")

    def handle_endtag(self, tag: str) -> None:
        self.open.pop()

    def handle_data(self, data: str) -> None:
        inside = [i for i, o in enumerate(self.open) if o == "div.text"]
        if inside and not any(o.startswith(("sup", "span")) for o in self.open[inside[0] + 1 :]):
            self.text += data


def seen(html: str) -> Seen:
    parser = Seen()
    parser.feed(html)
    return parser


def test_the_whole_text_stands_on_the_page_and_every_item_is_marked_and_listed() -> None:
    html = page()
    assert seen(html).text == TEXT
    for number in range(1, 13):
        assert f'id="m{number}"' in html
        assert f'id="i{number}"' in html
    assert f'id="m{13}"' not in html
    used = {kind for kind, _, _ in KINDS}
    assert used == {c for c in used if f'class="mark {c}"' in html}


def test_each_kind_has_a_sign_and_a_line_of_its_own() -> None:
    assert len({sign for _, sign, _ in KINDS}) == len(KINDS)
    css = page().partition("<style>")[2].partition("</style>")[0]
    drawn = []
    for kind, _, _ in KINDS:
        rule = re.search(rf"^\.{kind} {{(.*?)}}", css, re.MULTILINE)
        assert rule
        drawn.append(re.sub(r"var\(--[a-z-]+\)|[\d.]+px", "", rule[1].partition(";")[2] or rule[1]))
    assert len(set(drawn)) == len(KINDS)


def contrast(one: str, two: str) -> float:
    """WCAG 2 contrast ratio of two #rrggbb colours."""

    def light(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    a, b = sorted((light(one), light(two)), reverse=True)
    return (a + 0.05) / (b + 0.05)


def test_text_and_signs_can_be_read_on_every_mark_in_light_and_dark() -> None:
    css = page().partition("<style>")[2].partition("</style>")[0]
    for block in re.findall(r":root {(.*?)}", css, re.DOTALL):
        colour = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block))
        for kind, _, _ in KINDS:
            assert contrast(colour["ink"], colour[kind]) >= 7, kind
            assert contrast(colour[f"{kind}-line"], colour[kind]) >= 4.5, kind
        assert contrast(colour["muted"], colour["paper"]) >= 4.5


def test_hostile_notes_stay_text() -> None:
    text = '<script>alert(1)</script> <img src=x onerror=alert(1)> "{{ 7*7 }} \u202egnirts\x1b[2J </style>'
    reading = Reading(
        findings=(Finding("f", "reach/fig", Spot(text[:25], (0, 25), "x", speaker='"><script>')),),
        set_aside=(SetAside(Spot(text[26:40], (26, 40), "x"), "<b>"),),
    )
    html = page(text, reading, '<svg onload="x">')
    found = seen(html)
    assert not {"script", "img", "svg", "b2"} & set(found.tags)
    assert not [name for name, _ in found.attributes if name.startswith("on") or name == "style" or name == "src"]
    assert "49" not in found.text
    assert found.text.replace("\ufffd", "") == text.replace("\u202e", "").replace("\x1b", "")


def test_the_policy_allows_the_page_s_own_style_and_nothing_else() -> None:
    html = page()
    css = html.partition("<style>")[2].partition("</style>")[0]
    digest = base64.b64encode(hashlib.sha256(css.encode()).digest()).decode()
    assert f"default-src &#39;none&#39;; style-src &#39;sha256-{digest}&#39;" in html
    assert "http:" not in html
    assert "https:" not in html


def test_the_same_reading_gives_the_same_bytes() -> None:
    assert page() == page()


def test_rows_of_a_table_are_marked_each_in_its_own_text() -> None:
    fig = example().findings[4]
    rows = (("sweet fig", "a", 2), ("fig", None, 3), ("plum", None, 3))
    spots = (
        Spot("fig", (6, 9), "t", note="a", line=2),
        Spot("fig", (0, 3), "t", line=3),
        Spot("plum", (0, 4), "t", line=3),
    )
    texts = Texts((Passage(*row) for row in rows), table=True)
    assert [texts.number(s) for s in spots] == [0, 1, 2]
    reading = Reading(findings=tuple(replace(fig, spot=s) for s in spots))
    html = draw_page([MarkedFile("t.csv", reading, texts)], Wording(desk()))
    assert 'sweet <a class="mark hedged" id="m1"' in html
    assert '<span class="row">line 3</span><a class="mark hedged" id="m2"' in html


def test_what_is_asked_is_told_with_how_sure_and_why_on_request() -> None:
    assert '<a class="mark asked"' in page()
    assert "<b>no plums</b>, 72 % sure" in page()
    assert "why: " not in page()
    explained = draw_page([MarkedFile("t", example(), Texts.of(TEXT))], Wording(desk(), explain=True))
    assert "72 % sure, denied, why: clear which flavour is meant; against: unclear whether found" in explained


def test_no_findings_is_a_sentence() -> None:
    assert "Nothing about flavour was found" in page("We waited.", Reading())


@given(st.text(max_size=40), st.lists(st.tuples(st.integers(-3, 45), st.integers(-3, 45)), max_size=6))
def test_segments_put_together_are_the_text_and_cover_every_span(text: str, spans: list[tuple[int, int]]) -> None:
    marked = [
        (SetAside(Spot("", span, "t"), "x"), Entry(n, "aside", "", "", "", "", "")) for n, span in enumerate(spans)
    ]
    pieces = list(segments(text, marked))
    assert sum(len(p.text) for p in pieces) == len(text)
    covered: dict[int, int] = {}
    for p in pieces:
        for e in p.entries:
            covered[e.number] = covered.get(e.number, 0) + len(p.text)
    for n, (start, end) in enumerate(spans):
        assert covered.get(n, 0) == max(0, min(end, len(text)) - min(max(start, 0), len(text)))
