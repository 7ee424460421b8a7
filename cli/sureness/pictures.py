"""How sure an answer is, as pictures: what safety costs, and how often a rule breaks."""

from typing import TYPE_CHECKING

from ..kit.numbers import percent
from ..picture.bars import Amount, Bars
from ..picture.lines import Graph

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...solver.uncertain.tried import RuleTried
    from ...solver.uncertain.worth import Safety


def broken_picture(rules: "Sequence[RuleTried]", lots: int) -> Bars:
    """How often each rule breaks over drawn lots, the likeliest first."""
    often = sorted(rules, key=lambda rule: -rule.broken)
    bars = tuple(Amount(one.rule.id, one.share, percent(one.share)) for one in often)
    said = (
        f"In how many of {lots:,} lots each rule breaks; every other rule is kept in all of them."
    )
    return Bars("How often a rule breaks", said, ("rule", "breaks in"), bars)


def safety_picture(curve: "Sequence[Safety]", currency: str) -> Graph | None:
    """The cost against how much of every range is borne; ``None`` with less than two points."""
    found = [(one.scale, one.cost) for one in curve if one.cost is not None]
    if len(found) < 2:
        return None
    found.sort()
    (least, low), (most, high) = found[0], found[-1]
    said = (
        f"With {percent(least)} of every range borne the mix costs {low:.3f} {currency}/kg, with"
        f" {percent(most)} it costs {high:.3f}."
    )
    return Graph(
        title="What safety costs",
        said=said,
        across="of every range that is borne [%]",
        up=f"{currency}/kg of mix",
        points=tuple((scale * 100, cost) for scale, cost in found),
        marks=(),
        told=tuple((percent(scale), f"{cost:.3f}") for scale, cost in found),
    )
