"""Whole scale steps that still keep every rule.

Rounding each weight to its balance by itself breaks rules: a preservative falls below its minimum,
a ratio passes its limit, the batch no longer adds up. Here every weight is a whole number of steps
of the balance it goes on, the batch adds up exactly, and all rules hold for what is really weighed,
nearest to the ideal. Every figure is taken as the decimal it stands for, so that a weight exactly
at a limit keeps it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor, isfinite, log10

from ...constraints.model.brief import Balance
from ...constraints.model.mix import TRACE
from ...constraints.model.row import WHOLE, Row, Rows
from ...solver.program.deadline import NEVER, Deadline
from ...solver.program.outcome import Infeasible, Stopped
from .grid import Aim, Grid, Line, best
from .weight import DIGITS, Unweighable, Weighed, Weight, decimal

_DECADES = (10, 100, 1000)

BIGGER = tuple(
    map(Fraction, ("1.25", "1.5", "2", "3", "4", "5", "6", "8", "10", "20", "50", "100"))
)
"""Multiples of a batch that are tried when no weights of it keep the rules."""


A_SEARCH_S = 20.0
"""For so long one search of the solver goes on [s]."""


def weigh(
    rows: Rows,
    ideal: Mapping[str, float],
    prices: Mapping[str, float],
    balances: Sequence[Balance],
    batch_kg: float,
    *,
    aim: Aim = Aim.NEAREST,
    bigger: Sequence[float] | None = None,
    deadline: Deadline = NEVER,
) -> Weighed | Unweighable | Stopped:
    """Turn shares into whole scale steps that keep every rule.

    Each material goes on the finest balance that holds it and that reads so little; a load above
    every capacity is split. Which materials are used does not change.

    Args:
        rows: the rules as rows over shares; choices are fixed by what is used.
        ideal: material -> share [kg/kg]; shares up to ``TRACE`` are left out.
        prices: material -> price [money/kg].
        balances: at least one.
        batch_kg: mass asked for [kg].
        aim: nearest to the ideal and then cheapest, or cheapest and then nearest.
        bigger: batches to try where this one cannot be weighed [kg], ascending; by default the
            multiples ``BIGGER`` of this one.
        deadline: when to give up; no search takes longer than ``A_SEARCH_S``.

    Raises:
        ValueError: without a balance, with nothing to weigh or for a batch of nothing.
        KeyError: when a material has no column or no price.
    """
    if not balances or batch_kg <= 0 or not any(share > TRACE for share in ideal.values()):
        message = "weighing takes a balance, a batch and something in it"
        raise ValueError(message)
    asked = _Asked(rows, _exact_shares(rows, ideal), prices, batch_kg, aim, deadline)
    found = _weighed(asked, balances)
    if not isinstance(found, Unweighable):
        return found
    tries = [batch_kg * float(times) for times in BIGGER] if bigger is None else bigger
    return replace(
        found,
        clash=() if found.too_little else _clash(asked, balances),
        finer=_finer(asked, balances),
        bigger=_first_weighable(asked, balances, tries),
        undone=deadline.passed(),
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    rows: Rows
    shares: Mapping[str, Fraction]
    prices: Mapping[str, float]
    batch_kg: float
    aim: Aim
    deadline: Deadline

    @property
    def a_search(self) -> Deadline:
        """When to give up one search."""
        return self.deadline.within(A_SEARCH_S)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a material is weighed; ``sensible`` is false where no balance reads so little."""

    balance: Balance
    loads: int
    sensible: bool

    def nearest(self, mass: Fraction) -> int:
        """A mass in whole steps."""
        return floor(mass / decimal(self.balance.step) + Fraction(1, 2))

    def bounds(self) -> tuple[int, int]:
        """Fewest and most steps."""
        step = decimal(self.balance.step)
        low = max(1, ceil(decimal(self.balance.least) / step)) * self.loads
        return low, floor(decimal(self.balance.capacity) / step) * self.loads


