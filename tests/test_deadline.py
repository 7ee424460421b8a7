"""One limit of time: what is found by then is shown, what is not is said, nothing is made up."""

from itertools import count

import pytest
from barwright.constraints.model.row import Row
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.dose import Dose
from barwright.solver.answers.explained import Explaining, Wishes
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest
from barwright.solver.infeasible.reasons import reasons
from barwright.solver.prices.worth import is_proved, proved
from barwright.solver.program.deadline import NEVER, TIME_RAN_OUT, Deadline
from barwright.solver.program.outcome import Infeasible, Optimal, Program, Stopped
from barwright.solver.proof.proof import prove
from barwright.solver.proof.proved import ProvedOptimal, Unproved
from blends import bench, common, material, said, share_of

BASE, DEAR = material("base", {"Base": 1.0}), material("dear", {"Dear": 1.0})
KEEPERS = [material(f"keeper {k}", {f"Keeper {k}": 1.0}) for k in range(3)]


def ticking(ends):
    """A deadline whose clock goes on by one whenever it is looked at."""
    ticks = count()
    return Deadline(float(ends), lambda: float(next(ticks)))


def chosen_bench():
    """One of three keepers, at 2, 3 and 4 money/kg, in a base at 1."""
    names = tuple(keeper.name for keeper in KEEPERS)
    doses = [Dose(**said(f"dose of {n}"), low=0.01, high=0.02, material=n) for n in names]
    one = Choose(**common("one keeper"), unit="", low=1.0, high=1.0, among=names)
    return bench([BASE, *KEEPERS], [1.0, 2.0, 3.0, 4.0], [*doses, one])


def test_a_deadline_passes_with_its_clock_and_its_parts_never_outlast_it():
    deadline = Deadline(10.0, lambda: 4.0)
    assert (deadline.left, deadline.passed()) == (6.0, False)
    assert deadline.part(0.5).at == 7.0
    assert deadline.within(99.0).at == 10.0
    assert Deadline(4.0, lambda: 4.0).passed()
    assert not NEVER.passed()
    assert NEVER.part(0.1).is_never


def test_past_the_deadline_nothing_is_found_and_nothing_is_refused():
    found = cheapest(chosen_bench(), Deadline(0.0, lambda: 1.0))
    assert isinstance(found, Refusal)
    assert isinstance(found.outcome, Stopped)


@pytest.mark.parametrize("ends", range(2, 60, 4))
def test_whenever_time_runs_out_what_is_shown_is_true_and_what_is_not_is_said(ends):
    whole = Explaining.of(chosen_bench(), Wishes()).everything()
    found = Explaining.of(chosen_bench(), Wishes(), ticking(ends))
    if isinstance(found, Refusal):
        assert isinstance(found.outcome, Stopped)
        return
    cut = found.everything()
    assert cut.finding.cost == pytest.approx(whole.finding.cost)
    missing = len(cut.others) < len(whole.others)
    assert bool(cut.undone) or not missing
    premiums = {other.material: other.premium for other in whole.others}
    for other in cut.others:
        assert other.premium == pytest.approx(premiums[other.material])


def test_a_proof_stops_between_two_pivots_when_its_time_has_run_out():
    program = Program(
        costs=(1.0, 2.0, 3.0),
        lower=(0.0,) * 3,
        upper=(1.0,) * 3,
        whole=(False,) * 3,
        rows=tuple(
            Row(f"r{k}", "", (k, (k + 1) % 3), (1.0, 2.0), 0.5 + k / 4, 3.0) for k in range(3)
        ),
    )
    nowhere = Optimal(0.0, (0.0,) * 3, (), (), None)  # a start from which several pivots lead on
    assert isinstance(prove(program, nowhere), ProvedOptimal)
    assert prove(program, nowhere, deadline=ticking(2)) == Unproved(TIME_RAN_OUT)


def test_a_refusal_stays_one_when_there_is_no_time_to_explain_it():
    refused = bench(
        [BASE, DEAR], [1.0, 2.0], [share_of("Base", low=0.6), share_of("Dear", low=0.5)]
    )
    found = cheapest(refused)
    assert isinstance(found.outcome, Infeasible)
    why = reasons(refused, found, deadline=Deadline(0.0, lambda: 1.0))
    assert why.undone
    assert why.clashes.found


@pytest.mark.parametrize("low", [1e-6, 1e-7, 1e-8])
def test_a_tiny_limit_of_a_dear_material_is_kept_by_what_is_called_proved(low):
    mixed = bench([BASE, DEAR], [1.0, 1e6], [share_of("Dear", low=low)])
    finding, proof = proved(mixed, cheapest(mixed))
    assert is_proved(proof)
    assert finding.cost == pytest.approx(1.0 + low * (1e6 - 1.0), rel=1e-12)


@pytest.mark.parametrize("by", [1e-5, 1e-7, 5e-8, 1e-9, 1e-12])
def test_limits_that_cross_by_a_hair_are_refused_with_a_clash_or_said_to_miss_each_other(by):
    low, high = (
        share_of("Base", low=0.3 + by, rule_id="lo"),
        share_of("Base", high=0.3, rule_id="hi"),
    )
    crossed = bench([BASE, DEAR], [1.0, 2.0], [low, high])
    found = cheapest(crossed)
    if isinstance(found, Finding):
        assert not is_proved(proved(crossed, found)[1])
    else:
        assert set(reasons(crossed, found).clashes.found[0].rules) == {"lo", "hi"}


def test_a_dose_whose_lower_limit_is_nothing_still_has_to_be_there_to_count_as_used():
    dose = Dose(**said("dose"), low=0.0, high=0.02, material="keeper 0")
    one = Choose(**common("one keeper"), unit="", low=1.0, high=1.0, among=("keeper 0",))
    found = cheapest(bench([BASE, KEEPERS[0]], [1.0, 9.0], [dose, one]))
    assert all(verdict.kept for verdict in found.verdicts)
    assert "keeper 0" in found.composition.parts
