"""One program a choice, kept warm: the cheapest composition under other prices.

Every way to make the choices is a linear program of its own, held in the solver at its last basis.
It is asked only where no basis that was met before tells the answer (``vertices``).
The choices that no price could make possible are left out at the start. Where there are too many
ways the choices are left to the solver, which is slower.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import inf

import numpy as np

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Flags, Floats
from ...constraints.model.row import Rows
from ...constraints.rules.prices import priced_rows
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import program_of
from ..cheapest.chosen import chosen
from ..program.outcome import Infeasible, Optimal, Program
from ..program.relaxed import loosened
from ..program.session import Session
from ..program.warm import Warm
from .vertices import RIGHT, THERE, Laid, Places, Vertex

NOTABLE = 1e-9
"""A cost above a cap by less than this keeps it [money/kg]."""

SURELY = 1e-7
"""So much more than the solver's most of a share no point has of it [kg/kg]."""

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
        ways = sorted(_ways(program), key=lambda one: one[0])
        self.warm = [Warm(one) for _, one in ways]
        self._laid = [self._laid_out(*one) for one in zip(self.warm, ways, strict=True)]

    def _laid_out(self, warm: Warm, way: tuple[float, Program]) -> Laid | None:
        """A way to make the choices; ``None`` where they are left to the solver."""
        program = way[1]
        if any(program.whole):
            return None
        apart = -np.eye(len(self.names))
        least = (warm.least(one) for one in apart.tolist()) if warm is not self.warm[0] else ()
        most = [1.0 if one is None else min(SURELY - one, 1.0) for one in least]
        return Laid.of(program, len(self.names), most or [1.0] * len(self.names))

    def cheapest(self, prices: Floats, missing: Sequence[frozenset[str]]) -> tuple[Floats, Floats]:
        """Cost [N] and shares [N, n] of the cheapest compositions; no number where there is none.

        The pH rows stand at the ionic strength of the shelf; whoever asks must see to that. It is
        begun from cold, so that the same is found whatever was asked before.

        Args:
            prices: [N, n] in shelf order [money/kg].
            missing: [N] materials that cannot be had.
        """
        out = laid_missing(self.names, missing)
        asked = _Asked(prices, out, np.full(len(prices), inf), np.zeros(prices.shape))
        for warm, laid in zip(self.warm, self._laid, strict=True):
            warm.cool()
            asked.made(warm, laid)
        none = asked.costs > self.cap + NOTABLE
        asked.shares[none] = 0.0
        return np.where(none | np.isinf(asked.costs), np.nan, asked.costs), asked.shares


@dataclass(frozen=True, slots=True)
class _Asked:
    """Scenarios, and the cheapest compositions that were found for them.

    Args:
        prices: [N, n] [money/kg].
        out: [N, n] what cannot be had.
        costs: [N] of the cheapest so far [money/kg].
        shares: [N, n] of it [kg/kg].
    """

    prices: Floats
    out: Flags
    costs: Floats
    shares: Floats

    def made(self, warm: Warm, laid: Laid | None) -> None:
        """Make the choices one way, wherever that may be cheaper than what was found.

        The solver is asked at the first prices that are left; its point is taken wherever its basis
        shows it to be the cheapest, and scenarios that this way cannot be cheaper in go unasked.
        """
        left, lowest = np.arange(len(self.prices)), np.full(len(self.prices), inf)
        first_way = np.isinf(self.costs).all()
        while len(left):
            one = left[0]
            if warm.least(self.prices[one], np.flatnonzero(self.out[one]).tolist()) is None:
                as_little = (self.out[left] | ~self.out[one]).all(axis=1)
                left = left[~as_little]
                continue
            point = warm.point()
            vertex = None if laid is None else Vertex.of(laid, point, warm.basis())
            shares = point[: self.prices.shape[1]]
            near = self._nearest(left, shares, lowest)
            places = left[near]
            gone = self._taken(places, shares, vertex)
            if vertex is not None and not first_way:
                gone |= vertex.least_at(self.prices[places]) >= self.costs[places] - RIGHT
            left = np.delete(left, near[gone])

    def _nearest(self, left: Places, shares: Floats, lowest: Floats) -> Places:
        """For which of some scenarios no point that was met this way costs less, the first of all.

        Args:
            left: places of scenarios; the point was found for the first.
            shares: [n] of the point.
            lowest: [N] the least cost of a point that was met this way [money/kg]; of these it is
                written down.
        """
        costs = self.prices[left] @ shares
        if self.out.any():
            costs[self.out[left][:, shares > THERE].any(axis=1)] = inf
        nearest = (costs <= lowest[left] + RIGHT) & (costs < inf)
        nearest[0] = True
        lowest[left[nearest]] = costs[nearest]
        return np.flatnonzero(nearest)

    def _taken(self, places: Places, shares: Floats, vertex: Vertex | None) -> Flags:
        """For which of them, the first included, this is the cheapest point this way.

        There it is taken if no other way is cheaper.
        """
        taken = np.arange(len(places)) == 0
        if vertex is not None:
            taken |= vertex.cheapest_at(self.prices[places], self.out[places])
        here = places[taken]
        costs = self.prices[here] @ shares
        better = costs < self.costs[here]
        self.costs[here[better]] = costs[better]
        self.shares[here[better]] = shares
        return np.asarray(taken, dtype=np.bool_)


def only_capped(bench: Bench) -> bool:
    """Whether prices stand in no row but one that caps what the whole mix costs."""
    columns = range(len(bench.shelf))
    return all(one.caps_cost for column in columns for one in priced_rows(bench, column))


def _caps(bench: Bench, rows: Rows) -> frozenset[str]:
    columns = range(len(bench.shelf))
    strength = rows.ionic_strength
    priced = (one for column in columns for one in priced_rows(bench, column, strength))
    return frozenset(one.row.rule for one in priced if one.caps_cost)


def _ways(program: Program) -> Iterator[tuple[float, Program]]:
    """The program once for every way to make its choices that any prices allow, with its cost."""
    for way in every_way(program):
        outcome = None if way is program else Session(way).solve()
        if not isinstance(outcome, Infeasible):
            yield outcome.cost if isinstance(outcome, Optimal) else inf, way


def every_way(program: Program) -> Iterator[Program]:
    """The program once for every way to make its choices; itself where these are too many."""
    choices = [column for column, whole in enumerate(program.whole) if whole]
    if len(choices) > MOST_CHOICES:
        yield program
        return
    for made in product((0.0, 1.0), repeat=len(choices)):
        point = dict(zip(choices, made, strict=True))
        yield chosen(program, [point.get(column, 0.0) for column in range(len(program.costs))])


def laid_missing(names: Sequence[str], missing: Sequence[frozenset[str]]) -> Flags:
    """[N, n] which of some materials cannot be had in each scenario."""
    column = {name: place for place, name in enumerate(names)}
    out = np.zeros((len(missing), len(names)), dtype=np.bool_)
    for row, gone in enumerate(missing):
        out[row, [column[name] for name in gone]] = True
    return out


def shares_of(bench: Bench, composition: Composition) -> Floats:
    """[n] shares in shelf order."""
    return np.array([composition.parts.get(name, 0.0) for name in bench.material_names])
