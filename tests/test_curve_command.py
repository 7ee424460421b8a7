"""The cost along a limit or a price: exact corners, or points that say that they are points."""

import csv
import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.model.rule import Limited
from barwright.constraints.rules.cost import Cost
from barwright.solver.cheapest.cheapest import Finding, cheapest
from barwright.solver.prices.course import over_limit, over_price, with_limit, with_price
from blends import bench, material, said, share_of
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
OILY = "examples/oily-hair"


def curve(barwright, *words):
    done = barwright("curve", OILY, *words, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def between(points, at):
    """The height of a broken line."""
    for one, other in pairwise(points):
        if one[0] <= at <= other[0]:
            return one[1] + (other[1] - one[1]) * (at - one[0]) / (other[0] - one[0])
    raise AssertionError(f"{at} is off the curve")


def flat(course):
    return [figure for point in course.points for figure in point]


def plain():
    """The oily bench, its cheapest composition, and its rules by name."""
    kept = read_bench(EXAMPLES / "oily-hair")
    finding = cheapest(kept)
    assert isinstance(finding, Finding)
    return kept, finding, {rule.id: rule for rule in kept.brief.rules}


def test_a_limit_curve_meets_the_cost_solved_anew_between_its_corners():
    kept, finding, rules = plain()
    rule = rules["active surfactant"]
    assert isinstance(rule, Limited)
    course = over_limit(kept, finding, rule, "low", (0.36, 0.46))
    assert len(course.points) > 2
    for at in (0.36, 0.385, 0.41, 0.4295, 0.455, 0.46):
        anew = cheapest(with_limit(kept, rule, "low", at))
        # another choice may be cheaper there, and the ionic strength is a little another
        assert anew.cost <= between(course.points, at) + 1e-4
        if anew.composition.parts.keys() & set(course.choices):
            assert anew.cost == pytest.approx(between(course.points, at), abs=1e-4)


def test_a_price_curve_meets_the_cost_solved_anew_between_its_corners():
    kept, finding, _ = plain()
    name = "sodium cocoyl isethionate, powder"
    course = over_price(kept, finding, name, (10.0, 16.0))
    for at in (10.0, 11.7, 13.3, 15.0, 16.0):
        anew = cheapest(with_price(kept, name, at))
        assert anew.cost == pytest.approx(between(course.points, at), abs=1e-4)


def test_a_price_curve_is_exact_by_hand_and_ends_where_the_cap_on_cost_is_met():
    cheap = material("cheap, plain", {"Cheap": 1.0})
    dear = material("dear, plain", {"Dear": 1.0})
    cap = Cost(**said("cost", unit="EUR/kg"), low=None, high=3.0)
    mixed = bench([cheap, dear], [1.0, 4.0], [share_of("Cheap", low=0.5), cap])
    finding = cheapest(mixed)
    course = over_price(mixed, finding, "cheap, plain", (0.0, 9.0))
    # below 4 it is all of the cheap one, above it half and half: 2 + p / 2; the cap is met at 3
    assert flat(course) == pytest.approx([0.0, 0.0, 3.0, 3.0])
    uncapped = replace(mixed, brief=replace(mixed.brief, rules=mixed.brief.rules[:1]))
    whole = over_price(uncapped, cheapest(uncapped), "cheap, plain", (0.0, 9.0))
    assert flat(whole) == pytest.approx([0.0, 0.0, 4.0, 4.0, 9.0, 6.5])


def test_a_limit_curve_is_exact_by_hand_and_ends_where_answers_end():
    cheap = material("cheap, plain", {"Cheap": 1.0})
    dear = material("dear, plain", {"Dear": 1.0})
    mixed = bench([cheap, dear], [1.0, 4.0], [share_of("Dear", low=0.2)])
    finding = cheapest(mixed)
    rule = mixed.brief.rules[0]
    course = over_limit(mixed, finding, rule, "low", (0.1, 1.5))
    assert flat(course) == pytest.approx([0.1, 1.3, 1.0, 4.0])
    assert course.choices == ()


def test_a_share_is_exact_and_an_acidity_is_not(barwright):
    assert curve(barwright, "--limit", "protein")["exact_piecewise_linear"] is True
    sour = curve(barwright, "--limit", "acidity")
    assert sour["exact_piecewise_linear"] is False
    assert len(sour["points"]) > 10


def test_a_point_solved_along_a_ratio_is_the_cheapest_bench_with_that_ratio(barwright):
    found = curve(barwright, "--limit", "mild share of the surfactant", "--from", "0.5")
    kept, _, rules = plain()
    rule = rules["mild share of the surfactant"]
    for point in found["points"][::7]:
        anew = cheapest(with_limit(kept, rule, "low", point["at"]))
        assert anew.cost == pytest.approx(point["cost"], abs=1e-6)


def test_the_choice_that_is_held_is_named(barwright):
    done = barwright("curve", OILY, "--limit", "active surfactant", "--from", "20%", "--to", "80%")
    text = " ".join(done.stdout.split())
    assert "with the choice made today: sodium benzoate and potassium sorbate" in text
    assert "Nothing on the shelf keeps the rules above 58 %" in text
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_another_choice_is_named_cheaper_only_where_it_is(barwright):
    held = "sodium benzoate and potassium sorbate, 50/50 powder"
    found = curve(barwright, "--price", held, "--to", "60")
    kept, finding, _ = plain()
    for point in found["points"]:
        anew = cheapest(with_price(kept, held, point["at"]))
        same = held in anew.composition.parts
        assert (point["at"] in found["another_choice_cheaper_at"]) is not same
    assert found["another_choice_cheaper_at"] == [60.0]
    assert held in finding.composition.parts


def test_csv_holds_the_same_points_as_json(barwright):
    found = curve(barwright, "--limit", "protein")
    done = barwright("curve", OILY, "--limit", "protein", "--format", "csv")
    head, *rows = csv.reader(done.stdout.splitlines())
    assert head[:3] == ["limit", "unit", "cost"]
    assert [float(row[2]) for row in rows] == pytest.approx([p["cost"] for p in found["points"]])
    assert {row[1] for row in rows} == {"%"}


def test_the_picture_is_a_drawing_with_every_corner(barwright, tmp_path):
    path = tmp_path / "curve.svg"
    price = ("--price", "sodium cocoyl isethionate, powder")
    assert barwright("curve", OILY, *price, "--svg", str(path)).returncode == 0
    found = curve(barwright, *price)
    drawing = ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314
    paths = [one.get("d") for one in drawing.iter("{http://www.w3.org/2000/svg}path")]
    assert len(found["points"]) > 2
    assert any(len(re.findall("[ML]", path)) == len(found["points"]) for path in paths)
    assert "var(--" not in path.read_text(encoding="utf-8")
    assert barwright("curve", OILY, *price, "--svg", str(path)).returncode == 2


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--limit", "protein", "--price", "kaolin, white"),
        ("--limit", "protien"),
        ("--price", "wax, green"),
        ("--limit", "one preservative system"),
        ("--limit", "protein", "--from", "much"),
        ("--limit", "protein", "--from", "2 %", "--to", "1 %"),
        ("--limit", "protein", "--from", "nan"),
        ("--limit", "water", "--side", "low"),
        ("--limit", "humectant"),
        ("--limit", "usual dose of phenoxyethanol and ethylhexylglycerin, 90/10"),
    ],
)
def test_what_cannot_be_followed_is_bad_input(barwright, words):
    done = barwright("curve", OILY, *words)
    assert done.returncode == 2
    assert "expected" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_rule_with_two_limits_follows_the_one_asked_for(barwright):
    found = curve(barwright, "--limit", "humectant", "--side", "high")
    assert found["side"] == "high"


def test_a_slope_far_below_a_cent_keeps_its_figures(barwright):
    done = barwright("curve", "examples/oily-hair", "--limit", "acidity", "--from", "4.8")
    assert done.returncode == 0, done.stderr
    slopes = [
        line.split()[-1] for line in done.stdout.splitlines() if line.strip().startswith("pH 4")
    ]
    assert slopes
    assert all(slope.startswith("+0.000") for slope in slopes)
