"""Rules become rows: two-sided linear rows over shares and yes/no choices.

Columns ``0 … n-1`` are the mass fractions of the shelf's materials in the mix as weighed [kg/kg];
columns ``n …`` are the choices: 1 where a material is used, 0 where it is left out.

=============  ==========================================  ========================================
rule           row                                         note
=============  ==========================================  ========================================
``Share``      low ≤ Σ s·x ≤ high                          s: 1, or the active share
``Ratio``      (a − low·b)·x ≥ 0, (a − high·b)·x ≤ 0       exact, and never divides
``Dose``       low·u ≤ x ≤ high·u                          two rows
``Counting``   low ≤ Σ f·a·x ≤ high                        f: mass counted for a kg of substance
``Mean``       low ≤ Σ p·x ≤ high
``Density``    (1 − low/ρ)·x ≥ 0, (1 − high/ρ)·x ≤ 0       1/Σ(x/ρ): volumes add up
``Cost``       Σ c·x ≤ high
``Acidity``    Q(low)·x ≥ 0, Q(high)·x ≤ 0                 Q: net charge at that pH
``Choose``     low ≤ Σ u ≤ high
``Companion``  u − Σ u_needed ≤ 0, u + u_never ≤ 1
``Without``    Σ x ≤ 0                                     a row, so that it has a price
=============  ==========================================  ========================================
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import singledispatch
from math import inf

from ..model.brief import Bench
from ..model.rule import (
    Acidity,
    Choose,
    Companion,
    Cost,
    Counting,
    Density,
    Dose,
    Kind,
    Limited,
    Mean,
    Ratio,
    Rule,
    Share,
    Without,
)
from .frame import Frame, frame_of, picked, weighted, whole_materials

WHOLE = "the whole"
"""The rule id of the first row: the shares add to one."""


@dataclass(frozen=True, slots=True)
class Row:
    """``low ≤ Σ values[j]·x[columns[j]] ≤ high``; an open side is ±inf.

    Args:
        rule: id of the rule it comes from; the one thing that ties a price back to its rule.
        part: which row of the rule it is ("share", "at least", "at most", …).
        columns: column indices, ascending, each once.
        values: one coefficient for each column, none of them 0.
        low: lower side.
        high: upper side.
    """

    rule: str
    part: str
    columns: tuple[int, ...]
    values: tuple[float, ...]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Rows:
    """A brief and a shelf as linear rows.

    Args:
        materials: [n] name of each share column.
        choices: material of each choice column, after the shares.
        rows: the first is Σ x = 1, under the rule id ``WHOLE``.
        ionic_strength: what the pH rows assume of the dispersion [mol/kg water].
    """

    materials: tuple[str, ...]
    choices: tuple[str, ...]
    rows: tuple[Row, ...]
    ionic_strength: float = 0.0

    def of(self, rule: str) -> tuple[tuple[int, Row], ...]:
        """The rows of a rule, each with its index."""
        return tuple((index, row) for index, row in enumerate(self.rows) if row.rule == rule)


def rows_of(bench: Bench, ionic_strength: float = 0.0) -> Rows:
    """Turn a bench's rules into rows.

    Args:
        bench: what was read.
        ionic_strength: of the dispersion in which pH is read [mol/kg water].

    Raises:
        ValueError: when a material may be chosen but no rule doses it.
    """
    frame = frame_of(bench)
    _refuse_undosed(bench.brief.rules, frame)
    whole = _row(WHOLE, "sum", dict.fromkeys(range(len(frame.materials)), 1.0), 1.0, 1.0)
    rows = [row for rule in bench.brief.rules for row in rows_of_rule(rule, frame, ionic_strength)]
    return Rows(tuple(frame.index), tuple(frame.choices), (whole, *rows), ionic_strength)


def rows_of_rule(rule: Rule, frame: Frame, ionic_strength: float = 0.0) -> list[Row]:
    """The rows of one rule over a bench's columns; always as many, whatever the limits."""
    if isinstance(rule, Acidity):
        return _acidity(rule, frame, ionic_strength)
    return _rows(rule, frame)


def moved(rule: Limited, side: str, limit: float) -> Limited:
    """The same rule with its ``"low"`` or ``"high"`` limit elsewhere."""
    return replace(rule, low=limit) if side == "low" else replace(rule, high=limit)


@singledispatch
def _rows(rule: Rule, frame: Frame) -> list[Row]:
    message = f"no rows are known for {type(rule).__name__}"
    raise TypeError(message)


@_rows.register
def _share(rule: Share, frame: Frame) -> list[Row]:
    return [_between(rule, "share", picked(rule.of, frame))]


@_rows.register
def _ratio(rule: Ratio, frame: Frame) -> list[Row]:
    of, to = picked(rule.of, frame), picked(rule.to, frame)
    rows = []
    if rule.low is not None:
        rows.append(_row(rule.id, "at least", _less(of, to, rule.low), 0.0, inf))
    if rule.high is not None:
        rows.append(_row(rule.id, "at most", _less(of, to, rule.high), -inf, 0.0))
    return rows


@_rows.register
def _dose(rule: Dose, frame: Frame) -> list[Row]:
    share, used = frame.index[rule.material], frame.choices[rule.material]
    low, high = _limits(rule)
    return [
        _row(rule.id, "at least", {share: 1.0, used: -low}, 0.0, inf),
        _row(rule.id, "at most", {share: 1.0, used: -high}, -inf, 0.0),
    ]


