"""Every limit and every column of a program at once."""

from dataclasses import dataclass

from ..program.outcome import Program
from ..proof.proved import Unproved
from .columns import ColumnPrice, column_prices
from .ground import Answer, Choice, held_choice
from .limits import LimitPrice, limit_prices


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """Every limit and every column, under the choice of whole-number columns named."""

    limits: tuple[LimitPrice, ...]
    columns: tuple[ColumnPrice, ...]
    choice: Choice


def sensitivity(program: Program, answer: Answer) -> Sensitivity | Unproved:
    """One-sided prices of all limits and price ranges of all columns.

    Args:
        program: what was solved.
        answer: its optimum; where whole-number columns are, their values are held.
    """
    limits, columns = limit_prices(program, answer), column_prices(program, answer)
    if isinstance(limits, Unproved):
        return limits
    if isinstance(columns, Unproved):
        return columns
    return Sensitivity(limits, columns, held_choice(program, answer))
