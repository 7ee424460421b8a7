"""What a market lets a bar contain: a limit as the annexes write it, and as a rule of a brief."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from ..model.purpose import Purpose
from ..model.rule import Kind
from ..model.substance import Substance
from ..rules.counting import Counting
from ..values.problem import Source, SourceKind, Where
from ..values.table import Table
from ..values.units import Dimension


@dataclass(frozen=True, slots=True)
class Limit:
    """A market's limit on a substance or a sum of substances.

    Args:
        name: market, annex entry and what it names; the id of its rule.
        market: "EU", …
        least: share of the product as sold [kg/kg]; ``None`` where none is asked.
        most: share of the product as sold [kg/kg]; ``None`` where the entry sets none.
        counted_as: the substance or element as which all are counted, empty for a plain sum.
        counted_molar_mass: of an element, which is no substance of the catalogue [g/mol].
        substances: substance -> moles of ``counted_as`` in a mole of it; for a plain sum, the mass
            counted for each mass.
        purpose: the use for which the limit holds, in words.
        purposes: those of the brief that it holds for; empty where it holds whatever a substance
            is for.
        assumed: whether it holds where the brief says nothing of a substance's purpose.
        note: how the entry was read, empty where nothing needs saying.
        warning: what has to stand on the label, empty where nothing does.
        warning_over: share above which the warning is due [kg/kg], counted as the limit counts.
        source: citation and the day it was read.
    """

    name: str
    market: str
    least: float | None
    most: float | None
    counted_as: str
    counted_molar_mass: float | None
    substances: Mapping[str, float]
    purpose: str
    purposes: frozenset[Purpose]
    assumed: bool
    note: str
    warning: str
    warning_over: float
    source: Source

    def holds_for(self, purpose: Purpose | None) -> bool:
        """Whether it holds for a substance of that purpose, ``None`` where the brief says none."""
        if not self.purposes:
            return True
        return self.assumed if purpose is None else purpose in self.purposes


def limit_of(table: Table, defaults: Source) -> Limit:
    """A limit from its entry of the packaged file.

    Raises:
        ValueError: when the entry is not well-formed.
    """
    most, least = (table.quantity(key, Dimension.SHARE) for key in ("max", "min"))
    over = table.quantity("warning_over", Dimension.SHARE)
    text = {key: table.text(key, "a text") or "" for key in _TEXTS}
    table.only((*_TEXTS, *_FIGURES, "substances", "purposes", "assumed"))
    named = table.values.get("substances", {})
    purposes = frozenset(map(Purpose, table.names("purposes", "a list of purposes")))
    free = most is None and not purposes  # without a share an entry only sets a purpose free
    if free or not isinstance(named, dict) or not named or table.problems:
        raise ValueError(table.path, table.problems)
    return Limit(
        name=table.path[-1],
        market=text["market"],
        least=least,
        most=most,
        counted_as=text["counted_as"],
        counted_molar_mass=table.quantity("counted_molar_mass", Dimension.MOLAR_MASS),
        substances={inci: float(times) for inci, times in named.items()},
        purpose=text["purpose"],
        purposes=purposes,
        assumed=bool(table.values.get("assumed", True)),
        note=text["note"],
        warning=text["warning"],
        warning_over=over or 0.0,
        source=Source(
            text["citation"],
            SourceKind[(text["kind"] or "law").upper()],
            text["read"] or defaults.date,
        ),
    )


_TEXTS = ("market", "counted_as", "purpose", "note", "warning", "citation", "read", "kind")
_FIGURES = ("max", "min", "warning_over", "counted_molar_mass")


def named_by(
    limit: Limit, substances: Collection[str], purposes: Mapping[str, Purpose] | None = None
) -> tuple[str, ...]:
    """Those of the substances that the limit names, with ``purposes`` those it holds for."""
    named = (inci for inci in limit.substances if inci in substances)
    if purposes is None:
        return tuple(named)
    return tuple(inci for inci in named if limit.holds_for(purposes.get(inci)))


def rule_of(
    limit: Limit,
    substances: Mapping[str, Substance],
    molar_mass: float | None,
    drying: float,
    purposes: Mapping[str, Purpose] | None = None,
) -> Counting | str:
    """A limit as a rule over the mix as weighed.

    The law limits the bar as sold. Water lost in drying leaves less bar and the same substance, so
    the mix may hold only ``most · (1 − drying)``.

    Args:
        limit: the market's.
        substances: those that the shelf contains.
        molar_mass: of ``limit.counted_as`` [g/mol].
        drying: water lost before sale [kg per kg of mix].
        purposes: what substances are there for; without it all that the limit names are counted.

    Returns:
        The rule, or the name of a substance whose molar mass is needed and not known.
    """
    factors: dict[str, float] = {}
    for inci in named_by(limit, substances, purposes):
        factor = _factor(limit, substances[inci], molar_mass)
        if factor is None:
            return inci
        factors[inci] = factor
    return Counting(
        id=limit.name,
        kind=Kind.LAW,
        because=limit.purpose,
        unit="%",
        where=Where("limits.toml", limit.name),
        source=limit.source,
        low=None if limit.least is None else limit.least * (1 - drying),
        high=None if limit.most is None else limit.most * (1 - drying),
        factors=factors,
    )


def sides_of(rule: Counting) -> tuple[Counting, ...]:
    """A rule of law with a least and a most as two, since each counts at its own end.

    A law that names one strength, no more and no less, stays one: certificates have ranges.
    """
    if rule.low is None or rule.high is None or rule.low == rule.high:
        return (rule,)
    return replace(rule, low=None), replace(rule, id=f"{rule.id}, at least", high=None)


def _factor(limit: Limit, of: Substance, molar_mass: float | None) -> float | None:
    """Mass counted for each kg of a substance [kg/kg]: times · M(counted) / M(substance)."""
    times = limit.substances[of.inci]
    if not limit.counted_as:
        return times
    if of.molar_mass is None or molar_mass is None:
        return None
    return times * molar_mass / of.molar_mass
