"""What a workshop needs for the bars it wants: mix, orders, batches in order, and what is left."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from ...constraints.model.brief import Composition
from ...constraints.model.shelf import Item
from ...constraints.model.wanted import Wanted
from ...constraints.rules.judging import judge
from ...constraints.values.problem import CheckFailedError, Problem, Problems, Where
from ...solver.nearest.distance import Stage, changed
from ...solver.program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ...solver.program.fixed_point import ionic_strength
from ...solver.program.outcome import Stopped
from ..fill.size import bowls, mix_mass
from .asking import Terms, horizon_of, items_of, missing, too_late
from .bought import Bought
from .buying import buy
from .composing import Asked, composition_of
from .horizon import Horizon
from .needs import Bar, Need, NoPlan, Plan
from .order import Planned, in_order

MOST_ROUNDS = 6
"""Rounds in which the ionic strength of a formula that is free comes to rest."""


def plan(
    wanted: Sequence[Wanted], terms: Terms, *, deadline: Deadline = NEVER
) -> Plan | NoPlan | Problems:
    """Plan bars wanted: the orders of least outlay, and the batches in an order the stock allows.

    Args:
        wanted: bars; their benches share a currency, and a material is the same on every shelf.
        terms: what may be assumed.
        deadline: when to stop with the best plan found; how far from the least it is, is said.

    Returns:
        The plan; or that there is none; or what is wrong with the question.

    Raises:
        CheckFailedError: when an answer does not add up, or a composition breaks a rule.
    """
    problems = tuple(_problems(wanted, terms))
    if problems:
        return Problems(tuple(dict.fromkeys(problems)))
    presses = [pressed(one) for one in wanted]
    wrong = tuple(each for one in presses if isinstance(one, Problems) for each in one.items)
    if wrong:
        return Problems(tuple(dict.fromkeys(wrong)))
    fills = [one for one in presses if isinstance(one, float)]
    return _planned(tuple(zip(wanted, fills, strict=True)), terms, deadline)


def pressed(one: Wanted) -> float | Problems:
    """Mass to press a bar [kg]: as asked, else the smallest that keeps the net weight."""
    from ..fill.fill import strictest

    if one.fill is not None:
        return one.fill
    found = strictest(one.bench, one.bench.brief.markets, bars=one.bars)
    if not isinstance(found, Problems):
        return found.set_to
    instead = Problem(one.where, "no fill", 'or a column fill with what to press, such as "62 g"')
    return Problems((*found.items, instead))


def _planned(
    wanted: Sequence[tuple[Wanted, float]], terms: Terms, deadline: Deadline
) -> Plan | NoPlan:
    weeks = max(one.week for one, _ in wanted)
    asked = tuple(_asked(wanted, weeks, terms))
    items = items_of(one.bench for one, _ in wanted)
    for _ in range(MOST_ROUNDS):
        horizon = horizon_of(asked, items, weeks, terms)
        bought = buy(horizon, gap=terms.gap, deadline=deadline)
        if not isinstance(bought, Bought):
            return NoPlan(bought, tuple(missing(asked, items)), tuple(too_late(asked, items)))
        bars = tuple(_bars(asked, horizon, bought))
        again = tuple(_at_their_strength(asked, bars))
        if all(verdict.kept for bar in bars for verdict in bar.verdicts):
            batches = [each for one, fill in wanted for each in _batches(one, fill, _of(one, bars))]
            needs = tuple(_needs(bars, horizon, bought, items))
            in_time = bought.gap <= terms.gap + 1e-12
            order = in_order(batches, bought)
            return Plan(terms, weeks, bars, order, needs, bought, in_time=in_time)
        if deadline.passed():
            return NoPlan(Stopped(TIME_RAN_OUT), ())
        if again == asked:
            break
        asked = again
    broken = {v.rule.id for bar in bars for v in bar.verdicts if not v.kept}
    raise CheckFailedError(f"a composition of the plan breaks {', '.join(sorted(broken))}")


def _asked(wanted: Sequence[tuple[Wanted, float]], weeks: int, terms: Terms) -> Iterator[Asked]:
    """Each kind of bar once, with the mix of it that each week takes."""
    masses: dict[tuple[str, str], list[float]] = {}
    first: dict[tuple[str, str], Wanted] = {}
    for one, fill in wanted:
        key = key_of(one)
        first.setdefault(key, one)
        made = masses.setdefault(key, [0.0] * weeks)
        made[one.week - 1] += mix_mass(one.bench, one.bars, fill)
    for key, one in first.items():
        strength = 0.0 if terms.likeness is None else ionic_strength(one.bench, one.formula)
        yield Asked(one.bench, one.formula, tuple(masses[key]), strength, terms.likeness)


def key_of(one: Wanted) -> tuple[str, str]:
    """What tells one kind of bar from another: its bench and what is in it."""
    parts = ",".join(f"{name}={share!r}" for name, share in sorted(one.formula.parts.items()))
    return one.bench.folder, f"{one.formula.name}:{parts}"


def _at_their_strength(asked: Sequence[Asked], bars: Sequence[Bar]) -> Iterator[Asked]:
    """The same question with the ionic strength that the last answer has."""
    for one, bar in zip(asked, bars, strict=True):
        if one.likeness is None:
            yield one
        else:
            strength = round(ionic_strength(one.bench, bar.composition), 6)
            yield Asked(one.bench, one.formula, one.masses, strength, one.likeness)


def _bars(asked: Sequence[Asked], horizon: Horizon, bought: Bought) -> Iterator[Bar]:
    for one, making, columns in zip(asked, horizon.makings, bought.columns, strict=True):
        made = composition_of(one, making, columns)
        verdicts = judge(one.bench, made)
        apart = changed(one.bench, one.formula, made, Stage.SUBSTANCE)
        yield Bar(one.bench, one.formula, made, verdicts, apart, one.masses)


def _problems(wanted: Sequence[Wanted], terms: Terms) -> Iterator[Problem]:
    if not wanted:
        yield Problem(Where("wanted"), "no bars", "bars that are wanted")
    currencies = dict.fromkeys(one.bench.brief.currency for one in wanted)
    if len(currencies) > 1:
        yield Problem(Where("wanted"), " and ".join(currencies), "benches of one currency")
    yield from _unlike(wanted)
    if terms.likeness is None:
        yield from _breaking(wanted)


def _unlike(wanted: Sequence[Wanted]) -> Iterator[Problem]:
    """A material that one shelf has otherwise than another."""
    seen: dict[str, tuple[Item, str]] = {}
    for one in wanted:
        for item in one.bench.shelf:
            first, folder = seen.setdefault(item.material.name, (item, one.bench.folder))
            if (first.offers, first.lots, first.price) != (item.offers, item.lots, item.price):
                found = f"{item.material.name}, otherwise than on the shelf of {folder}"
                yield Problem(item.where, found, "one shelf for all, in the folder above")


def _breaking(wanted: Sequence[Wanted]) -> Iterator[Problem]:
    """Formulas that break their own rules, where they may not move."""
    formulas = {key_of(one): one for one in wanted}
    for one in formulas.values():
        broken = [v.rule.id for v in judge(one.bench, one.formula) if not v.kept]
        if broken:
            found = f"{one.formula.name}, which breaks {', '.join(broken)}"
            yield Problem(one.where, found, "a formula that keeps its rules, or --free")


def _of(one: Wanted, bars: Sequence[Bar]) -> Composition:
    """The composition that the plan gives a bar."""
    return next(
        bar.composition
        for bar in bars
        if bar.bench.folder == one.bench.folder and bar.formula == one.formula
    )


def _batches(one: Wanted, fill: float, composition: Composition) -> Iterator[Planned]:
    """The bars of one line in as few batches as the bowl allows, as even as can be."""
    count = min(bowls(one.bench, mix_mass(one.bench, one.bars, fill)), one.bars)
    for number in range(count):
        bars = one.bars // count + (number < one.bars % count)
        mass = mix_mass(one.bench, bars, fill)
        parts = {name: share * mass for name, share in composition.parts.items()}
        yield Planned(one.bench, composition, one.week, bars, fill, mass, parts)


def _needs(
    bars: Sequence[Bar], horizon: Horizon, bought: Bought, items: Mapping[str, Item]
) -> Iterator[Need]:
    needed: defaultdict[str, float] = defaultdict(float)
    for bar in bars:
        for name, share in bar.composition.parts.items():
            needed[name] += share * sum(bar.masses)
    ordered: defaultdict[str, float] = defaultdict(float)
    for one in bought.purchases:
        ordered[one.offer.material] += one.mass
    for name in items:
        if needed[name] > 0 or ordered[name] > 0:
            yield _need(items[name], needed[name], ordered[name], horizon, bought)


def _need(item: Item, needed: float, ordered: float, horizon: Horizon, bought: Bought) -> Need:
    name = item.material.name
    usable = sum(h.mass for h in horizon.holdings if h.material == name and h.last != 0)
    there = None if item.stock is None else usable
    left = [one for one in bought.left if one.source.material == name]
    lots = {lot.name: lot.best_before for lot in item.lots}
    days = [day for one in left if (day := lots.get(one.source.lot, "")) and not one.source.arrives]
    return Need(
        material=name,
        needed=needed,
        there=there,
        short=max(needed - usable, 0.0),
        ordered=ordered,
        left=sum(one.mass for one in left),
        best_before=min(days, default=""),
    )
