"""The page of a batch: well formed, the maker's own words as written, on one sheet of A4."""

import re
import shutil
import subprocess
from html.parser import HTMLParser

import pytest
from barwright.cli.sheet.type_size import SIZES, TWO_SIDES, type_size
from blends import standalone

OILY, DRY = "examples/oily-hair", "examples/dry-hair"
VOID = {"meta", "link", "br", "hr", "img", "input"}
BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def written(barwright, folder, bench, *words, name="sheet.html"):
    path = folder / name
    formula = f"{bench}/formulas/today.toml"
    done = barwright("batch", str(bench), formula, "--bars", "12", "--html", str(path), *words)
    assert done.returncode == 0, done.stderr
    return path


class Nesting(HTMLParser):
    """Collects texts and notes every tag that is closed out of turn."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.wrong, self.texts, self.seen = [], [], [], []

    def handle_starttag(self, tag, attributes):
        self.seen.append(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.wrong.append((tag, self.getpos()))

    def handle_data(self, data):
        self.texts.append(data)


def parsed(path):
    nesting = Nesting()
    nesting.feed(path.read_text(encoding="utf-8"))
    nesting.close()
    return nesting


def test_every_tag_is_closed_in_its_turn(barwright, tmp_path):
    page = parsed(written(barwright, tmp_path, OILY))
    assert page.wrong == []
    assert page.open == []
    assert {"html", "head", "title", "table", "thead", "tbody", "th"} <= set(page.seen)


def test_every_row_of_the_weigh_out_has_a_cell_for_every_head(barwright, tmp_path):
    text = written(barwright, tmp_path, OILY).read_text(encoding="utf-8")
    heads = len(re.findall(r'<th scope="col"', text))
    rows = re.findall(r'<tr><th scope="row">.*?</tr>', text)
    assert len(rows) == 18
    assert {row.count("<td") + 1 for row in rows} == {heads}


def test_the_maker_s_words_stand_as_written_and_never_become_tags(barwright, examples, tmp_path):
    bench = tmp_path / "bench"
    standalone(bench)
    for file, old, new in (
        ("brief.toml", "Reedmere bar for oily hair", 'Soap & <b>\\"Sons\\"</b>'),
        ("formulas/today.toml", "the bar as it is made today", "<script>alert(1)</script> & $body"),
    ):
        path = bench / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    page = parsed(written(barwright, tmp_path, bench))
    assert "script" not in page.seen
    text = "".join(page.texts)
    assert 'Soap & <b>"Sons"</b>: 12 bars' in text
    assert "<script>alert(1)</script> & $body" in text
    raw = (tmp_path / "sheet.html").read_text(encoding="utf-8")
    assert "<script" not in raw
    assert '<b>"Sons"' not in raw


def test_the_page_carries_what_the_screen_says(barwright, tmp_path):
    text = " ".join("".join(parsed(written(barwright, tmp_path, OILY)).texts).split())
    for said in (
        "Warm the powders to 52 °C first",
        "61.70 · 123.40 · 185.10 · 246.80",
        "dust mask (FFP2 or better)",
        "Batch number:",
        "Initials",
        "Lot number",
        "11.27",
    ):
        assert said in text


def test_nothing_is_fetched_and_nothing_is_coloured(barwright, tmp_path):
    text = written(barwright, tmp_path, OILY).read_text(encoding="utf-8")
    assert not re.search(r"https?://|url\(|@import|<img|<link", text)
    assert set(re.findall(r"#[0-9a-fA-F]{3,6}\b", text)) == {"#000", "#fff"}
    assert "size: A4" in text


def test_a_file_that_is_there_is_kept_unless_asked(barwright, tmp_path):
    path = tmp_path / "sheet.html"
    path.write_text("mine", encoding="utf-8")
    formula = f"{OILY}/formulas/today.toml"
    done = barwright("batch", OILY, formula, "--bars", "12", "--html", str(path))
    assert done.returncode == 2
    assert "already" in done.stderr
    assert path.read_text(encoding="utf-8") == "mine"
    written(barwright, tmp_path, OILY, "--overwrite")
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_a_refusal_to_write_over_a_sheet_names_the_option_that_does(barwright, tmp_path):
    path = tmp_path / "sheet.html"
    path.write_text("mine", encoding="utf-8")
    formula = f"{OILY}/formulas/today.toml"
    done = barwright("batch", OILY, formula, "--bars", "12", "--html", str(path))
    assert "--overwrite" in done.stderr


def test_a_sheet_with_less_on_it_is_printed_larger():
    row = "<tr><th>a material of some length</th><td>12.34</td></tr>"
    sizes = [
        type_size("Bar", f"<table>{row * rows}</table>" + "<p>" + "word " * words + "</p>")
        for rows, words in ((5, 50), (20, 600), (25, 1200), (25, 1400))
    ]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] == SIZES[0] > sizes[2]
    assert type_size("Bar", row * 400) == TWO_SIDES


@pytest.fixture(scope="module")
def browser():
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium on this machine to print the sheet with")
    return found


@pytest.mark.slow
@pytest.mark.parametrize("bench", [OILY, DRY])
def test_twelve_bars_print_on_one_page(barwright, tmp_path, browser, bench):
    page, pdf = written(barwright, tmp_path, bench), tmp_path / "sheet.pdf"
    words = (
        "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
        f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={pdf}", page.as_uri(),
    )  # fmt: skip
    subprocess.run([browser, *words], check=True, capture_output=True, timeout=120)
    printed = pdf.read_bytes()
    counts = [
        int(count) for count in re.findall(rb"/Type\s*/Pages.*?/Count\s+(\d+)", printed, re.S)
    ]
    assert counts == [1]
    (box,) = set(re.findall(rb"/MediaBox\s*\[([^\]]*)\]", printed))
    width, height = map(float, box.split()[2:])
    assert (width, height) == pytest.approx((595.3, 841.9), abs=1.0)  # A4 in points
