"""Briefs that say little: what is on the shelf still keeps its own bounds, and nothing breaks."""

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.model.brief import Bench
from barwright.constraints.rules.judging import judge
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest
from barwright.solver.infeasible.reasons import reasons
from barwright.solver.nearest.candidates import look_for
from barwright.solver.nearest.nearest import Near, nearest

KEEPERS = ("phenoxyethanol, 99 %", "sodium benzoate, granules", "potassium sorbate, granules")
BLEND = """
["house blend, pastilles"]
form = "solid"
phase = "melt"
classes = ["oil"]
contents."Cetyl Alcohol" = "60 %"
contents."Caprylic/Capric Triglyceride" = "40 %"
source = "mixed here"
kind = "memory"
"""


def thin(shelf, rules="", materials="", dilution='dilution = "10 %"\n'):
    """A bench of a brief that says next to nothing."""
    lines = ["material;pack;price;stock;available;note"]
    lines += [f"{name};1 kg;{price} EUR;;;" for name, price in shelf.items()]
    brief = f'schema = 1\n\n[product]\nname = "Thin bar"\ncurrency = "EUR"\n{dilution}{rules}'
    files = {"brief.toml": brief, "shelf.csv": "\n".join(lines) + "\n", "materials.toml": materials}
    made = bench_of("thin", {name: text.encode() for name, text in files.items() if text})
    assert isinstance(made, Bench), made
    return made


@pytest.mark.parametrize("keeper", KEEPERS)
def test_a_preservative_that_no_rule_names_keeps_its_usual_dose(keeper):
    # citric acid, as two of them work in acid only
    made = thin({keeper: 0.01, "cetyl alcohol, pellets": 8.0, "citric acid, anhydrous": 9.0})
    least, most = made.material(keeper).dose
    found = cheapest(made)
    assert isinstance(found, Finding)
    share = found.composition.parts.get(keeper, 0.0)
    assert share == pytest.approx(most)  # as much as is advised of what costs next to nothing
    assert share >= least
    assert f"usual dose of {keeper}" in {one.rule.id for one in found.verdicts}


@pytest.mark.parametrize("keeper", KEEPERS)
def test_a_dear_preservative_that_no_rule_names_is_left_out_whole(keeper):
    found = cheapest(thin({keeper: 900.0, "cetyl alcohol, pellets": 8.0}))
    assert isinstance(found, Finding)
    assert keeper not in found.composition.parts


@pytest.mark.parametrize("keeper", KEEPERS)
def test_a_shelf_of_a_preservative_alone_is_refused_with_its_dose(keeper):
    made = thin({keeper: 1.0})
    found = cheapest(made)
    assert isinstance(found, Refusal)
    why = reasons(made, found, ("kaolin, white",))
    assert {f"usual dose of {keeper}"} & set(why.clashes.found[0].rules)


def test_a_nearest_composition_keeps_the_dose_of_a_preservative_too():
    made = thin({"phenoxyethanol, 99 %": 1.0, "cetyl alcohol, pellets": 8.0})
    bar = cheapest(made).composition
    too_much = type(bar)("too much", {"phenoxyethanol, 99 %": 0.5, "cetyl alcohol, pellets": 0.5})
    near = nearest(made, too_much)
    assert isinstance(near, Near)
    assert all(one.kept for one in near.verdicts)
    assert near.composition.parts["phenoxyethanol, 99 %"] <= 0.01 + 1e-9


DENSE = """
[rules."dense"]
mean_of = "density"
min = "0.95 kg/L"
kind = "house"
because = "it is to sink"
"""


def test_a_blend_of_unknown_density_off_the_shelf_breaks_no_refusal_of_a_density():
    light = {"cetyl alcohol, pellets": 8.0, "coconut oil, refined": 6.0}
    made = thin(light, DENSE, BLEND)
    assert "house blend, pastilles" in made.off_the_shelf
    found = cheapest(made)
    assert isinstance(found, Refusal)
    names = ("house blend, pastilles", "kaolin, white")
    why = reasons(made, found, names)
    assert why.clashes.found[0].rules == ("dense",)
    # what nobody knows the density of is never offered as a way to more of it
    assert "house blend, pastilles" not in {one.material for one in why.purchases}
    assert [one.material for one in why.purchases] == ["kaolin, white"]


def test_a_blend_of_unknown_density_off_the_shelf_is_no_candidate_either():
    shelf = {"cetyl alcohol, pellets": 8.0, "kaolin, white": 2.0}
    made = thin(shelf, DENSE, BLEND)
    bar = cheapest(made).composition
    lost = ("cetyl alcohol, pellets",)
    tried = look_for(made, bar, cost_today=made.cost_of(bar), lost=lost, most=1)
    assert "house blend, pastilles" not in {one.material for one in tried.best}
    for one in tried.best:
        assert all(verdict.kept for verdict in one.near.verdicts)
    assert all(verdict.kept for verdict in judge(made, bar))
