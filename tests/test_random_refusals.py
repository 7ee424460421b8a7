"""Refusals by the hundred: each is one for another solver too, is explained, and never breaks."""

import os
import random
from dataclasses import replace
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import bench_of, read_bench
from barwright.constraints.model.brief import Bench
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.rows import rows_of
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest, program_of
from barwright.solver.choices.choices import other_choices
from barwright.solver.infeasible.concessions import conceding
from barwright.solver.infeasible.reasons import reasons
from barwright.solver.prices.worth import proved, worth
from barwright.solver.program.outcome import Infeasible
from barwright.solver.proof.proved import Unproved
from test_another_solver import by_scip, random_bench

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
TIES = (0.0, 5.0, 10.0, 20.0)
MANY = 10 if os.environ.get("BARWRIGHT_EXPLORE") else 1
PER_SEED = 5


def tightened(seed):
    """A random bench whose prices tie and whose limits leave little room or none."""
    draw = random.Random(seed)
    loose = random_bench(seed)
    shelf = tuple(replace(item, price=draw.choice(TIES)) for item in loose.shelf)
    rules = tuple(_tighter(draw, rule) for rule in loose.brief.rules)
    return replace(loose, shelf=shelf, brief=replace(loose.brief, rules=rules))


def _tighter(draw, rule):
    low, high = getattr(rule, "low", None), getattr(rule, "high", None)
    if low is None or high is None or rule.whole or draw.random() < 0.5:
        return rule
    return replace(rule, low=low + draw.choice([0.3, 0.5, 0.9, 1.0]) * (high - low))


def shelf_with_gaps(seed):
    """An example with some of its shelf not to be had, and prices that tie."""
    draw = random.Random(seed)
    bench = read_bench(EXAMPLES / draw.choice(["oily-hair", "dry-hair"]))
    gone, tied = draw.choice([0.1, 0.3, 0.5]), draw.choice([0.0, 0.5])
    files = {
        name: _with_gaps(draw, content, gone, tied) if name.endswith("shelf.csv") else content
        for name, content in bench.written.files.items()
    }
    return bench_of("test", files)


def _with_gaps(draw, content, gone, tied):
    comment, head, *lines = content.decode().splitlines()
    columns = head.split(";")
    price, pack, there = (columns.index(name) for name in ("price", "pack", "available"))
    written = [comment, head]
    for line in lines:
        cells = line.split(";")
        if draw.random() < gone:
            cells[there] = "no"
        if draw.random() < tied:
            cells[pack], cells[price] = "1 kg", f"{draw.choice(TIES):g} EUR"
        written.append(";".join(cells))
    return "\n".join(written).encode()


def explained(asked):
    """A bench answered and explained; the reasons of a refusal, else nothing."""
    found = cheapest(asked)
    if isinstance(found, Finding):
        finding, proof = proved(asked, found)
        assert not isinstance(proof, Unproved), proof.reason
        worth(finding, proof)
        other_choices(asked, finding)
        return None
    assert isinstance(found, Refusal)
    assert isinstance(found.outcome, Infeasible)
    why = reasons(asked, found)
    assert not isinstance(why.proof, Unproved), why.proof.reason
    assert why.clashes.found
    for way in why.concessions:
        eased = conceding(asked, way.moved, way.dropped)
        assert all(verdict.kept for verdict in judge(eased, way.composition))
        assert eased.cost_of(way.composition) == pytest.approx(way.cost)
    return why


def _cost_by_scip(asked):
    return by_scip(program_of(rows_of(asked), asked.prices))


@pytest.mark.reference
@pytest.mark.parametrize("first", range(0, 100 * MANY, PER_SEED))
def test_a_random_bench_is_refused_and_explained_just_when_another_solver_refuses_it(first):
    for seed in range(first, first + PER_SEED):
        asked = tightened(seed)
        assert (explained(asked) is None) == (_cost_by_scip(asked) is not None), f"seed {seed}"


@pytest.mark.parametrize("seed", range(6 * MANY))
def test_an_example_with_gaps_on_its_shelf_is_answered_or_refused_with_reasons(seed):
    asked = shelf_with_gaps(seed)
    assert isinstance(asked, Bench)
    explained(asked)
