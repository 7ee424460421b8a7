"""What is said of many scenarios."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..kit.numbers import in_unit, percent
from ..kit.one_screen import counted

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...solver.scenarios.along import Along
    from ...solver.scenarios.summary import Summary

TAKEN = ("lowest", "one in twenty below", "middle", "one in twenty above", "highest")

OVERLAP = (
    "Prices from which a material is out and up to which it is in overlap where others decide."
)

KNOWING = (
    "The cheapest of each scenario knows which lots came; the formula that is held does not, and"
    " nothing is added to it at the bench. Lots are drawn from the ranges of the certificates and"
    " the catalogue. Law counts as it always does."
)

NO_BARGAIN = "What holding it costs more is told of the scenarios in which it keeps every rule."

NAMED = 3
"""Rules that a sentence names."""


def said_of(bench: "Bench", found: "Summary", *, whole: bool) -> Iterator[str]:
    """What was asked, where there is no answer, and what becomes of the formula that is held."""
    lots = f", with other lots of {counted(found.lots, 'material')}" if found.lots else ""
    yield f"{bench.brief.name}: {found.count:,} scenarios{lots}"
    if found.count < found.asked:
        yield f"{found.asked - found.count:,} more were left undone as time ran out."
    if found.none:
        yield f"{_in(found.none, found.count)} no composition keeps the rules."
    if found.untold:
        yield f"{_in(found.untold, found.count)} it could not be told whether one does."
    if found.unmade:
        yield f"{_in(found.unmade, found.count)} the formula that is held cannot be made."
    if found.breaks:
        yield _broken(found, whole=whole)


def _in(count: int, of: int) -> str:
    return f"In {count:,} of them ({percent(count / of)})" if count < of else "In all of them"


def _broken(found: "Summary", *, whole: bool) -> str:
    """How often the formula that is held breaks a rule, and which."""
    some = list(found.broken.items())[: None if whole else NAMED]
    named = ", ".join(f"{rule} in {count:,}" for rule, count in some)
    left = len(found.broken) - len(some)
    more = f", and {left} more" if left else ""
    where = _in(found.breaks, found.count)
    return f"{where} the formula that is held breaks a rule: {named}{more}."


def label_of(along: "Along") -> str:
    """Which limit or price, as "lower limit of protein"."""
    word = {"low": "lower limit of", "high": "upper limit of", None: "price of"}
    return f"{word[along.varied.side]} {along.varied.about}"


def unit_of(bench: "Bench", along: "Along") -> str:
    """What it is counted in."""
    if along.varied.side is None:
        return f"{bench.brief.currency}/kg"
    rules = {rule.id: rule.unit for rule in bench.brief.rules}
    return rules[along.varied.about]


def place_said(value: float, unit: str) -> str:
    """Where a limit stands, to three figures."""
    return in_unit(float(f"{value:.3g}"), unit)


def span_said(ends: tuple[float, float], unit: str) -> str:
    """From where to where; one place where both are the same."""
    low, high = (place_said(one, unit) for one in ends)
    if low == high:
        return low
    return f"{low.removesuffix(unit).strip()}–{high.removeprefix('pH ')}"


def bare(said: str, unit: str) -> str:
    """What is said of a place, without its unit, which stands in the head.

    >>> bare("0.1–0.28 %", "%"), bare("pH 5–5.5", "pH")
    ('0.1–0.28', '5–5.5')
    """
    return said.removeprefix("pH ").removesuffix(unit).strip()


def headed(what: str, unit: str) -> str:
    """The head of a column with its unit.

    >>> headed("protein", "%"), headed("wax to oil", "")
    ('protein, %', 'wax to oil')
    """
    return f"{what}, {unit}" if unit else what
