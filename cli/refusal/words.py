"""What is said where nothing keeps the rules: what clashes, and what would help."""

from collections.abc import Collection, Mapping, Sequence

from ...constraints.model.brief import Bench
from ...constraints.model.row import WHOLE
from ...constraints.model.rule import Kind, Limited, Rule, material_shut_out
from ...constraints.rules.outer import BALANCE
from ...solver.infeasible.concessions import Concession
from ...solver.infeasible.conflict import Clash, Clashes
from ...solver.infeasible.purchases import Purchase
from ...solver.infeasible.reasons import Search
from ...solver.infeasible.steps import Moved
from ...solver.program.outcome import Infeasible, Program, Stopped, Unbounded
from ...solver.proof.duality import Leaf
from ..finding.binding import AT, because
from ..kit.numbers import in_unit, limit, limits, money, share

COUNTS = {2: "both", 3: "all three", 4: "all four", 5: "all five", 6: "all six"}
SALTY = "no more salt in the water than a predicted pH is trusted for"
CAUTION = (
    "A limit that moves takes on what it kept away: before preservation, pH or a limit for the"
    " skin gives way, have it tested, and ask whoever assesses the product."
)


def refused(name: str, outcome: Infeasible | Unbounded | Stopped) -> str:
    """That there is no composition to show."""
    if isinstance(outcome, Stopped):
        return f"{name}: gave up before it was sure: {outcome.reason}."
    if isinstance(outcome, Unbounded):
        return f"{name}: the cost falls without end; some price is below nothing."
    return f"{name}: no composition of what is on the shelf keeps every rule."


def clash_sentence(bench: Bench, program: Program, clash: Clash) -> str:
    """Rules that cannot hold together, each with the limit that is in the way."""
    rules = {rule.id: rule for rule in bench.brief.rules}
    if not clash.rules:
        return "The shares cannot add to the whole: the shelf itself does not allow it."
    sides = sides_of(program, clash)
    said = [
        SALTY if name == BALANCE else _in_the_way(bench, rules[name], sides.get(name, frozenset()))
        for name in clash.rules
    ]
    if len(said) == 1:
        return f"{said[0]}: no mix of this shelf meets that, whatever the other rules."
    every = COUNTS.get(len(said), f"all {len(said)}")
    return f"{'; '.join(said[:-1])}; and {said[-1]}: no mix of this shelf meets {every}."


def sides_of(program: Program, clash: Clash) -> Mapping[str, frozenset[str]]:
    """Which limit of each rule a clash rests on, read off its certificate."""
    if clash.proof is None:
        return {}
    present = {WHOLE, *clash.rules}
    rows = [row for row in program.rows if row.rule in present]
    found: dict[str, frozenset[str]] = {}
    for leaf in clash.proof.tree:
        for row, y in zip(rows, leaf.y if isinstance(leaf, Leaf) else (), strict=False):
            if y:
                side = frozenset(("low" if y > 0 else "high",))
                found[row.rule] = found.get(row.rule, frozenset()) | side
    return found


def _in_the_way(bench: Bench, rule: Rule, sides: frozenset[str]) -> str:
    law = " (law)" if rule.kind is Kind.LAW else ""
    if not isinstance(rule, Limited) or rule.whole or missing(bench, rule) is not None:
        return f"{rule.id}{law}"
    side = next(iter(sides)) if len(sides) == 1 else ""
    if not side or not limit(rule, side):
        return f"{rule.id}, {limits(rule)}{law}"
    return f"{rule.id}, {AT[side]} {limit(rule, side)}{law}"


def clashes_note(found: Clashes, shown: int) -> str:
    """How many more clashes there are, and whether these are all."""
    more = len(found.found) - shown
    if found.complete and more <= 0:
        only = "This is the only clash" if len(found.found) == 1 else "These are all the clashes"
        return f"{only}: without any one of its rules it is gone." if shown else ""
    if not found.smallest:
        return "There may be other sets of rules that clash."
    if found.complete:
        return f"{more} larger ones clash too; --format json has them."
    return "More sets of rules clash, none of fewer rules than these; --format json has some."


def concession_sentence(bench: Bench, way: Concession) -> str:
    """A way out: what to change, what the mix then costs, and what that gives up."""
    rules = {rule.id: rule for rule in bench.brief.rules}
    steps = [_move(rules[one.rule], one) for one in way.moved]
    steps += [_drop(bench, rules[name]) for name in way.dropped]
    cost = money(way.cost, bench.brief.currency)
    minded = _minded([rules[name] for name in _given_up(bench, way)])
    said = " and ".join(steps)
    return f"{said[0].upper()}{said[1:]}: the mix then costs {cost}.{minded}"


