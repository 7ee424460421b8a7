"""Why a bench has no composition, and what would give it one.

Clashes and concessions are looked for in rows; every way out is then tried on the bench itself:
its rules changed or its shelf widened, solved at the ionic strength of its own answer, and checked
rule by rule. What does not stand that is not shown.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from math import inf
from time import monotonic

from ...constraints.bench.changing import borne_by, with_free
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.row import Row
from ...constraints.model.rule import Concedes, Limited, Rule
from ...constraints.rules.holding import rows_held
from ...constraints.rules.prices import bearable, priced_rows
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import Refusal, checked, composed, least, program_of, written_for
from ..program.fixed_point import speaks_of_water
from ..program.outcome import Infeasible, Optimal, Program
from ..program.session import Session
from ..proof.proof import ProvedInfeasible, Unproved, prove_infeasible
from ..strength.proof import ProvedNowhere, prove_nowhere
from .conflict import Clash, Clashes, clashes
from .remedy import Moved, Relaxable, WayOut, give_way

TRIED = 12
"""Concessions that are tried on the bench, those that give least first."""

USED = 1e-6
"""A material with no more than this plays no part in a way out [kg/kg]."""

MOST_ROUNDS = 20
"""Rounds in which the price that can be paid for a material is raised."""

DEAREST = 1e6
"""No raw material is asked for at a higher price [money/kg]."""

MOST_BOUGHT = 8
"""So many materials of the catalogue that will do are enough to choose from."""

PARED_S = 10.0
"""For so long a clash that only several cells together show is made smaller [s]."""

MOST_TRIED = 24
"""So many are tried to the end."""


@dataclass(frozen=True, slots=True)
class Concession:
    """Rules that give way, and the cheapest composition then.

    Args:
        moved: limits that move.
        dropped: rules given up whole.
        give: how much gives way, the sum over limits of the change relative to the limit [-].
        cost: of the composition [money/kg].
        composition: what could be made.
    """

    moved: tuple[Moved, ...]
    dropped: tuple[str, ...]
    give: float
    cost: float
    composition: Composition


@dataclass(frozen=True, slots=True)
class Purchase:
    """A material of the catalogue that, bought, makes a composition possible.

    Args:
        material: its name.
        share: the least of it that will do [kg/kg].
        up_to: the highest price at which the rules can be kept [money/kg]; ``None`` where its price
            does not matter to them.
        composition: with as little of it as will do.
    """

    material: str
    share: float
    up_to: float | None
    composition: Composition


@dataclass(frozen=True, slots=True)
class Reasons:
    """Why there is no composition, and what would help.

    Args:
        proof: that none keeps all the rules, exactly, and where pH is ruled at every ionic strength
            that the model of acidity is trusted for.
        clashes: sets of rules that cannot hold together, smallest first.
        concessions: rules that could give way, cheapest first.
        purchases: materials that could be bought: those for which the most could be paid first.
        tried: how many materials of the catalogue were tried.
    """

    proof: ProvedInfeasible | ProvedNowhere | Unproved
    clashes: Clashes
    concessions: tuple[Concession, ...]
    purchases: tuple[Purchase, ...]
    tried: int


def reasons(
    bench: Bench,
    refusal: Refusal,
    names: Sequence[str] | None = None,
    *,
    most_clashes: int = 10,
    most_ways: int = 5,
) -> Reasons:
    """Find the smallest clashes of a bench's rules, and the cheapest ways out.

    Args:
        bench: what has no composition.
        refusal: what the solver was given.
        names: known materials to try beside the shelf; by default all that are not on it.
        most_clashes: so many clashes at most.
        most_ways: so many concessions, and so many materials, at most.
    """
    tried, wide = borne_by(bench, bench.off_the_shelf if names is None else names)
    return Reasons(
        proof=_proof(bench, refusal),
        clashes=_clashes(bench, refusal, most_clashes),
        concessions=tuple(sorted(_concessions(bench, refusal), key=_order)[:most_ways]),
        purchases=tuple(_purchases(bench, wide, tried, refusal, most_ways)),
        tried=len(tried),
    )


def _proof(bench: Bench, refusal: Refusal) -> ProvedInfeasible | ProvedNowhere | Unproved:
    """Whatever the ionic strength, where pH is ruled; rows at one alone would prove nothing."""
    if refusal.parts:
        return prove_nowhere(bench, written_for(bench, refusal.also), refusal.parts)
    if speaks_of_water(bench.brief):
        return Unproved("asked at one ionic strength only")
    return prove_infeasible(refusal.program)


def _clashes(bench: Bench, refusal: Refusal, most: int) -> Clashes:
    """The smallest clashes; one at least where no single cell of pH and salt shows any."""
    if len(refusal.parts) <= 1:
        return clashes(refusal.program, most=most)
    ends = monotonic() + PARED_S
    present = [rule.id for rule in bench.brief.rules]
    for name in list(present):
        fewer = [other for other in present if other != name]
        if monotonic() < ends and _refused(bench, fewer, refusal):
            present = fewer
    return Clashes((Clash(tuple(present), inf),), complete=False, asked=len(bench.brief.rules))


def _refused(bench: Bench, present: Sequence[str], refusal: Refusal) -> bool:
    gone = [rule.id for rule in bench.brief.rules if rule.id not in present]
    fewer = conceding(bench, (), gone)
    outcome, _, _ = least(fewer, also=refusal.also, time_limit_s=PARED_S)
    return isinstance(outcome, Infeasible)


def _order(way: Concession) -> tuple[bool, float, float]:
    """Cheapest first; what moves limits by more than themselves makes another bar, and is last."""
    return way.give > 1.0 + USED, round(way.cost, 4), way.give


# --- rules that give way --------------------------------------------------------------------------


def _concessions(bench: Bench, refusal: Refusal) -> Iterator[Concession]:
    rules = {rule.id: rule for rule in bench.brief.rules}
    ways = _ways(bench, refusal, rules, 2) or _ways(bench, refusal, rules, 3)
    for way in ways:
        conceded = conceding(bench, way.moved, way.dropped)
        outcome, _, _ = least(conceded, start=refusal.rows.ionic_strength)
        if isinstance(outcome, Optimal):
            composition = composed(conceded, outcome)
            checked(conceded, composition)
            yield Concession(way.moved, way.dropped, way.give, outcome.cost, composition)


def _ways(
    bench: Bench, refusal: Refusal, rules: Mapping[str, Rule], most_rules: int
) -> tuple[WayOut, ...]:
    frame, rows = frame_of(bench), refusal.rows

    def rows_with(rule: str, low: float | None, high: float | None) -> list[tuple[int, Row]]:
        limited = rules[rule]
        assert isinstance(limited, Limited)  # noqa: S101  (only limits are relaxable)
        new = rows_held(replace(limited, low=low, high=high), frame, rows.ionic_strength)
        return [(index, row) for (index, _), row in zip(rows.of(rule), new, strict=True)]

    return give_way(
        refusal.program,
        tuple(relaxables(rules.values())),
        rows_with,
        droppable=frozenset(droppables(rules.values())),
        most=TRIED,
        most_rules=most_rules,
    )


def relaxables(rules: Iterable[Rule]) -> Iterator[Relaxable]:
    """The rules whose limits may move: no law, and no pH on which a preservative depends."""
    for rule in rules:
        if isinstance(rule, Limited) and rule.concedes() is Concedes.MOVES:
            step = min(rule.step(side) for side in rule.limits())
            floor, ceiling = rule.reach()
            yield Relaxable(rule.id, rule.low, rule.high, step, floor=floor, ceiling=ceiling)


def droppables(rules: Iterable[Rule]) -> Iterator[str]:
    """The rules that may be given up whole: no law."""
    return (rule.id for rule in rules if rule.concedes() is Concedes.DROPS)


def conceding(bench: Bench, moved: Iterable[Moved], dropped: Iterable[str]) -> Bench:
    """The bench with some limits moved and some rules gone."""
    gone, limits = set(dropped), {(one.rule, one.side): one.new for one in moved}
    rules = tuple(_moved(rule, limits) for rule in bench.brief.rules if rule.id not in gone)
    return replace(bench, brief=replace(bench.brief, rules=rules))


def _moved(rule: Rule, limits: Mapping[tuple[str, str], float]) -> Rule:
    if not isinstance(rule, Limited):
        return rule
    low = limits.get((rule.id, "low"), rule.low)
    high = limits.get((rule.id, "high"), rule.high)
    return replace(rule, low=low, high=high)


# --- materials that could be bought ---------------------------------------------------------------


def _purchases(
    bench: Bench, wide: Bench, names: Sequence[str], refusal: Refusal, most: int
) -> list[Purchase]:
    """Each material alone beside the shelf: those with which there is a composition."""
    possible = _possible(wide, names, refusal) if names else []
    alone = ((with_free(bench, (name,)), name) for name in possible[:MOST_TRIED])
    tried = (_purchase(one, name, refusal) for one, name in alone if isinstance(one, Bench))
    found = tuple(islice((one for one in tried if one is not None), MOST_BOUGHT))
    return sorted(found, key=_worth)[:most]


def _worth(purchase: Purchase) -> tuple[float, float, str]:
    return -_paid(purchase.up_to), purchase.share, purchase.material


def _paid(up_to: float | None) -> float:
    return inf if up_to is None else up_to


def _possible(bench: Bench, names: Sequence[str], refusal: Refusal) -> list[str]:
    """The materials that may do by the rows, the most worthwhile first.

    Choices are left half made, which is quick and rules out nothing that will do.
    """
    rows = rows_of(bench, refusal.rows.ionic_strength)
    program = program_of(rows, bench.prices)
    columns = [rows.materials.index(name) for name in names]
    gates = tuple(Row("", "gate", (column,), (1.0,), -inf, 0.0) for column in columns)
    half = (False,) * len(program.whole)
    session = Session(replace(program, whole=half, rows=(*program.rows, *gates)))
    found: list[tuple[float, float, str]] = []
    for place, (name, column) in enumerate(zip(names, columns, strict=True)):
        opened = replace(gates[place], high=_dose_of(bench, name))
        changed = [(len(program.rows) + place, opened)]
        outcome = session.solve_for(_only(column, program), changed)
        if isinstance(outcome, Optimal):
            borne = bearable(priced_rows(bench, column, rows.ionic_strength), outcome.x, column)
            found.append((-_paid(borne), outcome.x[column], name))
    return [name for _, _, name in sorted(found)]


def _purchase(bench: Bench, name: str, refusal: Refusal) -> Purchase | None:
    """As little of a material as will do, and what it may cost at most."""
    column = [item.material.name for item in bench.shelf].index(name)
    strength = refusal.rows.ionic_strength
    outcome = _least_with(bench, column, strength, lambda program: _only(column, program))
    if outcome is None or outcome.x[column] <= USED:
        return None
    composition = composed(bench, outcome)
    checked(bench, composition)
    up_to = _most_paid(bench, outcome, column, strength)
    return Purchase(name, outcome.x[column], up_to, composition)


def _most_paid(bench: Bench, outcome: Optimal, column: int, strength: float) -> float | None:
    """The price at which a material just lets the rules in which prices stand be kept.

    Each round asks for the cheapest composition at the price that the last one can bear: it bears
    as much or more, and where prices stand in nothing but a cap on the whole cost the last bears no
    more. Any other such rule is asked for higher prices by halving. What is given back is borne by
    a composition.
    """
    rows = priced_rows(bench, column, strength)
    borne = bearable(rows, outcome.x, column)
    if borne is None:
        return None
    for _ in range(MOST_ROUNDS):
        better = _at_price(bench, column, strength, borne)
        more = None if better is None else bearable(rows, better.x, column)
        if more is None or more <= borne * (1.0 + USED):
            break
        borne = more
    if all(row.caps_cost for row in rows):
        return borne
    return _halved(lambda price: _at_price(bench, column, strength, price) is not None, borne)


def _halved(holds: Callable[[float], bool], borne: float) -> float:
    """The highest price that holds, above one that does, found by doubling and halving."""
    high = max(2.0 * borne, 1.0)
    while holds(high) and high < DEAREST:
        borne, high = high, 2.0 * high
    for _ in range(MOST_ROUNDS):
        middle = (borne + high) / 2.0
        borne, high = (middle, high) if holds(middle) else (borne, middle)
    return borne


def _at_price(bench: Bench, column: int, strength: float, price: float) -> Optimal | None:
    """The cheapest composition with a material at a price."""
    shelf = tuple(
        replace(item, price=price) if place == column else item
        for place, item in enumerate(bench.shelf)
    )
    dear = replace(bench, shelf=shelf)
    return _least_with(dear, column, strength, lambda program: program.costs)


def _least_with(
    bench: Bench, column: int, strength: float, costs: Callable[[Program], tuple[float, ...]]
) -> Optimal | None:
    """The least over a bench with other costs, a material held to the dose advised."""
    most = _dose_of(bench, bench.shelf[column].material.name)

    def also(program: Program) -> Program:
        upper = (*program.upper[:column], most, *program.upper[column + 1 :])
        return replace(program, upper=upper, costs=costs(program))

    outcome, _, _ = least(bench, also=also, start=strength)
    return outcome if isinstance(outcome, Optimal) else None


def _only(column: int, program: Program) -> tuple[float, ...]:
    return tuple(float(j == column) for j in range(len(program.costs)))


def _dose_of(bench: Bench, name: str) -> float:
    dose = bench.material(name).dose
    return 1.0 if dose is None else dose[1]
