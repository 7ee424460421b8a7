"""One batch on one set of balances: a grid of whole steps, and the best point of it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor, isfinite, log10

from ...constraints.model.brief import Balance
from ...constraints.model.mix import TRACE
from ...constraints.model.row import WHOLE, Row, Rows
from ...solver.program.deadline import Deadline
from ...solver.program.outcome import Infeasible, Stopped
from .grid import Aim, Grid, Line, best
from .placing import Place, placed
from .weight import DIGITS, Unweighable, Weighed, Weight, decimal

A_SEARCH_S = 20.0
"""For so long one search of the solver goes on [s]."""

_EXACT_PART = 0.5  # of the time of a search, for the batch exactly as asked


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be weighed.

    Args:
        rows: the rules as rows over shares.
        shares: material -> share [kg/kg], exact.
        prices: material -> price [money/kg].
        batch_kg: mass asked for [kg].
        leftover: how much more than that may be weighed [kg/kg].
        aim: nearest or cheapest first.
        deadline: when to give up.
    """

    rows: Rows
    shares: Mapping[str, Fraction]
    prices: Mapping[str, float]
    batch_kg: float
    leftover: float
    aim: Aim
    deadline: Deadline

    @property
    def a_search(self) -> Deadline:
        """When to give up one search."""
        return self.deadline.within(A_SEARCH_S)


@dataclass(frozen=True, slots=True)
class _Laid:
    """Materials on their balances, and the batch in whole steps of the coarsest."""

    asked: Asked
    places: Mapping[str, Place]
    batch: Fraction

    @property
    def steps(self) -> list[Fraction]:
        """[n] a step of each material's balance [kg]."""
        return [decimal(place.balance.step) for place in self.places.values()]

    def mass(self, point: Sequence[int]) -> Fraction:
        """What a point adds up to [kg]."""
        return sum((n * step for n, step in zip(point, self.steps, strict=True)), Fraction())


def exact_shares(rows: Rows, ideal: Mapping[str, float]) -> dict[str, Fraction]:
    """Shares as the decimals they are, traces left out.

    Raises:
        KeyError: when a material has no column.
    """
    stray = sorted(ideal.keys() - set(rows.materials))
    if stray:
        raise KeyError(*stray)
    used = {name: ideal[name] for name in rows.materials if ideal.get(name, 0.0) > TRACE}
    return {name: decimal(share) for name, share in used.items()}


def weighed_once(asked: Asked, balances: Sequence[Balance]) -> Weighed | Unweighable | Stopped:
    """The batch as asked for, else with a little more of it; no ways out are looked for."""
    laid = _laid(asked, balances)
    too_little = tuple(name for name, place in laid.places.items() if not place.sensible)
    grid = _grid(laid)
    plain_kg, plain_breaks = _plain(laid, grid)
    none = Unweighable(float(laid.batch), too_little, (), plain_breaks, (), None)
    if too_little:
        return none
    point = _point(laid, grid)
    if isinstance(point, Stopped):
        return point
    if isinstance(point, Infeasible):
        return none
    return Weighed(
        weights=_weights(laid, point),
        batch=float(laid.mass(point)),
        asked=asked.batch_kg,
        distance=float(grid.measure(Aim.NEAREST, point)),
        cost=float(grid.measure(Aim.CHEAPEST, point)),
        plain=float(plain_kg),
        plain_breaks=plain_breaks,
    )


def without_weights(asked: Asked, balances: Sequence[Balance], dropped: frozenset[str]) -> bool:
    """Whether there are surely no weights even with some rules dropped."""
    laid = _laid(asked, balances)
    grid = (_floating if asked.leftover else _grid)(laid).without(dropped)
    return isinstance(best(grid, (Aim.NEAREST,), asked.a_search), Infeasible)


def rules_of(rows: Rows) -> tuple[str, ...]:
    """The rules that rows are of, each once, but for the one that shares add to one."""
    return tuple(dict.fromkeys(row.rule for row in rows.rows if row.rule != WHOLE))


def _laid(asked: Asked, balances: Sequence[Balance]) -> _Laid:
    places, batch = placed(asked.shares, balances, decimal(asked.batch_kg))
    return _Laid(asked, places, batch)


def _point(laid: _Laid, grid: Grid) -> tuple[int, ...] | Infeasible | Stopped:
    """The best point of the batch as asked; where there is none, of a batch a little larger."""
    asked = laid.asked
    aims = (Aim.NEAREST, Aim.CHEAPEST) if asked.aim is Aim.NEAREST else (Aim.CHEAPEST, Aim.NEAREST)
    search = asked.a_search
    if not asked.leftover:
        return best(grid, aims, search)
    exact = best(grid, aims, search.part(_EXACT_PART))
    return exact if isinstance(exact, tuple) else best(_floating(laid), aims, search)


