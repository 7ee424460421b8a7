"""A plan for bars wanted: what it takes, what to order, in which order to make them."""

import csv
import io
import json
from dataclasses import replace
from datetime import date

import pytest
from barwright.cli.plan.words import no_plan_sentences
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.bench.wanted_reading import read_prices, read_wanted
from barwright.constraints.model.wanted import PriceFrom
from barwright.constraints.rules.judging import judge
from barwright.constraints.values.problem import Problem, Problems
from barwright.solver.program.deadline import Deadline
from barwright.solver.program.outcome import Stopped
from barwright.workshop.batch.lines import Batch
from barwright.workshop.fill.size import mix_mass
from barwright.workshop.plan.asking import Terms, order_by
from barwright.workshop.plan.needs import NoPlan, Plan
from barwright.workshop.plan.plan import plan
from barwright.workshop.plan.sheets import sheets
from test_workbook_reading import book_of

MONDAY = date(2026, 11, 23)
KINDS = (
    "oily-hair/formulas/today.toml",
    "oily-hair/formulas/rosemary.toml",
    "dry-hair/formulas/today.toml",
)
BTMS = "behentrimonium methosulfate, 25 % grade"
TERMS = Terms(MONDAY, worth=0.5, gap=0.0)


@pytest.fixture
def sheet(examples, tmp_path):
    """Write a sheet of bars wanted beside a copy of the workshop."""
    import shutil

    folder = shutil.copytree(examples, tmp_path / "workshop")

    def written(*lines, name="wanted.csv", head="formula;bars;week;fill"):
        path = folder / name
        path.write_text("\n".join((head, *lines)) + "\n", "utf-8")
        return path

    return written


def wanted(sheet, *lines):
    read = read_wanted(sheet(*lines))
    assert isinstance(read, tuple), read
    return read


def planned(sheet, *lines, terms=TERMS):
    found = plan(wanted(sheet, *lines), terms)
    assert isinstance(found, Plan), found
    return found


def test_the_mix_in_total_is_what_the_batches_take(sheet):
    found = planned(sheet, f"{KINDS[0]};12;1;", f"{KINDS[2]};24;1;63 g")
    assert [one.bars for one in found.batches] == [12, 24]
    for one in found.batches:
        assert one.mix == pytest.approx(mix_mass(one.bench, one.bars, one.fill))
        assert sum(one.parts.values()) == pytest.approx(one.mix)
        assert sum(mass for _, _, mass in one.drawn) == pytest.approx(one.mix)
    assert found.batches[1].fill == 0.063
    needed = sum(need.needed for need in found.needs)
    assert needed == pytest.approx(sum(one.mix for one in found.batches))


def test_what_is_short_over_all_batches_is_ordered_though_no_batch_alone_is_short(sheet):
    """Each batch finds enough of the emulsifier in stock; together they don't."""
    found = planned(
        sheet, *(f"{kind};{bars};1;" for kind, bars in zip(KINDS, (180, 180, 120), strict=True))
    )
    assert all(one.parts.get(BTMS, 0.0) < 2.0 for one in found.batches)
    (need,) = [one for one in found.needs if one.material == BTMS]
    assert need.needed > 2.0 == need.there
    assert need.short == pytest.approx(need.needed - 2.0)
    assert need.ordered >= need.short
    assert need.left == pytest.approx(2.0 + need.ordered - need.needed)


def test_orders_are_whole_packs_and_their_outlay_adds_up(sheet):
    found = planned(sheet, *(f"{kind};24;1;" for kind in KINDS))
    assert all(one.packs == int(one.packs) for one in found.bought.purchases)
    goods = sum(one.outlay for one in found.bought.purchases)
    shipping = sum(one.shipping for one in found.bought.orders)
    assert found.outlay == pytest.approx(goods + shipping)
    left = sum(one.worth for one in found.bought.left)
    assert found.bought.cost == pytest.approx(found.outlay - left)
    assert found.bought.bound == pytest.approx(found.bought.cost)


def test_a_batch_larger_than_the_bowl_is_made_in_several(sheet):
    found = planned(sheet, f"{KINDS[0]};200;1;")
    bowl = found.batches[0].bench.brief.workshop.bowl
    assert bowl == 6.0
    assert len(found.batches) == 3
    assert [one.bars for one in found.batches] == [67, 67, 66]
    assert all(one.mix <= bowl for one in found.batches)


def _stocked(line):
    """A line of the shelf with plenty in stock, but for argan oil and second offers."""
    cells = line.split(";")
    if len(cells) < 7 or cells[0] in {"material", "argan oil, virgin"} or "Quay" in cells[6]:
        return line
    return ";".join((*cells[:3], cells[3] or "9 kg", *cells[4:]))


