"""One program a choice, kept warm: the cheapest composition under other prices.

Every way to make the choices is a linear program of its own, held in the solver at its last basis.
The choices that no price could make possible are left out at the start. Where there are too many
ways the choices are left to the solver, which is slower.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import inf

import numpy as np

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Floats
from ...constraints.model.row import Rows
from ...constraints.rules.prices import priced_rows
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import chosen, program_of
from ..program.outcome import Infeasible, Program
from ..program.relaxed import loosened
from ..program.session import Session
from ..program.warm import Warm

NOTABLE = 1e-9
"""A cost above a cap by less than this keeps it [money/kg]."""

MOST_CHOICES = 6
"""Up to so many yes/no choices every way to make them is held warm."""


class Shelf:
    """A bench held in the solver, asked again under other prices.

    A row that caps what the whole mix costs is left open: the least cost keeps it or nothing does.
    """

    def __init__(self, bench: Bench, strength: float) -> None:
        self.names = bench.material_names
        rows = rows_of(bench, strength)
        caps = _caps(bench, rows)
        self.cap = min((one.high for one in rows.rows if one.rule in caps), default=inf)
        opened = (loosened(one) if one.rule in caps else one for one in rows.rows)
        program = replace(program_of(rows, bench.prices), rows=tuple(opened))
        self.warm = [Warm(one) for one in _ways(program)]

    def cheapest(
        self, prices: Sequence[float], missing: frozenset[str]
    ) -> tuple[float, Floats] | None:
        """Cost [money/kg] and shares [n] of the cheapest composition; ``None`` where there is none.

        The pH rows stand at the ionic strength of the shelf; whoever asks must see to that.

        Args:
            prices: [n] in shelf order [money/kg].
            missing: materials that cannot be had.
        """
        out = [self.names.index(name) for name in missing]
        best: Warm | None = None
        least = inf
        for one in self.warm:
            found = one.least(prices, out)
            if found is not None and found < least:
                best, least = one, found
        if best is None or least > self.cap + NOTABLE:
            return None
        shares = best.point()[: len(self.names)]
        return float(np.dot(prices, shares)), shares

    def cool(self) -> None:
        """Begin again, as from a fresh start."""
        for one in self.warm:
            one.cool()


def only_capped(bench: Bench) -> bool:
    """Whether prices stand in no row but one that caps what the whole mix costs."""
    columns = range(len(bench.shelf))
    return all(one.caps_cost for column in columns for one in priced_rows(bench, column))


def _caps(bench: Bench, rows: Rows) -> frozenset[str]:
    columns = range(len(bench.shelf))
    strength = rows.ionic_strength
    priced = (one for column in columns for one in priced_rows(bench, column, strength))
    return frozenset(one.row.rule for one in priced if one.caps_cost)


def _ways(program: Program) -> Iterator[Program]:
    """The program once for every way to make its choices that any prices allow."""
    for way in every_way(program):
        if way is program or not isinstance(Session(way).solve(), Infeasible):
            yield way


def every_way(program: Program) -> Iterator[Program]:
    """The program once for every way to make its choices; itself where these are too many."""
    choices = [column for column, whole in enumerate(program.whole) if whole]
    if len(choices) > MOST_CHOICES:
        yield program
        return
    for made in product((0.0, 1.0), repeat=len(choices)):
        point = dict(zip(choices, made, strict=True))
        yield chosen(program, [point.get(column, 0.0) for column in range(len(program.costs))])


def shares_of(bench: Bench, composition: Composition) -> Floats:
    """[n] shares in shelf order."""
    return np.array([composition.parts.get(name, 0.0) for name in bench.material_names])
