"""Offers: several ways to buy one material, which is one material for every rule."""

import pytest
from barwright.constraints.bench.changing import start_of
from barwright.constraints.bench.reading import bench_of, formula_of
from barwright.constraints.bench.wish import Wish
from barwright.constraints.model.brief import Bench, Composition, Supplier
from barwright.constraints.model.shelf import Lot
from barwright.constraints.rules.rows import rows_of
from barwright.constraints.values.problem import Problems
from barwright.solver.cheapest.cheapest import Finding, cheapest

BRIEF = """schema = 1
[product]
name = "bar"
currency = "EUR"
[suppliers."North Yard"]
shipping = "6.90 EUR"
free_from = "100 EUR"
[suppliers."Mill Lane"]
shipping = "4 EUR"
[rules."starch"]
share_of = "corn starch, native"
min = "40 %"
max = "60 %"
kind = "house"
because = "half and half"
"""
HEAD = "material;pack;price;stock;available;note;supplier;least;lot;best before;short\n"
SHELF = f"""{HEAD}corn starch, native;1 kg;3.00 EUR;400 g;yes;;North Yard;;L7;2027-03-31;
corn starch, native;5 kg;11.00 EUR;2 kg;yes;;Mill Lane;10 kg;M2;;cs
corn starch, native;25 kg;45.00 EUR;;no;sold out;Mill Lane;;;;
kaolin, white;5 kg;12.50 EUR;;yes;;North Yard;;;;kao
"""
STARCH = "corn starch, native"


def read(shelf=SHELF, brief=BRIEF):
    return bench_of("bench", {"brief.toml": brief, "shelf.csv": shelf})


@pytest.fixture(scope="module")
def bench() -> Bench:
    found = read()
    assert isinstance(found, Bench), found
    return found


def test_several_offers_are_one_material(bench):
    assert bench.material_names == (STARCH, "kaolin, white")
    assert [offer.supplier for offer in bench.item(STARCH).offers] == [
        "North Yard",
        "Mill Lane",
        "Mill Lane",
    ]


def test_the_cheapest_available_offer_prices_a_material_and_is_named(bench):
    starch = bench.item(STARCH)
    assert (starch.price, starch.pack) == (2.2, 5.0)
    assert starch.offer.supplier == "Mill Lane"
    assert starch.offer.least == 10.0


def test_a_material_is_there_as_long_as_one_offer_is():
    (gone,) = [line for line in SHELF.splitlines() if "11.00" in line]
    found = read(SHELF.replace(gone, gone.replace(";yes;", ";no;")))
    assert (found.item(STARCH).price, found.item(STARCH).available) == (3.0, True)


def test_what_is_there_is_the_sum_of_its_lots(bench):
    assert bench.item(STARCH).stock == pytest.approx(2.4)
    lots = (Lot("L7", 0.4, "2027-03-31", "North Yard"), Lot("M2", 2.0, "", "Mill Lane"))
    assert bench.item(STARCH).lots == lots
    assert bench.item("kaolin, white").stock is None


def test_two_offers_are_one_column_for_every_rule(bench):
    assert rows_of(bench).materials == (STARCH, "kaolin, white")
    found = cheapest(bench)
    assert isinstance(found, Finding)
    assert found.cost == pytest.approx(0.6 * 2.2 + 0.4 * 2.5)


def test_suppliers_say_what_an_order_costs(bench):
    yard, lane = Supplier("North Yard", 6.9, 100.0), Supplier("Mill Lane", 4.0, None)
    assert bench.brief.suppliers == (yard, lane)


@pytest.mark.parametrize(
    ("line", "column"),
    [
        (f"{STARCH};1 kg;3.20 EUR;1 kg;yes;;North Yard;;L7;;", "material"),
        ("glycerin, vegetable;1 kg;3 EUR;;yes;;;;;;kaolin, white", "short"),
        ("glycerin, vegetable;1 kg;3 EUR;;yes;;;;;;kao", "short"),
        ("glycerin, vegetable;1 kg;3 EUR;;yes;;;;;;surfactant", "short"),
        ("glycerin, vegetable;1 kg;3 EUR;1 kg;yes;;;;;31 March 2027;", "best before"),
        ("glycerin, vegetable;1 kg;3 EUR;;yes;;;;G1;;", "stock"),
        ("glycerin, vegetable;1 kg;3 EUR;;yes;;;much;;;", "least"),
    ],
)
def test_what_is_wrong_with_an_offer_is_told_at_its_column(line, column):
    found = read(SHELF + line + "\n")
    assert isinstance(found, Problems)
    assert [problem.where.place for problem in found.items] == [f"line 6, {column}"]


def test_a_supplier_without_shipping_is_a_problem():
    found = read(brief=BRIEF.replace('shipping = "4 EUR"\n', 'free_from = "50 EUR"\n'))
    assert [problem.found for problem in found.items] == ["no shipping"]


def test_a_short_name_does_in_a_formula(bench):
    text = 'schema = 1\n[parts]\nCS = "50 %"\nkao = "50 %"\n'
    formula = formula_of("half.toml", text, bench)
    assert isinstance(formula, Composition)
    assert set(formula.parts) == {STARCH, "kaolin, white"}


def test_a_short_name_and_the_name_are_the_same_material_twice(bench):
    text = f'schema = 1\n[parts]\ncs = "50 %"\n"{STARCH}" = "50 %"\n'
    assert isinstance(formula_of("half.toml", text, bench), Problems)


def test_a_short_name_does_on_the_command_line(bench):
    formula = Composition("half", {STARCH: 0.5, "kaolin, white": 0.5})
    start = start_of(bench, [formula], Wish(without=("kao",)))
    assert start.without == ("kaolin, white",)


def test_a_short_name_does_in_a_rule():
    rule = BRIEF.replace('share_of = "corn starch, native"', 'share_of = "CS"')
    chosen = f"""
[rules."one"]
choose = ["kao", "{STARCH}"]
at_least = 1
kind = "house"
because = "some of either"
[rules."clay dose"]
dose_of = "kao"
min = "1 %"
max = "60 %"
kind = "house"
because = "as advised"
[rules."starch dose"]
dose_of = "cs"
min = "1 %"
max = "60 %"
kind = "house"
because = "as advised"
"""
    found = read(brief=rule + chosen)
    assert isinstance(found, Bench), found
    share, one, clay, starch = found.brief.rules
    assert share.of.name == STARCH
    assert one.among == ("kaolin, white", STARCH)
    assert (clay.material, starch.material) == ("kaolin, white", STARCH)


def test_an_answer_names_the_offer_that_priced_it(barwright, tmp_path):
    folder = tmp_path / "bench"
    folder.mkdir()
    (folder / "brief.toml").write_text(BRIEF, "utf-8")
    (folder / "shelf.csv").write_text(SHELF, "utf-8")
    done = barwright("cheapest", str(folder), "--all")
    said = " ".join(done.stdout.split())
    assert "from Mill Lane cs (5 kg)." in said
    assert "kao (" not in said