def test_batches_that_the_stock_does_for_come_first(sheet):
    path = sheet(f"{KINDS[2]};12;1;", f"{KINDS[0]};12;1;")
    shelf = path.parent / "shelf.csv"
    plenty = [_stocked(line) for line in shelf.read_text("utf-8").splitlines()]
    shelf.write_text("\n".join(plenty) + "\n", "utf-8")
    found = plan(read_wanted(path), TERMS)
    first, second = found.batches
    assert first.bench.folder.endswith("oily-hair")
    assert first.waits_for == ()
    assert second.waits_for == ("argan oil, virgin",)


def test_a_price_that_rises_is_paid_before_it_does(sheet):
    rise = PriceFrom("argan oil, virgin", "Mill Lane", 0.25, 2, 99.0)
    second = PriceFrom("argan oil, virgin", "Quay Street", None, 2, 99.0)
    lines = (f"{KINDS[2]};12;1;", f"{KINDS[2]};150;2;")
    found = planned(sheet, *lines, terms=replace(TERMS, prices=(rise, second)))
    argan = [one for one in found.bought.purchases if one.offer.material == "argan oil, virgin"]
    assert {one.week for one in argan} == {1}


def test_storing_costs_what_was_stated(sheet):
    lines = (f"{KINDS[0]};12;1;", f"{KINDS[0]};12;2;")
    found = planned(sheet, *lines, terms=replace(TERMS, storage=0.1))
    assert found.bought.storage > 0
    outlay, left = found.outlay, sum(one.worth for one in found.bought.left)
    assert found.bought.cost == pytest.approx(outlay + found.bought.storage - left)


def test_a_lot_is_not_used_after_its_day_and_what_is_left_says_so(sheet):
    late = replace(TERMS, first_day=date(2027, 2, 26))
    found = planned(sheet, f"{KINDS[0]};12;1;", terms=late)
    (need,) = [one for one in found.needs if one.material == BTMS]
    assert (need.there, need.ordered > 0) == (0.0, True)
    assert all(one.source.lot != "N-0212" for one in found.bought.drawn)


def test_formulas_that_are_free_keep_their_rules_and_their_likeness_and_cost_no_more(sheet):
    lines = [f"{kind};24;1;" for kind in KINDS[:2]]
    fixed = planned(sheet, *lines)
    free = planned(sheet, *lines, terms=replace(TERMS, likeness=0.02, gap=0.02))
    for bar in free.bars:
        assert all(verdict.kept for verdict in judge(bar.bench, bar.composition))
        assert bar.changed <= 0.02 + 1e-6
        assert sum(bar.composition.parts.values()) == pytest.approx(1.0)
    assert free.bought.cost <= fixed.bought.cost + 1e-6
    assert free.bought.gap <= 0.02


def test_without_any_likeness_left_a_free_formula_is_that_of_today(sheet):
    lines = [f"{KINDS[0]};24;1;"]
    free = planned(sheet, *lines, terms=replace(TERMS, likeness=0.0))
    fixed = planned(sheet, *lines)
    assert free.bought.cost == pytest.approx(fixed.bought.cost, abs=0.01)


@pytest.mark.parametrize("limit", [0.05, 1.0])
def test_a_plan_that_runs_out_of_time_says_how_far_it_may_be_from_the_best(sheet, limit):
    lines = [f"{kind};24;{week};" for kind in KINDS for week in (1, 2, 3)]
    terms = replace(TERMS, likeness=0.03)
    found = plan(wanted(sheet, *lines), terms, deadline=Deadline.after(limit))
    if isinstance(found, NoPlan):
        assert isinstance(found.why, Stopped)
        return
    assert found.in_time == (found.bought.gap <= terms.gap + 1e-12)
    assert found.bought.bound <= found.bought.cost
    assert all(verdict.kept for bar in found.bars for verdict in bar.verdicts)


def gone(sheet, *lines):
    path = sheet(*lines)
    shelf = path.parent / "shelf.csv"
    text = [
        line.replace(";yes;", ";no;") if line.startswith("argan") else line
        for line in shelf.read_text("utf-8").splitlines()
    ]
    shelf.write_text("\n".join(text) + "\n", "utf-8")
    return path


def test_what_nobody_offers_is_named_as_a_broken_rule_of_the_formula(sheet):
    found = plan(read_wanted(gone(sheet, f"{KINDS[2]};12;1;")), TERMS)
    assert isinstance(found, Problems)
    assert "argan oil, virgin cannot be had" in found.items[0].found


def test_where_no_formula_can_do_there_is_no_plan(sheet):
    read = read_wanted(gone(sheet, f"{KINDS[2]};12;1;"))
    found = plan(read, replace(TERMS, likeness=0.05))
    assert isinstance(found, NoPlan)
    assert dict(found.cannot_be_had)["argan oil, virgin"] > 0


