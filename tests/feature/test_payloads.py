"""What people wrote goes into every file as text and nothing else: payloads by output.

All payloads stand at once in one table: in the coffee's name, its facts, a brew's facts, a taster's words, the wording.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from shutil import which
from xml.etree import ElementTree

import pypdf
import pytest
import webvtt

sys.path.append(str(Path(__file__).parents[1] / "cli"))
from in_process import Done, run

from tastevocab.cells import csv_text
from tastevocab.errors import InputError
from tastevocab.feature.wording import Wording

PAYLOADS = {
    "script": "<script>document.title='ran'</script>",
    "handler": "<img src=x onerror=\"document.title='ran'\">",
    "broken out": "\"'><svg onload=document.title='ran'>",
    "end of script": "</script></style><b>",
    "entity": "&lt;i&gt; &#x3c;u&#x3e;",
    "Markdown link": "[a](javascript:document.title='ran')",
    "Markdown HTML": "*b* `c` <iframe src=x> | d",
    "formula": "=HYPERLINK(\"http://x.invalid\")",
    "command": "@SUM(1+1)*cmd|' /C calc'!A0",
    "cue": "00:00.000 --> 00:09.000",
    "escape": "\x1b[31mred\x1b]0;title\x07",
    "backwards": "abc\u202etxt.exe\u2066",
    "separator": "a\u2028b\x85c",
    "template": "{{ 7 * 7 }}{% raw %}",
}  # fmt: skip
CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    made = tmp_path_factory.mktemp("payloads")
    facts = ("origin", "farm", "producer", "variety", "altitude", "harvest", "lot", "drying", "fermentation",
             "importer", "exporter", "roaster", "price", "remark")  # fmt: skip
    told = ", ".join(f"{fact}: {json.dumps(p)}" for fact, p in zip(facts, PAYLOADS.values(), strict=True))
    name = json.dumps(PAYLOADS["handler"] + PAYLOADS["backwards"] + PAYLOADS["escape"])
    brew = ", ".join(f"fact {n}: {json.dumps(p)}" for n, p in enumerate(PAYLOADS.values()))
    (made / "session.yaml").write_text(
        f"session: payloads\nblind: true\ntasters: [ana, ben]\n"
        f"coffees: {{one: {{name: {name}, additions: {json.dumps(PAYLOADS['script'])}, claims: [plum], {told}}}}}\n"
        f"brews: {{filter: {{method: filter, {brew}}}}}\nnotes:\n  - {{source: a.csv}}\n"
        f"  - {{source: b.vtt, coffee: one, brew: filter, moment: hot}}\n",
        "utf-8",
    )
    notes = [f"{p} plum {p}, caramel" for p in PAYLOADS.values()]
    rows = [(who, "one", "filter", "hot", note) for note in notes for who in ("ana", "ben")]
    text = csv_text(("taster", "coffee", "brew", "moment", "text"), rows).replace("\x1b", "").replace("\x07", "")
    (made / "a.csv").write_text(text, "utf-8", newline="")
    said = "\n\n".join(f"00:{n:02}.000 --> 00:{n:02}.900\n<v Ana>I get plum, lots of plum. {p}" for n, p in enumerate(
        p for p in PAYLOADS.values() if "-->" not in p and not CONTROL.search(p)))  # fmt: skip
    (made / "b.vtt").write_text(f"WEBVTT\n\n{said}\n", "utf-8")
    return made


@pytest.fixture(scope="module")
def done(folder: Path) -> Done:
    made = run("feature", "session.yaml", "--out", "pack", folder=folder)
    assert made.returncode == 0, made.stderr
    return made


@pytest.fixture(scope="module")
def pack(folder: Path, done: Done) -> Path:
    (made,) = (folder / "pack").iterdir()
    return made


def some(pack: Path, pattern: str) -> list[Path]:
    """The files of a kind: there are some."""
    found = sorted(pack.glob(pattern))
    assert found, pattern
    return found


class Tags(HTMLParser):
    """The elements of a page, with their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def tags(page: str) -> list[tuple[str, dict[str, str | None]]]:
    parser = Tags()
    parser.feed(page)
    return parser.found


@pytest.mark.parametrize("name", ["notes.html", "wheel.html"])
def test_pages(pack: Path, name: str) -> None:
    page = (pack / name).read_text("utf-8")
    assert "onerror" in page  # as text
    found = tags(page)
    assert not {"iframe", "b", "i", "u", "object", "embed"} & {tag for tag, _ in found}
    assert not [a for _, attrs in found for a in attrs if a.startswith("on")]
    assert not [a for _, attrs in found for a in (attrs.get("src"), attrs.get("href")) if a and "javascript:" in a]
    assert not [tag for tag, attrs in found if tag == "img" and attrs.get("src") == "x"]


def test_pictures(pack: Path) -> None:
    for path in some(pack, "*.svg"):
        for element in ElementTree.fromstring(path.read_text("utf-8")).iter():
            assert element.tag.rpartition("}")[2] not in ("script", "iframe", "foreignObject", "img"), path.name
            assert not [a for a in element.attrib if a.startswith("on")], path.name


def test_markdown(pack: Path) -> None:
    for path in some(pack, "*.md"):
        lines = path.read_text("utf-8").splitlines()
        text = "\n".join(line for line in lines if not line.startswith("    "))  # a block of code is text as it stands
        assert not re.search(r"(?<!\\)<(script|img|svg|iframe|b|/script)\b", text), path.name
        assert not re.search(r"(?<!\\)\]\(javascript:", text), path.name
        assert not CONTROL.search(text), path.name