@_rows.register
def _counting(rule: Counting, frame: Frame) -> list[Row]:
    end = "high" if rule.kind is Kind.LAW else "typical"
    return [_between(rule, "sum", weighted(rule.factors, frame, end))]


@_rows.register
def _mean(rule: Mean, frame: Frame) -> list[Row]:
    values = {column: rule.values[name] for name, column in frame.index.items()}
    return [_between(rule, "mean", values)]


@_rows.register
def _density(rule: Density, frame: Frame) -> list[Row]:
    """Volumes add up: at least ``low`` is Σ x/ρ ≤ 1/low, and the shares add to one."""
    rows = []
    if rule.low is not None:
        rows.append(_row(rule.id, "at least", _lighter(rule, frame, rule.low), 0.0, inf))
    if rule.high is not None:
        rows.append(_row(rule.id, "at most", _lighter(rule, frame, rule.high), -inf, 0.0))
    return rows


def _lighter(rule: Density, frame: Frame, limit: float) -> dict[int, float]:
    return {column: 1.0 - limit / rule.values[name] for name, column in frame.index.items()}


@_rows.register
def _cost(rule: Cost, frame: Frame) -> list[Row]:
    return [_between(rule, "cost", dict(enumerate(frame.prices)))]


@_rows.register
def _choose(rule: Choose, frame: Frame) -> list[Row]:
    return [_between(rule, "choice", {frame.choices[name]: 1.0 for name in rule.among})]


@_rows.register
def _companion(rule: Companion, frame: Frame) -> list[Row]:
    used = frame.choices[rule.material]
    rows = []
    if rule.needs:
        needs = {used: 1.0} | {frame.choices[name]: -1.0 for name in rule.needs}
        rows.append(_row(rule.id, "needs", needs, -inf, 0.0))
    rows += [
        _row(rule.id, f"never with {name}", {used: 1.0, frame.choices[name]: 1.0}, -inf, 1.0)
        for name in rule.never
    ]
    return rows


@_rows.register
def _without(rule: Without, frame: Frame) -> list[Row]:
    return [_row(rule.id, "none", dict.fromkeys(whole_materials(rule.of, frame), 1.0), -inf, 0.0)]


def _acidity(rule: Acidity, frame: Frame, ionic_strength: float) -> list[Row]:
    """Net charge falls as pH rises: pH ≥ low is Q(low) ≥ 0, and pH ≤ high is Q(high) ≤ 0."""
    rows = []
    if rule.low is not None:
        charge = _charge(rule, frame, rule.low, ionic_strength)
        rows.append(_conditional(rule, "at least", charge, frame, at_least=True))
    if rule.high is not None:
        charge = _charge(rule, frame, rule.high, ionic_strength)
        rows.append(_conditional(rule, "at most", charge, frame, at_least=False))
    return rows


def _charge(rule: Acidity, frame: Frame, ph: float, ionic_strength: float) -> dict[int, float]:
    from ..acidity.charge import charge_coefficients  # only a brief with a pH rule pays for it

    coefficients = charge_coefficients(
        frame.materials, frame.substances, ph, rule.dilution, ionic_strength
    )
    return dict(enumerate(coefficients))


def _conditional(
    rule: Acidity, part: str, charge: dict[int, float], frame: Frame, *, at_least: bool
) -> Row:
    """Q on the right side of zero; with ``when``, only where that material is used.

    Shares are at least 0 and add to one, so Q never leaves the span of its coefficients: that span
    is the smallest constant that frees the row when the material is left out.
    """
    low, high = (0.0, inf) if at_least else (-inf, 0.0)
    if rule.when is None:
        return _row(rule.id, part, charge, low, high)
    used = frame.choices[rule.when]
    if at_least:
        worst = min(0.0, *charge.values())
        return _row(rule.id, part, charge | {used: worst}, worst, inf)
    worst = max(0.0, *charge.values())
    return _row(rule.id, part, charge | {used: worst}, -inf, worst)


def _between(rule: Limited, part: str, values: Mapping[int, float]) -> Row:
    return _row(rule.id, part, values, *_limits(rule))


def _limits(rule: Limited) -> tuple[float, float]:
    return (
        -inf if rule.low is None else rule.low,
        inf if rule.high is None else rule.high,
    )


def _row(rule: str, part: str, values: Mapping[int, float], low: float, high: float) -> Row:
    entries = sorted(entry for entry in values.items() if entry[1])
    columns, numbers = zip(*entries, strict=True) if entries else ((), ())
    return Row(rule, part, columns, numbers, low, high)


def _less(of: Mapping[int, float], to: Mapping[int, float], times: float) -> dict[int, float]:
    columns: Iterable[int] = of.keys() | to.keys()
    return {column: of.get(column, 0.0) - times * to.get(column, 0.0) for column in columns}


def _refuse_undosed(rules: Iterable[Rule], frame: Frame) -> None:
    dosed = {rule.material for rule in rules if isinstance(rule, Dose)}
    undosed = sorted(frame.choices.keys() - dosed)
    if undosed:
        message = f"may be chosen but no rule doses: {', '.join(undosed)}"
        raise ValueError(message)
