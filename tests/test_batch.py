"""A batch adds up: weights, running readings, portions, stock, temperatures and money."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.market.caution import Moment, applying, cautions
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.model.material import Phase
from barwright.constraints.model.workshop import Workshop
from barwright.workshop.batch.batch import batch
from barwright.workshop.batch.lines import Batch, Refused, Why
from barwright.workshop.fill.size import batch_mass, mix_mass
from barwright.workshop.weighing.weight import Unweighable, decimal

BRIEF = """
schema = 1
[product]
name = "Bar"
currency = "EUR"
markets = []
drying = "2 %"
loss = "1.5 %"
[workshop]
room = "20 degC"
[balances.fine]
step = "0.01 g"
capacity = "300 g"
least = "0.5 g"
[balances.coarse]
step = "1 g"
capacity = "6 kg"
least = "20 g"
[rules."preservative"]
dose_of = "wet preservative, test grade"
min = "0.8 %"
max = "1 %"
kind = "house"
because = "it has to keep"
[rules."wax to oil"]
ratio_of = "material:wax, test grade"
to = "material:oil, test grade"
min = 2
max = 4
kind = "house"
because = "it has to stand"
"""

SHELF = """
material;pack;price;stock;available
powder, test grade;1 kg;10 EUR;500 g;
oil, test grade;500 g;6 EUR;2 kg;
wax, test grade;1 kg;8 EUR;;
water, test grade;1 kg;0.50 EUR;5 kg;
wet preservative, test grade;100 g;4 EUR;20 g;
"""

MATERIALS = """
["powder, test grade"]
form = "solid"
phase = "powder"
classes = ["surfactant"]
contents."Sodium Cocoyl Isethionate" = "85 %"
contents."Stearic Acid" = "15 %"
add_below = "70 degC"
heat = { specific = "1.5 kJ/kg/K", source = "figures of this test", kind = "measured" }
hazards = ["H319", "dust"]
source = "figures of this test"
kind = "measured"

["wax, test grade"]
form = "solid"
phase = "melt"
classes = []
contents."Cetyl Alcohol" = "100 %"
heat.specific = "2 kJ/kg/K"
heat.melts_at = "50 degC"
heat.latent = "200 kJ/kg"
heat.source = "figures of this test"
heat.kind = "measured"
source = "figures of this test"
kind = "measured"

["oil, test grade"]
form = "liquid"
phase = "melt"
classes = []
contents."Caprylic/Capric Triglyceride" = "100 %"
heat = { specific = "2 kJ/kg/K", source = "figures of this test", kind = "measured" }
source = "figures of this test"
kind = "measured"

["water, test grade"]
form = "liquid"
phase = "water"
classes = []
contents."Water" = "100 %"
heat = { specific = "4.18 kJ/kg/K", source = "figures of this test", kind = "measured" }
source = "figures of this test"
kind = "measured"

