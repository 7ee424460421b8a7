"""A formula file, TOML, CSV or a workbook -> a composition."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import fsum

from ..model.brief import Bench, Composition
from ..values.dimension import Dimension, Misread, example
from ..values.names import Called, nearest_names, spelt
from ..values.problem import Problem, Where
from ..values.sheet import Sheet
from ..values.table import Table, table_of, worded
from ..values.units import mass_of, parse, shown, split
from .brief_reading import schema_kept
from .workbook_reading import lines_of

TOLERANCE = 1e-4
"""How far shares may be from adding to one [kg/kg]."""

_SLIP = 0.005  # shares rounded one by one come so near to the whole; beyond it some are missing
_EXPECTED = "a share such as 45 % or a mass such as 450 g"


@dataclass(frozen=True, slots=True)
class _Part:
    """One material of a formula as written."""

    where: Where
    name: str
    text: str
    comma: bool = False
    weighed: Where | None = None

    @property
    def amount_where(self) -> Where:
        """Where its amount stands."""
        return self.weighed or self.where


def composition_of(
    file: str,
    content: str | bytes,
    bench: Bench,
    problems: list[Problem],
    beside: Iterable[str] = (),
) -> Composition | None:
    """Read a formula; what is wrong is noted in ``problems``.

    ``beside`` names materials that a formula may hold though they are not on the shelf.
    """
    stem = file.replace("\\", "/").rsplit("/", 1)[-1].rsplit(".", 1)[0]
    before = len(problems)
    if file.casefold().endswith((".csv", ".xlsx")):
        name, parts = stem, _sheet_parts(file, content, problems)
    else:
        name, parts = _toml_parts(file, stem, content, problems)
    if not parts:
        if len(problems) == before:
            problems.append(Problem(Where(file), "no parts", "a material with its share"))
        return None
    densities = {item.material.name: item.material.density for item in bench.shelf}
    names = Called({name: name for name in beside} | bench.names)
    amounts, kinds = _amounts(parts, names, densities, problems)
    if len(problems) > before:
        return None
    shares = _whole(file, amounts, Dimension.SHARE in kinds, problems)
    return Composition(name, shares) if shares else None


def _toml_parts(
    file: str, stem: str, content: str | bytes, problems: list[Problem]
) -> tuple[str, list[_Part]]:
    top = table_of(file, content, problems)
    if top is None or not schema_kept(top):
        return stem, []
    top.only(("schema", "name", "parts", "from", "because"))
    for key in ("from", "because"):
        top.text(key, "a text")
    name = top.text("name", "what you call it") or stem
    section = top.table("parts")
    if section is None:
        if "parts" not in top:
            top.lack("parts", "[parts] with each material and its share")
        return name, []
    parts = [_toml_part(section, key) for key in section.values]
    return name, [part for part in parts if part is not None]


def _toml_part(section: Table, key: str) -> _Part | None:
    value = section.values[key]
    if isinstance(value, str):
        return _Part(section.where(key), key, value)
    bare = isinstance(value, int | float) and not isinstance(value, bool)
    with_unit = f'a unit, in quotation marks: "{worded(value)} %" or "{worded(value)} g"'
    section.refuse(worded(value), with_unit if bare else _EXPECTED, key)
    return None


def _sheet_parts(file: str, content: str | bytes, problems: list[Problem]) -> list[_Part]:
    columns = ("material", "amount")
    lines = lines_of(Sheet(file, columns, columns, problems), content, "formula")
    return [
        _Part(line.at("material"), line["material"], line["amount"], line.comma, line.at("amount"))
        for line in lines
    ]


def _amounts(
    parts: Iterable[_Part],
    names: Called,
    densities: Mapping[str, float | None],
    problems: list[Problem],
) -> tuple[dict[str, float], frozenset[Dimension]]:
    """Material -> share [kg/kg] or mass [kg], and which of the two they are; both is a problem.

    ``names`` are those of the materials it may hold, ``densities`` what is known of theirs [kg/L].
    """
    amounts: dict[str, float] = {}
    kinds: dict[Dimension, Where] = {}
    for part in parts:
        name = _named(part, names, problems)
        read = _amount(part, densities.get(name) if name else None)
        if isinstance(read, Problem):
            problems.append(read)
        elif name in amounts:
            problems.append(Problem(part.where, f"{shown(name or '')} again", "each material once"))
        else:
            kinds.setdefault(read[0], part.where)
            amounts[name or part.name] = read[1]
    if len(kinds) > 1:
        where = tuple(kinds.values())[1]
        problems.append(Problem(where, "shares and masses", "all shares or all masses"))
    return amounts, frozenset(kinds)


def _named(part: _Part, names: Called, problems: list[Problem]) -> str | None:
    name = spelt(part.name, names)
    if name is None:
        near = nearest_names(part.name, names)
        found = shown(part.name) or "nothing"
        problems.append(Problem(part.where, found, "a material on the shelf", near))
    return name


def _amount(part: _Part, density: float | None) -> tuple[Dimension, float] | Problem:
    share = parse(part.text, Dimension.SHARE, comma=part.comma)
    if not isinstance(share, Misread):
        return Dimension.SHARE, share
    mass = mass_of(part.text, density, comma=part.comma)
    if not isinstance(mass, Misread):
        return Dimension.MASS, mass
    figure, unit = split(part.text)
    if figure and unit in {"", "%"}:
        return Problem(part.amount_where, share.found, share.expected, share.nearest)
    plain = mass.expected == example(Dimension.MASS)
    expected = _EXPECTED if plain else mass.expected
    return Problem(part.amount_where, shown(part.text) or "nothing", expected, mass.nearest)


def _scaled(amounts: Mapping[str, float], total: float) -> str:
    """What would be right: where little is missing, the same parts scaled to the whole."""
    if abs(total - 1) > _SLIP:
        return "100 % in all"
    parts = ", ".join(f"{name} {share / total * 100:.4g} %" for name, share in amounts.items())
    return f"100 % in all; scaled to it: {parts}"


def _whole(
    file: str, amounts: Mapping[str, float], shares: bool, problems: list[Problem]
) -> dict[str, float] | None:
    total = fsum(amounts.values())
    if shares and abs(total - 1) > TOLERANCE:
        found = f"{total * 100:.6g} % in all"
        problems.append(Problem(Where(file, "parts"), found, _scaled(amounts, total)))
        return None
    if total <= 0:
        problems.append(Problem(Where(file, "parts"), "nothing in all", "more than nothing"))
        return None
    return {name: amount / total for name, amount in amounts.items()}
