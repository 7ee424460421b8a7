"""A horizon as one mixed-integer program, and its answer back in the words of the horizon.

Whole packs, one shipping a week and supplier unless the order is large enough, and every kilogram
followed from the lot it came with to the week it is used in, so that nothing is used after its day.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from math import ceil, inf

from ...constraints.model.row import Row
from ...solver.program.outcome import Infeasible, Program, Stopped, Unbounded, Within
from ...solver.program.session import solve_within
from .bought import NOTHING, Bought, Drawn, Left, Purchase, Source, counted_again, orders_of
from .horizon import Carriage, Horizon, Making


def buy(
    horizon: Horizon, *, gap: float = 0.0, time_limit_s: float | None = None
) -> Bought | Infeasible | Unbounded | Stopped:
    """The buying of least cost.

    Args:
        horizon: what is there, can be bought and is made.
        gap: stop as soon as no buying can cost less by more than this share [-].
        time_limit_s: stop after so long with the best that was found [s].

    Raises:
        CheckFailedError: when the answer does not add up by an independent count.
    """
    layout = _Layout(horizon)
    outcome = solve_within(layout.program(), gap, time_limit_s)
    if not isinstance(outcome, Within):
        return outcome
    found = layout.read(outcome)
    counted_again(horizon, found)
    return found


class _Layout:
    """Columns and rows of a horizon."""

    def __init__(self, horizon: Horizon) -> None:
        self._h = horizon
        self._costs: list[float] = []
        self._lower: list[float] = []
        self._upper: list[float] = []
        self._whole: list[bool] = []
        self._rows: list[Row] = []
        self._makings = [self._lay(making) for making in horizon.makings]
        self._needs = self._most_used()
        self._packs = dict(self._lay_packs())
        self._least()
        self._carry()
        self._sources = self._lay_sources()
        self._draws = self._lay_draws()
        self._stored = self._lay_stored()
        self._balance()
        self._limits()

    def program(self) -> Program:
        return Program(
            tuple(self._costs),
            tuple(self._lower),
            tuple(self._upper),
            tuple(self._whole),
            tuple(self._rows),
        )

    def _column(
        self, cost: float = 0.0, low: float = 0.0, high: float = inf, *, whole: bool = False
    ) -> int:
        self._costs.append(cost)
        self._lower.append(low)
        self._upper.append(high)
        self._whole.append(whole)
        return len(self._costs) - 1

    def _row(self, part: str, terms: Iterable[tuple[int, float]], low: float, high: float) -> None:
        summed: defaultdict[int, float] = defaultdict(float)
        for column, value in terms:
            summed[column] += value
        kept = sorted((column, value) for column, value in summed.items() if value)
        columns, values = tuple(c for c, _ in kept), tuple(v for _, v in kept)
        self._rows.append(Row("", part, columns, values, low, high))

    def _lay(self, making: Making) -> tuple[int, ...]:
        columns = tuple(
            self._column(cost, low, high, whole=whole)
            for cost, low, high, whole in zip(
                making.costs, making.lower, making.upper, making.whole, strict=True
            )
        )
        for row in making.rows:
            terms = zip((columns[j] for j in row.columns), row.values, strict=True)
            self._row(row.part, terms, row.low, row.high)
        return columns

    def _most_used(self) -> Mapping[str, float]:
        """Material -> the most that could be used of it over all weeks [kg]."""
        used: defaultdict[str, float] = defaultdict(float)
        for making in self._h.makings:
            for name, high in zip(making.materials, making.upper, strict=False):
                used[name] += high * sum(making.uses) if sum(making.uses) else 0.0
        for name, mass in self._h.closing.items():
            used[name] += mass
        return used

    def _lay_packs(self) -> Iterator[tuple[tuple[int, int], int]]:
        """(offer, week) -> the column that counts its packs."""
        free = {one.supplier: one.free_from or 0.0 for one in self._h.carriages}
        for place, offer in enumerate(self._h.offers):
            for week, price in enumerate(offer.prices, start=1):
                if price is None:
                    continue
                most = self._needs.get(offer.material, 0.0) + offer.least
                packs = inf if most == inf else float(ceil(most / offer.unit - 1e-9))
                extra = ceil(free.get(offer.supplier, 0.0) / price) if price > 0 else 0
                column = self._column(price, 0.0, packs + extra, whole=offer.pack > 0)
                yield (place, week), column

    def _least(self) -> None:
        """What is sold in least amounts is bought in none or in more than that."""
        for (place, _), column in self._packs.items():
            offer, most = self._h.offers[place], self._upper[column]
            if offer.least > offer.unit or (offer.least > 0 and not offer.pack):
                some = self._column(high=1.0, whole=True)
                self._row("least", ((column, offer.unit), (some, -offer.least)), 0.0, inf)
                self._row("most", ((column, 1.0), (some, -most)), -inf, 0.0)

    def _carry(self) -> None:
        for carriage in self._h.carriages:
            for week in range(1, self._h.weeks + 1):
                self._ship(carriage, week)

    def _ship(self, carriage: Carriage, week: int) -> None:
        """An order is shipped at a cost, or for nothing from a value on."""
        ordered = [
            column
            for (place, when), column in self._packs.items()
            if when == week and self._h.offers[place].supplier == carriage.supplier
        ]
        if not ordered or carriage.shipping <= 0:
            return
        paid = self._column(carriage.shipping, high=1.0, whole=True)
        shipped = [(paid, 1.0)]
        if carriage.free_from is not None:
            free = self._column(high=1.0, whole=True)
            value = [(column, self._costs[column]) for column in ordered]
            self._row("free", [*value, (free, -carriage.free_from)], 0.0, inf)
            shipped.append((free, 1.0))
        for column in ordered:
            most = self._upper[column]
            switches = [(switch, -most * value) for switch, value in shipped]
            self._row("shipped", [(column, 1.0), *switches], -inf, 0.0)

    def _lay_sources(self) -> dict[Source, list[tuple[int, float]]]:
        """Source -> the columns that fill it, with their kilograms; what is there is column −1."""
        sources: defaultdict[Source, list[tuple[int, float]]] = defaultdict(list)
        for held in self._h.holdings:
            sources[Source(held.material, 0, held.last, held.lot)].append((-1, held.mass))
        for (place, week), column in self._packs.items():
            offer = self._h.offers[place]
            last = None if offer.keeps is None else week + offer.keeps - 1
            sources[Source(offer.material, week, last)].append((column, offer.unit))
        return dict(sources)

    def _weeks(self, source: Source) -> range:
        end = self._h.weeks if source.last is None else min(source.last, self._h.weeks)
        return range(max(source.arrives, 1), end + 1)

    def _lay_draws(self) -> dict[tuple[Source, int], int]:
        return {
            (source, week): self._column()
            for source in self._sources
            for week in self._weeks(source)
        }

    def _lay_stored(self) -> dict[tuple[Source, int], int]:
        """(source, week) -> what is there of it at the end of the week; it may not be negative."""
        stored: dict[tuple[Source, int], int] = {}
        for source, filled in self._sources.items():
            terms = [(column, kilograms) for column, kilograms in filled if column >= 0]
            there = sum(kilograms for column, kilograms in filled if column < 0)
            for week in self._weeks(source):
                kept = self._column(self._stored_cost(source, week))
                terms.append((self._draws[source, week], -1.0))
                self._row("stored", [*terms, (kept, -1.0)], -there, -there)
                stored[source, week] = kept
        return stored

    def _stored_cost(self, source: Source, week: int) -> float:
        worth = self._h.worth.get(source.material, 0.0) if week == self._h.weeks else 0.0
        return self._h.storage - worth

    def _balance(self) -> None:
        """What is used in a week is drawn from stock in that week."""
        for week in range(1, self._h.weeks + 1):
            used: defaultdict[str, list[tuple[int, float]]] = defaultdict(list)
            for making, columns in zip(self._h.makings, self._makings, strict=True):
                if making.uses[week - 1]:
                    for name, column in zip(making.materials, columns, strict=False):
                        used[name].append((column, -making.uses[week - 1]))
            for name in self._h.materials():
                drawn = self._there(self._draws, (name,), week)
                self._row("used", [*drawn, *used[name]], 0.0, 0.0)

    def _limits(self) -> None:
        for week in range(1, self._h.weeks + 1):
            for capacity in self._h.capacities:
                terms = self._there(self._draws, capacity.materials, week)
                self._row("capacity", terms, -inf, capacity.most)
            for name in self._h.materials() if self._h.most_stored < inf else ():
                terms = self._there(self._stored, (name,), week)
                self._row("room", terms, -inf, self._h.most_stored)
        for name, mass in self._h.closing.items():
            self._row("closing", self._there(self._stored, (name,), self._h.weeks), mass, mass)

    def _there(
        self, columns: Mapping[tuple[Source, int], int], names: tuple[str, ...], week: int
    ) -> list[tuple[int, float]]:
        return [
            (column, 1.0)
            for (source, when), column in columns.items()
            if when == week and source.material in names
        ]

    def read(self, outcome: Within) -> Bought:
        """The answer in the words of the horizon; packs are rounded to whole ones."""
        x = outcome.x
        purchases = tuple(sorted(self._purchases(x), key=lambda one: one.week))
        orders = tuple(orders_of(self._h, purchases))
        columns = tuple(tuple(x[column] for column in laid) for laid in self._makings)
        drawn = tuple(
            Drawn(source, week, x[column])
            for (source, week), column in self._draws.items()
            if x[column] > NOTHING
        )
        left = tuple(self._left(x))
        kept = sum(x[column] for column in self._stored.values())
        earned = -sum(
            cost * value
            for making, values in zip(self._h.makings, columns, strict=True)
            for cost, value in zip(making.costs, values, strict=True)
        )
        storage = kept * self._h.storage
        outlay = sum(one.outlay for one in purchases) + sum(one.shipping for one in orders)
        cost = outlay + storage - earned - sum(one.worth for one in left)
        return Bought(purchases, orders, drawn, left, columns, storage, earned, cost, outcome.bound)

    def _purchases(self, x: tuple[float, ...]) -> Iterator[Purchase]:
        for (place, week), column in self._packs.items():
            offer = self._h.offers[place]
            packs = float(round(x[column])) if offer.pack else x[column]
            if packs > NOTHING:
                yield Purchase(offer, week, packs, packs * self._costs[column])

    def _left(self, x: tuple[float, ...]) -> Iterator[Left]:
        for source in self._sources:
            weeks = self._weeks(source)
            mass = (
                x[self._stored[source, weeks[-1]]] if len(weeks) else self._there_at_first(source)
            )
            if mass > NOTHING:
                kept = len(weeks) and weeks[-1] == self._h.weeks
                worth = self._h.worth.get(source.material, 0.0) if kept else 0.0
                yield Left(source, mass, worth * mass)

    def _there_at_first(self, source: Source) -> float:
        return sum(mass for column, mass in self._sources[source] if column < 0)