["wet preservative, test grade"]
form = "liquid"
phase = "cool-down"
classes = ["preservative"]
contents."Phenoxyethanol" = "100 %"
add_below = "45 degC"
hazards = ["H318"]
source = "figures of this test"
kind = "measured"
"""

PARTS = {
    "powder, test grade": 0.55,
    "wax, test grade": 0.24,
    "oil, test grade": 0.08,
    "water, test grade": 0.122,
    "wet preservative, test grade": 0.008,
}
FORMULA = Composition("First", PARTS)


def bench(**figures: float) -> Bench:
    read = bench_of("bench", {"brief.toml": BRIEF, "shelf.csv": SHELF, "materials.toml": MATERIALS})
    assert isinstance(read, Bench), read
    return replace(read, brief=replace(read.brief, workshop=Workshop(**figures)))


def planned(bars: int = 20, fill: float = 0.0624, **options: Any) -> Batch:
    found = batch(bench(), FORMULA, bars, fill, **options)
    assert isinstance(found, Batch), found
    return found


def refused(
    where: Bench | None = None,
    formula: Composition = FORMULA,
    bars: int = 20,
    fill: float = 0.0624,
) -> Refused:
    found = batch(where or bench(), formula, bars, fill)
    assert isinstance(found, Refused)
    return found


def test_there_is_mix_enough_for_every_bar_and_the_loss() -> None:
    found = planned()
    assert mix_mass(bench(), 20, 0.0624) == pytest.approx(20 * 0.0624 / 0.985)
    assert found.weighed.batch >= mix_mass(bench(), 20, 0.0624)
    taken = 20 * Fraction(str(found.portions.fill)) + decimal(found.portions.left)
    assert taken == decimal(found.weighed.batch)
    assert found.portions.left >= 0.0149 * found.weighed.batch


def test_the_mix_that_is_reckoned_with_is_the_mix_that_is_weighed() -> None:
    """Whatever the number of bars and the fill: in whole steps, the fill rounded up first."""
    for bars, fill in ((3, 0.0624), (7, 0.061234), (12, 0.0617), (20, 0.0599999), (41, 0.1)):
        found = batch(bench(), FORMULA, bars, fill)
        assert isinstance(found, Batch)
        assert batch_mass(bench(), FORMULA, bars, fill) == found.weighed.batch - (
            found.more if found.more > 0.001 else 0.0
        )


def test_phases_follow_one_another_in_working_order() -> None:
    phases = [addition.phase for addition in planned().additions]
    assert phases == [Phase.WATER, Phase.MELT, Phase.MELT, Phase.POWDER, Phase.COOL_DOWN]
    melted = [addition.weight.material for addition in planned().additions][1:3]
    assert melted == ["wax, test grade", "oil, test grade"]


def test_running_readings_add_up_to_the_batch() -> None:
    found = planned()
    total = Fraction()
    for addition in found.additions:
        total += addition.weight.exact
        assert addition.running == pytest.approx(float(total), abs=1e-12)
        assert addition.reading == pytest.approx(addition.running, abs=0.000501)
        assert (decimal(addition.reading) / decimal(0.001)).denominator == 1
    assert found.additions[-1].running == found.weighed.batch
    assert found.additions[-1].reading == found.weighed.batch
    assert found.vessel_balance == "coarse"


def test_what_the_vessel_balance_is_too_coarse_for_is_weighed_apart() -> None:
    apart = {one.weight.material: one.apart for one in planned().additions}
    assert apart["wet preservative, test grade"]
    assert not apart["powder, test grade"]


def test_a_vessel_too_heavy_for_every_balance_leaves_no_running_reading() -> None:
    found = batch(bench(vessel=5.5), FORMULA, 20, 0.0624)
    assert isinstance(found, Batch)
    assert found.vessel_balance is None
    assert all(one.apart and one.reading is None for one in found.additions)


def test_every_rule_is_judged_on_what_is_weighed() -> None:
    found = planned()
    assert found.broken == ()
    assert [verdict.rule.id for verdict in found.verdicts] == ["preservative", "wax to oil"]
    preservative = found.weighed.shares["wet preservative, test grade"]
    assert preservative >= 0.008


def test_portion_readings_run_on_until_the_balance_is_full_and_then_start_over() -> None:
    found = planned()
    assert found.portions.balance == "fine"
    assert found.portions.fill == 0.0624
    assert found.portions.readings[:5] == pytest.approx((0.0624, 0.1248, 0.1872, 0.2496, 0.0624))
    assert len(found.portions.readings) == 20


def test_a_portion_is_rounded_up_to_a_step() -> None:
    portions = planned(fill=0.0624012).portions
    assert portions.asked == 0.0624012
    assert portions.fill == 0.06241


def test_drying_and_yield_follow_from_the_brief() -> None:
    found = planned()
    assert found.portions.dried == pytest.approx(0.0624 * 0.98)
    assert found.sold == pytest.approx(20 * 0.0624 * 0.98 / found.weighed.batch)


def test_what_is_short_is_named_with_how_much_and_what_was_not_counted_is_said() -> None:
    found = planned()
    needed = {one.weight.material: one.weight.mass for one in found.additions}
    powder = needed["powder, test grade"]
    assert dict(found.short) == {"powder, test grade": pytest.approx(powder - 0.5)}
    assert found.not_counted == ("wax, test grade",)
    few = batch(bench(), FORMULA, 8, 0.0624)
    assert isinstance(few, Batch)
    assert few.short == ()


def test_cost_is_that_of_what_is_weighed() -> None:
    found = planned(packaging_a_bar=0.3, labour=12.0)
    prices = {item.material.name: item.price for item in bench().shelf}
    materials = sum(prices[w.material] * w.mass for w in found.weighed.weights)
    assert found.costing.materials == pytest.approx(materials)
    assert found.weighed.cost == pytest.approx(materials)
    assert found.costing.a_bar == pytest.approx((materials + 20 * 0.3 + 12.0) / 20)


# Temperatures.


def test_the_melt_is_heated_above_what_melts_last_and_cool_down_waits() -> None:
    warmth = planned().warmth
    assert warmth is not None
    assert 50.0 < warmth.heat_to <= 60.0
    assert warmth.mixing.melts_by == 50.0
    assert warmth.mixing.add_below == 45.0
    assert warmth.mixing.unknown == ()
    assert warmth.mixing.temperature < warmth.heat_to


def test_a_cold_heavy_vessel_makes_a_colder_mix_and_a_warm_one_does_not() -> None:
    def mixed(**figures: float) -> float:
        found = batch(bench(**figures), FORMULA, 20, 0.0624)
        assert isinstance(found, Batch)
        assert found.warmth is not None
        return found.warmth.mixing.temperature

    assert mixed(vessel=1.0) < mixed()
    assert mixed(vessel=1.0, vessel_at=90.0) > mixed()
    assert mixed(vessel=1.0, vessel_heat=0.9) < mixed(vessel=1.0)


def test_the_finished_mix_is_no_hotter_than_what_goes_in_last_may_be() -> None:
    warmth = planned(heat_to=80.0).warmth
    assert warmth is not None
    assert warmth.mixing.wait_until == 45.0
    assert warmth.finished < 45.0
    assert warmth.finished > 40.0


def test_what_goes_in_hotter_than_it_may_is_named_with_both_temperatures() -> None:
    moved = MATERIALS.replace('"70 degC"', '"30 degC"')
    read = bench_of("bench", {"brief.toml": BRIEF, "shelf.csv": SHELF, "materials.toml": moved})
    assert isinstance(read, Bench)
    found = batch(read, FORMULA, 20, 0.0624)
    assert isinstance(found, Batch)
    assert found.warmth is not None
    mixed = found.warmth.mixing.temperature
    assert found.warmth.overheated == (("powder, test grade", 30.0, mixed),)


def test_where_nothing_is_known_to_melt_nothing_is_said_of_temperature() -> None:
    cold = MATERIALS.replace('heat.melts_at = "50 degC"\nheat.latent = "200 kJ/kg"\n', "")
    read = bench_of("bench", {"brief.toml": BRIEF, "shelf.csv": SHELF, "materials.toml": cold})
    assert isinstance(read, Bench)
    found = batch(read, FORMULA, 20, 0.0624)
    assert isinstance(found, Batch)
    assert found.warmth is None
    told = batch(read, FORMULA, 20, 0.0624, heat_to=70.0)
    assert isinstance(told, Batch)
    assert told.warmth is not None
    assert told.warmth.heat_to == 70.0


# What cannot be done.


def test_everything_in_the_way_is_said_at_once() -> None:
    where = replace(bench(), brief=replace(bench().brief, balances=()))
    formula = Composition("half", {"powder, test grade": 0.5})
    reasons = {reason.why for reason in refused(where, formula, bars=0, fill=0.0).reasons}
    assert {Why.NO_BARS, Why.NO_FILL, Why.NO_BALANCE, Why.NOT_WHOLE} <= reasons


def test_a_material_that_is_not_there_or_cannot_be_had_is_refused() -> None:
    formula = Composition("odd", {**PARTS, "moon dust, fine": 0.0})
    (reason,) = refused(formula=formula).reasons
    assert (reason.why, reason.names) == (Why.NOT_ON_SHELF, ("moon dust, fine",))
    where = bench()
    gone = tuple(
        replace(item, available=item.material.name != "oil, test grade") for item in where.shelf
    )
    reasons = refused(replace(where, shelf=gone)).reasons
    assert (Why.NOT_AVAILABLE, ("oil, test grade",)) in [(r.why, r.names) for r in reasons]


def test_a_composition_that_breaks_rules_is_not_mended_in_silence() -> None:
    less = Composition("weak", {**PARTS, "wet preservative, test grade": 0.007})
    more = {**less.parts, "powder, test grade": 0.551}
    (reason,) = refused(formula=Composition("weak", more)).reasons
    assert (reason.why, reason.names) == (Why.RULES_BROKEN, ("preservative",))


def test_a_portion_that_no_balance_weighs_is_refused() -> None:
    (reason,) = refused(bars=1, fill=7.0).reasons
    assert (reason.why, reason.value) == (Why.PORTION_NOT_WEIGHED, 7.0)
    (reason,) = refused(bars=1, fill=0.0001).reasons
    assert reason.why is Why.PORTION_NOT_WEIGHED


def test_too_few_bars_to_weigh_are_refused_with_a_number_that_would_do() -> None:
    found = refused(bars=1, fill=0.05)
    (reason,) = found.reasons
    assert (reason.why, reason.names) == (Why.NO_WEIGHTS, ("wet preservative, test grade",))
    assert isinstance(found.weighing, Unweighable)
    assert found.bigger == 2
    assert isinstance(batch(bench(), FORMULA, 2, 0.05), Batch)


# Cautions.


def test_cautions_stand_in_working_order_with_the_materials_they_are_for() -> None:
    found = planned()
    order = [list(Moment).index(caution.at) for caution, _ in found.cautions]
    assert order == sorted(order)
    for_whom = {caution.code: names for caution, names in found.cautions}
    assert for_whom["surfactant dust"] == ("powder, test grade",)
    assert for_whom["hot melt"] == ("wax, test grade", "oil, test grade")
    assert for_whom["eye damage"] == ("wet preservative, test grade",)
    assert for_whom["preservative handling"] == ("wet preservative, test grade",)
    assert for_whom["local law and assessor"] == ()
    assert "alkali into water" not in for_whom


def test_each_addition_bears_the_codes_that_are_for_its_material() -> None:
    codes = {one.weight.material: one.cautions for one in planned().additions}
    assert "surfactant dust" in codes["powder, test grade"]
    assert "surfactant dust" not in codes["wax, test grade"]
    assert codes["water, test grade"] == ("water boiling over",)


def test_a_material_left_out_brings_no_caution() -> None:
    without = {**PARTS, "wet preservative, test grade": 0.0, "water, test grade": 0.13}
    found = applying(bench(), Composition("bare", without))
    assert "preservative handling" not in {caution.code for caution, _ in found}


def test_a_trace_of_acid_in_a_material_is_no_acid_to_be_careful_with() -> None:
    some = MATERIALS.replace(
        'contents."Phenoxyethanol" = "100 %"',
        'contents."Phenoxyethanol" = "99 %"\ncontents."Citric Acid" = "1 %"',
    )
    much = some.replace('"99 %"', '"60 %"').replace('"1 %"', '"40 %"')
    for materials, careful in ((some, False), (much, True)):
        files = {"brief.toml": BRIEF, "shelf.csv": SHELF, "materials.toml": materials}
        read = bench_of("bench", files)
        assert isinstance(read, Bench), read
        codes = {caution.code for caution, _ in applying(read, FORMULA)}
        assert ("acid in small portions" in codes) is careful


def test_every_caution_has_words_and_a_source() -> None:
    assert len({caution.code for caution in cautions()}) == len(cautions())
    for caution in cautions():
        assert caution.text.endswith(".")
        assert caution.source.citation
        assert caution.source.date
