"""The box of a composition in every market it is sold in: one question, one answer."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...constraints.model.box import Box
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.values.problem import InputError, Problem, Problems, Where
from .label import label
from .lines import Label


@dataclass(frozen=True, slots=True)
class Labels:
    """What goes on the boxes of a composition.

    Args:
        formula: name of the composition.
        labels: one for each market asked for.
        broken: what the rules say that the composition does not keep for certain.
    """

    formula: str
    labels: tuple[Label, ...]
    broken: tuple[Verdict, ...]


def labels(
    bench: Bench,
    composition: Composition,
    *,
    markets: Sequence[str] | None = None,
    mix: float | None = None,
    box: Box | None = None,
) -> Labels:
    """Write the box of a composition for each market.

    Args:
        bench: materials, brief and balances.
        composition: of the bar, as weighed; one that breaks rules is labelled too, and says so.
        markets: "EU", "AU" or "US"; by default those of the brief.
        mix: mass of the batch [kg]; with it neighbours less than a scale step apart are reported.
        box: what the maker says of the pack; by default what the brief says. See ``boxed``.

    Raises:
        InputError: without a market, or with one whose rules are not known.
        KeyError: when a material of the composition is not on the shelf.
    """
    asked = bench.brief.markets if markets is None else tuple(markets)
    if not asked:
        where = Where("brief.toml", "product.markets")
        raise InputError(Problems((Problem(where, "no market", "where the bar is sold"),)))
    made = [label(bench, composition, market, mix=mix, box=box) for market in asked]
    problems = [one for each in made if isinstance(each, Problems) for one in each.items]
    if problems:
        raise InputError(Problems(tuple(problems)))
    return Labels(
        formula=composition.name,
        labels=tuple(one for one in made if not isinstance(one, Problems)),
        broken=tuple(one for one in judge(bench, composition) if not one.kept),
    )
