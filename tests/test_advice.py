"""What suppliers advise becomes rules where the brief asks for it, and nothing does where not."""

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.catalogue import catalogue
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.model.rule import Kind
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.rows import rows_of
from barwright.solver.cheapest.cheapest import Finding, cheapest
from barwright.solver.infeasible.conflict import clashes

BRIEF = """
schema = 1
[product]
name = "Bar"
currency = "EUR"
markets = []
dilution = "10 %"
{advice}
[rules."active surfactant"]
share_of = "surfactant"
count = "active"
min = "40 %"
kind = "practice"
because = "it must lather"
{rules}
"""
SHELF = """material;pack;price
sodium cocoyl isethionate, powder;1 kg;11.80 EUR
kaolin, white;1 kg;2.60 EUR
corn starch, native;1 kg;3.60 EUR
citric acid, anhydrous;1 kg;4.20 EUR
sodium hydroxide, pellets;1 kg;4.20 EUR
{shelf}"""
BAND = """
[rules."acidity"]
ph = {{ min = {low}, max = {high} }}
kind = "house"
because = "the scalp is sour"
"""


def made(advice=True, rules="", shelf=""):
    files = {
        "brief.toml": BRIEF.format(advice="advice = true" if advice else "", rules=rules),
        "shelf.csv": SHELF.format(shelf=shelf),
    }
    bench = bench_of("bench", files)
    assert isinstance(bench, Bench), bench
    return bench


def ids(bench):
    return {rule.id for rule in bench.brief.rules if rule.kind is Kind.ADVICE}


def test_no_advice_is_taken_that_was_not_asked_for():
    assert not ids(made(advice=False))


def test_a_use_level_caps_a_share_and_asks_for_no_choice():
    bench = made(rules=BAND.format(low=5, high=7))
    assert "use level of kaolin, white" in ids(bench)
    assert rows_of(bench).choices == ()
    found = cheapest(bench)
    assert isinstance(found, Finding)
    assert found.composition.parts["kaolin, white"] <= 0.10 + 1e-9  # the catalogue's most for clay
    free = cheapest(made(advice=False, rules=BAND.format(low=5, high=7)))
    assert free.composition.parts["kaolin, white"] > 0.2


def test_the_use_level_of_kaolin_is_the_catalogues():
    from barwright.constraints.catalogue.catalogue import material

    assert material("kaolin, white").dose[1] == pytest.approx(0.10)


def test_a_window_of_ph_holds_only_where_the_band_does_not_see_to_it():
    window = "sodium cocoyl isethionate, powder keeps"
    assert window not in ids(made(rules=BAND.format(low=5.5, high=7)))
    wide = made(rules=BAND.format(low=3, high=10))
    (rule,) = (one for one in wide.brief.rules if one.id == window)
    assert (rule.low, rule.high) == (5.0, 8.0)  # outside it the ester is not stable for long
    found = cheapest(wide)
    assert isinstance(found, Finding)
    (verdict,) = (one for one in judge(wide, found.composition) if one.rule.id == window)
    assert verdict.kept
    assert 5.0 - 0.005 <= verdict.value <= 8.0 + 0.005


def test_what_a_material_does_not_bear_is_never_beside_it():
    soap = next(name for name in catalogue.material_names() if name.startswith("soap noodles"))
    bench = made(shelf=f"{soap};1 kg;5 EUR\nbehentrimonium chloride, 80 % grade;1 kg;40 EUR")
    pair = f"{soap} not with quat"
    assert pair in ids(bench)
    both = {soap: 0.5, "behentrimonium chloride, 80 % grade": 0.5}
    verdicts = {one.rule.id: one.kept for one in judge(bench, Composition("", both))}
    assert verdicts[pair] is False
    alone = {one.rule.id: one.kept for one in judge(bench, Composition("", {soap: 1.0}))}
    assert alone[pair] is True


