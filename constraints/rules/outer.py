"""Rows that hold for every dispersion in a cell of pH and ionic strength, whichever it is.

A row at one ionic strength is exact for the compositions that have it, and says nothing of others.
The rows here take each coefficient at its kindest in the cell: whatever keeps the rules with a pH
and an ionic strength inside the cell keeps these rows, so what they rule out is ruled out.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from math import inf

from ..acidity.cell import Cell, widest
from ..acidity.span import charge_span, kindest, salt_span, water_in_dispersion
from ..model.brief import Bench
from ..model.frame import Frame, Same, frame_of
from ..model.row import Row, Rows, row
from ..model.rule import Rule
from .acidity import Acidity, conditional
from .holding import rows_held
from .rows import laid_over, rows_of

BALANCE = "the salt in the water"
"""The rule id of the rows that hold a dispersion in its cell: nature's, not the maker's."""


def acidity_rules(bench: Bench) -> tuple[Acidity, ...]:
    """The rules on pH, in the order of the brief.

    Raises:
        ValueError: when they are not all read at one dilution.
    """
    rules = tuple(rule for rule in bench.brief.rules if isinstance(rule, Acidity))
    if len({rule.dilution for rule in rules}) > 1:
        raise ValueError("rules on pH at several dilutions have several ionic strengths")
    return rules


def trusted(bench: Bench) -> Cell:
    """Where a composition that keeps the rules can lie, as far as the model is trusted.

    The widest cell, cut to the pH that every rule without a condition allows; where they contradict
    each other, to the first.
    """
    bands = [rule for rule in acidity_rules(bench) if rule.when is None]
    cell = widest()
    low, high = _band(cell.ph, bands)
    if low > high:
        low, high = _band(cell.ph, bands[:1])
    return Cell((low, max(low, high)), cell.salt)


def _band(ph: tuple[float, float], rules: Iterable[Acidity]) -> tuple[float, float]:
    low, high = ph
    for rule in rules:
        low = low if rule.low is None else max(low, rule.low)
        high = high if rule.high is None else min(high, rule.high)
    return low, high


def outer_rows(bench: Bench, cell: Cell) -> Rows:
    """A bench's rows such that what keeps the rules inside a cell keeps them too.

    Args:
        bench: what was read.
        cell: of pH and ionic strength of the dispersion.

    Returns:
        The rows of `rows_of` with the coefficients of pH rules at their kindest, then rows that
        hold the dispersion in the cell, under the rule id ``BALANCE``.
    """
    return _outer_rows(Same(bench), cell)


@lru_cache(maxsize=4)  # a search, its proof and its explanations ask for the same cells
def _outer_rows(of: Same[Bench], cell: Cell) -> Rows:
    bench = of.thing
    frame = frame_of(bench)
    outer = [one for rule in bench.brief.rules for one in _outer(rule, frame, cell)]
    balance = _balance(frame, acidity_rules(bench), cell, trusted(bench))
    return laid_over(frame, (*outer, *balance), cell.salt[0])


def _outer(rule: Rule, frame: Frame, cell: Cell) -> Sequence[Row]:
    if isinstance(rule, Acidity):
        return rule.outer(frame, cell)
    if rule.dispersed:
        message = f"{rule.id} depends on the ionic strength, and its bounds are not known"
        raise TypeError(message)
    return rows_held(rule, frame, 0.0)


def _balance(frame: Frame, rules: Sequence[Acidity], cell: Cell, whole: Cell) -> list[Row]:
    """Rows of a cell; where pH is ruled under conditions only, once for each condition."""
    always = any(rule.when is None for rule in rules)
    conditions = [None] if always else list(dict.fromkeys(rule.when for rule in rules))
    sides = list(_sides(frame, rules[0].dilution, cell, whole)) if rules else []
    return [
        conditional(BALANCE, part, values, frame, when=when, at_least=at_least)
        for when in conditions
        for part, values, at_least in sides
    ]


def _sides(
    frame: Frame, dilution: float, cell: Cell, whole: Cell
) -> Iterator[tuple[str, tuple[float, ...], bool]]:
    """Each side of a cell as a row; a pH that the rules ask for has rows of its own already."""
    materials, substances = frame.materials, frame.substances
    for place, at_least in ((0, True), (1, False)):
        if cell.ph[place] not in (widest().ph[place], whole.ph[place]):
            spans = charge_span(materials, substances, cell.ph[place], dilution, cell.salt)
            part = "pH at least" if at_least else "pH at most"
            yield part, kindest(spans, at_least=at_least), at_least
    ions = salt_span(materials, substances, dilution, cell)
    water = [water_in_dispersion(one, dilution) for one in materials]
    for place, at_least in ((0, True), (1, False)):
        if cell.salt[place] > 0.0:
            taken = [2.0 * cell.salt[place] * wet for wet in water]
            spans = [(low - off, high - off) for (low, high), off in zip(ions, taken, strict=True)]
            part = "salt at least" if at_least else "salt at most"
            yield part, kindest(spans, at_least=at_least), at_least


def point_rows(bench: Bench, ph: float, ionic_strength: float) -> Rows:
    """Rows that only compositions of exactly this pH and ionic strength keep.

    Whatever keeps them keeps the rules, if the pH does.
    """
    base, frame = rows_of(bench, ionic_strength), frame_of(bench)
    charge, salt = _at(bench, frame, ph, ionic_strength)
    pinned = (
        row(BALANCE, "pH", dict(enumerate(charge)), 0.0, 0.0),
        row(BALANCE, "salt", dict(enumerate(salt)), 0.0, 0.0),
    )
    return replace(base, rows=(*base.rows, *pinned))


def capped_rows(bench: Bench, ph: float, ionic_strength: float) -> Rows:
    """Rows at an ionic strength that is also the most a dispersion of this pH may have."""
    base, frame = rows_of(bench, ionic_strength), frame_of(bench)
    _, salt = _at(bench, frame, ph, ionic_strength)
    most = row(BALANCE, "salt", dict(enumerate(salt)), -inf, 0.0)
    return replace(base, rows=(*base.rows, most))


def _at(bench: Bench, frame: Frame, ph: float, ionic_strength: float) -> tuple[list[float], ...]:
    """Coefficients of both balances at one pH and ionic strength."""
    dilution = acidity_rules(bench)[0].dilution
    cell = Cell((ph, ph), (ionic_strength, ionic_strength))
    charge = charge_span(frame.materials, frame.substances, ph, dilution, cell.salt)
    ions = salt_span(frame.materials, frame.substances, dilution, cell)
    water = [2.0 * ionic_strength * water_in_dispersion(one, dilution) for one in frame.materials]
    salt = [sum(span) / 2.0 - taken for span, taken in zip(ions, water, strict=True)]
    return [sum(span) / 2.0 for span in charge], salt
