"""What is weighed: loads in whole steps of a balance, and why it cannot be."""

from dataclasses import dataclass
from fractions import Fraction

from ...constraints.model.brief import Balance

DIGITS = 12


@dataclass(frozen=True, slots=True)
class Weight:
    """What to weigh of one material.

    Args:
        material: its name.
        balance: name of the balance it goes on.
        step: scale step of that balance [kg].
        steps: whole steps, over all loads.
        ideal: what its share of the batch would be, not rounded [kg].
        loads: mass of each load, one after the other [kg]; more than one where no balance holds it.
    """

    material: str
    balance: str
    step: float
    steps: int
    ideal: float
    loads: tuple[float, ...]

    @property
    def exact(self) -> Fraction:
        """Mass as the decimal it is [kg]."""
        return self.steps * decimal(self.step)

    @property
    def mass(self) -> float:
        """Mass [kg]."""
        return float(self.exact)


@dataclass(frozen=True, slots=True)
class Weighed:
    """A batch in whole scale steps that keeps every rule.

    Args:
        weights: in the order of the shelf, materials left out not listed.
        batch: mass of the whole, exactly the sum of the weights [kg].
        asked: mass asked for [kg]; the batch is that, rounded up to the coarsest step used.
        distance: Σ |weight − ideal| / ideal.
        cost: price of what is weighed [money].
        plain: what the weights would add up to, each rounded by itself [kg].
        plain_breaks: rules that weights rounded by themselves would break.
    """

    weights: tuple[Weight, ...]
    batch: float
    asked: float
    distance: float
    cost: float
    plain: float
    plain_breaks: tuple[str, ...]

    @property
    def shares(self) -> dict[str, float]:
        """What is really in the batch [kg/kg]."""
        batch = sum((weight.exact for weight in self.weights), Fraction())
        return {weight.material: float(weight.exact / batch) for weight in self.weights}


@dataclass(frozen=True, slots=True)
class Unweighable:
    """No weights of this batch on these balances keep the rules.

    Args:
        batch: mass tried [kg].
        too_little: materials of which the batch takes less than any balance reads sensibly.
        clash: a smallest set of rules that no weights keep together; without any one of them some
            would. Empty where ``too_little`` says why.
        plain_breaks: rules that weights rounded by themselves would break.
        finer: ways out, each the balances to have instead of those of the same name.
        bigger: the smallest batch tried that can be weighed [kg], as it would be asked for, or
            ``None`` where none could.
        undone: whether time ran out: ``clash`` may then hold more than a smallest set, and not all
            balances and batches were tried.
    """

    batch: float
    too_little: tuple[str, ...]
    clash: tuple[str, ...]
    plain_breaks: tuple[str, ...]
    finer: tuple[tuple[Balance, ...], ...]
    bigger: float | None
    undone: bool = False


def decimal(value: float) -> Fraction:
    """The decimal a float stands for, to twelve digits.

    >>> decimal(0.1 + 0.2)
    Fraction(3, 10)
    """
    return Fraction(f"{value:.{DIGITS}g}")
