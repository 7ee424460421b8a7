"""What a plan is made of: bars wanted, what is needed, and what stands in the way."""

from dataclasses import dataclass

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...constraints.values.told import Told
from ...solver.program.outcome import Infeasible, Stopped, Unbounded
from .asking import Terms
from .bought import Bought
from .order import Planned


@dataclass(frozen=True, slots=True)
class Bar:
    """One kind of bar of a plan.

    Args:
        bench: its bench.
        formula: what it is made of today.
        composition: what it is made of by the plan.
        verdicts: every rule's.
        changed: how much of it is another substance than today [kg/kg].
        masses: [weeks] mix made in each week [kg].
    """

    bench: Bench
    formula: Composition
    composition: Composition
    verdicts: tuple[Verdict, ...]
    changed: float
    masses: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Need:
    """One material over the whole plan.

    Args:
        material: its name.
        needed: in all [kg].
        there: in stock now, and usable in time [kg]; ``None`` where it was not counted.
        short: needed and not there [kg].
        ordered: by the plan [kg].
        left: at the end [kg].
        best_before: the first day after which some of what is left is past its best, or empty.
    """

    material: str
    needed: float
    there: float | None
    short: float
    ordered: float
    left: float
    best_before: str


@dataclass(frozen=True, slots=True, repr=False)
class Plan(Told):
    """A plan.

    Args:
        terms: what it assumes.
        weeks: how many.
        bars: every kind of bar.
        batches: in the order they are made.
        needs: every material.
        bought: orders, lots and costs.
        in_time: whether it was proved within the gap asked for; else the time ran out before.
    """

    terms: Terms
    weeks: int
    bars: tuple[Bar, ...]
    batches: tuple[Planned, ...]
    needs: tuple[Need, ...]
    bought: Bought
    in_time: bool

    @property
    def outlay(self) -> float:
        """What the orders cost, with shipping [money]."""
        return sum(one.goods + one.shipping for one in self.bought.orders)


@dataclass(frozen=True, slots=True, repr=False)
class NoPlan(Told):
    """No plan makes the bars that are wanted.

    Args:
        why: what the solver said.
        cannot_be_had: materials that a formula needs and nobody offers, with what is missing [kg].
        too_late: (material, what is missing before it can be there [kg], the first week it can).
    """

    why: Infeasible | Unbounded | Stopped
    cannot_be_had: tuple[tuple[str, float], ...]
    too_late: tuple[tuple[str, float, int], ...] = ()
