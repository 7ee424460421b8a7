"""``barwright batch`` writes a sheet that can be worked from, or says what is in the way."""

import json
import re
from itertools import accumulate

import pytest
from blends import standalone
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


OILY = "examples/oily-hair"
TODAY = f"{OILY}/formulas/today.toml"
FINE = 'step = "0.01 g"\ncapacity = "300 g"\nleast = "0.5 g"'

LAVENDER = """[rules."lavender"]
share_of = "material:lavender oil, true"
min = "0.29999 %"
max = "0.30001 %"
kind = "house"
because = "the scent is known"

"""


def flat(text):
    return " ".join(text.split())


RAN = {}  # what was printed over the example, which no test changes


def ran(barwright, *words):
    """The finished command over twelve bars of the example, run once for all tests."""
    if words not in RAN:
        RAN[words] = barwright("batch", OILY, TODAY, "--bars", "12", *words)
        assert RAN[words].returncode == 0, RAN[words].stderr
    return RAN[words]


def answer(barwright, *words, bench=None, formula=TODAY, bars="12"):
    if bench is None and bars == "12":
        return json.loads(ran(barwright, "--format", "json", *words).stdout)
    bench = bench or OILY
    done = barwright("batch", bench, formula, "--bars", bars, "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture
def other(examples, tmp_path):
    """A copy of the bench for oily hair, with texts of its brief, shelf and formula replaced."""

    def made(*changes):
        bench = tmp_path / "bench"
        standalone(bench)
        for file, old, new in changes:
            path = bench / file
            text = path.read_text(encoding="utf-8")
            assert old in text
            path.write_text(text.replace(old, new), encoding="utf-8")
        return str(bench), str(bench / "formulas" / "today.toml")

    return made


def test_weights_add_up_to_the_mix_and_the_vessel_reads_along(barwright):
    found = answer(barwright)
    masses = [one["mass"] for one in found["additions"]]
    assert sum(masses) == pytest.approx(found["mix"], abs=1e-9)
    running = [one["in_vessel"] for one in found["additions"]]
    assert running == pytest.approx(list(accumulate(masses)))
    for one in found["additions"]:
        assert one["vessel_reading"] == pytest.approx(one["in_vessel"], abs=0.0005)


def test_phases_come_in_working_order_and_every_rule_is_kept(barwright):
    found = answer(barwright)
    phases = [one["phase"] for one in found["additions"]]
    order = ["water", "melt", "powder", "cool-down"]
    assert phases == sorted(phases, key=order.index)
    assert set(phases) == set(order)
    assert all(rule["kept"] for rule in found["rules"])


def test_the_screen_shows_grams_with_the_balance_s_decimals(barwright):
    done = ran(barwright)
    (line,) = [row for row in done.stdout.splitlines() if row.startswith("glycerin, vegetable")]
    assert line.split()[2:4] == ["11.27", "83"]
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_cautions_stand_where_they_belong(barwright):
    lines = ran(barwright).stdout.splitlines()

    def place(start):
        return next(n for n, line in enumerate(lines) if start in line)

    assert place("dust mask (FFP2") < place("Water phase:")
    assert place("Water phase:") < place("acid in small portions") < place("Melt phase:")
    assert place("Melt phase:") < place("A melt of fats") < place("Powders:")
    assert place("Cool-down:") < place("Weigh preservative") < lines.index("Temperatures")


def test_wax_that_would_set_is_met_with_ways_that_can_be_followed(barwright):
    """Warm the powders as told and the mix comes to where the waxes are liquid."""
    found = answer(barwright)["temperatures"]
    assert found["misses"] == ["wax_sets", "too_hot"]
    assert found["mix"]["predicted"] < found["waxes_liquid_above"]
    text = flat(ran(barwright).stdout)
    assert "Warm the powders to 52 °C first" in text
    assert "Then wait until it is below 45 °C" in text
    assert found["ways"]["warm_powders_to"] <= 52


def test_a_hotter_melt_asks_for_less_warm_powders(barwright):
    usual = answer(barwright)["temperatures"]["ways"]["warm_powders_to"]
    hot = answer(barwright, "--heat-to", "80 degC")["temperatures"]["ways"]["warm_powders_to"]
    assert hot < usual


def test_a_known_bowl_may_be_warmed_instead(barwright, other):
    bench, formula = other(
        ("brief.toml", "[balances.fine]", '[workshop]\nvessel = "2 kg"\n\n[balances.fine]')
    )
    found = answer(barwright, "--heat-to", "80 degC", bench=bench, formula=formula)
    assert found["temperatures"]["ways"]["warm_bowl_to"] is not None
    done = barwright("batch", bench, formula, "--bars", "12", "--heat-to", "80 degC")
    text = flat(done.stdout)
    assert "warm the bowl to" in text.lower()
    assert "The bowl is left out" not in text


def test_what_is_spoilt_by_hot_water_is_moved_to_cool_down(barwright):
    """The preservative bears 60 °C; at 63 °C it moves, with water at 59 °C it stays."""
    name = "sodium benzoate and potassium sorbate, 50/50 powder"

    def phase(*words):
        additions = answer(barwright, *words)["additions"]
        return next(one["phase"] for one in additions if one["material"] == name)

    assert phase() == "cool-down"
    assert phase("--heat-to", "59 degC") == "water"
    done = ran(barwright)
    assert f"* {name} bears 60 °C and the water is at 63 °C" in flat(done.stdout)


def test_no_way_is_offered_that_would_spoil_a_powder(barwright, other):
    """A clay that bears 30 °C is never to be warmed to 52 °C, and waits for the mix to cool."""
    head = "# Where a delivery differs from the catalogue."
    bench, formula = other(
        ("materials.toml", head, f'{head}\n["kaolin, white"]\nadd_below = "30 degC"\n')
    )
    found = answer(barwright, bench=bench, formula=formula)["temperatures"]
    assert found["ways"]["warm_powders_to"] is None
    assert [one["material"] for one in found["overheated"]] == ["kaolin, white"]
    done = barwright("batch", bench, formula, "--bars", "12")
    assert "let the mix cool to 30 °C before it goes in" in flat(done.stdout)


def test_a_melt_that_does_not_melt_is_not_passed_over(barwright):
    done = barwright("batch", OILY, TODAY, "--bars", "12", "--heat-to", "40 degC")
    assert "So cool not every wax melts: heat to 58 °C at least" in flat(done.stdout)


def test_bars_are_portioned_without_taring_until_the_balance_is_full(barwright):
    portions = answer(barwright)["portions"]
    assert portions["press"] == pytest.approx(0.0617)
    assert portions["readings"][:5] == pytest.approx([0.0617, 0.1234, 0.1851, 0.2468, 0.0617])
    text = flat(ran(barwright).stdout)
    assert "61.70 · 123.40 · 185.10 · 246.80, then take them off and begin again" in text


def test_a_fill_that_leaves_the_box_too_light_is_told(barwright):
    done = barwright("batch", OILY, TODAY, "--bars", "12", "--fill", "60 g")
    assert "lighter than the 60 g on the box" in flat(done.stdout)


def test_what_is_short_is_told_with_the_packs_to_buy(barwright):
    """15 % of 1000 · 62 g / 0.985 = 62.945 kg is 9.442 kg; 5 kg are there."""
    done = barwright("batch", OILY, TODAY, "--bars", "1000", "--fill", "62 g")
    assert done.returncode == 0, done.stderr
    assert "Short: 4.442 kg of sodium coco-sulfate, needles" in flat(done.stdout)
    assert "Buy 1 × 5 kg, 34.00 EUR" in flat(done.stdout)
    short = answer(barwright, bars="1000")["short"]
    assert {one["material"] for one in short} >= {"sodium coco-sulfate, needles"}


def test_rules_that_plain_rounding_would_break_are_named(barwright, other):
    bench, formula = other(
        ("brief.toml", FINE, 'step = "0.5 g"\ncapacity = "300 g"\nleast = "0.5 g"')
    )
    done = barwright("batch", bench, formula, "--bars", "3")
    assert done.returncode == 0, done.stderr
    assert "Rounding each weight by itself would break acidity" in flat(done.stdout)
    found = answer(barwright, bench=bench, formula=formula, bars="3")
    assert found["plain_rounding_breaks"] == ["acidity"]
    assert all(rule["kept"] for rule in found["rules"])


def test_a_batch_too_small_to_weigh_names_balance_and_bars_that_would_do(barwright, other):
    """Three bars take 0.28 g of citric acid, of which no balance here reads less than 0.5 g."""
    bench, formula = other()
    done = barwright("batch", bench, formula, "--bars", "3")
    assert done.returncode == 3
    text = flat(done.stdout)
    assert "Too little to weigh on any balance: citric acid, anhydrous" in text
    assert "It can be weighed with a fine balance of 0.001 g steps" in text
    more = text.rpartition("--bars ")[2].rstrip(".")
    assert barwright("batch", bench, formula, "--bars", more).returncode == 0


def test_rules_that_no_weights_keep_are_named_as_a_clash(barwright, other):
    bench, formula = other(
        (
            "brief.toml",
            '[rules."fragrance"]',
            f'{LAVENDER}[rules."fragrance"]',
        ),
        ("brief.toml", FINE, 'step = "0.1 g"\ncapacity = "300 g"\nleast = "0.1 g"'),
    )
    done = barwright("batch", bench, formula, "--bars", "12")
    assert done.returncode == 3, done.stdout
    assert "No weights in whole scale steps keep these together: lavender" in flat(done.stdout)
    assert "It can be weighed with a fine balance of 0.01 g steps" in flat(done.stdout)
    shown = barwright("batch", bench, formula, "--bars", "12", "--format", "json")
    form = json.loads(shown.stdout)
    assert (shown.returncode, form["status"], form["clash"]) == (3, "refused", ["lavender"])


def test_a_composition_that_breaks_a_rule_is_not_weighed(barwright, other):
    bench, formula = other(("brief.toml", 'max = "58 %"', 'max = "41 %"'))
    done = barwright("batch", bench, formula, "--bars", "12")
    assert done.returncode == 4
    assert "breaks active surfactant" in flat(done.stdout)


def test_a_bench_without_a_balance_is_told_so(barwright, other):
    bench, formula = other(
        ("brief.toml", f"[balances.fine]\n{FINE}", ""),
        ("brief.toml", '[balances.bench]\nstep = "1 g"\ncapacity = "6 kg"\nleast = "20 g"', ""),
    )
    done = barwright("batch", bench, formula, "--bars", "12")
    assert done.returncode == 2
    assert "[balances.NAME]" in done.stderr
    assert done.stdout == ""


def test_without_declared_weight_it_asks_what_to_press(barwright, other):
    bench, formula = other(("brief.toml", 'declared = "60 g"\n', ""))
    done = barwright("batch", bench, formula, "--bars", "12")
    assert done.returncode == 2
    assert '--fill "62 g"' in done.stderr
    assert barwright("batch", bench, formula, "--bars", "12", "--fill", "62 g").returncode == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--bars", "0"), "a whole number of at least 1"),
        (("--bars", "12", "--heat-to", "hot"), "a temperature such as 75 degC"),
        (("--bars", "12", "--weighings", "61 x"), "weighing 2"),
        (("--bars", "12", "--fill", "0 g"), "a mass such as 62 g"),
        (("--bars", "12", "--fill", "9 kg"), "a balance that weighs a portion"),
        ((), "--bars"),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_shown(barwright, words, said):
    done = barwright("batch", OILY, TODAY, *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""


def test_costs_come_along_with_packaging_and_labour(barwright):
    costs = answer(barwright, "--packaging", "0.30 EUR", "--labour", "18 EUR")["costs"]
    assert costs["total"] == pytest.approx(costs["materials"] + 12 * 0.30 + 18)


@pytest.mark.parametrize(
    "words",
    [
        ("batch", OILY, TODAY, "--bars", "1", "--fill", "700 g"),
        ("batch", OILY, TODAY, "--bars", "1"),
        ("price", OILY, TODAY, "--bars", "1", "--fill", "700 g"),
        ("fill", OILY, "--bars-a-year", "1", "--formula", TODAY),
        ("acidity", OILY, TODAY, "--bars", "1"),
    ],
)
def test_one_is_never_said_as_if_it_were_several(barwright, words):
    done = barwright(*words)
    assert done.returncode in {0, 3}
    assert not re.search(r"(?<![\d.,])1 (bars|materials|batches|cautions|weighings)\b", done.stdout)
    assert "bar" in done.stdout
