"""What a workshop has: balances, suppliers, packaging, and plain figures."""

from collections.abc import Iterator, Mapping

from ..market.practice import figure
from ..model.brief import Balance, Packaging, Supplier
from ..model.workshop import Workshop
from ..values.table import Table, worded
from ..values.units import Dimension

WORKSHOP: Mapping[str, Dimension] = {
    # the fields of a Workshop
    "heat_to": Dimension.TEMPERATURE,
    "vessel": Dimension.MASS,
    "vessel_heat": Dimension.HEAT,
    "vessel_at": Dimension.TEMPERATURE,
    "bowl": Dimension.MASS,
    "storage": Dimension.PRICE,
    "leftover_worth": Dimension.SHARE,
    "bar_volume": Dimension.VOLUME,
    "setting_time": Dimension.TIME,
    "packaging_a_bar": Dimension.MONEY,
    "labour_a_batch": Dimension.MONEY,
    "hours_a_batch": Dimension.TIME,
    "rate_an_hour": Dimension.MONEY,
    "rejects": Dimension.SHARE,
    "fees": Dimension.SHARE,
    "fee_a_bar": Dimension.MONEY,
    "tax": Dimension.SHARE,
    "wholesale": Dimension.SHARE,
}


def positive(
    table: Table, key: str, dimension: Dimension, rates: Mapping[str, float] | None = None
) -> float | None:
    """A figure of more than nothing."""
    value = table.quantity(key, dimension, rates=rates)
    if value is not None and value <= 0:
        table.refuse(worded(table.values[key]), "more than nothing", key)
        return None
    return value


def balances_of(section: Table) -> tuple[Balance, ...]:
    """The balances, finest first."""
    read = (_balance(entry) for entry in section.tables())
    return tuple(sorted((one for one in read if one), key=lambda one: (one.step, one.name)))


def _balance(entry: Table) -> Balance | None:
    entry.only(("step", "capacity", "least", "cup"))
    for key in ("step", "capacity"):
        if key not in entry:
            entry.lack(key, f'{key}, such as {key} = "{_WEIGHED[key]}"')
    step = positive(entry, "step", Dimension.MASS)
    capacity = positive(entry, "capacity", Dimension.MASS)
    least = entry.quantity("least", Dimension.MASS) or 0.0
    cup = entry.quantity("cup", Dimension.MASS)
    if step is None or capacity is None:
        return None
    if not max(step, least) <= capacity:
        entry.refuse(
            worded(entry.values["capacity"]), "at least the step and the least load", "capacity"
        )
        return None
    most = capacity - max(step, least)
    if cup is not None and cup > most:
        entry.refuse(worded(entry.values["cup"]), "a cup that leaves room for a load", "cup")
        return None
    usual = figure("cup", Dimension.SHARE).span.typical * capacity
    return Balance(entry.path[-1], step, capacity, least, min(usual, most) if cup is None else cup)


_WEIGHED = {"step": "0.01 g", "capacity": "300 g"}


def suppliers_of(section: Table, rates: Mapping[str, float] | None) -> Iterator[Supplier]:
    """Those of whom the brief says what an order costs."""
    for entry in section.tables():
        entry.only(("shipping", "free_from", "delivery"))
        shipping = entry.quantity("shipping", Dimension.MONEY, rates=rates)
        free_from = entry.quantity("free_from", Dimension.MONEY, rates=rates)
        delivery = entry.quantity("delivery", Dimension.TIME) or 0.0
        if "shipping" not in entry:
            entry.lack("shipping", 'what an order costs, such as shipping = "6.90 EUR"')
        elif shipping is not None:
            yield Supplier(entry.path[-1], shipping, free_from, delivery / _A_DAY)


_A_DAY = 86_400.0  # [s]


_MOST_IN_A_PACK = 10**6


def packaging_of(section: Table, rates: Mapping[str, float] | None) -> Iterator[Packaging]:
    """What bars are packed in, pack by pack."""
    for entry in section.tables():
        entry.only(("pack", "price", "each"))
        for key, example in (("pack", "pack = 100"), ("price", 'price = "18 EUR"')):
            if key not in entry:
                entry.lack(key, f"{key}, such as {example}")
        pack, price = (
            entry.whole("pack", _MOST_IN_A_PACK),
            entry.quantity("price", Dimension.MONEY, rates=rates),
        )
        each = entry.whole("each", _MOST_IN_A_PACK) if "each" in entry else 1
        if pack == 0:
            entry.refuse("0", "how many a pack holds", "pack")
        elif pack is not None and price is not None and each is not None:
            yield Packaging(entry.path[-1], pack, price, each)


def workshop_of(section: Table, rates: Mapping[str, float] | None) -> tuple[float | None, Workshop]:
    """The temperature of the room [°C], and all other figures; in the order they are written."""
    kinds = {"room": Dimension.TEMPERATURE, **WORKSHOP}
    section.only(kinds)
    read = {
        key: section.quantity(key, kinds[key], rates=rates)
        for key in section.values
        if key in kinds
    }
    if {"labour_a_batch", "hours_a_batch"} <= read.keys():
        section.refuse("labour of a batch and its hours", "one of the two", "hours_a_batch")
    return read.pop("room", None), Workshop(**read)
