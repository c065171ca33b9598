"""Markdown tasting sheets: whose words stand where."""

from __future__ import annotations

import pytest
from turn_checks import LAYOUT, read, said, sliced

HEAD = """# Bench notes, the plum door table

**Coffee:** Alto Verde, natural, lot "Honey Gate"
Roast: light, the colour of cinnamon
**Tasters:** Ana Lima (A), Ben, Cy (typed by Ben)

_Copied out the day after._

"""


def test_nothing_in_the_head_counts_as_tasted() -> None:
    turns = read(HEAD + "## Hot\n\n- Ben: plum\n- Ben: fig\n", "sheet").turns
    assert [t.topic for t in turns] == ["header"] * 5 + [None] * 3
    assert [(t.kind, t.text) for t in turns[5:]] == [("heading", "Hot"), ("note", "plum"), ("note", "fig")]


def test_a_ragged_table_is_read_as_far_as_it_goes() -> None:
    """Rows with cells too few or too many ended in a traceback once."""
    rows = "| taster | hot | cool |\n| --- | --- | --- |\n| Ben | plum |\n| Cy | fig | rose | lime |\n| |\n"
    turns = read(HEAD + rows, "sheet").turns
    assert {("Ben", "plum"), ("Cy", "fig"), ("Cy", "rose")} <= {(t.speaker, t.text) for t in turns}


@pytest.mark.parametrize(
    ("line", "speaker", "words"),
    [
        ("- Ben: plum", "Ben", "plum"),
        ("* **Ben** - plum", "Ben", "plum"),
        ("* **Ben** – plum", "Ben", "plum"),
        ("**Ben:** plum", "Ben", "plum"),
        ("Ben — plum", "Ben", "plum"),
        ("1. Ben (added later): plum", "Ben", "plum"),
        ("* Ben, second go - plum", "Ben", "plum"),
        ("> Ben: plum", "Ben", "plum"),
        ('Ben\'s extra note: "plum"', "Ben", '"plum"'),
        ("Cy's reply to Ben in the margin: plum", "Cy", "plum"),
        ("Added in pencil by Cy: plum", "Cy", "plum"),
        ("A: plum", "Ana Lima", "plum"),
        ("- Ana: plum", "Ana", "plum"),
        ("- Flyer from the importer says plum", None, "Flyer from the importer says plum"),
        ("- Mould: none", None, "Mould: none"),
        ("Panel: all found plum", None, "Panel: all found plum"),
        ("- Ben would roast it darker", None, "Ben would roast it darker"),
    ],
)
def test_who_a_line_belongs_to(line: str, speaker: str | None, words: str) -> None:
    assert said(f"{HEAD}## Hot\n\n{line}\n", "sheet") == [(speaker, words)]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ("- Ben: plum,\n  and fig", "and fig"),
        ("Ben: plum, with something of a raisin that has lain in the sun for a good while,\nand fig", "and fig"),
    ],
    ids=["set in", "a full line before"],
)
def test_a_line_that_goes_on_is_the_same_persons(lines: str, words: str) -> None:
    ((speaker, text),) = said(f"{HEAD}## Hot\n\n{lines}\n", "sheet")
    assert speaker == "Ben"
    assert text.endswith(words)


def test_words_of_two_are_two_findings_and_several_tasters_in_a_line_are_split() -> None:
    text = HEAD + "## Hot\n\n- Ben & Cy: cocoa\n- Ben: plum; Cy: not plum\n- **Body:** Ben: thin. Cy: thick.\n"
    turns = [t for t in read(text, "sheet").turns if t.speaker]
    assert [(t.speaker, t.text, t.topic) for t in turns] == [
        ("Ben", "cocoa", None),
        ("Cy", "cocoa", None),
        ("Ben", "plum;", None),
        ("Cy", "not plum", None),
        ("Ben", "thin.", "body"),
        ("Cy", "thick.", "body"),
    ]


def test_lower_bullets_and_headings_with_a_name_hold_the_speaker() -> None:
    text = (
        HEAD
        + "## Hot\n\n- Ben:\n  - plum\n  - fig\n- soap in the sink\n\n### Cy\n\n- Body: medium\n\n## Cold\n\nnothing\n"
    )
    assert said(text, "sheet") == [
        ("Ben", "plum"),
        ("Ben", "fig"),
        (None, "soap in the sink"),
        ("Cy", "Body: medium"),
        (None, "nothing"),
    ]


def test_a_label_that_is_a_moment_fills_it_for_its_own_bullet_only() -> None:
    text = HEAD + "## Filter\n\n- **Hot:** Ben: plum. Cy: fig.\n- Ben: overall nice\n"
    notes = [t for t in read(text, "sheet").turns if t.speaker]
    assert [(t.text, t.moment) for t in notes] == [("plum.", "hot"), ("fig.", "hot"), ("overall nice", None)]


