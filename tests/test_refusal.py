"""No composition: the clashes are minimal, the ways out work, and no law gives way."""

from dataclasses import replace
from pathlib import Path

import pytest
from barwright.cli.refusal.words import clash_sentence
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.model.rule import Kind
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.rows import rows_of
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest, program_of
from barwright.solver.infeasible.concessions import conceding, droppables, relaxables
from barwright.solver.infeasible.conflict import Clash
from barwright.solver.infeasible.reasons import reasons
from barwright.solver.proof.proved import ProvedInfeasible
from blends import bench, material, said, share_of, standalone
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


ROOT = Path(__file__).resolve().parent.parent
OIL = material("oil, plain", {"Oil": 1.0})
WAX = material("wax, plain", {"Wax": 1.0})
RICH = material("paste, rich", {"Oil": 0.5, "Wax": 0.5, "Extra": 0.0})


def explained(refused, **more):
    found = cheapest(refused)
    assert isinstance(found, Refusal)
    return reasons(refused, found, **more)


def waxy(kind=Kind.HOUSE):
    """At least 60 % of oil and 50 % of wax, of oil and wax."""
    oily = replace(share_of("Oil", low=0.6), kind=kind)
    return bench([OIL, WAX], [1.0, 2.0], [oily, share_of("Wax", low=0.5)])


def test_a_clash_and_the_two_ways_out_of_it_are_found():
    found = explained(waxy())
    assert [clash.rules for clash in found.clashes.found] == [("Oil share", "Wax share")]
    assert found.clashes.complete
    assert isinstance(found.proof, ProvedInfeasible)
    moved = {(way.moved[0].rule, round(way.moved[0].new, 9)) for way in found.concessions}
    assert moved == {("Oil share", 0.5), ("Wax share", 0.4)}


def test_ways_out_come_cheapest_first():
    costs = [way.cost for way in explained(waxy()).concessions]
    assert costs == pytest.approx([1.4, 1.5])


def test_a_law_never_gives_way():
    found = explained(waxy(Kind.LAW))
    assert [way.moved[0].rule for way in found.concessions] == ["Wax share"]
    rules = waxy(Kind.LAW).brief.rules
    assert "Oil share" not in {one.rule for one in relaxables(rules)} | set(droppables(rules))


def test_every_way_out_makes_a_bench_with_an_answer():
    refused = waxy()
    for way in explained(refused).concessions:
        eased = conceding(refused, way.moved, way.dropped)
        found = cheapest(eased)
        assert isinstance(found, Finding)
        assert found.cost == pytest.approx(way.cost)
        assert all(verdict.kept for verdict in judge(eased, way.composition))


def test_what_may_be_paid_for_a_material_is_where_the_cost_is_just_kept():
    cap = Cost(**said("cost", unit="EUR/kg"), low=None, high=3.0)
    rules = [share_of("Wax", low=0.2), cap]
    poor = bench([OIL], [1.0], rules, known=[WAX])
    refused = cheapest(poor)
    found = reasons(poor, refused)
    # 80 % of oil for 0.8 leaves 2.2 for 20 % of wax
    assert [one.material for one in found.purchases] == ["wax, plain"]
    assert found.purchases[0].share == pytest.approx(0.2)
    assert found.purchases[0].up_to == pytest.approx(11.0, rel=1e-6)


def test_without_a_cap_on_cost_any_price_will_do():
    rules = [share_of("Wax", low=0.2)]
    poor = bench([OIL], [1.0], rules, known=[WAX])
    found = reasons(poor, cheapest(poor))
    assert found.purchases[0].up_to is None


def test_a_material_beyond_its_usual_dose_is_no_way_out():
    rules = [share_of("Wax", low=0.2)]
    weak = replace(WAX, dose=(0.01, 0.1))
    poor = bench([OIL], [1.0], rules, known=[weak])
    found = reasons(poor, cheapest(poor))
    assert found.purchases == ()


def oily_without(tmp_path, *gone, cost=None):
    """The oily-hair bench with some lines of its shelf not available, or a lower cap."""
    folder = tmp_path / "bench"
    standalone(folder)
    shelf = (folder / "shelf.csv").read_text(encoding="utf-8").splitlines()
    lines = [
        line.replace(";yes;", ";no;") if line.startswith(gone) and gone else line for line in shelf
    ]
    (folder / "shelf.csv").write_text("\n".join(lines), encoding="utf-8")
    if cost is not None:
        brief = folder / "brief.toml"
        text = brief.read_text(encoding="utf-8")
        brief.write_text(text.replace("10.80 EUR/kg", cost), encoding="utf-8")
    return folder


def test_the_command_tells_clash_ways_out_and_purchases_and_exits_3(barwright, tmp_path):
    folder = oily_without(tmp_path, "behentrimonium")
    done = barwright("cheapest", str(folder))
    assert done.returncode == 3
    assert not done.stderr
    said_flat = " ".join(done.stdout.split())
    assert "no composition of what is on the shelf keeps every rule" in said_flat
    assert "Proved:" in said_flat
    assert "conditioning active, at least 1 %; behentrimonium" in said_flat
    assert "Get behentrimonium methosulfate, 25 % grade again" in said_flat
    assert "needs at least" in said_flat
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert len(done.stdout.splitlines()) < 60


def test_a_way_out_through_the_cost_names_the_cost_that_just_does(barwright, tmp_path):
    folder = oily_without(tmp_path, cost="6 EUR/kg")
    free = cheapest(read_bench(ROOT / "examples/oily-hair"))
    flat = " ".join(barwright("cheapest", str(folder)).stdout.split())
    assert "Raise the upper limit of cost from 6 EUR/kg to 8.3 EUR/kg" in flat
    # in four figures, rounded up: the cost that just does is that of the bench without the cap
    assert f"({free.cost + 0.0005:.3f}"[:5] in flat


def test_what_a_stopped_search_says_is_no_refusal(barwright):
    done = barwright("cheapest", "examples/oily-hair", "--time-limit", "0.001")
    assert done.returncode in {0, 5}
    if done.returncode == 5:
        assert "ran out" in " ".join((done.stdout + done.stderr).split())


def test_what_cannot_be_had_is_said_without_a_limit(root):
    bench = read_bench(root / "tests" / "data" / "benches" / "good")
    name = "sodium phytate, 50 % solution cannot be had"
    program = program_of(rows_of(bench, 0.0), bench.prices)
    said = clash_sentence(bench, program, Clash((name,), 1.0))
    assert said.startswith(f"{name}: no mix of this shelf")
