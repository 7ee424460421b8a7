"""How much mix a number of bars takes: one answer for every command."""

from fractions import Fraction
from math import ceil

from ...constraints.model.brief import Balance, Bench, Composition
from ...constraints.model.mix import TRACE
from ..weighing.placing import placed
from ..weighing.weight import decimal


def mix_mass(bench: Bench, bars: int, fill: float) -> float:
    """Mix needed so that losses leave enough for the bars [kg].

    Args:
        bench: its brief says what is lost.
        bars: how many.
        fill: mass of a portion [kg].
    """
    return float(exact_mix(bench, bars, decimal(fill)))


def bowls(bench: Bench, mix: float) -> int:
    """In how many batches so much mix [kg] is made; one where the brief names no bowl."""
    bowl = bench.brief.workshop.bowl
    return 1 if bowl is None else max(ceil(mix / bowl - 1e-9), 1)


def batch_mass(bench: Bench, composition: Composition, bars: int, fill: float) -> float:
    """Mix that ``batch`` weighs for the bars [kg], in steps of the balances that are there.

    The portion is a whole step of its balance, the mix one of the coarsest balance that weighs
    something of it; what may be left over beside it, where just so much cannot be weighed, is not
    in it.

    Args:
        bench: balances and losses.
        composition: what is weighed.
        bars: how many.
        fill: mass of a portion [kg].
    """
    balance = portion_balance(bench.brief.balances, fill)
    pressed = decimal(fill) if balance is None else in_steps(fill, balance)
    mix = exact_mix(bench, bars, pressed)
    if not bench.brief.balances:
        return float(mix)
    shares = {name: decimal(one) for name, one in composition.parts.items() if one > TRACE}
    return float(placed(shares, bench.brief.balances, mix)[1])


def exact_mix(bench: Bench, bars: int, fill: Fraction) -> Fraction:
    """``mix_mass`` of a portion in whole steps, exact [kg]."""
    return bars * fill / (1 - decimal(bench.brief.portioning.loss))


def portion_balance(balances: tuple[Balance, ...], fill: float) -> Balance | None:
    """The finest balance that weighs a portion."""
    weighing = (one for one in balances if one.least <= fill <= one.capacity)
    return min(weighing, key=lambda balance: balance.step, default=None)


def in_steps(fill: float, balance: Balance) -> Fraction:
    """A mass rounded up to a whole step [kg]."""
    step = decimal(balance.step)
    return ceil(decimal(fill) / step) * step