def test_tasters_down_the_side() -> None:
    head = "## Hot\n\n| Taster | Flavour | Acidity /5 |\n|:--|---|---|\n"
    text = head + "| Ana | plum \\| fig | 4 |\n| Ben | *not* plum |\n| Cy | - | 2 | late |\n"
    cells = [t for t in read(text, "sheet").turns if t.kind == "cell"]
    assert [(t.speaker, t.topic, t.text) for t in cells] == [
        ("Ana", "flavour", "plum | fig"),
        ("Ana", "acidity /5", "4"),
        ("Ben", "flavour", "not plum"),
        ("Cy", "acidity /5", "2"),
        ("Cy", None, "late"),
    ]


def test_tasters_along_the_head_with_moments_or_attributes_down_the_side() -> None:
    text = "## Filter\n\n| When | Ana | Ben |\n|---|---|---|\n| Hot, first sip | plum | fig |\n| Body | thin | |\n"
    cells = [t for t in read(text, "sheet").turns if t.kind == "cell"]
    assert [(t.speaker, t.moment, t.topic, t.text) for t in cells] == [
        ("Ana", "hot", None, "plum"),
        ("Ben", "hot", None, "fig"),
        ("Ana", None, "body", "thin"),
    ]


def test_moments_along_the_head_and_in_a_column() -> None:
    along = "| name | hot | cold |\n|---|---|---|\n| Ana | plum | fig |\n"
    down = "| name | moment | flavour |\n|---|---|---|\n| Ana | hot | plum |\n| Ana | cold | fig |\n"
    for text in (along, down):
        assert [(t.moment, t.text) for t in read(text, "sheet").turns] == [("hot", "plum"), ("cool", "fig")]


@pytest.mark.parametrize(
    ("label", "scene"),
    [
        ("Shot, first sip", ("hot", "espresso")),
        ("As it cools", ("warm", None)),
        ("Cold brew", (None, "cold brew")),
        ("Cold brew, gone cold", ("cool", "cold brew")),
        ("Verdict", (None, None)),
    ],
)
def test_what_a_label_tells_of_moment_and_brew(label: str, scene: tuple[str | None, str | None]) -> None:
    assert LAYOUT.scene(label) == scene


def test_a_table_of_facts_above_the_first_section_is_head() -> None:
    facts = "| Item | Detail |\n|---|---|\n| Coffee | Plum Hill |\n| At the table | Ana, Ben |\n"
    text = f"# Log\n\n{facts}\n## Hot\n\nBen: fig\n"
    turns = read(text, "sheet").turns
    assert [t.topic for t in turns] == ["header", "header", "header", None, None]
    assert (turns[-1].speaker, turns[-1].text) == ("Ben", "fig")


def test_marks_links_tags_and_entities_go_and_places_stay() -> None:
    comment = "<!-- lemon -->"
    line = f"**plum** and [fig](http://x.example/a) <b>jam</b> &amp; `oat`, 2 \\* 3, snake_case_words, {comment}date"
    file = read(f"## Hot\n\n- {line}\n", "sheet")
    assert file.turns[1].text == f"plum and fig jam & oat, 2 * 3, snake_case_words, {' ' * len(comment)}date"
    for word in ("plum", "fig", "jam", "oat", "date"):
        assert sliced(file, 1, word) == word


def test_struck_out_words_are_left_out_and_told() -> None:
    file = read("## Hot\n\n- ~~plum~~ prune\n", "sheet")
    assert file.turns[1].text == "prune"
    assert file.notices == ('table.txt:3: "plum" is struck out; it was left out of the reading.',)


def test_nobody_owns_the_line_after_a_paragraph_of_quoted_answers() -> None:
    text = (
        HEAD + '## Faults\n\nNone called, though Ben asked about ferment. Cy: "none." Ben: "not for me."\nNo phenol.\n'
    )
    assert said(text, "sheet")[-2:] == [("Ben", '"not for me."'), (None, "No phenol.")]


def test_bold_lines_and_underlined_lines_are_headings() -> None:
    turns = read("Hot\n===\n\nplum\n\n**Cold**\n\nfig\n", "sheet").turns
    assert [(t.kind, t.text) for t in turns] == [
        ("heading", "Hot"),
        ("note", "plum"),
        ("heading", "Cold"),
        ("note", "fig"),
    ]


@pytest.mark.parametrize("first", ["|", "| |", "| Taster |", "| Taster | Flavour | Acidity | Body |"])
def test_rows_with_more_or_fewer_cells_than_the_first(first: str) -> None:
    rows = "| Ana | plum |\n| Ben |\n| Ben | fig | 3 | thin | late |\n"
    turns = read(f"{HEAD}## Hot\n\n{first}\n{rows}", "sheet").turns
    cells = [(t.speaker, t.text) for t in turns if t.kind == "cell" and t.text in ("plum", "fig", "late")]
    assert cells[0][1] == "plum"
    assert [text for _, text in cells] == ["plum", "fig", "late"]
    assert {who for who, _ in cells[1:]} == {"Ben"}
