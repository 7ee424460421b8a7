"""A batch that cannot be made: what is in the way, and what would get it out of the way."""

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, NoReturn

import typer

from ...constraints.model.brief import MOST_BARS, Balance, Bench
from ...constraints.values.problem import Problem, Where, refuse_all
from ...solver.program.outcome import Infeasible, Stopped
from ...workshop.batch.lines import Hindrance, Refused, Why
from ...workshop.weighing.weight import Unweighable
from ..kit.answer import answered
from ..kit.exit import Exit, without_answer
from ..kit.numbers import amount, percent
from ..kit.one_screen import counted
from ..kit.options import Format
from ..kit.screen import paragraph

if TYPE_CHECKING:
    from rich.console import Console

_BROKEN = {Why.RULES_BROKEN, Why.NOT_AVAILABLE}

_SENTENCES: Mapping[Why, Callable[[Hindrance], str]] = {
    Why.NOT_AVAILABLE: lambda one: f"Cannot be had: {'; '.join(one.names)}. See barwright replace.",
    Why.RULES_BROKEN: lambda one: (
        f"The composition breaks {', '.join(one.names)}. See barwright check; a batch is weighed "
        "only of what keeps the rules."
    ),
    Why.STOPPED: lambda _: "The search for weights was given up before it was sure.",
}

_INPUT: Mapping[Why, tuple[Where, str]] = {
    Why.NO_BARS: (Where("--bars"), f"from 1 to {MOST_BARS:,} bars"),
    Why.NO_FILL: (Where("--fill"), "a mass such as 62 g"),
    Why.NOTHING_LEFT: (Where("brief.toml", "product.loss"), "less than 100 %"),
    Why.NO_BALANCE: (Where("brief.toml", "balances"), "a balance: [balances.NAME]"),
    Why.PORTION_NOT_WEIGHED: (Where("brief.toml", "balances"), "a balance that weighs a portion"),
    Why.NOT_WHOLE: (Where("the formula"), "shares that add to 100 %"),
    Why.NOT_ON_SHELF: (Where("the formula"), "materials that stand on the shelf"),
}


def refuse_batch(bench: Bench, refused: Refused, bars: int, shown: Format) -> NoReturn:
    """Say what is in the way and leave with the exit code that fits the worst of it."""
    refuse_all(_problem(one) for one in refused.reasons if one.why in _INPUT)
    answered(
        "batch",
        shown,
        lambda: refused_form(bench, refused, bars),
        lambda console, _: _show(console, bench, refused, bars),
    )
    raise typer.Exit(exit_of(refused))


def _show(console: "Console", bench: Bench, refused: Refused, bars: int) -> None:
    paragraph(
        console, f"{bench.brief.name}: {counted(bars, 'bar')} cannot be weighed out as asked."
    )
    for sentence in refused_sentences(refused):
        paragraph(console, sentence)


def _problem(reason: Hindrance) -> Problem:
    where, expected = _INPUT[reason.why]
    return Problem(where, _what(reason), expected)


def _what(reason: Hindrance) -> str:
    if reason.names:
        return "; ".join(reason.names)
    if reason.value is None:
        return "none"
    if reason.why in {Why.NOT_WHOLE, Why.NOTHING_LEFT}:
        return percent(reason.value)
    return (
        f"{reason.value:g}" if reason.why is Why.NO_BARS else f"portions of {amount(reason.value)}"
    )


def exit_of(refused: Refused) -> Exit:
    """Broken rules before weights that cannot be found."""
    whys = {reason.why for reason in refused.reasons}
    if whys & _BROKEN:
        return Exit.RULE_BROKEN
    return without_answer(refused.weighing if Why.STOPPED in whys else Infeasible())


def refused_sentences(refused: Refused) -> Iterator[str]:
    """Everything in the way."""
    for reason in refused.reasons:
        if reason.why is not Why.NO_WEIGHTS:
            yield _SENTENCES[reason.why](reason)
    if isinstance(refused.weighing, Stopped):
        yield f"It said: {refused.weighing.reason}."
    if isinstance(refused.weighing, Unweighable):
        yield from _unweighable(refused.weighing, refused.bigger)


def _unweighable(found: Unweighable, bigger: int | None) -> Iterator[str]:
    if found.too_little:
        yield f"Too little to weigh on any balance: {'; '.join(found.too_little)}."
    if found.clash:
        yield f"No weights in whole scale steps keep these together: {', '.join(found.clash)}."
    if found.plain_breaks:
        yield f"Rounding each by itself would break {', '.join(found.plain_breaks)}."
    for balances in found.finer:
        yield f"It can be weighed with {' and '.join(map(_balance, balances))}."
    if bigger is not None:
        yield f"It can be weighed as it is for {counted(bigger, 'bar')}: --bars {bigger}."
    if found.undone:
        yield "Time ran out: fewer rules may clash, and not all balances and batches were tried."
    elif not found.finer and bigger is None:
        yield "No balance up to a thousand times finer does it, and no batch that was tried."


def _balance(balance: Balance) -> str:
    least = f", least load {amount(balance.least)}" if balance.least else ""
    return f"a {balance.name} balance of {_fine(balance.step)} steps{least}"


def _fine(step_kg: float) -> str:
    return f"{step_kg * 1000:.6g} g"


def refused_form(bench: Bench, refused: Refused, bars: int) -> dict[str, object]:
    """What is in the way, as JSON."""
    form: dict[str, object] = {
        "product": bench.brief.name,
        "status": "refused",
        "bars": bars,
        "reasons": [
            {"why": one.why.name.lower(), "names": list(one.names), "value": one.value}
            for one in refused.reasons
        ],
        "bars_that_can_be_weighed": refused.bigger,
    }
    if isinstance(refused.weighing, Unweighable):
        form["too_little"] = list(refused.weighing.too_little)
        form["clash"] = list(refused.weighing.clash)
        form["undone"] = refused.weighing.undone
        form["plain_rounding_breaks"] = list(refused.weighing.plain_breaks)
        form["finer_balances"] = [
            [{"balance": one.name, "step": one.step, "least": one.least} for one in way]
            for way in refused.weighing.finer
        ]
    return form
