"""Pictures draw what their figures say: lengths to scale, limits in order, words as they are."""

import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("matplotlib")

from barwright.cli.picture.acidity import AcidityBand, Reach
from barwright.cli.picture.bars import Amount, Bars
from barwright.cli.picture.canvas import DARK, LIGHT, WIDTH, Ink, svg_alone, svg_in
from barwright.cli.picture.gauges import Gauge, Gauges
from barwright.cli.picture.lines import Graph, Mark
from barwright.cli.picture.pairs import Pair, Pairs
from barwright.cli.picture.spread import Distributions, Quantiles

SVG = "{http://www.w3.org/2000/svg}"
AMOUNTS = st.floats(min_value=0.0, max_value=1e6, allow_subnormal=False)
NAMES = st.text(min_size=1, max_size=60)


def bars(values):
    return Bars("t", "s", ("a", "b"), tuple(Amount(f"n{v}", v, f"{v:g}") for v in values))


def graph(points, marks=()):
    told = tuple((f"{x:g}", f"{y:g}") for x, y in points)
    return Graph("t", "s", "x", "y", tuple(points), tuple(marks), told)


EACH = {
    "bars": bars([1.0, 2.0]),
    "pairs": Pairs("t", "s", "a", (Pair("n", 1.0, 2.0, ("1", "2", "+1")),)),
    "gauges": Gauges("t", "s", (Gauge("n", 5.2, 5.0, 5.5, True, ("a", "b", "c")),)),
    "acidity": AcidityBand("t", "s", (Reach("predicted", 5.2, 4.9, 6.1),), 5.0, 5.5),
    "graph": graph([(0.0, 1.0), (1.0, 3.0)], [Mark("today", (0.5, 2.0))]),
    "spread": Distributions("t", "s", "EUR", (Quantiles("n", (1, 2, 3, 4, 5), tuple("12345")),)),
}


def rectangles(picture, ink):
    """Left and right of every bar of an ink, in the order in which they are drawn."""
    root = ET.fromstring(svg_in(picture, "p"))  # noqa: S314
    found = []
    for path in root.iter(f"{SVG}path"):
        if f"fill: var({ink.variable})" in path.get("style", ""):
            xs = [float(x) for x in re.findall(r"[ML] ([-\d.e]+) ", path.get("d"))]
            found.append((min(xs), max(xs)))
    return found


@pytest.mark.parametrize("name", EACH)
def test_a_picture_is_words_and_lines_in_the_inks_of_the_page(name):
    made = svg_in(EACH[name], "one")
    root = ET.fromstring(made)  # noqa: S314
    assert [root[0].text, root[1].text] == ["t", "s"]
    assert root.get("viewBox").split()[2] == f"{WIDTH:g}"
    assert not re.search(r"#[0-9a-fA-F]{6}", made)
    assert set(re.findall(r"var\((--\w+)\)", made)) <= {ink.variable for ink in Ink}
    assert "font-family" not in made
    assert made == svg_in(EACH[name], "one")
    ids = {one.get("id") for one in root.iter() if one.get("id")}
    assert all(one.startswith("one-") for one in ids)
    assert not ids & {one.get("id") for one in ET.fromstring(svg_in(EACH[name], "two")).iter()}  # noqa: S314


@pytest.mark.parametrize("name", EACH)
def test_a_picture_alone_has_its_colours_in_it(name):
    made = svg_alone(EACH[name])
    ET.fromstring(made)  # noqa: S314
    assert "var(" not in made
    assert set(re.findall(r"#[0-9a-fA-F]{6}", made)) <= set(LIGHT.values())


@pytest.mark.parametrize("name", EACH)
def test_a_picture_has_a_cell_for_every_head(name):
    picture = EACH[name]
    assert picture.rows()
    assert {len(row) for row in picture.rows()} == {len(picture.heads())}


