"""What is said of the rules that hold a composition, as a colleague would put it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..kit.numbers import in_unit, limit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from ...constraints.model.rule import Limited, Rule
    from ...solver.cheapest.cheapest import Explanation
    from ...solver.cheapest.stepping import LeftOut, Price
    from ...solver.choices.choices import Other
    from ...solver.prices.worth import Slope

AT = {"low": "at least", "high": "at most"}
ENOUGH = 3

UNPROVED = "Not proved: it rests on the solver's word, and was checked rule by rule."
"""So many of the dearest rules are spoken of; the table has them all."""


def advice(rule: Limited, price: Price, slope: Slope | None, currency: str) -> str:
    """A binding rule in a few sentences: where it stands, what moving it does, why it is there."""
    said = [f"{rule.id}, {standing(rule, price.side)}: {moving(rule, price, currency)}"]
    if slope is not None:
        said.append(reach(rule, slope, currency))
    said.append(f"Why: {because(rule)}.")
    return " ".join(part for part in said if part)


def because(rule: Rule) -> str:
    """The maker's reason, ready to stand in a sentence."""
    return rule.because.strip().rstrip(".")


def reasons_sentence(rules: Sequence[Rule]) -> str:
    """Why some rules are there, each reason once."""
    said = {rule.id: because(rule) for rule in rules}
    return f"Why they are there: {' · '.join(f'{name} – {why}' for name, why in said.items())}."


def standing(rule: Limited, side: str) -> str:
    """The limit at which a rule stands: "at least 0.2 %"."""
    if rule.shuts_out() is not None:
        return "none allowed"
    return f"{AT[side]} {limit(rule, side)}"


def moving(rule: Limited, price: Price, currency: str) -> str:
    """What one step costs and saves: "0.3 % would cost 0.089 EUR/kg more, …"."""
    if rule.shuts_out() is not None:
        allowed, saved = in_unit(price.step, "%"), money_step(price.looser, currency)
        return f"with {allowed} allowed the mix would cost {saved} less."
    tight, loose = (in_unit(place, rule.unit) for place in _steps(rule, price))
    tighter = (
        f"at {tight} nothing on the shelf keeps the rules"
        if price.tighter is None
        else f"{tight} would cost {money_step(price.tighter, currency)} more"
    )
    if price.looser is None:
        return f"{tighter}."
    if price.looser == 0:
        return f"{tighter}, {loose} the same as now."
    if price.tighter is not None and abs(price.looser - price.tighter) < 5e-5:
        return f"{tighter}, {loose} as much less."
    return f"{tighter}, {loose} {money_step(price.looser, currency)} less."


def _steps(rule: Limited, price: Price) -> tuple[float, float]:
    inward = price.step if price.side == "low" else -price.step
    limit_now = rule.standing(price.side)
    return limit_now + inward, limit_now - inward


def reach(rule: Limited, slope: Slope, currency: str) -> str:
    """How far a price holds, and what is past that."""
    if slope.tighter is None:
        return ""
    if slope.parts:
        return (
            f"Other rules take over just here: the first steps tighter cost"
            f" {_rate(rule, slope.tighter, currency)}, the first looser save"
            f" {_rate(rule, slope.looser, currency)}."
        )
    ends = [end for end in (slope.loosest, slope.tightest) if end is not None]
    low, high = (_place(rule, end) for end in (min(ends), max(ends)))
    if len(ends) == 1:
        return f"Every step is worth the same up to {high}."
    return f"Every step is worth the same from {low} to {high}."


def bends(rule: Limited, side: str) -> bool:
    """Whether the cost is no straight function of a limit: a moved one is solved anew."""
    return rule.place(side) is None


def holds(rule: Limited, side: str, slope: Slope | None) -> str:
    """The range over which a price holds, for a table."""
    if slope is None:
        return "this step" if bends(rule, side) else ""
    if slope.parts:
        return "changes here"
    ends = [end for end in (slope.loosest, slope.tightest) if end is not None]
    low, high = _place(rule, min(ends)), _place(rule, max(ends))
    return f"{low.removesuffix(rule.unit).strip()}–{high}"


def _place(rule: Limited, value: float) -> str:
    rough = round(value, 4) if rule.unit == "%" else float(f"{value:.4g}")
    return in_unit(rough + 0.0, rule.unit)


def _rate(rule: Limited, rate: float | None, currency: str) -> str:
    """A price per unit of a limit, for each per cent where the limit is a share."""
    if rate is None:
        return "nothing, for there is no way"
    if rule.unit == "%":
        return f"{rate / 100:.3f} {currency}/kg for each 1 %"
    return f"{rate:.3f} {currency}/kg for each {rule.unit or 'whole'}"


def money_step(value: float | None, currency: str) -> str:
    """A small difference in cost for each kilogram of mix."""
    assert value is not None  # noqa: S101  (asked only where there is one)
    digits = 3 if abs(value) >= 0.01 else 4
    return f"{value:.{digits}f} {currency}/kg"


def step_cell(value: float | None, sign: str) -> str:
    """A difference in cost in a table: "+0.089", "no way"."""
    if value is None:
        return "no way" if sign == "+" else "–"
    if value == 0:
        return "0"
    digits = 3 if abs(value) >= 0.01 else 4
    return f"{sign}{value:.{digits}f}"


def chosen_sentence(used: list[str]) -> str:
    """With which choice the prices hold."""
    made = "; ".join(used) if used else "none of the materials that may be left out"
    return f"All this holds with the choice made here: {made}."


def curved_sentence() -> str:
    """Why ratios and pH have no range."""
    return "Ratios, densities and pH do not cost the same at every step: theirs is for this step."


def other_sentences(others: tuple[Other, ...], cost: float, currency: str) -> list[str]:
    """The next best choices, each rule in a sentence, then each optional material."""
    groups = dict.fromkeys(other.rule for other in others if other.rule is not None)
    said = [_group(rule, [o for o in others if o.rule == rule], cost, currency) for rule in groups]
    alone = [other for other in others if other.rule is None]
    return said + [f"{_alone(other)}: {_premium(other, cost, currency)}." for other in alone]


def _alone(other: Other) -> str:
    return f"{'With' if other.used else 'Without'} {other.material}"


def _group(rule: str, others: list[Other], cost: float, currency: str) -> str:
    ways = [f"{_way(other)}, {_premium(other, cost, currency)}" for other in others]
    return f"{rule}: the next best is {'; then '.join(ways)}."


def _way(other: Other) -> str:
    return other.material if other.used else f"to do without {other.material}"


def _premium(other: Other, cost: float, currency: str) -> str:
    if other.premium is None:
        return "with which nothing keeps the rules"
    if abs(other.premium) < 5e-5:
        return f"at the same cost of {cost:.3f} {currency}/kg"
    return f"for {money_step(other.premium, currency)} more"


def entry_cell(left: LeftOut) -> str:
    """The price below which a material would come in."""
    if left.enters_below is None:
        return "kept out by a rule"
    if left.enters_below <= 0:
        return "not even as a gift"
    if abs(left.enters_below - left.price) < 1e-9 * max(1.0, left.price):
        return "already a tie"
    return f"{left.enters_below:.2f}"


def tie_sentence(tied: tuple[str, ...]) -> str:
    """That another composition costs the same."""
    names = "; ".join(tied[:4])
    more = f"; and {len(tied) - 4} more" if len(tied) > 4 else ""
    return f"Another composition costs exactly the same: it differs in {names}{more}."


def undone_sentence(undone: Iterable[Explanation]) -> str:
    """What there was no time for."""
    return f"Not finished, as time ran out: {'; '.join(sorted(undone))}."
