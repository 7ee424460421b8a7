"""Figures of the maker's own in columns of the shelf, and what is worth weighing at all."""

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.rules.judging import judge
from barwright.constraints.values.problem import Problems
from barwright.solver.cheapest.cheapest import Finding, cheapest

FOAM = {
    "sodium cocoyl isethionate, powder": 4,
    "sodium coco-sulfate, needles": 5,
    "cetyl alcohol, pellets": 1,
    "corn starch, native": 0,
}
BRIEF = """
schema = 1
[product]
name = "Foam"
currency = "EUR"
[rules."foam"]
mean_of = "my foam"
min = 2.5
kind = "house"
because = "what three testers gave it, from 0 to 5"
[rules."sulfate"]
share_of = "sodium coco-sulfate, needles"
max = "20 %"
kind = "house"
because = "more is harsh"
"""
PRICES = {
    "sodium cocoyl isethionate, powder": 12,
    "sodium coco-sulfate, needles": 7,
    "cetyl alcohol, pellets": 9,
}


def shelf(foam=FOAM, extra=()):
    lines = [f"{name};1 kg;{PRICES.get(name, 3)} EUR;{foam[name]}" for name in foam]
    return "\n".join(["material;pack;price;My foam", *lines, *extra]) + "\n"


def read(foam=FOAM, brief=BRIEF, extra=()):
    return bench_of("foam", {"brief.toml": brief, "shelf.csv": shelf(foam, extra)})


def test_a_mean_of_a_column_of_the_shelf_is_kept_at_the_least_cost():
    """By hand: 20 % of the sulfate gives 1.0, 37.5 % of the isethionate the other 1.5."""
    found = cheapest(read())
    assert isinstance(found, Finding)
    assert found.composition.parts == pytest.approx(
        {
            "sodium coco-sulfate, needles": 0.2,
            "sodium cocoyl isethionate, powder": 0.375,
            "corn starch, native": 0.425,
        },
        abs=1e-7,
    )
    foam = next(one for one in found.verdicts if one.rule.id == "foam")
    assert foam.value == pytest.approx(2.5)


def test_a_blank_is_not_known_and_never_counts_as_nought():
    read_again = read({**FOAM, "corn starch, native": ""})
    assert isinstance(read_again, Problems)
    assert "no my foam of corn starch, native" in [one.found for one in read_again.items]


def test_two_offers_of_a_material_agree_on_it_or_leave_it_to_one():
    twice = "corn starch, native;2 kg;5 EUR;"
    assert isinstance(read(extra=(twice,)), Bench)
    clash = read(extra=(f"{twice}1",))
    assert isinstance(clash, Problems)
    (problem,) = clash.items
    assert (problem.found, problem.expected) == ("1", "0, as line 5 says, or nothing")


def test_a_column_without_a_name_of_its_own_is_no_column():
    wrong = bench_of("foam", {"brief.toml": BRIEF, "shelf.csv": shelf().replace("My foam", "foam")})
    assert isinstance(wrong, Problems)


LEAST = (
    BRIEF
    + """
[rules."worth weighing"]
least_share = "40 %"
of = ["class:surfactant"]
count = "supplied"
kind = "practice"
because = "a large figure, to see it work"
"""
)


def test_what_is_used_is_there_in_what_is_worth_weighing_or_not_at_all():
    """By hand: 40 % of the isethionate gives 1.6 and the sulfate, at most 20 %, stays out.

    The rest of the 2.5 comes from more isethionate alone, 62.5 %.
    """
    bench = read(brief=LEAST)
    found = cheapest(bench)
    assert found.composition.parts == pytest.approx(
        {"sodium cocoyl isethionate, powder": 0.625, "corn starch, native": 0.375}, abs=1e-7
    )
    trace = Composition("trace", {**found.composition.parts, "sodium coco-sulfate, needles": 0.1})
    least = next(one for one in judge(bench, trace) if one.rule.id == "worth weighing")
    assert not least.kept
    assert least.value == pytest.approx(0.1)
