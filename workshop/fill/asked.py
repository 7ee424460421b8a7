"""Whether what a fill is asked for can be answered."""

from collections.abc import Iterator, Sequence

from ...constraints.market.net_content import markets_with_net_content, net_content, practice
from ...constraints.model.brief import MOST_BARS, Bench
from ...constraints.values.problem import Problem, Where


def enough_weighings(count: int, batches: int = 1) -> bool:
    """Whether so many bars tell how portions differ; each batch takes one for its own mean."""
    return count >= practice().least_weighings + batches - 1


_LEAST_RISK = 1e-9  # for the most bars, a chance a bar that doubles still tell from none


def problems_of(
    bench: Bench, market: str, bars: int, weighed: tuple[Sequence[float], int], risk: float
) -> Iterator[Problem]:
    """Everything wrong with what a fill is asked for."""
    known = markets_with_net_content()
    if market not in known:
        yield Problem(Where("brief.toml", "product.markets"), market, f"one of {', '.join(known)}")
    if not 1 <= bars <= MOST_BARS:
        yield Problem(Where("", "bars"), str(bars), f"from 1 to {MOST_BARS:,} bars in a batch")
    if not _LEAST_RISK <= risk < 0.5:
        expected = f"a chance from {_LEAST_RISK * 100:g} % to less than 50 %"
        yield Problem(Where("", "risk"), f"{risk * 100:.3g} %", expected)
    yield from _portioning_problems(bench, market if market in known else None, weighed[0])
    yield from _weighing_problems(*weighed)


def _portioning_problems(
    bench: Bench, market: str | None, weighings: Sequence[float]
) -> Iterator[Problem]:
    portioning = bench.brief.portioning
    declared = Where("brief.toml", "product.declared")
    if portioning.declared is None:
        yield Problem(declared, "nothing", "the net mass on the box")
    elif market and net_content(market).tolerable_shortfall(portioning.declared) is None:
        found = f"{portioning.declared * 1000:g} g"
        yield Problem(declared, found, f"a mass that the {market} table of shortfalls covers")
    if portioning.spread is None and not weighings:
        expected = "the standard deviation of a portion, or a list of weighings"
        yield Problem(Where("brief.toml", "product.spread"), "nothing", expected)


def _weighing_problems(weighings: Sequence[float], batches: int) -> Iterator[Problem]:
    where = Where("", "weighings")
    for number, mass in enumerate(weighings, 1):
        if mass <= 0:
            yield Problem(Where("", f"weighings {number}"), f"{mass:g} kg", "a mass above 0")
    if weighings and not enough_weighings(len(weighings), batches):
        expected = f"at least {practice().least_weighings + batches - 1} weighings"
        yield Problem(where, str(len(weighings)), expected)
    elif weighings and min(weighings) == max(weighings):
        yield Problem(where, "all alike", "weighings on a balance fine enough to tell bars apart")
