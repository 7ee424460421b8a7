"""A finding on the screen: composition, what holds it, what stayed out, the rest, contents."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ...constraints.model.rule import Kind, Limited
from ...constraints.rules.acidity import Acidity, acidity_of
from ..kit.notices import show_changes_to_come
from ..kit.numbers import in_unit, money, share
from ..kit.screen import heading, paragraph, picture, table
from ..kit.words import ON_PAPER, law_sentence, offers_sentence, verdict_cells
from .binding import (
    ENOUGH,
    UNPROVED,
    advice,
    bends,
    chosen_sentence,
    curved_sentence,
    entry_cell,
    holds,
    other_sentences,
    reasons_sentence,
    standing,
    step_cell,
    tie_sentence,
    undone_sentence,
)
from .contents import show_contents
from .pictures import acidity_picture, costs_picture, limit_picture, rules_picture, shares_picture

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rich.console import Console
    from rich.table import Table

    from ...constraints.model.brief import Bench, Composition
    from ...constraints.model.verdict import Verdict
    from ...solver.answers.explained import Explained as Shown
    from ...solver.cheapest.cheapest import Finding
    from ...solver.cheapest.stepping import LeftOut, Price
    from ...solver.prices.worth import Worth
    from ...solver.proof.proved import Proof
    from ...solver.strength.proof import ProvedWithin


def show_answer(
    console: Console, bench: Bench, finding: Finding, proof: Proof | ProvedWithin | None
) -> None:
    """The composition that ``cheapest`` proposes, and how sure it is."""
    paragraph(console, f"{bench.brief.name}: {money(finding.cost, bench.brief.currency)} of mix")
    _show_proof(console, bench, finding, proof)
    console.print()
    show_composition(console, bench, finding.composition)
    show_offers(console, bench, finding.composition)
    show_second_look(console, bench, finding.composition)


def show_explanations(console: Console, bench: Bench, shown: Shown) -> None:
    """What holds it there and all the rest."""
    finding = shown.finding
    show_binding(console, bench, shown)
    _draw_limits(console, bench, shown)
    picture(console, lambda: rules_picture(finding.verdicts))
    _show_acidity(console, bench, shown)
    show_left_out(console, bench, shown)
    if shown.alternatives is not None:
        from .alternatives import show_alternatives

        show_alternatives(console, bench, finding, shown.alternatives)
    _show_others(console, finding)
    show_contents(console, bench, finding.composition)
    if shown.undone:
        console.print()
        paragraph(console, undone_sentence(shown.undone))
    show_closing(console, bench, finding.composition, finding.verdicts)


def show_second_look(console: Console, bench: Bench, composition: Composition) -> None:
    """What a second look stops at; nothing where it stops at nothing."""
    from .beware import ended
    from .second_look import look_sentences

    said = look_sentences(bench, composition)
    if said:
        heading(console, "A second look")
        for sentence in said:
            paragraph(console, f"- {ended(sentence)}", hang=2)


def show_closing(
    console: Console, bench: Bench, composition: Composition, verdicts: Sequence[Verdict]
) -> None:
    """Changes of the law to come, what its limits are worth, what comes before a bar is sold."""
    show_changes_to_come(console, bench, composition)
    console.print()
    paragraph(console, " ".join(filter(None, (law_sentence(verdicts), ON_PAPER))))


def _show_proof(
    console: Console, bench: Bench, finding: Finding, proof: Proof | ProvedWithin | None
) -> None:
    if proof is None:
        paragraph(console, UNPROVED)
        return
    from .proof import proof_sentence, strength_sentence

    rules = bench.brief.rules
    said = proof_sentence(proof, len(rules), bench.brief.currency)
    if not finding.parts and any(rule.dispersed for rule in rules):
        said = f"{said} {strength_sentence(finding.rows.ionic_strength)}"
    paragraph(console, said)


def show_composition(console: Console, bench: Bench, composition: Composition) -> None:
    """Each material with its share and its cost; a page draws both."""
    console.print(composition_table(bench, composition))
    picture(console, lambda: shares_picture(composition))
    picture(console, lambda: costs_picture(bench, composition))


def show_offers(console: Console, bench: Bench, composition: Composition) -> None:
    """Which offers price it, where there are several of a material."""
    said = offers_sentence(bench, composition.parts)
    if said:
        heading(console, "What prices it")
        paragraph(console, said)


def composition_table(bench: Bench, composition: Composition) -> Table:
    """Each material with its share, its cost in a kilogram of mix and its part of the cost."""
    currency = bench.brief.currency
    made = table("material", "share", f"{currency}/kg mix", "of cost", right=(1, 2, 3))
    parts = sorted(composition.parts.items(), key=lambda part: (-part[1], part[0]))
    costs = {name: bench.item(name).price * amount for name, amount in parts}
    total = sum(costs.values())
    for name, amount in parts:
        of_cost = f"{costs[name] / total:.1%}" if total else "–"
        made.add_row(name, share(amount), f"{costs[name]:.3f}", of_cost)
    made.add_row("total", share(sum(composition.parts.values())), f"{total:.3f}", "")
    return made


def show_binding(console: Console, bench: Bench, shown: Shown) -> None:
    """The rules that hold the composition where it is, dearest first."""
    heading(console, "What holds it there")
    finding, currency = shown.finding, bench.brief.currency
    rules = limited_rules(finding)
    slopes = {} if shown.worth is None else shown.worth.slopes
    if not finding.prices:
        paragraph(console, "No rule's limit: moving any of them a step changes nothing.")
    for number, price in enumerate(finding.prices[:ENOUGH], start=1):
        said = advice(rules[price.rule], price, slopes.get((price.rule, price.side)), currency)
        paragraph(console, f"{number}. {said}")
    rest = finding.prices[ENOUGH:]
    if rest:
        console.print()
        paragraph(console, f"Then, by what a step costs and saves in {currency}/kg:")
        console.print(binding_table(rest, rules, shown.worth))
        paragraph(console, reasons_sentence([rules[price.rule] for price in rest]))
    if any(bends(rules[price.rule], price.side) for price in finding.prices):
        paragraph(console, curved_sentence())
    if finding.conditional:
        _show_choices(console, shown, currency)


def _draw_limits(console: Console, bench: Bench, shown: Shown) -> None:
    """The cost along each of the dearest limits, as far as its exact price reaches."""
    slopes = {} if shown.worth is None else shown.worth.slopes
    rules, cost = limited_rules(shown.finding), shown.finding.cost
    for price in shown.finding.prices[:ENOUGH]:
        rule, slope = rules[price.rule], slopes.get((price.rule, price.side))
        currency, chosen = bench.brief.currency, shown.finding.conditional
        picture(console, partial(limit_picture, rule, slope, cost, currency, chosen=chosen))


def _show_acidity(console: Console, bench: Bench, shown: Shown) -> None:
    """The pH to expect and what a step of it takes, where the brief speaks of pH."""
    rule, finding = acidity_of(bench.brief), shown.finding
    step = "" if shown.worth is None or rule is None else _step_of_acidity(bench, finding, rule)
    show_prediction(console, bench, finding.composition, step)


def show_prediction(
    console: Console, bench: Bench, composition: Composition, step: str = ""
) -> None:
    """The pH to expect with its range, where the brief speaks of pH."""
    rule = acidity_of(bench.brief)
    if rule is None:
        return
    from ...constraints.acidity.prediction import predict
    from .ph import MEASURE, predicted_sentence

    parts = bench.parts_of(composition)
    found = predict(parts, bench.substances, rule.dilution)
    heading(console, "Its pH")
    paragraph(console, " ".join(filter(None, (predicted_sentence(found), step, MEASURE))))
    picture(console, lambda: acidity_picture(rule, [("predicted", found)]))


def _step_of_acidity(bench: Bench, finding: Finding, rule: Acidity) -> str:
    price = next((price for price in finding.prices if price.rule == rule.id), None)
    if price is None:
        return ""
    from ...workshop.acid.change import amounts_of_step
    from .ph import step_sentence

    by = price.step if price.side == "low" else -price.step
    return step_sentence(amounts_of_step(bench, finding.composition, by), by)


def _show_choices(console: Console, shown: Shown, currency: str) -> None:
    finding = shown.finding
    used = [name for name in finding.rows.choices if name in finding.composition.parts]
    paragraph(console, chosen_sentence(used))
    for sentence in other_sentences(shown.others, finding.cost, currency):
        paragraph(console, sentence)


def limited_rules(finding: Finding) -> dict[str, Limited]:
    """The rules of a finding that have limits, by id."""
    rules = (verdict.rule for verdict in finding.verdicts)
    return {rule.id: rule for rule in rules if isinstance(rule, Limited)}


def binding_table(
    prices: Sequence[Price], rules: Mapping[str, Limited], worth: Worth | None
) -> Table:
    """Binding rules, each on a line: its limit, and what a step costs and saves."""
    heads = ("rule", "at", "step", "tighter", "looser", "same from–to")
    made = table(*(heads[:-1] if worth is None else heads), right=range(1, 6))
    for price in prices:
        rule = rules[price.rule]
        cells = (
            rule.id,
            standing(rule, price.side).replace("at least", "≥").replace("at most", "≤"),
            in_unit(price.step, rule.unit).removeprefix("pH "),
            "" if rule.shuts_out() is not None else step_cell(price.tighter, "+"),
            step_cell(price.looser, "−"),
        )
        slope = None if worth is None else worth.slopes.get((price.rule, price.side))
        made.add_row(*cells, *(() if worth is None else (holds(rule, price.side, slope),)))
    return made


def verdict_table(verdicts: Sequence[Verdict]) -> Table:
    """Every rule with its limits, its value and the room left, grouped by whose rule it is."""
    made = table("rule", "limits", "value", "room left", right=(2, 3))
    for kind in (Kind.PRACTICE, Kind.HOUSE, Kind.ADVICE, Kind.LAW):
        of_kind = [verdict for verdict in verdicts if verdict.rule.kind is kind]
        if of_kind:
            made.add_row(f"— {kind} —")
        for verdict in of_kind:
            made.add_row(*verdict_cells(verdict))
    return made


def _show_others(console: Console, finding: Finding) -> None:
    """The rules that do not hold it, and the room they leave."""
    dear = {price.rule for price in finding.prices}
    rest = [verdict for verdict in finding.verdicts if verdict.rule.id not in dear]
    idle = [verdict for verdict in rest if verdict.idle]
    heading(console, f"The other {len(rest)} rules, with the room they leave")
    console.print(verdict_table([verdict for verdict in rest if verdict not in idle]))
    if idle:
        names = "; ".join(verdict.rule.id for verdict in idle)
        paragraph(console, f"Kept, as nothing that they limit is used: {names}.")


def show_left_out(console: Console, bench: Bench, shown: Shown) -> None:
    """Materials that stayed out, with the price at which each would come in."""
    finding, currency = shown.finding, bench.brief.currency
    if finding.entries_undone:
        return
    out = [left for left in finding.left_out if not _not_chosen(finding, left)]
    if out:
        heading(console, "What stayed out")
        made = table("material", f"{currency}/kg", "comes in below", right=(1, 2))
        for left in out:
            made.add_row(left.material, f"{left.price:.2f}", entry_cell(left))
        console.print(made)
    if shown.worth is not None and shown.worth.tied:
        paragraph(console, tie_sentence(shown.worth.tied))


def _not_chosen(finding: Finding, left: LeftOut) -> bool:
    """Whether only another choice would bring it in, which is told with the choices."""
    return left.enters_below is None and left.material in finding.rows.choices
