"""The exact optimum from which sensitivities are measured, its choices held as they were made."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..program.outcome import Optimal, Program
from ..proof.exact import Stand, stand_from_basis, stand_from_point
from ..proof.optimum import Kind
from ..proof.proof import choice_of
from ..proof.proved import ProvedGap, ProvedOptimal, Unproved
from ..proof.scaled import Box, Exact, exact_program
from ..proof.simplex import optimise

Answer = Optimal | ProvedOptimal | ProvedGap
Choice = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """The exact optimum that a walk starts from."""

    exact: Exact
    box: Box
    stand: Stand


def conditioned(program: Program, answer: Answer) -> Program:
    """The program with its whole-number columns held at the answer's values."""
    choice = choice_of(program, answer.x)

    def held(bounds: Sequence[float]) -> tuple[float, ...]:
        return tuple(float(choice.get(j, bound)) for j, bound in enumerate(bounds))

    plain = (False,) * len(program.whole)
    return replace(program, lower=held(program.lower), upper=held(program.upper), whole=plain)


def held_choice(program: Program, answer: Answer) -> Choice:
    """The whole-number columns of an answer and their values."""
    return tuple(choice_of(program, answer.x).items())


def ground_of(program: Program, answer: Answer) -> Ground | Unproved:
    """The exact optimum of a program under the choice of an answer."""
    exact = exact_program(conditioned(program, answer))
    start = (
        stand_from_point(exact, answer.x)
        if answer.basis is None
        else stand_from_basis(exact, answer.basis)
    )
    end = optimise(exact, exact.box, start, exact.costs)
    if end.kind is not Kind.OPTIMAL:
        return Unproved("there is no exact optimum to measure from")
    return Ground(exact, exact.box, end.stand)
