"""A batch leaves a little over, and says how exact it is and what may be warmed or stirred in."""

from dataclasses import replace
from typing import Any

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.model.material import Phase
from barwright.constraints.rules.judging import judge
from barwright.constraints.values.problem import Problems
from barwright.solver.program.deadline import Deadline
from barwright.workshop.batch.batch import batch
from barwright.workshop.batch.lines import Batch, Refused
from barwright.workshop.heat.warming import Way
from barwright.workshop.weighing.weight import Unweighable
from test_batch import BRIEF, MATERIALS, PARTS, SHELF

NARROW = """
[rules."narrow"]
share_of = "material:oil, test grade"
min = "7.97 %"
max = "8.03 %"
kind = "house"
because = "of this test"
"""
COARSE_ONLY = BRIEF.replace(
    '[balances.fine]\nstep = "0.01 g"\ncapacity = "300 g"\nleast = "0.5 g"\n', ""
).replace('least = "20 g"', 'least = "1 g"')


def read(brief: str = BRIEF, materials: str = MATERIALS, shelf: str = SHELF) -> Bench:
    found = bench_of(
        "bench", {"brief.toml": brief, "shelf.csv": shelf, "materials.toml": materials}
    )
    assert isinstance(found, Bench), found
    return found


def made(bench: Bench, bars: int = 20, parts: dict[str, float] = PARTS, **options: Any) -> Batch:
    found = batch(bench, Composition("First", parts), bars, 0.0624, **options)
    assert isinstance(found, Batch), found
    return found


# A little left over.


def test_a_few_grams_more_do_where_just_so_much_cannot_be_weighed() -> None:
    """1,268 g in whole grams: 8 % of it are 101.4 g, neither 101 nor 102 g of which will do."""
    bench = read(COARSE_ONLY + NARROW)
    found = made(bench)
    assert found.weighed.batch > 1.268
    assert found.weighed.batch <= 1.268 * 1.03
    assert found.more == pytest.approx(found.weighed.batch - 20 * 0.063 / 0.985)
    assert not found.broken
    assert found.portions.left > 0.015 * found.weighed.batch


def test_a_bar_more_is_tried_before_twice_as_many() -> None:
    tight = NARROW.replace("7.97", "7.9999").replace("8.03", "8.0001")
    narrow = PARTS | {"powder, test grade": 0.55, "oil, test grade": 0.08}
    for bars in range(2, 12):
        found = batch(read(COARSE_ONLY + tight), Composition("First", narrow), bars, 0.0624)
        if isinstance(found, Refused) and found.bigger is not None and found.bigger < bars + 5:
            assert found.bigger > bars
            return
    pytest.fail("no refusal here is got over with a few bars more")


def test_a_refusal_ends_when_its_time_is_up() -> None:
    """On a clock that goes on by a second whenever it is looked at."""
    now = iter(range(10**6))
    tight = NARROW.replace("7.97", "8.00999").replace("8.03", "8.01001")
    odd = PARTS | {"powder, test grade": 0.5499, "oil, test grade": 0.0801}
    deadline = Deadline.after(40.0, lambda: float(next(now)))
    found = batch(
        read(COARSE_ONLY + tight), Composition("First", odd), 7, 0.0624, deadline=deadline
    )
    assert isinstance(found, Refused)
    if isinstance(found.weighing, Unweighable):
        assert found.weighing.undone
    assert next(now) < 400


# How exact.


def test_the_greatest_departure_from_the_formula_comes_first() -> None:
    found = made(read())
    shares = found.weighed.shares
    apart = {name: shares[name] / PARTS[name] - 1 for name in shares}
    worst = max(apart, key=lambda name: abs(apart[name]))
    assert found.departures[0] == (worst, pytest.approx(apart[worst], rel=1e-6))
    sizes = [abs(by) for _, by in found.departures]
    assert sizes == sorted(sizes, reverse=True)


def test_half_a_step_that_breaks_a_rule_is_told_and_one_that_does_not_is_not() -> None:
    """10.65 g of preservative where 0.8 % of 1,331 g, 10.648 g, are the least."""
    found = made(read(), bars=21)
    by = {one.material: one for one in found.slips}
    slip = by["wet preservative, test grade"]
    assert (slip.over, slip.broken, slip.ph) == (False, ("preservative",), None)
    assert by["powder, test grade"].over, "half a gram of powder more thins it out too"
    assert slip.by == pytest.approx(5e-6)
    masses = {one.material: one.mass for one in found.weighed.weights}
    for sign, kept in ((-1, False), (1, True)):
        moved = masses | {slip.material: masses[slip.material] + sign * slip.by}
        total = sum(moved.values())
        verdicts = judge(read(), Composition("", {name: m / total for name, m in moved.items()}))
        assert all(one.kept for one in verdicts) is kept
    roomy = {**PARTS, "wet preservative, test grade": 0.009, "powder, test grade": 0.549}
    assert made(read(), parts=roomy).slips == ()


# What goes in with what.