@pytest.mark.reference
def test_water_enough_to_dissolve_what_goes_into_it_is_a_rule_without_a_choice():
    """Sodium benzoate: 62.8 g in 100 mL of water at 20 °C, as the catalogue cites."""
    rules = """
[rules."keeper"]
share_of = "sodium benzoate, granules"
min = "0.5 %"
kind = "house"
because = "it has to keep"
"""
    shelf = "sodium benzoate, granules;1 kg;9 EUR\nwater, demineralised;1 kg;90 EUR\n"
    bench = made(rules=rules, shelf=shelf)
    rule = next(one for one in bench.brief.rules if one.id.startswith("water to dissolve sodium b"))
    assert rule.kind is Kind.ADVICE
    assert rule.high == pytest.approx(0.628)
    dry = Composition("dry", {"sodium benzoate, granules": 0.5, "kaolin, white": 0.5})
    assert not next(one for one in judge(bench, dry) if one.rule.id == rule.id).kept
    wet = Composition("wet", {"sodium benzoate, granules": 0.3, "water, demineralised": 0.7})
    assert next(one for one in judge(bench, wet) if one.rule.id == rule.id).kept


WAX = "hydrogenated castor oil, flakes"
"""Melts at 86 °C, as the catalogue says."""


@pytest.mark.parametrize(
    ("heated", "advice", "shut"),
    [
        ("80 degC", True, True),
        ("88 degC", True, False),
        ("80 degC", False, False),
        (None, True, False),
    ],
)
def test_what_does_not_melt_as_hot_as_the_maker_heats_is_left_out(heated, advice, shut):
    said = "" if heated is None else f'\n[workshop]\nheat_to = "{heated}"\n'
    bench = made(advice, said, f"{WAX};1 kg;0.10 EUR\n")
    rules = [rule for rule in bench.brief.rules if rule.id == f"{WAX} melts"]
    assert bool(rules) is shut
    assert all("86" in rule.because and "80" in rule.because for rule in rules)
    found = cheapest(bench)
    assert (WAX in found.composition.parts) is not shut
    hard = Composition("hard", {WAX: 0.02, "sodium cocoyl isethionate, powder": 0.98})
    assert all(one.kept for one in judge(bench, hard) if one.rule.id == f"{WAX} melts") is not shut


def test_a_wax_that_a_rule_asks_for_and_that_does_not_melt_is_refused_with_both_named():
    asked = f'''
[workshop]
heat_to = "80 degC"
[rules."hard wax"]
share_of = "{WAX}"
min = "2 %"
kind = "house"
because = "it has to be hard"
'''
    refused = cheapest(made(rules=asked, shelf=f"{WAX};1 kg;9 EUR\n"))
    named = {rule for one in clashes(refused.program).found for rule in one.rules}
    assert {f"{WAX} melts", "hard wax"} <= named


def test_a_usual_dose_cites_where_the_dose_comes_from():
    """The catalogue cites the dose of some materials apart from the rest of their entry."""
    cited = "behentrimonium methosulfate, 25 % grade"
    rules = f'''
[rules."one of them"]
choose = ["{cited}", "kaolin, white"]
exactly = 1
kind = "house"
because = "it has to be one"
'''
    shelf = "" if cited in SHELF else f"{cited};1 kg;9 EUR\n"
    bench = made(rules=rules, shelf=shelf)
    dose = next(one for one in bench.brief.rules if one.id == f"usual dose of {cited}")
    assert dose.source == catalogue.material(cited).sources["dose"]


def test_what_works_at_a_small_dose_is_left_out_or_has_the_least_that_is_advised():
    """Panthenol at 0.5 to 2 % (the catalogue); a rule asks for so little that less would do."""
    rules = """
[rules."panthenol"]
share_of = "substance:Panthenol"
min = "0.1 %"
kind = "house"
because = "named on the box"
"""
    shelf = "panthenol, 75 % solution;1 kg;42 EUR\nwater, demineralised;1 kg;1 EUR\n"
    bench = made(rules=rules, shelf=shelf)
    low, _ = bench.material("panthenol, 75 % solution").dose
    found = cheapest(bench)
    assert found.composition.parts["panthenol, 75 % solution"] == pytest.approx(low, abs=1e-9)
    assert low > 0.002 > 0.001 / 0.75