def _exact_shares(rows: Rows, ideal: Mapping[str, float]) -> dict[str, Fraction]:
    stray = sorted(ideal.keys() - set(rows.materials))
    if stray:
        raise KeyError(*stray)
    used = {name: ideal[name] for name in rows.materials if ideal.get(name, 0.0) > TRACE}
    return {name: decimal(share) for name, share in used.items()}


def _weighed(asked: _Asked, balances: Sequence[Balance]) -> Weighed | Unweighable | Stopped:
    places, batch = _placed(asked, balances)
    too_little = tuple(name for name, place in places.items() if not place.sensible)
    grid = _grid(asked, places, batch)
    plain_kg, plain_breaks = _plain(asked, places, grid)
    none = Unweighable(float(batch), too_little, (), plain_breaks, (), None)
    if too_little:
        return none
    aims = (Aim.NEAREST, Aim.CHEAPEST)
    point = best(grid, aims if asked.aim is Aim.NEAREST else aims[::-1], asked.a_search)
    if isinstance(point, Stopped):
        return point
    if isinstance(point, Infeasible):
        return none
    return Weighed(
        weights=_weights(asked, places, batch, point),
        batch=float(batch),
        asked=asked.batch_kg,
        distance=float(grid.measure(Aim.NEAREST, point)),
        cost=float(grid.measure(Aim.CHEAPEST, point)),
        plain=float(plain_kg),
        plain_breaks=plain_breaks,
    )


def _placed(asked: _Asked, balances: Sequence[Balance]) -> tuple[dict[str, _Place], Fraction]:
    """Each material on its balance, and the batch rounded up to the coarsest step among them."""
    batch = decimal(asked.batch_kg)
    while True:
        places = {name: _place(share * batch, balances) for name, share in asked.shares.items()}
        coarsest = max(decimal(place.balance.step) for place in places.values())
        rounded = ceil(batch / coarsest) * coarsest
        if rounded == batch:
            return places, batch
        batch = rounded


def _place(mass: Fraction, balances: Sequence[Balance]) -> _Place:
    """The finest balance that holds a mass and reads so little, else the fewest loads."""
    finest_first = sorted(balances, key=lambda balance: balance.step)
    places = [_Place(b, ceil(mass / decimal(b.capacity)), sensible=True) for b in finest_first]
    fitting = [p for p in places if p.nearest(mass) >= p.bounds()[0]]
    if fitting:
        return min(fitting, key=lambda place: place.loads)
    return _Place(min(finest_first, key=lambda balance: balance.least), 1, sensible=False)


def _grid(asked: _Asked, places: Mapping[str, _Place], batch: Fraction) -> Grid:
    steps = [decimal(place.balance.step) for place in places.values()]
    target = [
        share * batch / step for share, step in zip(asked.shares.values(), steps, strict=True)
    ]
    bounds = [place.bounds() for place in places.values()]
    whole = Line(WHOLE, tuple(steps), batch, batch)
    lines = (_line(row, asked, steps, batch) for row in asked.rows.rows if row.rule != WHOLE)
    return Grid(
        target=tuple(target),
        low=tuple(low for low, _ in bounds),
        high=tuple(high for _, high in bounds),
        weight=tuple(1 / t for t in target),
        price=tuple(
            decimal(asked.prices[name]) * step for name, step in zip(places, steps, strict=True)
        ),
        lines=(whole, *lines),
    )


def _line(row: Row, asked: _Asked, steps: Sequence[Fraction], batch: Fraction) -> Line:
    """A row over shares as a line over steps, the choices settled by what is used."""
    exact = dict(zip(row.columns, _decimals(row.values), strict=True))
    first_choice = len(asked.rows.materials)
    settled = sum(
        (
            exact.get(first_choice + place, Fraction())
            for place, name in enumerate(asked.rows.choices)
            if name in asked.shares
        ),
        Fraction(),
    )
    column = {name: j for j, name in enumerate(asked.rows.materials)}
    values = [exact.get(column[name], Fraction()) for name in asked.shares]
    return Line(
        rule=row.rule,
        values=tuple(value * step for value, step in zip(values, steps, strict=True)),
        low=(decimal(row.low) - settled) * batch if isfinite(row.low) else None,
        high=(decimal(row.high) - settled) * batch if isfinite(row.high) else None,
    )