def test_every_batch_of_a_plan_has_its_sheet(sheet):
    found = planned(sheet, *(f"{kind};12;1;" for kind in KINDS))
    made = list(sheets(found))
    assert [one for one, _ in made] == list(found.batches)
    assert all(isinstance(each, Batch) for _, each in made)
    assert all(not each.short for _, each in made)


@pytest.mark.parametrize(
    ("line", "column", "found"),
    [
        ("oily-hair/formulas/tody.toml;12;1;", "formula", "oily-hair/formulas/tody.toml"),
        ("market-days.csv;12;1;", "formula", "market-days.csv, of no bench"),
        (f"{KINDS[0]};no;1;", "bars", "no"),
        (f"{KINDS[0]};12;0;", "week", "0"),
        (f"{KINDS[0]};12;1;heavy", "fill", "heavy"),
        (";12;1;", "formula", "nothing"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_told_at_its_column(sheet, line, column, found):
    read = read_wanted(sheet(f"{KINDS[2]};12;1;", line))
    assert isinstance(read, Problems)
    (problem,) = read.items
    assert problem.where.place == f"line 3, {column}"
    assert problem.found.startswith(found)


def test_a_wrong_name_of_a_formula_brings_the_nearest(sheet):
    (problem,) = read_wanted(sheet("oily-hair/formulas/tody.toml;12;1;")).items
    assert "oily-hair/formulas/today.toml" in problem.nearest


def test_prices_are_read_for_offers_that_are_there(sheet, examples):
    benches = (read_bench(examples / "oily-hair"),)
    head = "material;week;price;supplier;pack"
    path = sheet("SCI;2;70 EUR;North Yard;5 kg", name="prices.csv", head=head)
    change = PriceFrom("sodium cocoyl isethionate, powder", "North Yard", 5.0, 2, 70.0)
    assert read_prices(path, benches) == (change,)
    wrong = sheet("SCI;2;70 EUR;Nobody;5 kg", "sci;x;much;;", name="prices.csv", head=head)
    problems = read_prices(wrong, benches)
    assert [one.where.place for one in problems.items] == [
        "line 2, supplier",
        "line 3, week",
        "line 3, price",
    ]


def test_two_benches_that_disagree_of_a_material_are_told(sheet):
    read = wanted(sheet, f"{KINDS[0]};12;1;", f"{KINDS[2]};12;1;")
    dear = replace(read[1], bench=read[1].bench.with_price(BTMS, 99.0))
    found = plan((read[0], dear), TERMS)
    assert isinstance(found, Problems)
    assert all(isinstance(one, Problem) for one in found.items)


# --- the command ----------------------------------------------------------------------------------


def asked(barwright, path, *more):
    return barwright("plan", str(path), "--from", "2026-11-23", *more)


def test_the_command_gives_the_same_plan_as_json_and_as_lines(barwright, sheet):
    path = sheet(*(f"{kind};24;1;" for kind in KINDS))
    done = asked(barwright, path, "--format", "json", "--gap", "0 %")
    found = json.loads(done.stdout)
    assert (done.returncode, found["command"], found["status"]) == (0, "plan", "within the gap")
    text = asked(barwright, path, "--format", "csv", "--gap", "0 %").stdout
    lines = list(csv.DictReader(io.StringIO(text)))
    money = sum(float(line["money"]) for line in lines if line["what"] in {"order", "shipping"})
    assert money == pytest.approx(found["outlay"], abs=0.01)
    assert [line["name"] for line in lines if line["what"] == "batch"] == [
        one["formula"] for one in found["batches"]
    ]


def test_all_sheets_are_written_in_one_call_and_over_nothing(barwright, sheet, tmp_path):
    path = sheet(*(f"{kind};12;1;" for kind in KINDS))
    folder = tmp_path / "sheets"
    assert asked(barwright, path, "--sheets", str(folder)).returncode == 0
    assert len(list(folder.glob("*.html"))) == 3
    again = asked(barwright, path, "--sheets", str(folder))
    assert again.returncode == 2
    assert "--overwrite" in again.stderr


def test_free_formulas_are_written_and_keep_their_rules(barwright, sheet, tmp_path):
    path = sheet(f"{KINDS[0]};24;1;")
    folder = tmp_path / "new"
    done = asked(barwright, path, "--free", "2 %", "--gap", "5 %", "--write", str(folder))
    assert done.returncode == 0, done.stderr
    (made,) = folder.glob("*.toml")
    assert barwright("check", str(path.parent / "oily-hair"), str(made)).returncode == 0


def test_no_plan_ends_with_three(barwright, sheet):
    done = asked(barwright, gone(sheet, f"{KINDS[2]};12;1;"), "--free", "5 %")
    assert done.returncode == 3
    assert "argan oil, virgin" in done.stdout
    wrong = barwright("plan", str(sheet(f"{KINDS[0]};12;1;")), "--from", "soon")
    assert wrong.returncode == 2


# Deliveries.


def delivered(sheet, days, *lines):
    """The workshop with every supplier so many days away, nothing in stock."""
    path = sheet(*lines)
    workshop = path.parent / "workshop.toml"
    text = workshop.read_text("utf-8")
    for line in [line for line in text.splitlines() if line.startswith("shipping")]:
        text = text.replace(line, f'{line}\ndelivery = "{days} days"')
    workshop.write_text(text.replace(f'delivery = "{days} days"\n' * 2, ""), "utf-8")
    read = read_wanted(path)
    assert isinstance(read, tuple), read
    return read


def test_nothing_arrives_before_its_way_has_been_gone_and_the_day_to_order_is_said(sheet):
    """Ten days away: what is needed in week 3 (from 7 December) is ordered by 27 November."""
    found = plan(delivered(sheet, 10, f"{KINDS[0]};12;3;"), TERMS)
    assert isinstance(found, Plan)
    assert {one.week for one in found.bought.purchases} <= {3}
    assert {one.offer.delivery for one in found.bought.purchases} == {10.0}
    assert order_by(MONDAY, 3, 10.0) == date(2026, 11, 27)
    at_once = planned(sheet, f"{KINDS[0]};12;3;")
    assert at_once.outlay == pytest.approx(found.outlay)


def test_bars_of_a_week_before_any_delivery_have_no_plan_and_it_is_said_why(sheet):
    found = plan(delivered(sheet, 10, f"{KINDS[0]};12;1;"), TERMS)
    assert isinstance(found, NoPlan)
    assert found.cannot_be_had == ()
    assert found.too_late
    assert {week for _, _, week in found.too_late} == {3}
    said = " ".join(no_plan_sentences(found, {}))
    assert "short before it can be delivered; it can be there from week 3 on" in said


def test_a_price_is_that_of_the_week_in_which_is_ordered(sheet):
    """It rises in week 2; what arrives in week 3 and is a week on its way is ordered in week 2."""
    rising = tuple(
        PriceFrom(name, supplier, pack, 2, 1000.0) for name, supplier, pack in offers_of(sheet)
    )
    terms = replace(TERMS, prices=rising)
    week_on = delivered(sheet, 7, f"{KINDS[0]};12;3;")
    found = plan(week_on, terms)
    assert isinstance(found, Plan)
    assert {one.week for one in found.bought.purchases} == {2}, "ordered in week 1, as it was"


def offers_of(sheet):
    bench = wanted(sheet, f"{KINDS[0]};12;1;")[0].bench
    return [
        (item.material.name, offer.supplier, offer.pack)
        for item in bench.shelf
        for offer in item.offers
    ]


def test_the_page_names_the_day_to_order(sheet, barwright):
    delivered(sheet, 10, f"{KINDS[0]};12;3;")
    path = str(sheet(f"{KINDS[0]};12;3;"))
    done = barwright("plan", path, "--from", "2026-11-23", "--all")
    assert "order by 2026-11-27" in done.stdout
    form = json.loads(barwright("plan", path, "--from", "2026-11-23", "--format", "json").stdout)
    assert {one["order_by"] for one in form["orders"]} == {"2026-11-27"}


def test_a_workbook_of_bars_and_one_of_prices_are_read_as_their_sheets_are(sheet, examples):
    plain = sheet(f"{KINDS[0]};12;1;", f"{KINDS[2]};24;2;62 g")
    rows = [
        ("formula", "bars", "week", "fill [g]"),
        (KINDS[0], 12, 1, None),
        (KINDS[2], 24, 2, 62),
    ]
    book = plain.with_name("wanted.xlsx")
    book.write_bytes(book_of(rows, "Wanted", first=["what the market asked for"]))
    assert [(one.formula.name, one.bars, one.week, one.fill) for one in read_wanted(book)] == [
        (one.formula.name, one.bars, one.week, one.fill) for one in read_wanted(plain)
    ]
    benches = (read_bench(examples / "oily-hair"),)
    prices = plain.with_name("prices.xlsx")
    prices.write_bytes(
        book_of(
            [("material", "week", "price", "supplier", "pack"), (BTMS, 2, "19 EUR", None, None)],
            "Prices",
        )
    )
    (one,) = read_prices(prices, benches)
    assert (one.material, one.week, one.price) == (BTMS, 2, 19.0)
    book.write_bytes(book_of([*rows[:2], (KINDS[2], "many", 2, 62)], "Wanted"))
    assert [one.where.place for one in read_wanted(book).items] == ["sheet Wanted, cell B3"]
