"""The brief: product, markets, balances and everything but the rules."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..catalogue import catalogue
from ..market.net_content import practice
from ..model.box import Box
from ..model.brief import MOST_BARS, Balance, Packaging, Portioning, Supplier
from ..model.purpose import Purpose
from ..model.workshop import Workshop
from ..values.names import nearest_names
from ..values.table import Table, worded
from ..values.units import Dimension, shown, split
from .box_reading import box_of
from .workshop_reading import (
    balances_of,
    packaging_of,
    positive,
    suppliers_of,
    workshop_of,
)

SECTIONS = (
    "schema", "product", "box", "purposes", "rates", "workshop", "balances", "suppliers",
    "packaging", "rules",
)  # fmt: skip
SCHEMA = 1

PRODUCT = (
    "name", "currency", "markets", "dilution", "declared", "declared_when", "drying",
    "dried_when_packed", "loss", "spread", "spread_from", "washes", "advice",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Product:
    """The top of a brief, before its rules.

    ``rates`` turns each currency into the brief's own, which comes first at 1; it is ``None`` where
    the brief could not say. ``dilution`` and ``drying`` are ``None`` where it did not; ``stated``
    holds every key of ``[product]``, so that what was misread is not called missing as well.
    """

    name: str
    currency: str
    rates: Mapping[str, float] | None
    markets: tuple[str, ...]
    dilution: float | None
    drying: float | None
    portioning: Portioning
    balances: tuple[Balance, ...]
    room: float | None
    workshop: Workshop
    suppliers: tuple[Supplier, ...]
    packaging: tuple[Packaging, ...]
    advice: bool
    stated: frozenset[str]
    box: Box
    purposes: Mapping[str, Purpose]


def schema_kept(top: Table) -> bool:
    """Whether a file is of a form that this version reads."""
    found = top.values.get("schema")
    if found is None:
        top.lack("schema", f"schema = {SCHEMA}")
    elif not isinstance(found, int) or isinstance(found, bool) or found < 1:
        top.refuse(worded(found), f"schema = {SCHEMA}", "schema")
    elif found > SCHEMA:
        expected = f"schema = {SCHEMA}; a newer barwright reads this file"
        top.refuse(worded(found), expected, "schema")
        return False
    return True


def product_of(top: Table) -> Product:
    """Everything of a brief but its rules; what is wrong is noted in the table's problems."""
    top.only(SECTIONS)
    product = _section(top, "product")
    product.only(PRODUCT)
    name = product.text("name", 'what you call it, such as name = "Bar for oily hair"', needed=True)
    currency = _currency(product)
    drying = _part(product, "drying")
    rates = _rates(top, currency)
    room, workshop = workshop_of(_section(top, "workshop"), rates)
    return Product(
        name=name or "",
        currency=currency or "",
        rates=rates,
        markets=_markets(product),
        dilution=_dilution(product),
        drying=drying,
        portioning=_portioning(product, drying or 0.0),
        balances=balances_of(_section(top, "balances")),
        room=room,
        workshop=workshop,
        suppliers=tuple(suppliers_of(_section(top, "suppliers"), rates)),
        packaging=tuple(packaging_of(_section(top, "packaging"), rates)),
        advice=product.yes("advice"),
        stated=frozenset(product.values),
        box=box_of(_section(top, "box")),
        purposes=_purposes(_section(top, "purposes")),
    )


def _purposes(section: Table) -> Mapping[str, Purpose]:
    """Substance -> what it is there for."""
    read = {inci: section.word(inci, Purpose) for inci in section.values}
    return {inci: purpose for inci, purpose in read.items() if purpose is not None}


def _section(top: Table, key: str) -> Table:
    """A section, empty where absent."""
    found = top.table(key)
    return found or Table(top.file, (*top.path, key), {}, top.lines, top.problems)


def _currency(product: Table) -> str | None:
    expected = 'the currency of prices, such as currency = "EUR"'
    code = product.text("currency", expected, needed=True)
    if code is not None and not re.fullmatch("[A-Z]{3}", code):
        product.refuse(shown(code), "three capitals, as ISO 4217 has them, such as EUR", "currency")
        return None
    return code


