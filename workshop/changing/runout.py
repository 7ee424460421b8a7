"""Using up an old material: whole batches, one with the rest and its successor, then the switch."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.mix import TRACE
from ...constraints.model.rule import material_shut_out
from ...constraints.values.told import Told
from ...solver.cheapest.cheapest import Refusal
from ...solver.nearest.nearest import Near, nearest
from ...solver.program.deadline import NEVER, Deadline
from ..weighing.placing import placed
from ..weighing.weight import decimal


@dataclass(frozen=True, slots=True, repr=False)
class Runout(Told):
    """How a stock is used up.

    Args:
        old: the material that runs out.
        stock: what is there of it [kg].
        batch: mix in a batch [kg].
        each: what a batch takes of it today, in whole steps of the balance it goes on [kg].
        whole: batches that can still be made as today.
        rest: what is left of it then [kg].
        least: the smallest amount that any balance of the brief reads sensibly [kg], or ``None``
            where it names none.
        mixed: the formula of the batch that takes all of the rest; ``None`` where nothing is left,
            or too little to weigh.
        after: the formula of all batches after it.
    """

    old: str
    stock: float
    batch: float
    each: float
    whole: int
    rest: float
    least: float | None
    mixed: Near | Refusal | None
    after: Near | Refusal

    @property
    def weighable(self) -> bool:
        """Whether the rest can be weighed at all."""
        return self.rest > 0 and self.rest >= (self.least or 0.0)


def run_out(
    bench: Bench,
    formula: Composition,
    old: str,
    stock: float,
    batch: float,
    *,
    deadline: Deadline = NEVER,
) -> Runout:
    """Plan how a stock is used up, so that nothing is thrown away.

    Args:
        bench: what was read, the old material ruled out and its successor on the shelf.
        formula: as it is made today.
        old: the material that runs out.
        stock: what is there of it [kg].
        batch: mix in a batch [kg].
        deadline: when to give up; a formula not found by then is a refusal that says so.

    Raises:
        ValueError: when the formula has none of it, or a mass is not more than nothing.
        CheckFailedError: when an answer breaks a rule by the independent check.
    """
    share = formula.parts.get(old, 0.0)
    if not (share > 0 and stock >= 0 and batch > 0):
        message = f"{share} of {old} in a formula, {stock} kg in stock, {batch} kg a batch"
        raise ValueError(message)
    each = _each(bench, formula, old, decimal(batch))
    whole = floor(decimal(stock) / each)
    rest = float(decimal(stock) - whole * each)
    least = min((balance.least for balance in bench.brief.balances), default=None)
    plan = Runout(
        old=old,
        stock=stock,
        batch=batch,
        each=float(each),
        whole=whole,
        rest=rest,
        least=least,
        mixed=None,
        after=nearest(bench, formula, deadline=deadline.part(0.5)),
    )
    return replace(plan, mixed=_mixed(bench, formula, plan, deadline)) if plan.weighable else plan


def _each(bench: Bench, formula: Composition, old: str, batch: Fraction) -> Fraction:
    """What a batch takes of the old material, as its balance shows it [kg]."""
    shares = {name: decimal(one) for name, one in formula.parts.items() if one > TRACE}
    exact = decimal(formula.parts[old]) * batch
    if not bench.brief.balances or old not in shares:
        return exact
    place = placed(shares, bench.brief.balances, batch)[0][old]
    return place.nearest(exact) * decimal(place.balance.step) or exact


def _mixed(bench: Bench, formula: Composition, plan: Runout, deadline: Deadline) -> Near | Refusal:
    """The formula nearest to today's that takes the rest and no more of the old material."""
    share = plan.rest / plan.batch
    taken = {plan.old: (share, share)}
    return nearest(_let_in(bench, (plan.old,)), formula, within=taken, deadline=deadline)


def _let_in(bench: Bench, names: Iterable[str]) -> Bench:
    """The bench without the rules that keep these materials out by name."""
    let_in = set(names)
    rules = tuple(rule for rule in bench.brief.rules if material_shut_out(rule) not in let_in)
    return replace(bench, brief=replace(bench.brief, rules=rules))