@settings(max_examples=30)
@given(st.lists(AMOUNTS, min_size=1, max_size=6))
def test_bars_are_as_long_as_their_amounts(values):
    full = rectangles(bars(values), Ink.GRID)[0]
    drawn = rectangles(bars(values), Ink.MAIN)
    assert len(drawn) == len(values)
    for (left, right), value in zip(drawn, values, strict=True):
        part = (right - left) / (full[1] - full[0])
        assert part == pytest.approx(value / (max(values) or 1.0), abs=1e-4)


@settings(max_examples=30)
@given(AMOUNTS, AMOUNTS)
def test_before_and_after_are_to_one_scale(before, after):
    pair = Pairs("t", "s", "a", (Pair("n", before, after, ("b", "a", "c")),))
    first, second = (rectangles(pair, ink)[0] for ink in (Ink.BEFORE, Ink.MAIN))
    room = max(before, after) or 1.0
    longest = max(first[1] - first[0], second[1] - second[0]) or 1.0
    if max(before, after) > 0:
        assert (first[1] - first[0]) / longest == pytest.approx(before / room, abs=1e-4)
        assert (second[1] - second[0]) / longest == pytest.approx(after / room, abs=1e-4)


SIDES = st.one_of(st.none(), st.floats(min_value=-50, max_value=50, allow_subnormal=False))


@given(st.floats(min_value=-60, max_value=60, allow_subnormal=False), SIDES, SIDES)
def test_a_gauge_shows_its_value_on_the_side_of_each_limit_where_it_is(value, one, other):
    given_sides = [side for side in (one, other) if side is not None]
    low, high = (min(given_sides), max(given_sides)) if len(given_sides) == 2 else (one, other)
    if low is None and high is None:
        return
    gauge = Gauge("n", value, low, high, True, ("a", "b", "c"))
    place = gauge.place(value)
    assert -1e-9 <= place <= 1.0 + 1e-9
    for limit in (low, high):
        if limit is not None:
            at = gauge.place(limit)
            assert -1e-9 <= at <= 1.0 + 1e-9
            assert (place - at) * (value - limit) >= -1e-12


@settings(max_examples=30)
@given(NAMES, NAMES)
def test_any_name_is_drawn_as_words(name, said):
    made = svg_in(Bars("t", said, ("a", "b"), (Amount(name, 1.0, said),)), "p")
    root = ET.fromstring(made)  # noqa: S314
    assert "script" not in {one.tag.removeprefix(SVG) for one in root.iter()}
    assert root[1].text is None or len(root[1].text) == len(said.replace("\r\n", "\n"))


def test_a_name_that_is_too_long_keeps_its_end():
    name = "behentrimonium methosulfate and cetearyl alcohol, in flakes, 25 % grade"
    made = svg_in(Bars("t", "s", ("a", "b"), (Amount(name, 1.0, "12.00 %"),)), "p")
    texts = [one.text for one in ET.fromstring(made).iter(f"{SVG}text")]  # noqa: S314
    assert any("…" in text and text.endswith("25 % grade") for text in texts)


def luminance(colour):
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """As defined by WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.reference
@pytest.mark.parametrize("inks", [LIGHT, DARK], ids=["light", "dark"])
def test_words_and_marks_stand_out_as_the_guidelines_for_the_web_ask(inks):
    """WCAG 2.2: 4.5 for words (1.4.3), 3 for what is needed to read a picture (1.4.11)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    for ground in (Ink.PAPER, Ink.BAND):
        for words in (Ink.TEXT, Ink.SOFT):
            assert contrast(inks[words], inks[ground]) >= 4.5
    for mark in (Ink.MAIN, Ink.WARN, Ink.BEFORE):
        assert contrast(inks[mark], inks[Ink.PAPER]) >= 3.0
    for mark in (Ink.MAIN, Ink.WARN):
        assert contrast(inks[mark], inks[Ink.GRID]) >= 3.0
        assert contrast(inks[mark], inks[Ink.BAND]) >= 3.0
