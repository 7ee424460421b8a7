"""Ways out when no composition keeps the rules: which rules could give way, and by how little.

Every way out is tried: it comes with a point that was found with it and checked against its rows.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from ...constraints.model.row import WHOLE
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Program
from .conflict import cures
from .steps import CutShortError, Relaxable, RowsWith, Tried, WayOut

MOST_CURES = 40
"""So many smallest sets of rules to give way are tried."""


def give_way(
    program: Program,
    relaxable: Sequence[Relaxable],
    rows_with: RowsWith,
    *,
    droppable: frozenset[str] = frozenset(),
    keep: frozenset[str] = frozenset({WHOLE}),
    most: int = 5,
    most_rules: int = 3,
    deadline: Deadline = NEVER,
) -> tuple[WayOut, ...]:
    """The smallest concessions that make a program possible.

    Rules that are neither relaxable nor droppable, laws above all, hold throughout. Where several
    rules must give way together their limits first move by the same relative amount; then each is
    taken back as far as the others allow, so that none could stay a step nearer to where it was.

    Args:
        program: what has no answer.
        relaxable: rules whose limits may move.
        rows_with: rows of a rule with other limits, as indices and the rows to put there; only
            wider limits are asked for, and wider limits must not forbid what narrower ones allow.
        droppable: rules, such as yes/no ones, that may be given up whole.
        keep: rows that are not rules.
        most: so many ways at most.
        most_rules: no way that touches more rules.
        deadline: when to stop.

    Returns:
        Those that drop the fewest rules first, then those that give the least, then the cheapest.
        None when the program has an answer, or when no such concession gives it one.
    """
    limits = {rule.rule: rule for rule in relaxable}
    free = limits.keys() | droppable
    fixed = frozenset(row.rule for row in program.rows if row.rule not in free)
    tried = Tried(program, limits, rows_with, deadline)
    found = cures(
        program, keep | fixed, most=MOST_CURES, most_rules=most_rules, deadline=deadline
    ).found
    concessions = (
        concession
        for cure in found
        for concession in product(*(_options(rule, limits, droppable) for rule in cure))
    )
    ways = list(_until_cut_short(tried.ways(one) for one in concessions))
    best = sorted(ways, key=lambda way: (len(way.dropped), way.give, way.cost))[:most]
    return tuple(_until_cut_short((tried.refined(way),) for way in best))


def _until_cut_short(several: Iterable[Iterable[WayOut]]) -> Iterator[WayOut]:
    """As many as there is time for."""
    try:
        for ways in several:
            yield from ways
    except CutShortError:
        return


def _options(
    rule: str, limits: Mapping[str, Relaxable], droppable: frozenset[str]
) -> list[tuple[str, str]]:
    """How a rule can give way; no point ever misses it on both sides, so one side is enough."""
    sides = []
    if rule in limits:
        sides += [(rule, "low")] if limits[rule].low is not None else []
        sides += [(rule, "high")] if limits[rule].high is not None else []
    return sides + ([(rule, "dropped")] if rule in droppable else [])
