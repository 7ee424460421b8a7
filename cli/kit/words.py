"""What is said to the maker: the one place where findings become sentences."""

from collections.abc import Iterable, Iterator

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Kind, Limited, Rule
from ...constraints.model.verdict import Verdict
from ...workshop.fill.size import bowls
from .numbers import amount, limits, measured

ON_PAPER = (
    "This is a proposal on paper. A measured pH, tests of stability and preservation and the safety"
    " assessment by a qualified person come before a bar is sold, by the law of the place."
)


def bar_name(bench: Bench, formula: str, between: str = ", ") -> str:
    """A product and its formula, each named once: a formula may bear the product's own name."""
    product = bench.brief.name
    return product if formula in {"", product} else f"{product}{between}{formula}"


def offers_sentence(bench: Bench, names: Iterable[str]) -> str:
    """Which offers price materials of which there are several; empty where there is one of each."""
    sold: dict[str, list[str]] = {}
    for name in names:
        item = bench.item(name)
        if len(item.offers) > 1 and item.offer is not None:
            pack = f"{item.short or name} ({amount(item.offer.pack)})"
            sold.setdefault(item.offer.supplier or "the shelf", []).append(pack)
    said = [f"from {supplier} {', '.join(packs)}" for supplier, packs in sold.items()]
    return f"Of several offers the cheapest counts: {'; '.join(said)}." if said else ""


def bowl_sentences(bench: Bench, mix: float, counted: str = "") -> Iterator[str]:
    """That so much mix [kg] does not go into the bowl at once, and what then counts for one batch.

    Nothing where it does, or where the brief names no bowl.
    """
    bowl, count = bench.brief.workshop.bowl, bowls(bench, mix)
    if bowl is not None and count > 1:
        yield (
            f"{amount(mix)} is more than is made at once, {amount(bowl)} (bowl, in the brief): "
            f"make {count} batches{counted}."
        )


def law_sentence(verdicts: Iterable[Verdict]) -> str:
    """When the limits of law were read and what they are worth; empty where none is in play."""
    laws = [verdict.rule.source for verdict in verdicts if verdict.rule.kind is Kind.LAW]
    read = sorted({source.date for source in laws if source is not None and source.date})
    if not laws:
        return ""
    when = f" as read on {read[-1]}" if read else ""
    return (
        f"Limits of law: a research note{when}, never legal advice; --format json cites each entry."
    )


def verdict_cells(verdict: Verdict) -> tuple[str, str, str, str]:
    """A rule as table cells: name, limits, value, room left."""
    rule = verdict.rule
    if not isinstance(rule, Limited):
        return rule.id, "", "kept" if verdict.kept else "broken", ""
    if verdict.value is None:
        return rule.id, limits(rule), "not used", room_cell(verdict)
    return rule.id, limits(rule), measured(rule, verdict.value), room_cell(verdict)


def room_cell(verdict: Verdict) -> str:
    """Room left, or by how much a rule is broken."""
    room = verdict.room
    rule = verdict.rule
    if verdict.unsure is not None:
        return "not sure"
    if not verdict.kept:
        by = "" if room is None else f" by {measured_room(rule, -room)}"
        return f"broken{by}"
    if room is None or rule.shuts_out() is not None:
        return ""
    shown = measured_room(rule, max(room, 0.0))
    return "none" if room <= 0 or _is_nought(shown) else shown


def measured_room(rule: Rule, room: float) -> str:
    """Room in the unit of the rule, without the name of the quantity."""
    assert isinstance(rule, Limited)  # noqa: S101  (only limits have room)
    return measured(rule, room).removeprefix("pH ")


def _is_nought(text: str) -> bool:
    figure = text.split(maxsplit=1)[0]
    return figure == "<" or float(figure) == 0