def _minded(rules: list[Rule]) -> str:
    """What giving way gives up, in the maker's own words."""
    if not rules:
        return ""
    if len(rules) == 1:
        return f" Mind why it is there: {because(rules[0])}."
    return f" Mind why they are there: {' · '.join(f'{r.id} – {because(r)}' for r in rules)}."


def _move(rule: Rule, moved: Moved) -> str:
    if moved.side == "low" and moved.new == 0:
        return f"drop the lower limit of {rule.id}, {in_unit(moved.old, rule.unit)}"
    word = "lower" if moved.new < moved.old else "raise"
    which = "lower limit" if moved.side == "low" else "upper limit"
    old, new = in_unit(moved.old, rule.unit), in_unit(moved.new, rule.unit)
    just = in_unit(_rounded(moved), rule.unit)
    does = "" if just == new else f" ({just} would just do)"
    return f"{word} the {which} of {rule.id} from {old} to {new}{does}"


def _rounded(moved: Moved) -> float:
    """Where it just does, in four figures, rounded to the side that does."""
    from math import ceil, floor, log10

    if abs(moved.needed) < 1e-7:
        return 0.0
    scale = 10.0 ** (3 - floor(log10(abs(moved.needed))))
    whole = moved.needed * scale
    return (ceil(whole) if moved.side == "high" else floor(whole)) / scale


def _drop(bench: Bench, rule: Rule) -> str:
    name = missing(bench, rule)
    if name is not None:
        return f"get {name} again"
    doses = " (what is used of them still keeps its dose)" if rule.offers() else ""
    return f"give up the rule “{rule.id}”{doses}"


def missing(bench: Bench, rule: Rule) -> str | None:
    """The material that a rule says cannot be had, or ``None`` for any other rule."""
    name = material_shut_out(rule)
    away = {item.material.name for item in bench.shelf if not item.available}
    return name if name in away else None


def _given_up(bench: Bench, way: Concession) -> list[str]:
    rules = {rule.id: rule for rule in bench.brief.rules}
    dropped = [name for name in way.dropped if missing(bench, rules[name]) is None]
    return [*(one.rule for one in way.moved), *dropped]


def no_concession() -> str:
    """That no rule of the maker's can give way."""
    return "No rule that may give way would help, even with two others giving way beside it."


FAR = (
    "Only such ways are left as go past what a maker would do without need: they make another"
    " bar, or leave it unpreserved."
)


JUST = "Move any of these limits by a hair: the rules miss each other by less than a balance shows."


def concession_sentences(
    bench: Bench, ways: Sequence[Concession], *, cut: bool, just: bool
) -> list[str]:
    """The ways out; what is said where there are none, or only such as no maker would choose.

    Args:
        bench: what has no composition.
        ways: what was found.
        cut: whether time ran out before all were looked for.
        just: whether only rounding keeps an answer away.
    """
    if not ways:
        return [] if cut else [JUST if just else no_concession()]
    said = [concession_sentence(bench, way) for way in ways]
    return [FAR, *said] if all(way.far for way in ways) else said


def is_just(clashes: Clashes) -> bool:
    """Whether the rules of a clash miss each other by less than a solver sees."""
    return any(clash.rules and clash.violation < SEEN for clash in clashes.found)


SEEN = 1e-7
"""Below this a miss is none for a judge [kg/kg]."""


def undone_sentence(undone: Collection[Search]) -> str:
    """What was cut short."""
    return f"Cut short, as time ran out: {'; '.join(sorted(undone))}."


def purchases_sentence(found: Sequence[Purchase], tried: int) -> str:
    """What the list of materials is."""
    if not found:
        return f"None of {tried} other materials of the catalogue would do alone."
    return (
        f"Of {tried} others in the catalogue, tried one at a time, these would do most"
        " easily. What they cost is for a seller to say."
    )


def held_sentence(found: Sequence[Purchase]) -> str:
    """Which of them are worth what they are at their usual dose and no more of them."""
    said = [f"{one.material} ({share(one.held)})" for one in found if one.held is not None]
    return f"Worth so much at the most that is usual of it: {'; '.join(said)}." if said else ""


def purchase_cells(purchase: Purchase) -> tuple[str, str, str]:
    """A material to buy, the least of it that will do, and what may be paid for it."""
    up_to = "any price" if purchase.up_to is None else _floored(purchase.up_to)
    return purchase.material, share(purchase.share), up_to


def _floored(price: float) -> str:
    return f"{int(price * 100 + 1e-6) / 100:.2f}"
