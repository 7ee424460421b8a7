"""Materials that could be bought: each alone beside the shelf, and what it may cost at most.

All of them stand in one program, each behind a gate: a row that holds it at nothing until it is
opened. What is found behind a gate is judged like any other composition, at its own ionic strength.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Row
from ...constraints.rules.prices import PricedRow, bearable, priced_rows
from ...constraints.rules.rows import rows_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import as_it_is, program_of
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import at_rest, ionic_strength
from ..program.outcome import Optimal, Program
from ..program.possible import not_ruled_out
from ..program.session import Session
from ..strength.composing import composed, kept

USED = 1e-6
"""A material with no more than this plays no part in a way out [kg/kg]."""

MOST_ROUNDS = 20
"""Rounds in which the price that can be paid for a material is raised."""

DEAREST = 1e6
"""No raw material is asked for at a higher price [money/kg]."""

MOST_BOUGHT = 8
"""So many materials of the catalogue that will do are enough to choose from."""

MOST_TRIED = 24
"""So many are tried to the end."""

AT_LEAST_AS_MUCH = 1.0 - 1e-6
"""So near to its usual dose a material is held to it [-]."""


@dataclass(frozen=True, slots=True, repr=False)
class Purchase(Told):
    """A material of the catalogue that, bought, makes a composition possible.

    Args:
        material: its name.
        share: the least of it that will do [kg/kg].
        up_to: the highest price at which the rules can be kept [money/kg]; ``None`` where its price
            does not matter to them.
        composition: with as little of it as will do.
        held: the most that its suppliers advise [kg/kg], where that is what bounds ``up_to``; else
            ``None``.
    """

    material: str
    share: float
    up_to: float | None
    composition: Composition
    held: float | None = None


def purchases(
    wide: Bench,
    names: Sequence[str],
    *,
    strength: float,
    also: Callable[[Program], Program] = as_it_is,
    most: int = 5,
    deadline: Deadline = NEVER,
) -> tuple[Purchase, ...]:
    """Each material alone beside the shelf: those with which there is a composition.

    Args:
        wide: the bench with all of them on its shelf, as if they cost nothing.
        names: theirs.
        strength: the ionic strength at which to begin [mol/kg water].
        also: what else the question asks.
        most: so many at most, those for which most could be paid first.
        deadline: when to stop.
    """
    if not names or deadline.passed():
        return ()
    gates = _Gates(wide, names, strength, also, deadline)
    found: list[Purchase] = []
    for name in gates.possible()[:MOST_TRIED]:
        if deadline.passed() or len(found) == MOST_BOUGHT:
            break
        settled = _settled(wide, gates, name)
        if settled is not None:
            gates, outcome, composition = settled  # the next is looked for where this one rests
            found.append(_purchase(gates, name, outcome, composition))
    return tuple(sorted(found, key=_worth)[:most])


def _worth(purchase: Purchase) -> tuple[float, float, str]:
    return -_paid(purchase.up_to), purchase.share, purchase.material


def _paid(up_to: float | None) -> float:
    return inf if up_to is None else up_to


class _Gates:
    """The wide program at one ionic strength, its gates shut, kept in the solver."""

    def __init__(
        self,
        wide: Bench,
        names: Sequence[str],
        strength: float,
        also: Callable[[Program], Program],
        deadline: Deadline,
    ) -> None:
        self._args = (wide, names, also, deadline)
        self._bench, self._names, self.strength = wide, names, strength
        rows = rows_of(wide, strength)
        program = also(program_of(rows, wide.prices))
        self._columns = {name: rows.materials.index(name) for name in names}
        shut = tuple(Row("", "gate", (one,), (1.0,), -inf, 0.0) for one in self._columns.values())
        self._first, self._rows = len(program.rows), rows
        self.program = replace(program, rows=(*program.rows, *shut))
        self._deadline = deadline
        self._session: Session | None = None

    def at(self, strength: float) -> "_Gates":
        """The same at another ionic strength."""
        wide, names, also, deadline = self._args
        return _Gates(wide, names, strength, also, deadline)

    def column(self, name: str) -> int:
        """Where a material stands."""
        return self._columns[name]

    def most(self, name: str) -> float:
        """The most of a material that its suppliers advise [kg/kg]; 1 where they do not say."""
        return self._bench.material(name).most_advised

    def possible(self) -> list[str]:
        """The materials that may do by the rows, the most worthwhile first.

        Choices are left half made, which is quick and rules out nothing that will do.
        """
        gates = {name: self._opened(name) for name in self._names}
        likely = not_ruled_out(self.program, gates, self._deadline)
        session = Session(self.program.half_made, self._deadline)
        found: list[tuple[float, float, str]] = []
        for name in (one for one in self._names if one in likely):
            outcome = session.solve_for(self._only(name), [gates[name]])
            if isinstance(outcome, Optimal):
                borne = bearable(self.priced(name), outcome.x, self.column(name))
                found.append((-_paid(borne), outcome.x[self.column(name)], name))
        return [name for _, _, name in sorted(found)]

    def priced(self, name: str) -> tuple[PricedRow, ...]:
        """The rows that move with the price of a material."""
        return priced_rows(self._bench, self.column(name), self.strength)

    def as_little(self, name: str) -> Optimal | None:
        """As little of a material as will do."""
        return self._solved(self._only(name), [self._opened(name)])

    def at_price(self, name: str, price: float) -> Optimal | None:
        """The cheapest composition with a material at a price."""
        column = self.column(name)
        costs = (*self.program.costs[:column], price, *self.program.costs[column + 1 :])
        moved = [self._at_price(one, column, price) for one in self.priced(name)]
        return self._solved(costs, [self._opened(name), *moved])

    def _solved(self, costs: Sequence[float], changed: Sequence[tuple[int, Row]]) -> Optimal | None:
        if self._session is None:
            self._session = Session(self.program, self._deadline)
        outcome = self._session.solve_for(costs, changed)
        return outcome if isinstance(outcome, Optimal) else None

    def _opened(self, name: str) -> tuple[int, Row]:
        place = self._first + self._names.index(name)
        return place, replace(self.program.rows[place], high=self.most(name))

    def _only(self, name: str) -> tuple[float, ...]:
        column = self.column(name)
        return tuple(float(j == column) for j in range(len(self.program.costs)))

    def _at_price(self, priced: PricedRow, column: int, price: float) -> tuple[int, Row]:
        """A row as it stands at a price of one material."""
        row = priced.row
        values = dict(zip(row.columns, row.values, strict=True))
        values[column] = values.get(column, 0.0) + priced.by * price
        columns = tuple(sorted(values))
        moved = replace(row, columns=columns, values=tuple(values[j] for j in columns))
        place = next(i for i, one in self._rows.of(row.rule) if one.part == row.part)
        return place, moved


def _purchase(gates: _Gates, name: str, outcome: Optimal, composition: Composition) -> Purchase:
    """As little of a material as will do, and what it may cost at most."""
    up_to, last = _most_paid(gates, name, outcome)
    most = gates.most(name)
    held = most < 1.0 and up_to is not None and last >= most * AT_LEAST_AS_MUCH
    share = outcome.x[gates.column(name)]
    return Purchase(name, share, up_to, composition, most if held else None)


def _settled(wide: Bench, gates: _Gates, name: str) -> tuple[_Gates, Optimal, Composition] | None:
    """As little as will do, at the ionic strength of its own answer; ``None`` where none stands."""
    for _ in range(3):
        outcome = gates.as_little(name)
        if outcome is None or outcome.x[gates.column(name)] <= USED:
            return None
        composition = composed(wide, outcome)
        if kept(wide, composition):
            return gates, outcome, composition
        strength = ionic_strength(wide, composition)
        if at_rest(strength, gates.strength):
            return None
        gates = gates.at(strength)
    return None


def _most_paid(gates: _Gates, name: str, outcome: Optimal) -> tuple[float | None, float]:
    """The price at which a material just lets the rules in which prices stand be kept.

    Each round asks for the cheapest composition at the price that the last one can bear: it bears
    as much or more, and where prices stand in nothing but a cap on the whole cost the last bears no
    more. Any other such rule is asked for higher prices by halving. What is given back is borne by
    a composition.

    Returns:
        The price, ``None`` where any will do, and how much of it is used then [kg/kg].
    """
    rows, column = gates.priced(name), gates.column(name)
    borne, share = bearable(rows, outcome.x, column), outcome.x[column]
    if borne is None:
        return None, share
    for _ in range(MOST_ROUNDS):
        better = gates.at_price(name, borne)
        more = None if better is None else bearable(rows, better.x, column)
        if better is None or more is None or more <= borne * (1.0 + USED):
            break
        borne, share = more, better.x[column]
    if all(row.caps_cost for row in rows):
        return borne, share
    return _halved(lambda price: gates.at_price(name, price) is not None, borne), share


def _halved(holds: Callable[[float], bool], borne: float) -> float:
    """The highest price that holds, above one that does, found by doubling and halving."""
    high = max(2.0 * borne, 1.0)
    while holds(high) and high < DEAREST:
        borne, high = high, 2.0 * high
    for _ in range(MOST_ROUNDS):
        middle = (borne + high) / 2.0
        borne, high = (middle, high) if holds(middle) else (borne, middle)
    return borne
