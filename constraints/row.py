"""Rules become rows: two-sided linear rows over shares and yes/no choices.

Columns ``0 … n-1`` are the mass fractions of the shelf's materials in the mix as weighed [kg/kg];
columns ``n …`` are the choices: 1 where a material is used, 0 where it is left out.
"""

from dataclasses import dataclass


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
        materials: name of each share column.
        choices: material of each choice column.
        rows: the first is Σ x = 1, under the rule id ``WHOLE``.
    """

    materials: tuple[str, ...]
    choices: tuple[str, ...]
    rows: tuple[Row, ...]


WHOLE = "the whole"
