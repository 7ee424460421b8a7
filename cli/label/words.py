"""What is said of a box: what to check before it is printed, and what stands behind it."""

from collections.abc import Iterator, Sequence

from ...constraints.market.labelling import labelling
from ...constraints.model.brief import Bench
from ...constraints.model.rule import Kind
from ...constraints.model.verdict import Verdict
from ...workshop.label.lines import Doubt, Group, Label
from ..kit.numbers import share

GROUPS = {
    Group.ORDERED: "by weight, most first",
    Group.FREE: "the rest, in any order",
    Group.COLOURANT: "colourants, last",
}


DOUBTS = {
    Doubt.WEIGHING: "a scale step",
    Doubt.CONTENTS: "the lots used",
}


def broken_sentence(broken: Sequence[Verdict]) -> str:
    """That the bar is not one to print a box for, where it is not; empty where it is."""
    if not broken:
        return ""
    by_law = [verdict.rule.id for verdict in broken if verdict.rule.kind is Kind.LAW]
    names = ", ".join(verdict.rule.id for verdict in broken)
    ending = f" Against the law: {', '.join(by_law)}." if by_law else ""
    return f"Do not print this yet: the composition breaks {names}.{ending} See barwright check."


def checks(bench: Bench, label: Label) -> Iterator[str]:
    """What to look at before printing, the most serious first."""
    for text, claim in label.claims:
        yield f"“{text}” {claim.text} ({claim.source.citation})"
    yield from _allergen_checks(label)
    yield from _pack_checks(bench, label)
    for inci, amount in label.left_out.items():
        yield (
            f"{inci} ({share(amount)}) is left out of the list: it comes with making a raw "
            "material, or does its work before the bar is done."
        )


def _pack_checks(bench: Bench, label: Label) -> Iterator[str]:
    declared = bench.brief.portioning.declared
    if declared is not None and label.held > declared:
        yield (
            f"{label.net} stands for {_grams(label.held)}: of two rounded figures the larger is "
            "enforced. barwright fill presses for that one."
        )
    if label.sold_at is not None and declared is not None:
        yield (
            f"The {_grams(declared)} are what a bar holds when packed; dried on, it is sold at "
            f"{_grams(label.sold_at)}. Ask the weights and measures authority whether that counts."
        )
    keeps, rules = bench.brief.box.keeps, labelling(label.market)
    if keeps is not None and rules.longest_dated and not label.durability:
        lacks = (
            f"longer than {rules.longest_dated}: say how long once opened, "
            'such as after_opening = "12 months" under [box]'
            if keeps > rules.longest_dated
            else "say when it was made, such as --made 2026-11-25"
        )
        yield f"It keeps {keeps} months: {lacks}."


def _grams(mass: float) -> str:
    return f"{mass * 1000:.1f} g"


def _allergen_checks(label: Label) -> Iterator[str]:
    for name in label.undeclared:
        yield (
            f"{name}: no allergen of it is known here. Get the allergen declaration from its "
            "supplier and enter it in materials.toml; until then the list may lack names."
        )
    for name in label.near_threshold:
        yield (
            f"{name} stays below the threshold with typical contents, but passes it at the "
            "upper end of the range. Ask for the figure of your lot, or name it."
        )
    for inci, entries in label.undecided.items():
        yield f"{inci} may be named as one of: {', '.join(entries)}. Ask its supplier which."


def law_warnings(label: Label) -> Iterator[str]:
    """Warnings that a limit in use wants on the box."""
    for limit in label.warnings:
        yield f"{limit.warning} ({limit.source.citation})"


def replaced_sentence(label: Label) -> str:
    """What the list does not stand in for."""
    return f"This is a draft of a list, not a clearance. It does not replace {_and(label)}."


def _and(label: Label) -> str:
    return "; nor ".join(label.replaces_not)
