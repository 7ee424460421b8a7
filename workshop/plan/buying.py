"""A horizon as one mixed-integer program, and its answer back in the words of the horizon.

Whole packs, one shipping a week and supplier unless the order is large enough, and every kilogram
followed from the lot it came with to the week it is used in, so that nothing is used after its day.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import ceil, inf

from ...constraints.model.row import Row
from ...solver.program.deadline import NEVER, Deadline
from ...solver.program.outcome import Infeasible, Program, Stopped, Unbounded, Within
from ...solver.program.session import solve_within
from .bought import Bought, Origin, counted_again
from .horizon import Carriage, Horizon, Making, Packs
from .reading_back import Laid, Term, bought_of


def buy(
    horizon: Horizon, *, gap: float = 0.0, deadline: Deadline = NEVER
) -> Bought | Infeasible | Unbounded | Stopped:
    """The buying of least cost.

    Args:
        horizon: what is there, can be bought and is made.
        gap: stop as soon as no buying can cost less by more than this share [-].
        deadline: when to stop with the best that was found.

    Raises:
        CheckFailedError: when the answer does not add up by an independent count.
    """
    layout = _Layout(horizon)
    outcome = solve_within(layout.program(), gap, deadline)
    if not isinstance(outcome, Within):
        return outcome
    found = bought_of(layout.laid(), outcome)
    counted_again(horizon, found)
    return found


class _Layout:
    """Columns and rows of a horizon.

    What keeps is one pool for each material; what must be used by some week is followed apart.
    """

    def __init__(self, horizon: Horizon) -> None:
        self._h = horizon
        self._weeks = range(1, horizon.weeks + 1)
        self._costs: list[float] = []
        self._lower: list[float] = []
        self._upper: list[float] = []
        self._whole: list[bool] = []
        self._rows: list[Row] = []
        self._makings = [self._lay(making) for making in horizon.makings]
        self._used = self._uses()
        self._packs = dict(self._lay_packs())
        self._least()
        for carriage in horizon.carriages:
            for week in self._weeks:
                self._ship(carriage, week)
        self._passing = dict(self._lay_passing())
        self._kept = {
            (name, week): self._column(self._stored_cost(name, week))
            for name in horizon.materials()
            for week in self._weeks
        }
        self._balance()
        self._limits()

    def program(self) -> Program:
        """The columns and rows laid."""
        ends = tuple(self._costs), tuple(self._lower), tuple(self._upper)
        return Program(*ends, tuple(self._whole), tuple(self._rows))

    def laid(self) -> Laid:
        """What the columns mean."""
        return Laid(
            horizon=self._h,
            makings=self._makings,
            used=self._used,
            packs=self._packs,
            passing=self._passing,
            kept=self._kept,
            costs=self._costs,
        )

    def _column(
        self, cost: float = 0.0, low: float = 0.0, high: float = inf, *, whole: bool = False
    ) -> int:
        self._costs.append(cost)
        self._lower.append(low)
        self._upper.append(high)
        self._whole.append(whole)
        return len(self._costs) - 1

    def _row(self, part: str, terms: Iterable[Term], low: float, high: float) -> None:
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

    def _uses(self) -> Mapping[tuple[str, int], list[Term]]:
        """(material, week) -> what is used of it, as columns with their kilograms."""
        used: defaultdict[tuple[str, int], list[Term]] = defaultdict(list)
        for making, columns in zip(self._h.makings, self._makings, strict=True):
            for name, column in zip(making.materials, columns, strict=False):
                for week in self._weeks:
                    if making.uses[week - 1]:
                        used[name, week].append((column, making.uses[week - 1]))
        return used

    def _most_needed(self, name: str, week: int) -> float:
        """The most of a material that could be used in a week and after it [kg]."""
        terms = [t for later in self._weeks if later >= week for t in self._used[name, later]]
        used = sum(mass * self._upper[column] for column, mass in terms)
        return used + self._h.closing.get(name, 0.0)

    def _lay_packs(self) -> Iterator[tuple[tuple[int, int], int]]:
        """(offer, week) -> the column that counts its packs."""
        carriages = {one.supplier: one for one in self._h.carriages}
        for place, offer in enumerate(self._h.offers):
            for week, price in enumerate(offer.prices, start=1):
                if price is None:
                    continue
                most = self._most_needed(offer.material, week) + offer.least
                packs = inf if most == inf else float(ceil(most / offer.unit - 1e-9))
                extra = self._for_shipping(carriages.get(offer.supplier), offer, price)
                column = self._column(price, 0.0, packs + extra, whole=offer.pack > 0)
                yield (place, week), column

    def _for_shipping(self, carriage: Carriage | None, offer: Packs, price: float) -> int:
        """Packs that nobody needs and that may yet be worth buying to save the shipping."""
        if carriage is None or carriage.free_from is None or price <= 0:
            return 0
        lost = price - self._h.worth.get(offer.material, 0.0) * offer.unit
        saves = carriage.free_from / price if lost <= 0 else carriage.shipping / lost
        return ceil(min(saves, carriage.free_from / price))

    def _least(self) -> None:
        """What is sold in least amounts is bought in none or in more than that."""
        for (place, _), column in self._packs.items():
            offer, most = self._h.offers[place], self._upper[column]
            if offer.least > offer.unit or (offer.least > 0 and not offer.pack):
                some = self._column(high=1.0, whole=True)
                self._row("least", ((column, offer.unit), (some, -offer.least)), 0.0, inf)
                self._row("most", ((column, 1.0), (some, -most)), -inf, 0.0)

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
        shipped = [paid]
        if carriage.free_from is not None:
            free = self._column(high=1.0, whole=True)
            value = [(column, self._costs[column]) for column in ordered]
            self._row("free", [*value, (free, -carriage.free_from)], 0.0, inf)
            self._row("once", [(paid, 1.0), (free, 1.0)], -inf, 1.0)
            shipped.append(free)
        for column in ordered:
            switches = [(switch, -self._upper[column]) for switch in shipped]
            self._row("shipped", [(column, 1.0), *switches], -inf, 0.0)

    def _lay_passing(self) -> Iterator[tuple[Origin, dict[int, tuple[int, int]]]]:
        """What must be used by some week -> week -> what is drawn of it, and what is left."""
        filled: defaultdict[Origin, list[Term]] = defaultdict(list)
        there: defaultdict[Origin, float] = defaultdict(float)
        for held in self._h.holdings:
            if held.last is not None:
                there[Origin(held.material, 0, held.last, held.lot)] += held.mass
        for (place, week), column in self._packs.items():
            offer = self._h.offers[place]
            if offer.keeps is not None:
                source = Origin(offer.material, week, week + offer.keeps - 1)
                filled[source].append((column, offer.unit))
        for source in (*there, *filled):
            yield source, self._pass(source, filled[source], there[source])

    def _pass(
        self, source: Origin, filled: Sequence[Term], there: float
    ) -> dict[int, tuple[int, int]]:
        columns: dict[int, tuple[int, int]] = {}
        terms = list(filled)
        for week in self._weeks_of(source):
            drawn = self._column()
            left = self._column(self._stored_cost(source.material, week))
            terms.append((drawn, -1.0))
            self._row("stored", [*terms, (left, -1.0)], -there, -there)
            columns[week] = drawn, left
        return columns

    def _weeks_of(self, source: Origin) -> range:
        last = self._h.weeks if source.last is None else min(source.last, self._h.weeks)
        return range(max(source.arrives, 1), last + 1)

    def _stored_cost(self, name: str, week: int) -> float:
        worth = self._h.worth.get(name, 0.0) if week == self._h.weeks else 0.0
        return self._h.storage - worth

    def _balance(self) -> None:
        """What keeps: what was there and what comes, less what is used, is what is there."""
        there: defaultdict[str, float] = defaultdict(float)
        for held in self._h.holdings:
            there[held.material] += held.mass if held.last is None else 0.0
        for name in self._h.materials():
            terms: list[Term] = []
            for week in self._weeks:
                terms += self._bought_to_keep(name, week)
                used = [(column, -mass) for column, mass in self._used[name, week]]
                drawn = [(column, 1.0) for column in self._drawn(name, week)]
                if drawn:
                    self._row("drawn", [*drawn, *used], -inf, 0.0)
                terms += [*drawn, *used]
                start = there[name]
                self._row("kept", [*terms, (self._kept[name, week], -1.0)], -start, -start)

    def _drawn(self, name: str, week: int) -> Iterator[int]:
        """What is drawn in a week of what does not keep; it is used, and never put by."""
        for source, columns in self._passing.items():
            if source.material == name and week in columns:
                yield columns[week][0]

    def _bought_to_keep(self, name: str, week: int) -> Iterator[Term]:
        for (place, when), column in self._packs.items():
            offer = self._h.offers[place]
            if when == week and offer.material == name and offer.keeps is None:
                yield column, offer.unit

    def _limits(self) -> None:
        for week in self._weeks:
            for capacity in self._h.capacities:
                terms = [t for name in capacity.materials for t in self._used[name, week]]
                self._row("capacity", terms, -inf, capacity.most)
            for name in self._h.materials() if self._h.most_stored < inf else ():
                self._row("room", self._there(name, week), -inf, self._h.most_stored)
        for name, mass in self._h.closing.items():
            self._row("closing", self._there(name, self._h.weeks), mass, mass)

    def _there(self, name: str, week: int) -> Iterator[Term]:
        yield self._kept[name, week], 1.0
        for source, columns in self._passing.items():
            if source.material == name and week in columns:
                yield columns[week][1], 1.0
