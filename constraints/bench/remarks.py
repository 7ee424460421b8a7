"""What stands out on a bench and yet may be right: pointed out, never refused."""

from collections.abc import Callable, Iterable, Iterator
from statistics import median

from ..market.practice import figure
from ..model.brief import Brief
from ..model.shelf import Item
from ..rules.acidity import band_of
from ..values.dimension import Dimension
from ..values.problem import Problem, Where

_ENOUGH = 5  # fewer figures than this have no middle worth the name


def remarks_on(items: Iterable[Item], currency: str) -> tuple[Problem, ...]:
    """Prices and packs of a shelf that lie far from those of the others.

    Args:
        items: the shelf.
        currency: of the prices, as shown.

    Returns:
        What stands out, in the form of problems, though nothing need be wrong.
    """
    known = [item for item in items if item.where.file]
    prices = _far(known, "price", lambda item: item.price, f"{currency}/kg")
    packs = _far(known, "pack", lambda item: item.pack, "kg")
    return (*prices, *packs)


def _far(
    items: list[Item], column: str, figure_of: Callable[[Item], float], unit: str
) -> Iterator[Problem]:
    """Items of which a figure lies far from the middle; nothing and water may cost nothing."""
    counted = [item for item in items if figure_of(item) > 0]
    if len(counted) < _ENOUGH:
        return
    middle = median(map(figure_of, counted))
    far = figure("far from the others", Dimension.RATIO).span.typical
    for item in counted:
        times = figure_of(item) / middle
        if times > far or (times < 1 / far and set(item.material.contents) != {"Water"}):
            where = Where(item.where.file, f"{item.where.place}, {column}")
            found = f"{figure_of(item):.6g} {unit}, where half of the shelf is below {middle:.4g}"
            expected = f"a {column} within {far:g} times of that; one that is right may stay"
            yield Problem(where, found, expected)


def uncounted(brief: Brief) -> tuple[Problem, ...]:
    """That what is added at the bench is not counted where a composition is judged as weighed.

    Args:
        brief: with rules that always hold, or without.

    Returns:
        One, where such a rule stands beside a pH that is corrected at the bench; else none.
    """
    band = band_of(brief)
    if band is None or band.corrected_by is None or not any(one.within for one in brief.rules):
        return ()
    found = f'holds = "always" beside corrected_by = "{band.corrected_by}"'
    expected = (
        "every lot to be judged here as it is weighed, nothing added; `barwright cheapest` alone "
        "counts what is added at the bench"
    )
    return (Problem(band.where, found, expected),)
