"""The shelf with its stock changed, every other letter as it was."""

import csv
from collections.abc import Collection, Iterator, Mapping

from ..values.names import folded
from ..values.problem import Problem, Problems, Where
from ..values.units import Dimension, Misread, parse, shown

LEFT = 1e-9
"""Less than this is nothing [kg]."""


def with_stock_changed(
    file: str, content: bytes, changes: Mapping[tuple[str, str], float]
) -> str | Problems:
    """The text of a shelf with the stock of some lots raised or lowered.

    Args:
        file: as shown to the maker.
        content: the shelf as it stands.
        changes: (material, lot or empty) -> what comes or goes [kg]. Without a lot it is taken from
            the lines of the material in their order, and given back to the first.

    Returns:
        The new text, or what stands in the way. A line whose stock was not counted stays so.
    """
    text = content.decode("utf-8-sig")
    lines = text.splitlines(keepends=True)
    head = next((n for n, line in enumerate(lines) if _says(line)), None)
    if head is None:
        return Problems((Problem(Where(file), "no header", "a shelf"),))
    separator = ";" if lines[head].count(";") >= lines[head].count(",") else ","
    columns = [one.strip().casefold() for one in _fields(lines[head], separator)]
    if "stock" not in columns:
        return text  # nothing was counted, so that nothing is lowered
    entries = {
        number: dict(zip(columns, _fields(lines[number], separator), strict=False))
        for number in range(head + 1, len(lines))
        if _says(lines[number])
    }
    rest = dict(_counted(changes, entries.values()))
    for number, entry in entries.items():
        new = _line(entry, rest)
        if new is not None:
            lines[number] = _put(lines[number], separator, columns.index("stock"), new)
    problems = tuple(
        _wanting(Where(file), material, lot, -mass, entries.values())
        for (material, lot), mass in rest.items()
        if mass < -LEFT
    )
    return Problems(problems) if problems else "".join(lines)


def _wanting(
    where: Where, material: str, lot: str, mass: float, entries: Collection[Mapping[str, str]]
) -> Problem:
    """That so much [kg] cannot be taken off the shelf: there is too little, or no such lot."""
    if lot and not any(_is(entry, material, lot) for entry in entries):
        lots = (entry.get("lot", "").strip() for entry in entries if _is(entry, material, ""))
        expected = "a line of it with that lot, or the lot left out where the batch notes it"
        found = f"no lot {shown(lot)} of {shown(material)}"
        return Problem(where, found, expected, tuple(one for one in lots if one))
    named = f"{shown(material)}{f', lot {shown(lot)}' if lot else ''}"
    found = f"{mass * 1000:.6g} g less of {named} than went in"
    return Problem(where, found, "a stock that it can be taken from")


def _says(line: str) -> bool:
    return bool(line.strip(" \t;,\r\n\ufeff")) and not line.lstrip().startswith("#")


def _fields(line: str, separator: str) -> list[str]:
    reader = csv.reader([line.rstrip("\r\n")], delimiter=separator, skipinitialspace=True)
    return next(reader, [])


def _put(line: str, separator: str, place: int, text: str) -> str:
    """The line with another text in one of its fields."""
    start, end = _span(line, separator, place)
    return line[:start] + text + line[end:]


def _span(line: str, separator: str, place: int) -> tuple[int, int]:
    """Where a field stands in a line, its quotation marks and blanks with it."""
    quoted, edges = False, [-1]
    for at, sign in enumerate(line.rstrip("\r\n")):
        quoted ^= sign == '"'
        if sign == separator and not quoted:
            edges.append(at)
    edges.append(len(line.rstrip("\r\n")))
    return edges[place] + 1, edges[place + 1]


def _counted(
    changes: Mapping[tuple[str, str], float], entries: Collection[Mapping[str, str]]
) -> Iterator[tuple[tuple[str, str], float]]:
    """What changes of materials that are counted; what no line counts stays uncounted."""
    for (material, lot), mass in changes.items():
        lines = [entry for entry in entries if _is(entry, material, "")]
        if lot or not lines or any(entry.get("stock", "").strip() for entry in lines):
            yield (material, lot), mass


def _is(entry: Mapping[str, str], material: str, lot: str) -> bool:
    names = {folded(entry.get(key, "").strip()) for key in ("material", "short")}
    own = folded(entry.get("lot", "").strip())
    return folded(material) in names and (not lot or folded(lot) == own)


def _line(entry: Mapping[str, str], rest: dict[tuple[str, str], float]) -> str | None:
    """The new stock of a line, or ``None`` where it stays; what is met is taken off ``rest``."""
    written = entry.get("stock", "").strip()
    there = parse(written, Dimension.MASS) if written else None
    if there is None or isinstance(there, Misread):
        return None
    stock = there
    for (material, lot), mass in rest.items():
        if _is(entry, material, lot):
            moved = max(mass, -stock)
            rest[material, lot] = mass - moved
            stock += moved
    return None if stock == there else _written(stock, written)


def _written(mass: float, before: str) -> str:
    """A mass in the unit in which it was written before."""
    kilograms = before.casefold().rstrip().endswith("kg")
    figure = f"{mass if kilograms else mass * 1000:.9f}".rstrip("0").rstrip(".")
    comma = "," in before and "." not in before
    return f"{figure.replace('.', ',') if comma else figure} {'kg' if kilograms else 'g'}"