def _grid(laid: _Laid) -> Grid:
    """The grid of the batch exactly as asked."""
    whole = Line(WHOLE, tuple(laid.steps), laid.batch, laid.batch)
    rows = (row for row in laid.asked.rows.rows if row.rule != WHOLE)
    return _bounded(laid, (whole, *(_line(row, laid, laid.batch) for row in rows)))


def _floating(laid: _Laid) -> Grid:
    """The grid of all batches from the one asked up to what may be left over."""
    most = laid.batch * (1 + decimal(laid.asked.leftover))
    whole = Line(WHOLE, tuple(laid.steps), laid.batch, most)
    rows = (row for row in laid.asked.rows.rows if row.rule != WHOLE)
    return _bounded(laid, (whole, *(line for row in rows for line in _of_any_batch(row, laid))))


def _bounded(laid: _Laid, lines: tuple[Line, ...]) -> Grid:
    asked, steps = laid.asked, laid.steps
    shares = asked.shares.values()
    target = [share * laid.batch / step for share, step in zip(shares, steps, strict=True)]
    bounds = [place.bounds() for place in laid.places.values()]
    priced = zip(laid.places, steps, strict=True)
    return Grid(
        target=tuple(target),
        low=tuple(low for low, _ in bounds),
        high=tuple(high for _, high in bounds),
        weight=tuple(1 / t for t in target),
        price=tuple(decimal(asked.prices[name]) * step for name, step in priced),
        lines=lines,
    )


def _line(row: Row, laid: _Laid, batch: Fraction) -> Line:
    """A row over shares as a line over the steps of a batch of known mass."""
    values, low, high = _settled(row, laid)
    return Line(
        rule=row.rule,
        values=tuple(value * step for value, step in zip(values, laid.steps, strict=True)),
        low=None if low is None else low * batch,
        high=None if high is None else high * batch,
    )


def _of_any_batch(row: Row, laid: _Laid) -> Iterator[Line]:
    """A row over shares as lines over steps whatever they add up to: Σ (v − limit)·mass against 0.

    What does not bear on any material holds or not whatever the batch: it stays as it is.
    """
    values, low, high = _settled(row, laid)
    if not any(values):
        yield Line(row.rule, tuple(values), low, high)
        return
    for limit, at_least in ((low, True), (high, False)):
        if limit is not None:
            over = tuple((v - limit) * s for v, s in zip(values, laid.steps, strict=True))
            zero = Fraction()
            yield Line(row.rule, over, zero if at_least else None, None if at_least else zero)


def _settled(row: Row, laid: _Laid) -> tuple[list[Fraction], Fraction | None, Fraction | None]:
    """A row over the materials used, the choices settled by what is used, and its two sides."""
    rows, shares = laid.asked.rows, laid.asked.shares
    exact = dict(zip(row.columns, _decimals(row.values), strict=True))
    choices = enumerate(rows.choices, len(rows.materials))
    made = (exact.get(place, Fraction()) for place, name in choices if name in shares)
    settled = sum(made, Fraction())
    column = {name: j for j, name in enumerate(rows.materials)}
    values = [exact.get(column[name], Fraction()) for name in shares]
    low = decimal(row.low) - settled if isfinite(row.low) else None
    high = decimal(row.high) - settled if isfinite(row.high) else None
    return values, low, high


def _decimals(values: Sequence[float]) -> Iterator[Fraction]:
    """Coefficients to twelve digits of the largest: what cancelled to dust is nothing."""
    largest = max(map(abs, values), default=1.0)
    digits = max(0, DIGITS - 1 - floor(log10(largest)))
    return (Fraction(f"{value:.{digits}f}") for value in values)


def _plain(laid: _Laid, grid: Grid) -> tuple[Fraction, tuple[str, ...]]:
    """What weights rounded by themselves add up to, and the rules that they break."""
    point = grid.plain()
    total = laid.mass(point)
    if not total:
        return total, ()
    lines = [_line(row, laid, total) for row in laid.asked.rows.rows if row.rule != WHOLE]
    return total, replace(grid, lines=tuple(lines)).broken(point)


def _weights(laid: _Laid, point: Sequence[int]) -> tuple[Weight, ...]:
    total = laid.mass(point)
    return tuple(
        Weight(
            material=name,
            balance=place.balance.name,
            step=place.balance.step,
            steps=steps,
            ideal=float(laid.asked.shares[name] * total),
            loads=tuple(_loads(steps, place)),
        )
        for (name, place), steps in zip(laid.places.items(), point, strict=True)
    )


def _loads(steps: int, place: Place) -> Iterator[float]:
    """As many loads as planned, as alike as whole steps allow, the larger ones first."""
    each, over = divmod(steps, place.loads)
    for load in range(place.loads):
        yield float((each + (load < over)) * decimal(place.balance.step))