def test_tables(pack: Path) -> None:
    rows = list(csv.reader(io.StringIO((pack / "findings.csv").read_text("utf-8"), newline="")))
    assert len({len(row) for row in rows}) == 1
    assert not [cell for row in rows for cell in row if re.match(r"\s*[=@]|\s*[+-](?!\d)", cell)]


FORMULAS = ("=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1+1", "\r=1+1", "\n=1+1", " =1+1", "\xa0=1+1", "-inf", "-1_0",
            "\uff1d1+1", "\uff0b1+1", "\uff0d1+1", "\uff20SUM(1)", "=HYPERLINK(\"http://x.invalid\")",
            "=cmd|' /C calc'!A0")  # fmt: skip
"""Beginnings that OWASP's page on CSV injection lists (from memory), and some like them."""


@pytest.mark.parametrize("text", FORMULAS)
def test_a_cell_that_could_run_is_quoted(text: str) -> None:
    (cells,) = list(csv.reader(io.StringIO(csv_text(["words"], [[text]]), newline="")))[1:]
    assert cells == [f"'{text}"]


@pytest.mark.parametrize("text", ["-5", "+0.5", "-1.5e-7", "plum =1", "a-b", "", "T1"])
def test_a_number_and_plain_words_stay_as_they_are(text: str) -> None:
    assert list(csv.reader(io.StringIO(csv_text(["n", "words"], [["1", text]]))))[1] == ["1", text]


@pytest.mark.skipif(which("soffice") is None, reason="no LibreOffice")
def test_a_spreadsheet_finds_no_formula(pack: Path, tmp_path: Path) -> None:
    """LibreOffice, told to evaluate formulas (token 13), finds them in the plain table alone."""
    rows = [(n, text, "end") for n, text in enumerate(FORMULAS)]
    (tmp_path / "quoted.csv").write_text(csv_text(("n", "words", "end"), rows), "utf-8", newline="")
    with (tmp_path / "plain.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    shutil.copy(pack / "findings.csv", tmp_path)
    read = "--infilter=CSV:44,34,76,1,,1033,false,true,false,false,false,-1,true"
    command = ["soffice", "--headless", f"-env:UserInstallation={(tmp_path / 'user').as_uri()}", read, "--convert-to",
               "fods", "--outdir", "out", "quoted.csv", "plain.csv", "findings.csv"]  # fmt: skip
    subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, timeout=300)
    found = {p.stem: p.read_text("utf-8").count("table:formula=") for p in (tmp_path / "out").iterdir()}
    assert found.pop("plain") >= 3
    assert found == {"quoted": 0, "findings": 0}


def test_tracks(pack: Path) -> None:
    track = webvtt.read(str(pack / "flavours.vtt"))
    assert len(track) >= 1
    assert not [c for c in track if "-->" in c.raw_text or re.search(r"<(?!/?[cvbi][ .>])", c.raw_text)]


def test_prints(pack: Path) -> None:
    for path in some(pack, "*.pdf"):
        read = pypdf.PdfReader(path)
        assert "/AA" not in read.trailer["/Root"]
        assert isinstance(read.trailer["/Root"].get("/OpenAction", []), list)  # where it opens, and nothing to do
        assert not re.search(rb"/(JavaScript|JS|Launch|URI)\b", path.read_bytes())
        assert not CONTROL.search("".join(str(v) for v in (read.metadata or {}).values())), path.name


def test_data(pack: Path) -> None:
    for path in some(pack, "*.json*"):
        text = path.read_text("utf-8")
        assert json.loads(text)
        if path.name == "product.jsonld":  # it stands in pages
            assert "</script" not in text.lower()


WORDS = ["panel session.yaml", "read session.yaml", "review session.yaml --list", "why session.yaml plum",
         "session check session.yaml"]  # fmt: skip


@pytest.mark.parametrize("words", WORDS)
def test_terminal(folder: Path, words: str) -> None:
    made = run(*words.split(), folder=folder)
    assert made.returncode == 0, made.stderr
    assert not CONTROL.search(made.stdout.replace("\r", ""))
    assert not CONTROL.search(made.stderr)


def test_the_pack_is_told_without_a_steering_character(done: Done) -> None:
    assert not CONTROL.search(done.stdout + done.stderr)


def test_what_people_wrote_is_no_template(pack: Path) -> None:
    assert "{{ 7 * 7 }}" in (pack / "notes.html").read_text("utf-8")


@pytest.mark.parametrize(
    "text", ["{{ ''.__class__.__mro__ }}", "{{ cycler.__init__.__globals__ }}", "{{ lipsum.__globals__.os }}"]
)
def test_templates_of_a_user_reach_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / "notes.md.j2").write_text(text)
    with pytest.raises(InputError, match="the template fails"):
        Wording(tmp_path).page("notes.md.j2", {})


def test_nothing_of_it_runs_in_a_browser(pack: Path) -> None:
    sync = pytest.importorskip("playwright.sync_api")
    browser = which("chromium") or which("chromium-browser") or which("google-chrome")
    if browser is None:
        pytest.skip("no chromium")
    with sync.sync_playwright() as driver:
        window = driver.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        page = window.new_page()
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        for name in ("notes.html", "wheel.html", *(p.name for p in sorted(pack.glob("wheel*.svg")))):
            page.goto((pack / name).as_uri())
            page.wait_for_timeout(100)
            assert page.title() != "ran", name
        window.close()
    assert all(url.startswith(("file:", "data:")) for url in asked)
