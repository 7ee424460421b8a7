"""A program over a few of its columns, with what is left of its rows once the others are held.

Most materials of a long shelf cost too much to be of use; a program without them is small and
quick, and whether leaving them out cost anything is for a bound over all of them to say.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from ...constraints.model.row import Row
from .outcome import Program


class Excerpts:
    """A program laid out by columns, from which a few can be taken again and again."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._entries: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
        for place, row in enumerate(program.rows):
            for column, value in zip(row.columns, row.values, strict=True):
                self._entries[column].append((place, value))

    def over(
        self,
        columns: Sequence[int],
        held: Mapping[int, float],
        instead: Iterable[tuple[int, Row]] = (),
    ) -> Program:
        """The program over some columns, none of which counts in whole numbers any more.

        Args:
            columns: to keep, in this order.
            held: what other columns are held at; those not named are held at nothing.
            instead: index of a row and the row to put in its place, over the columns kept.
        """
        program, other = self._program, dict(instead)
        entries: defaultdict[int, dict[int, float]] = defaultdict(dict)
        for k, column in enumerate(columns):
            for place, value in self._entries[column]:
                entries[place][k] = value
        taken: defaultdict[int, float] = defaultdict(float)
        for column, at in held.items():
            for place, value in self._entries[column] if at else ():
                taken[place] += value * at
        rows = [
            other[place] if place in other else _left(row, entries[place], taken[place])
            for place, row in enumerate(program.rows)
            if place in entries or place in taken or place in other or not _free(row)
        ]
        return Program(
            costs=tuple(program.costs[column] for column in columns),
            lower=tuple(program.lower[column] for column in columns),
            upper=tuple(program.upper[column] for column in columns),
            whole=(False,) * len(columns),
            rows=tuple(row for row in rows if row.columns or not _free(row)),
        )


def _free(row: Row) -> bool:
    """Whether a row is kept by nothing at all."""
    return row.low <= 0.0 <= row.high


def without(row: Row, held: Mapping[int, float], first: int) -> Row:
    """A row over columns below ``first``, its others held."""
    pairs = list(zip(row.columns, row.values, strict=True))
    entries = {column: value for column, value in pairs if column < first}
    return _left(
        row,
        entries,
        sum(value * held.get(column, 0.0) for column, value in pairs if column >= first),
    )


def _left(row: Row, entries: Mapping[int, float], taken: float) -> Row:
    """What is left of a row over a few columns once what the others bring is taken off."""
    columns = tuple(entries)
    return Row(
        row.rule, row.part, columns, tuple(entries.values()), row.low - taken, row.high - taken
    )
