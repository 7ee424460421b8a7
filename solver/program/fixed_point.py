"""Rows that depend on their own answer, settled by asking again.

The pH rows are exact at a given ionic strength, and the ionic strength is that of the composition
they lead to. Solving, reading it off the answer and solving again comes to rest in a few rounds.
"""

from collections.abc import Callable
from typing import TypeVar

from ...constraints.model.brief import Bench, Brief, Composition
from ...constraints.model.row import Rows
from ...constraints.rules.acidity import acidity_of
from ...constraints.rules.rows import rows_of

Answer = TypeVar("Answer")

AT_REST = 1e-4
"""Two rounds whose ionic strengths differ by less give the same answer [mol/kg water]."""

MOST_ROUNDS = 30


def settled(
    bench: Bench,
    ask: Callable[[Rows], Answer],
    composition_of: Callable[[Answer], Composition | None],
    start: float = 0.0,
) -> tuple[Answer, Rows, bool]:
    """Ask over a bench's rows until the ionic strength of the answer is the one assumed.

    Args:
        bench: what was read.
        ask: puts rows to a solver.
        composition_of: the composition of an answer, or ``None`` where it has none.
        start: the ionic strength to begin with [mol/kg water].

    Returns:
        The last answer, the rows it was found with, and whether the rounds came to rest.
    """
    rows = rows_of(bench, start)
    answer = ask(rows)
    if not speaks_of_water(bench.brief):
        return answer, rows, True
    assumed = start
    for _ in range(MOST_ROUNDS):
        composition = composition_of(answer)
        found = assumed if composition is None else ionic_strength(bench, composition)
        if abs(found - assumed) < AT_REST:
            return answer, rows, True
        assumed = found
        rows = rows_of(bench, assumed)
        answer = ask(rows)
    return answer, rows, False


def ionic_strength(bench: Bench, composition: Composition) -> float:
    """Ionic strength of a composition's dispersion at its own pH [mol/kg water].

    0 in a brief that says nothing of pH: no row asks for it there.
    """
    if not speaks_of_water(bench.brief):
        return 0.0
    from ...constraints.acidity.charge import ionic_strength_of

    said = acidity_of(bench.brief)
    dilution = bench.brief.dilution if said is None else said.dilution
    return ionic_strength_of(bench.parts_of(composition), bench.substances, dilution)


def speaks_of_water(brief: Brief) -> bool:
    """Whether any rule of a brief depends on the ionic strength of its dispersion."""
    return any(rule.dispersed for rule in brief.rules)
