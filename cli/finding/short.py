"""A composition in one screen: what to weigh, what it costs, what holds it, what to beware of."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ..kit.cents import cents
from ..kit.numbers import grams, in_unit, money
from ..kit.one_screen import (
    Part,
    counted,
    half_of,
    in_columns,
    rows,
    sentences,
    shortened_all,
    show_parts,
)
from .beware import beware
from .binding import AT, ENOUGH
from .lots import with_lots
from .view import limited_rules

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.model.rule import Limited
    from ...constraints.model.uncertainty import Uncertainty
    from ...solver.answers.explained import Explained
    from ...solver.cheapest.stepping import Price
    from ...solver.prices.worth import Slope

TENTH = 1e-4
"""What is weighed to where the brief names no balance [kg]."""


def show_short_finding(
    console: "Console", bench: Bench, shown: "Explained", within: "Uncertainty | None" = None
) -> None:
    """The answer of ``cheapest`` in one screen, with what the lots that may come do to it."""
    finding, currency = shown.finding, bench.brief.currency
    rules = counted(len(bench.brief.rules), "rule")
    proved = "proved the cheapest" if shown.worth and shown.worth.proved else "the cheapest found"
    cost = money(finding.cost, currency)
    head = f"{bench.brief.name}: {cost} of mix, {proved} that keeps its {rules}."
    composition = finding.composition
    warnings = list(with_lots(beware(bench, composition), bench, composition, within))
    if shown.worth is None or not shown.worth.proved:
        warnings.insert(0, "Not proved to be the cheapest; --all says what is known.")
    parts = (
        sentences("", (head,)),
        weigh_part(bench, finding.composition, console.width),
        sentences("What holds it there", _dearest(shown, currency)),
        sentences("Beware", warnings, least=min(2, len(warnings))),
    )
    show_parts(console, parts, "--all: every price, rule and substance, and what stayed out.")


def weigh_part(bench: Bench, composition: Composition, width: int) -> Part:
    """What to weigh for a kilogram of mix, most first."""
    parts = sorted(composition.parts.items(), key=lambda part: (-part[1], part[0]))
    step = min((one.step for one in bench.brief.balances), default=TENTH)
    figures = [grams(share, step) for _, share in parts]
    wide = max(map(len, figures), default=0)
    short = shortened_all([name for name, _ in parts], half_of(width) - wide - len(" g "))
    entries = [
        f"{figure:>{wide}} g {short[name]}"
        for figure, (name, _) in zip(figures, parts, strict=True)
    ]
    title = "Weigh for a kilogram of mix (barwright batch makes the sheet)"
    return rows(title, in_columns(entries, width), least=(len(entries) + 1) // 2)


def _dearest(shown: "Explained", currency: str) -> Iterator[str]:
    """What the dearest limits cost, in the words of who pays for it."""
    finding = shown.finding
    rules = limited_rules(finding)
    slopes = {} if shown.worth is None else shown.worth.slopes
    if not finding.prices:
        yield "No limit: moving any of them a step changes nothing."
    for price in finding.prices[:ENOUGH]:
        slope = slopes.get((price.rule, price.side))
        yield priced(rules[price.rule], price, slope, currency)


def priced(rule: "Limited", price: "Price", slope: "Slope | None", currency: str) -> str:
    """One limit: "protein, at least 0.2 %: each 0.1 % more costs 9 cents a kilogram, up to 2 %"."""
    if rule.shuts_out() is not None:
        saved = cents(price.looser or 0.0, currency)
        return f"{rule.id}: letting {in_unit(price.step, '%')} in would save {saved} a kilogram."
    stands = f"{rule.id}, {AT[price.side]} {in_unit(rule.standing(price.side), rule.unit)}"
    step = in_unit(price.step, rule.unit)
    way, end = ("more", "up to") if price.side == "low" else ("less", "down to")
    if price.tighter is None:
        return f"{stands}: {step} {way} cannot be had with this shelf."
    if slope is None or slope.tighter is None or slope.parts or slope.tightest is None:
        return f"{stands}: {step} {way} costs {cents(price.tighter, currency)} a kilogram."
    place = in_unit(round(slope.tightest, 4) + 0.0, rule.unit)
    each = cents(price.tighter, currency)
    return f"{stands}: each {step} {way} costs {each} a kilogram, {end} {place}."
