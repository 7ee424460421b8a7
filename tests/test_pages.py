"""Pages: the whole of an answer to look at, in the words of the screen, and nothing but words."""

import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from barwright.constraints.values.problem import InputError
from blends import standalone
from conftest import printed
from test_golden import COMMANDS, GOLDEN

pytest.importorskip("matplotlib")

VOID = {"meta", "link", "br", "hr", "img", "input"}
SVG = "{http://www.w3.org/2000/svg}"


class Reading(HTMLParser):
    """What stands on a page: its texts in order, its tags, and every tag closed out of turn."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.wrong, self.texts, self.tags = [], [], [], []
        self.texts_by_tag = []

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.wrong.append((tag, self.getpos()))

    def handle_data(self, data):
        if not {"style", "script"} & set(self.open):
            self.texts.append(data)
            if data.strip():
                self.texts_by_tag.append((self.open[-1] if self.open else "", data))

    def found(self, tag):
        return [attributes for name, attributes in self.tags if name == tag]

    @property
    def text(self):
        return plain(" ".join(self.texts))


def plain(text):
    return " ".join(text.replace("\u00a0", " ").split())


def read(text):
    page = Reading()
    page.feed(text)
    page.close()
    return page


@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_says_every_word_that_the_whole_screen_says(name, pages):
    path, screen = pages(name)
    page = read(path.read_text(encoding="utf-8"))
    signs = re.compile(r"[\s─━—_]+")
    held = signs.sub("", page.text)
    for line in screen.splitlines():
        for part in re.split(r"\s{2,}", line.strip()):
            word = signs.sub("", part)
            if not PLOT.fullmatch(line) and word:
                assert word.removeprefix("-") in held, line


PLOT = re.compile(
    r"[\s\d.+|·oXx*-]*|.*[+|][\s·oXx*.-]*|\s*\S+ \[.*\]|o a corner, X today|o: the mix .*"
    r"|pH against .* in a kg of mix|% of the bar changed"
)
"""Lines of a plot in plain characters, which a page draws instead."""


@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_stands_alone_and_closes_every_tag(name, pages):
    text = pages(name)[0].read_text(encoding="utf-8")
    page = read(text)
    assert page.wrong == []
    assert page.open == []
    fetched = [
        value
        for _, attributes in page.tags
        for key, value in attributes.items()
        if key in {"src", "href", "xlink:href", "data", "action", "srcset"}
    ]
    assert all(value.startswith("#") for value in fetched)
    assert not re.search(r"@import|url\((?!#)|<script|<link|<img|<iframe", text)
    assert "size: A4" in text
    assert "prefers-color-scheme: dark" in text
    assert page.found("html") == [{"lang": "en"}]


@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_can_be_heard(name, pages):
    text = pages(name)[0].read_text(encoding="utf-8")
    page = read(text)
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert len(page.found("caption")) == len(page.found("table"))
    assert all("scope" in attributes for attributes in page.found("th"))
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = {value[1:] for one in page.found("a") if (value := one["href"]).startswith("#")}
    named = {
        word
        for _, attributes in page.tags
        for word in attributes.get("aria-labelledby", "").split()
    }
    assert links | named <= set(ids)
    for drawing in re.findall(r"<svg.*?</svg>", text, re.S):
        root = ET.fromstring(drawing)  # noqa: S314
        assert root.get("role") == "img"
        assert root[0].tag == f"{SVG}title"
        assert root[1].tag == f"{SVG}desc"
        assert root[0].text
        assert root[1].text
    figures = re.findall(r"<figure>.*?</figure>", text, re.S)
    assert all("<table>" in figure and "<svg" in figure for figure in figures)


def outline(page):
    """What a page is made of, a line each: headings by depth, tables, pictures, lists, frames."""
    at, lines = iter(page.texts_by_tag), []
    for tag, text in at:
        if re.fullmatch("h[1-6]", tag):
            lines.append(f"{'  ' * (int(tag[1]) - 1)}{plain(text)}")
        elif tag in {"caption", "desc", "summary"}:
            lines.append(f"        {tag}: {plain(text)}")
    return lines


@pytest.mark.parametrize("name", ["cheapest-oily", "label-eu"])
def test_a_page_is_built_as_was_read_and_approved(name, pages, request):
    """The outline alone: what a drawing is made of differs between versions of the library."""
    page = read(pages(name)[0].read_text(encoding="utf-8"))
    made = "\n".join(outline(page)) + "\n"
    golden = GOLDEN / f"{name}.page.txt"
    if request.config.getoption("--rewrite"):
        golden.write_text(made, encoding="utf-8")
    assert golden.read_text(encoding="utf-8") == made


def test_a_page_is_the_same_each_time(tmp_path):
    once, again = tmp_path / "once.html", tmp_path / "again.html"
    for path in (once, again):
        printed(("check", *COMMANDS["check-oily"][1:], "--page", str(path)))
    assert once.read_bytes() == again.read_bytes()


EVIL = "<script>alert(1)</script>"


def wicked_bench(folder):
    """The page of a check over a bench in which every name would be more than a name."""
    bench = folder / "bench"
    standalone(bench)
    changes = (
        ("brief.toml", "Reedmere bar for oily hair", f"{EVIL} & $x$ _y_ {{{{ page }}}}"),
        ("formulas/today.toml", "the bar as it is made today", f"{EVIL}'\\\""),
        ("formulas/today.toml", "kaolin, white", f"{EVIL} clay & $2^3$"),
        ("shelf.csv", "kaolin, white", f"{EVIL} clay & $2^3$"),
    )
    for file, old, new in changes:
        path = bench / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    materials = bench / "materials.toml"
    known = materials.read_text(encoding="utf-8") if materials.exists() else "schema = 1\n"
    named = f'\n["{EVIL} clay & $2^3$"]\nlike = "kaolin, white"\n'
    materials.write_text(known + named, encoding="utf-8")
    path = folder / "page.html"
    printed(("check", str(bench), str(bench / "formulas/today.toml"), "--page", str(path)))
    return path


def test_names_on_a_page_are_words_and_never_tags(tmp_path):
    text = wicked_bench(tmp_path).read_text(encoding="utf-8")
    page = read(text)
    assert "script" not in {tag for tag, _ in page.tags}
    assert f"{EVIL} clay & $2^3$" in page.text
    assert f"{EVIL} & $x$ _y_ {{{{ page }}}}" in page.text
    assert f"{EVIL}'\"" in page.text


def test_a_file_that_is_there_is_kept_and_nothing_is_worked_out(barwright, tmp_path):
    path = tmp_path / "page.html"
    path.write_text("mine", encoding="utf-8")
    done = barwright("check", "nowhere", "nothing.toml", "--page", str(path))
    assert (done.returncode, done.stdout) == (2, "")
    assert "already" in done.stderr
    assert "nowhere" not in done.stderr
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["page.txt", "page", "page.svg"])
def test_another_ending_is_refused(name, tmp_path):
    with pytest.raises(InputError) as refused:
        printed(("materials", "--page", str(tmp_path / name)))
    assert "ends in .html" in refused.value.problems.items[0].expected


def test_without_the_library_it_is_said_what_to_install(monkeypatch, tmp_path):
    from barwright.cli.picture import canvas

    monkeypatch.setattr(canvas, "find_spec", lambda _: None)
    with pytest.raises(InputError) as refused:
        printed(("cheapest", "nowhere", "--page", str(tmp_path / "page.html")))
    (problem,) = refused.value.problems.items
    assert problem.expected == "pip install 'barwright[page]'"


def test_a_page_that_refuses_says_why(tmp_path, barwright):
    path = tmp_path / "refused.html"
    bench = "tests/data/benches/kinds"
    done = barwright("cheapest", bench, "--page", str(path))
    assert path.exists() == (done.returncode in {0, 3})
