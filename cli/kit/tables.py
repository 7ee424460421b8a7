"""An answer as tables: what every command gives as one document, laid out for a spreadsheet.

The first table holds the single figures, a line each; every list of records is a table of its own.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeGuard

from .column_units import unit_of

Cell = str | int | float | bool | None
Row = Mapping[str, Cell]
FIGURES = "figures"
_ASIDE = frozenset({"schema", "units", "certificate", "proof"})
"""What no maker reads in a table: a proof is checked by ``barwright verify``."""


@dataclass(frozen=True, slots=True)
class Named:
    """One table.

    Args:
        name: what it is called, such as "composition".
        columns: the keys of its rows, in order.
        heads: a heading for each column, with its unit in brackets.
        rows: the cells of each row by column; a column that is not there is empty.
    """

    name: str
    columns: tuple[str, ...]
    heads: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(slots=True)
class _Laying:
    """Tables as far as they are laid out: name -> rows."""

    command: str
    units: Mapping[str, str]
    figures: list[Row] = field(default_factory=list)
    lists: dict[str, list[Row]] = field(default_factory=dict)

    def record(self, path: tuple[str, ...], record: Mapping[str, object]) -> None:
        """Single figures go to the first table, what is listed to one of its own."""
        for key, value in record.items():
            here = (*path, key)
            if isinstance(value, Mapping) and _names_things(value):
                self.named(here, value, {})
            elif isinstance(value, Mapping):
                self.record(here, value)
            elif _is_listed(value):
                self.listed(here, value, {})
            else:
                self.figures.extend(self._figures(here, value))

    def _figures(self, path: tuple[str, ...], value: object) -> Iterator[Row]:
        for name, cell in _cells(_worded(path), value):
            number = isinstance(cell, int | float) and not isinstance(cell, bool)
            unit = unit_of(f"{self.command} {name}", self.units) if number else ""
            yield {"figure": name, "value": cell, "unit": unit}

    def named(self, path: tuple[str, ...], things: Mapping[str, object], of: Row) -> None:
        """What is known of things by their names: a row for each."""
        records = [
            {"name": name, **(value if isinstance(value, Mapping) else {path[-1]: value})}
            for name, value in things.items()
        ]
        self.listed(path, records, of)

    def listed(self, path: tuple[str, ...], records: Sequence[object], of: Row) -> None:
        """A row for each record, and under what it belongs to where that is a record itself."""
        for number, record in enumerate(records, start=1):
            if not isinstance(record, Mapping):
                continue
            row: dict[str, Cell] = dict(of)
            below = {**of, **_label(path, record, number)}
            self.lists.setdefault(_worded(path), []).append(row)
            self._row(path, record, row, below)

    def _row(
        self,
        path: tuple[str, ...],
        record: Mapping[str, object],
        row: dict[str, Cell],
        below: Row,
        within: tuple[str, ...] = (),
    ) -> None:
        for key, value in record.items():
            here = (*path, *within, key)
            if isinstance(value, Mapping) and _names_things(value):
                self.named(here, value, below)
            elif isinstance(value, Mapping):
                self._row(path, value, row, below, (*within, key))
            elif _is_listed(value):
                self.listed(here, value, below)
            else:
                row.update(_cells(_worded((*within, key)), value))

    def table(self, name: str, rows: Sequence[Row]) -> Named:
        """A table of rows, with a heading for each column."""
        every = dict.fromkeys(key for row in rows for key in row)
        columns = tuple(key for key in every if not _stands_open(key, every, rows))
        heads = tuple(self._head(name, column, rows) for column in columns)
        return Named(name, columns, heads, tuple(rows))

    def _head(self, name: str, column: str, rows: Sequence[Row]) -> str:
        cells = {row.get(column) for row in rows}
        if any(isinstance(cell, str | bool) for cell in cells):
            return column
        unit = unit_of(f"{self.command} {name} {column}", self.units)
        return f"{column} [{unit}]" if unit else column


def tables_of(document: Mapping[str, object]) -> tuple[Named, ...]:
    """The tables of an answer.

    Args:
        document: what the command gives as JSON.

    Returns:
        The single figures first, then a table for each list of records, in the order of the
        document; a list within a record is a table whose rows begin with what they belong to.

    >>> made = tables_of({"cost": 8.2, "units": {"cost": "EUR per kg of mix"},
    ...                   "composition": [{"material": "kaolin", "share": 0.2}]})
    >>> [(one.name, one.heads) for one in made]
    [('figures', ('figure', 'value', 'unit')), ('composition', ('material', 'share [kg/kg]'))]
    """
    laid = _Laying(str(document.get("command", "")), _units(document))
    laid.record((), {key: value for key, value in document.items() if key not in _ASIDE})
    first = laid.table(FIGURES, laid.figures)
    return (first, *(laid.table(name, rows) for name, rows in laid.lists.items()))


def _units(document: Mapping[str, object]) -> Mapping[str, str]:
    units = document.get("units", {"cost": document.get("cost_in", "money")})
    assert isinstance(units, Mapping)  # noqa: S101  (every document of ours)
    return units


def _cells(name: str, value: object) -> Iterator[tuple[str, Cell]]:
    """A value as cells: words that are listed in one, numbers each in its own."""
    if not isinstance(value, list | tuple):
        yield name, value if value is None or isinstance(value, str | int | float) else str(value)
    elif any(isinstance(one, str) for one in value) or not value:
        yield name, "; ".join(map(str, value))
    elif len(value) == 1:
        yield name, value[0]
    else:
        for number, one in enumerate(value, start=1):
            yield f"{name} {number}", one


def _is_listed(value: object) -> TypeGuard[Sequence[object]]:
    return isinstance(value, list | tuple) and any(isinstance(one, Mapping) for one in value)


def _names_things(value: Mapping[str, object]) -> bool:
    """Whether the keys are names of things, such as materials, and not those of a record."""
    return any(not (key.isidentifier() and key == key.lower()) for key in value)


def _label(path: tuple[str, ...], record: Mapping[str, object], number: int) -> Row:
    """What a record is called in the tables of what it holds."""
    name = next((value for value in record.values() if isinstance(value, str)), "")
    one = _worded(path[-1:])
    return {f"{one} no.": number, one: name} if name else {f"{one} no.": number}


def _stands_open(column: str, columns: Iterable[str], rows: Sequence[Row]) -> bool:
    """Whether a column says no more than that a record is missing which others have."""
    parted = any(other.startswith(f"{column} ") for other in columns)
    return parted and all(row.get(column) is None for row in rows)


def _worded(path: Sequence[str]) -> str:
    return " ".join(path).replace("_", " ")