def _rates(top: Table, currency: str | None) -> Mapping[str, float] | None:
    """Currency -> how much of the brief's currency one unit of it is."""
    section = _section(top, "rates")
    if currency is None:
        return None
    rates = {currency: 1.0}
    for code in section.values:
        if not re.fullmatch("[A-Z]{3}", code) or code == currency:
            section.refuse(shown(code), f"a currency other than {currency}, such as USD", code)
        else:
            rates[code] = _rate(section, code, currency) or 1.0
    return rates


def _rate(section: Table, code: str, currency: str) -> float | None:
    value = section.values[code]
    if not isinstance(value, str) or split(value)[1] != currency:
        example = f"an amount of {currency}, such as 0.92 {currency}"
        section.refuse(worded(value), example, code)
        return None
    return positive(section, code, Dimension.MONEY, {currency: 1.0})


def _markets(product: Table) -> tuple[str, ...]:
    markets = product.names("markets", 'a list such as ["EU"]')
    known = catalogue.markets()
    for market in markets:
        if market not in known and market in catalogue.refused_markets():
            why = catalogue.refused_markets()[market]
            product.refuse(shown(market), f"one of {', '.join(known)}: {why}", "markets")
        elif market not in known:
            near = nearest_names(market, known)
            product.refuse(shown(market), f"one of {', '.join(known)}", "markets", nearest=near)
    return tuple(market for market in markets if market in known)


def _dilution(product: Table) -> float | None:
    dilution = _part(product, "dilution")
    if dilution == 0:
        product.refuse(worded(product.values["dilution"]), "more than 0 %", "dilution")
        return None
    return dilution


def _part(product: Table, key: str) -> float | None:
    """A share that leaves something over."""
    share = product.quantity(key, Dimension.SHARE)
    if share == 1:
        product.refuse(worded(product.values[key]), "less than 100 %", key)
        return None
    return share


def _portioning(product: Table, drying: float) -> Portioning:
    return Portioning(
        declared=positive(product, "declared", Dimension.MASS),
        drying=drying,
        loss=_part(product, "loss") or 0.0,
        spread=product.quantity("spread", Dimension.MASS),
        washes=_washes(product),
        dried_when_packed=_dried_when_packed(product, drying),
        spread_from=_spread_from(product),
    )


def _spread_from(product: Table) -> int:
    """Bars that the spread was worked out from; 0 where it is taken as known."""
    bars, least = product.whole("spread_from", MOST_BARS), practice().least_weighings
    if bars is not None and bars < least:
        found = worded(product.values["spread_from"])
        product.refuse(found, f"at least {least} bars weighed one by one", "spread_from")
    return bars or 0


class _When(StrEnum):
    """When the declared mass has to be there."""

    SOLD = "sold"
    PACKED = "packed"


def _dried_when_packed(product: Table, drying: float) -> float | None:
    """Water lost before packing, where that is when the declared mass has to be there."""
    when, dried = product.word("declared_when", _When), _part(product, "dried_when_packed")
    if when is not _When.PACKED:
        return None
    if "dried_when_packed" not in product:
        expected = 'the water lost before packing, such as dried_when_packed = "1 %"'
        product.lack("dried_when_packed", expected)
    elif dried is not None and dried > drying:
        found = worded(product.values["dried_when_packed"])
        product.refuse(found, "no more than the drying until sale", "dried_when_packed")
    return dried


def _washes(product: Table) -> tuple[float, float] | None:
    if "washes" not in product:
        return None
    value = product.values["washes"]
    ends = value if isinstance(value, list) else [value, value]
    read = [one for one in ends if isinstance(one, int | float) and not isinstance(one, bool)]
    if len(read) == len(ends) == 2 and 0 < read[0] <= read[1] < _MOST_WASHES:
        return float(read[0]), float(read[1])
    found = ", ".join(map(worded, ends)) or "an empty list"
    product.refuse(found, "the least and the most, such as washes = [60, 100]", "washes")
    return None


_MOST_WASHES = 1e5  # no bar lasts so long: a slip
