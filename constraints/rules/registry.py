"""Every kind of rule, by the key of its first line."""

from . import acidity, choose, companion, cost, counting, dose, least, mean, ratio, share
from .written import Written

_BY_KEY: dict[str, Written] = {}


def register(written: Written) -> None:
    """Let briefs hold a kind of rule.

    Raises:
        ValueError: when its key is taken.
    """
    if written.key in _BY_KEY:
        message = f"a rule that begins with {written.key} is known already"
        raise ValueError(message)
    _BY_KEY[written.key] = written


def forget(key: str) -> None:
    """Take a kind of rule out again; what was read with it stays as it is."""
    del _BY_KEY[key]


def kinds() -> tuple[Written, ...]:
    """Every kind of rule as it is written, in the order of the documents."""
    return tuple(_BY_KEY.values())


def leading() -> frozenset[str]:
    """The keys of the first lines of rules, of which each says what kind it is."""
    return frozenset(_BY_KEY)


for _written in (
    share.WRITTEN,
    ratio.WRITTEN,
    dose.WRITTEN,
    least.WRITTEN,
    choose.WRITTEN,
    companion.WRITTEN,
    share.WITHOUT,
    counting.WRITTEN,
    mean.WRITTEN,
    cost.WRITTEN,
    acidity.WRITTEN,
):
    register(_written)
