"""A finding on the screen: composition, what holds it, every rule, contents, what stayed out."""

from typing import TYPE_CHECKING

from ..constraints.brief import Bench, Composition
from ..constraints.contents import contents_of
from ..constraints.rule import Kind
from ..constraints.verdict import Verdict
from ..solver.cheapest import Finding, LeftOut
from .numbers import money, share
from .screen import heading, paragraph, table
from .words import binding_sentence, price_sentence, verdict_cells

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

SHOWN_CLASSES = 12


def show_finding(console: "Console", bench: Bench, finding: Finding) -> None:
    """The whole answer of ``cheapest``."""
    currency = bench.brief.currency
    paragraph(console, f"{bench.brief.name}: {money(finding.cost, currency)} of mix")
    console.print(composition_table(bench, finding.composition))
    show_binding(console, bench, finding)
    heading(console, "Every rule")
    console.print(verdict_table(finding.verdicts))
    show_contents(console, bench, finding.composition)
    show_left_out(console, finding, currency)


def composition_table(bench: Bench, composition: Composition) -> "Table":
    """Each material with its share, its cost in a kilogram of mix and its part of the cost."""
    currency = bench.brief.currency
    made = table("material", "share", f"{currency}/kg mix", "of cost", right=(1, 2, 3))
    parts = sorted(composition.parts.items(), key=lambda part: (-part[1], part[0]))
    costs = {name: bench.item(name).price * amount for name, amount in parts}
    total = sum(costs.values())
    for name, amount in parts:
        of_cost = f"{costs[name] / total:.1%}" if total else "–"
        made.add_row(name, share(amount), f"{costs[name]:.3f}", of_cost)
    made.add_section()
    made.add_row("total", share(sum(composition.parts.values())), f"{total:.3f}", "")
    return made


def show_binding(console: "Console", bench: Bench, finding: Finding) -> None:
    """The rules that hold the composition where it is, dearest first."""
    heading(console, "What holds it there")
    rules = {verdict.rule.id: verdict.rule for verdict in finding.verdicts}
    if not finding.prices:
        paragraph(console, "No rule's limit: moving any of them a step changes nothing.")
    for number, price in enumerate(finding.prices, start=1):
        rule = rules[price.rule]
        paragraph(console, f"{number}. {binding_sentence(rule, price)}")
        paragraph(console, price_sentence(rule, price, bench.brief.currency), indent=3)
        paragraph(console, f"Because: {rule.because}", indent=3)
    if finding.conditional:
        chosen = _chosen(finding)
        paragraph(console, f"These prices hold with the choice made here: {chosen}.")


def _chosen(finding: Finding) -> str:
    used = [name for name in finding.rows.choices if name in finding.composition.parts]
    return ", ".join(used) if used else "none of the materials that may be left out"


def verdict_table(verdicts: tuple[Verdict, ...]) -> "Table":
    """Every rule with its limits, its value and the room left, grouped by whose rule it is."""
    made = table("rule", "limits", "value", "room left", right=(2, 3))
    for kind in (Kind.PRACTICE, Kind.HOUSE, Kind.ADVICE, Kind.LAW):
        of_kind = [verdict for verdict in verdicts if verdict.rule.kind is kind]
        if of_kind:
            made.add_row(f"— {kind} —")
        for verdict in of_kind:
            made.add_row(*verdict_cells(verdict))
        made.add_section()
    return made


def show_contents(console: "Console", bench: Bench, composition: Composition) -> None:
    """What the bar contains, by class and by substance."""
    heading(console, "What it contains")
    contents = contents_of(bench, composition)
    by_class = table("class", "share", right=(1,))
    for name, amount in classes_of(bench, contents):
        by_class.add_row(name, share(amount))
    by_substance = table("substance", "share", right=(1,))
    for inci, amount in sorted(contents.items(), key=lambda entry: (-entry[1], entry[0])):
        by_substance.add_row(inci, share(amount))
    console.print(by_class)
    console.print(by_substance)


def classes_of(bench: Bench, contents: dict[str, float]) -> list[tuple[str, float]]:
    """Class totals of a composition [kg/kg], largest first."""
    totals: dict[str, float] = {}
    for inci, amount in contents.items():
        for name in bench.substances[inci].classes:
            totals[name] = totals.get(name, 0.0) + amount
    return sorted(totals.items(), key=lambda entry: (-entry[1], entry[0]))


def show_left_out(console: "Console", finding: Finding, currency: str) -> None:
    """Materials that stayed out, with the price at which each would come in."""
    if not finding.left_out:
        return
    heading(console, "What stayed out")
    made = table("material", f"{currency}/kg", "comes in below", right=(1, 2))
    for left in finding.left_out:
        made.add_row(left.material, f"{left.price:.2f}", _entry(left))
    console.print(made)


def _entry(left: LeftOut) -> str:
    if left.enters_below is None:
        return "kept out by a rule"
    if left.enters_below <= 0:
        return "not even as a gift"
    return f"{left.enters_below:.2f}"