def _decimals(values: Sequence[float]) -> Iterator[Fraction]:
    """Coefficients to twelve digits of the largest: what cancelled to dust is nothing."""
    largest = max(map(abs, values), default=1.0)
    digits = max(0, DIGITS - 1 - floor(log10(largest)))
    return (Fraction(f"{value:.{digits}f}") for value in values)


def _plain(
    asked: _Asked, places: Mapping[str, _Place], grid: Grid
) -> tuple[Fraction, tuple[str, ...]]:
    """What weights rounded by themselves add up to, and the rules that they break."""
    point = grid.plain()
    steps = [decimal(place.balance.step) for place in places.values()]
    total = sum((n * step for n, step in zip(point, steps, strict=True)), Fraction())
    if not total:
        return total, ()
    lines = [_line(row, asked, steps, total) for row in asked.rows.rows if row.rule != WHOLE]
    return total, replace(grid, lines=tuple(lines)).broken(point)


def _weights(
    asked: _Asked, places: Mapping[str, _Place], batch: Fraction, point: Sequence[int]
) -> tuple[Weight, ...]:
    return tuple(
        Weight(
            material=name,
            balance=place.balance.name,
            step=place.balance.step,
            steps=steps,
            ideal=float(asked.shares[name] * batch),
            loads=tuple(_loads(steps, place)),
        )
        for (name, place), steps in zip(places.items(), point, strict=True)
    )


def _loads(steps: int, place: _Place) -> Iterator[float]:
    """As many loads as planned, as alike as whole steps allow, the larger ones first."""
    each, over = divmod(steps, place.loads)
    for load in range(place.loads):
        yield float((each + (load < over)) * decimal(place.balance.step))


def _clash(asked: _Asked, balances: Sequence[Balance]) -> tuple[str, ...]:
    """Drop rule after rule for as long as there are still no weights; what is left clashes."""
    places, batch = _placed(asked, balances)
    grid = _grid(asked, places, batch)
    rules = tuple(dict.fromkeys(line.rule for line in grid.lines if line.rule != WHOLE))
    dropped: frozenset[str] = frozenset()
    for rule in rules:
        if asked.deadline.passed():
            break
        fewer = dropped | {rule}
        if isinstance(best(grid.without(fewer), (Aim.NEAREST,), asked.a_search), Infeasible):
            dropped = fewer
    return tuple(rule for rule in rules if rule not in dropped)


def _finer(asked: _Asked, balances: Sequence[Balance]) -> tuple[tuple[Balance, ...], ...]:
    """One balance finer by as few decades as do, else all of them."""
    for times in _DECADES:
        if asked.deadline.passed():
            break
        single = tuple(
            (finer,)
            for balance in balances
            for finer in [_finer_by(balance, times)]
            if _would_do(asked, balances, (finer,))
        )
        every = tuple(_finer_by(balance, times) for balance in balances)
        if single or _would_do(asked, balances, every):
            return single or (every,)
    return ()


def _would_do(asked: _Asked, balances: Sequence[Balance], finer: Sequence[Balance]) -> bool:
    swap = {balance.name: balance for balance in finer}
    there = [swap.get(balance.name, balance) for balance in balances]
    return isinstance(_weighed(asked, there), Weighed)


def _finer_by(balance: Balance, times: int) -> Balance:
    step, least = decimal(balance.step) / times, decimal(balance.least) / times
    return replace(balance, step=float(step), least=float(least))


def _first_weighable(
    asked: _Asked, balances: Sequence[Balance], batches_kg: Iterable[float]
) -> float | None:
    for batch_kg in batches_kg:
        if asked.deadline.passed():
            break
        if isinstance(_weighed(replace(asked, batch_kg=batch_kg), balances), Weighed):
            return batch_kg
    return None