def test_what_is_dissolved_in_another_goes_in_with_it_by_the_maker_s_word() -> None:
    word = MATERIALS.replace(
        '["powder, test grade"]\n',
        '["powder, test grade"]\ngoes_in_with = "water, test grade"\n',
    ).replace('add_below = "70 degC"\n', "")
    found = made(read(materials=word))
    powder = next(one for one in found.additions if "powder" in one.weight.material)
    assert powder.phase is Phase.WATER
    assert powder.into == "water, test grade"
    order = [one.weight.material for one in found.additions]
    assert order.index("powder, test grade") == order.index("water, test grade") + 1
    assert found.additions[-1].running == found.weighed.batch
    assert found.warmth is not None
    usual = made(read()).warmth
    assert usual is not None
    assert found.warmth.mixing.temperature > usual.mixing.temperature
    assert found.alone == ()


def test_what_should_go_in_with_something_that_is_not_there_is_told() -> None:
    word = MATERIALS.replace(
        '["powder, test grade"]\n',
        '["powder, test grade"]\ngoes_in_with = "glycerin, vegetable"\n',
    )
    found = made(read(materials=word))
    assert found.alone == (("powder, test grade", "glycerin, vegetable"),)
    assert {one.phase for one in found.additions if "powder" in one.weight.material} == {
        Phase.POWDER
    }


def test_two_that_should_each_go_in_with_the_other_go_in_as_they_are() -> None:
    word = MATERIALS.replace(
        '["wax, test grade"]\n', '["wax, test grade"]\ngoes_in_with = "oil, test grade"\n'
    ).replace('["oil, test grade"]\n', '["oil, test grade"]\ngoes_in_with = "wax, test grade"\n')
    found = made(read(materials=word))
    assert len(found.additions) == 5


# Cups.


@pytest.mark.parametrize(("line", "cup"), [("", 0.03), ('cup = "12 g"\n', 0.012)])
def test_a_balance_carries_a_cup_as_stated_else_as_is_usual(line: str, cup: float) -> None:
    brief = BRIEF.replace('least = "0.5 g"\n', f'least = "0.5 g"\n{line}')
    fine = read(brief).brief.balances[0]
    assert fine.cup == pytest.approx(cup)
    assert fine.room == pytest.approx(0.3 - cup)


def test_a_cup_that_leaves_no_room_is_a_mistake_in_the_brief() -> None:
    brief = BRIEF.replace('least = "0.5 g"\n', 'least = "0.5 g"\ncup = "299.9 g"\n')
    found = bench_of(
        "bench", {"brief.toml": brief, "shelf.csv": SHELF, "materials.toml": MATERIALS}
    )
    assert isinstance(found, Problems)
    assert [one.where.place for one in found.items] == ["line 15, balances.fine.cup"]


# Warming.


HARD = MATERIALS.replace('heat.melts_at = "50 degC"', 'heat.melts_at = "68 degC"')
POWDERY = {
    "powder, test grade": 0.74,
    "wax, test grade": 0.13,
    "oil, test grade": 0.05,
    "water, test grade": 0.072,
    "wet preservative, test grade": 0.008,
}


def hard(vessel: float, bears: str) -> Bench:
    bench = read(materials=HARD.replace('add_below = "70 degC"', f'add_below = "{bears}"'))
    workshop = replace(bench.brief.workshop, vessel=vessel)
    return replace(bench, brief=replace(bench.brief, room=8.0, workshop=workshop))


def test_several_warmings_are_joined_where_none_is_enough() -> None:
    """Powder that bears 60 °C, a cold steel bowl of 2 kg, a melt that may have 85 °C."""
    bench = hard(2.0, "66 degC")
    found = made(bench, parts=POWDERY)
    assert found.warmth is not None
    mixing, together = found.warmth.mixing, found.warmth.together
    assert (mixing.warm_to, mixing.bowl_at, mixing.heat_to) == (None, None, None)
    assert together is not None
    assert together.enough
    at = dict(together.ways)
    assert len(at) >= 2
    assert at.get(Way.POWDERS, 0.0) <= 66.0
    assert max(at.values()) <= 85.0
    # by hand: heat given up by what is warmer than 68 °C is what the rest takes up
    masses = {one.material: one.mass for one in found.weighed.weights}
    hot = at.get(Way.MELT, found.warmth.heat_to)
    water = masses["water, test grade"] * 4.18 * (hot - 68)
    melt = (masses["wax, test grade"] + masses["oil, test grade"]) * 2.0 * (hot - 68)
    powder = masses["powder, test grade"] * 1.5 * (at.get(Way.POWDERS, 8.0) - 68)
    bowl = 2.0 * 0.5 * (at.get(Way.BOWL, 8.0) - 68)
    assert water + melt + powder + bowl == pytest.approx(0.0, abs=1e-9)


def test_where_all_warmings_together_are_too_little_it_says_how_far_they_lead() -> None:
    bench = hard(2.0, "30 degC")
    found = made(bench, parts=POWDERY)
    assert found.warmth is not None
    together = found.warmth.together
    assert together is not None
    assert not together.enough
    assert together.reaches < 68.0


@pytest.mark.parametrize(("room", "cold"), [(14.9, 15.0), (15.0, None), (20.0, None)])
def test_a_cold_room_is_told(room: float, cold: float | None) -> None:
    bench = read()
    found = made(replace(bench, brief=replace(bench.brief, room=room)))
    assert found.warmth is not None
    assert found.warmth.cold_below == cold
