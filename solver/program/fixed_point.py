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

AT_REST = 1e-6
"""Two rounds whose activity coefficients differ by less give the same answer [log10].

Not the ionic strengths: where there is little salt, a trace more of it moves a pH by a lot.
"""

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
        if at_rest(found, assumed):
            return answer, rows, True
        assumed = found
        rows = rows_of(bench, assumed)
        answer = ask(rows)
    return answer, rows, False


def at_rest(found: float, assumed: float) -> bool:
    """Whether two ionic strengths [mol/kg water] give the same rows on pH."""
    from ...constraints.acidity.activity import davies

    return abs(davies(found) - davies(assumed)) < AT_REST


def state_of(bench: Bench, composition: Composition) -> tuple[float, float]:
    """The pH of a composition's dispersion and its ionic strength [mol/kg water]."""
    from ...constraints.acidity.charge import equilibrium, in_water

    said = acidity_of(bench.brief)
    dilution = bench.brief.dilution if said is None else said.dilution
    return equilibrium(in_water(bench.parts_of(composition), bench.substances, dilution))


def ionic_strength(bench: Bench, composition: Composition) -> float:
    """Ionic strength of a composition's dispersion at its own pH [mol/kg water].

    0 in a brief that says nothing of pH: no row asks for it there.
    """
    return state_of(bench, composition)[1] if speaks_of_water(bench.brief) else 0.0


def speaks_of_water(brief: Brief) -> bool:
    """Whether any rule of a brief depends on the ionic strength of its dispersion."""
    return any(rule.dispersed for rule in brief.rules)
