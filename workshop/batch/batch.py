"""A batch as it is made: what goes in when, on which balance, how warm, and what it yields."""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from math import ceil, floor, fsum

from ...constraints.market.caution import Caution, applying
from ...constraints.market.practice import figure
from ...constraints.model.brief import MOST_BARS, Balance, Bench, Composition
from ...constraints.model.material import Material, Phase
from ...constraints.model.mix import TRACE
from ...constraints.rules.judging import judge
from ...constraints.rules.rows import rows_of
from ...constraints.values.units import Dimension
from ...solver.program.deadline import NEVER, Deadline
from ...solver.program.fixed_point import ionic_strength
from ...solver.program.outcome import Stopped
from ..fill.portion import portion as portion_of
from ..fill.size import exact_mix, in_steps, portion_balance
from ..heat.warmth import Warmth, warmth
from ..price.beside import beside_of
from ..price.pricing import Costing, costing
from ..weighing.weighing import BIGGER, weigh
from ..weighing.weight import Unweighable, Weighed, Weight, decimal
from .exactness import slips
from .lines import Addition, Batch, Hindrance, Portions, Refused, Why
from .together import alone, as_added, carriers, root_of

_WHOLE_WITHIN = 1e-6


def batch(
    bench: Bench,
    composition: Composition,
    bars: int,
    fill: float | None = None,
    *,
    heat_to: float | None = None,
    packaging_a_bar: float | None = None,
    labour: float | None = None,
    deadline: Deadline = NEVER,
) -> Batch | Refused:
    """Plan a batch.

    Args:
        bench: brief, shelf, balances.
        composition: what to make; it has to keep the rules.
        bars: how many.
        fill: mass of a portion [kg]; by default the least that the markets of the brief allow.
        heat_to: temperature that water and melt are heated to [°C]; by default the brief's
            ``heat_to``, else a little above the highest end of melting (common practice).
        packaging_a_bar: all of a bar [money]; by default as the brief says, if it does.
        labour: for the batch [money]; likewise.
        deadline: when to give up.

    Raises:
        InputError: when no fill is given and none can be worked out.
    """
    fill, _ = portion_of(bench, bars, fill)
    in_the_way = tuple(_in_the_way(bench, composition, bars, fill))
    portion = portion_balance(bench.brief.balances, fill)
    if in_the_way or portion is None:
        return Refused(in_the_way)
    exact_fill = in_steps(fill, portion)
    weighed = _weighed(bench, composition, bars, exact_fill, deadline)
    if not isinstance(weighed, Weighed):
        return _refused(weighed, bench, bars, exact_fill)
    masses = {weight.material: weight.mass for weight in weighed.weights}
    added = as_added(bench, masses)
    warm = warmth(bench, masses, heat_to, added)
    phases, into = _phases(added, warm), carriers(bench, masses)
    weights = _in_working_order(phases, composition, weighed, into)
    masses = {weight.material: weight.mass for weight in weights}
    cautions = applying(bench, composition)
    beside = beside_of(bench, packaging_a_bar=packaging_a_bar, labour=labour)
    costs = costing(bench, masses, bars, beside)
    vessel = _vessel_balance(bench, weighed.batch)
    portions = _portions(bench, bars, fill, portion, weighed)
    return Batch(
        name=composition.name,
        bars=bars,
        weighed=weighed,
        verdicts=judge(bench, Composition(composition.name, weighed.shares)),
        vessel_balance=vessel.name if vessel else None,
        additions=tuple(_additions(bench, weights, phases, vessel, cautions)),
        warmth=warm,
        portions=portions,
        sold=bars * portions.dried / weighed.batch,
        short=tuple(_short(costs)),
        not_counted=tuple(one.material for one in costs.purchases if one.stock is None),
        costing=costs,
        cautions=cautions,
        slips=slips(bench, weighed),
        alone=alone(bench, masses),
    )


def _in_the_way(
    bench: Bench, composition: Composition, bars: int, fill: float
) -> Iterator[Hindrance]:
    if not 1 <= bars <= MOST_BARS:
        yield Hindrance(Why.NO_BARS, value=bars)
    if not fill > 0:
        yield Hindrance(Why.NO_FILL, value=fill)
    if bench.brief.portioning.loss >= 1:
        yield Hindrance(Why.NOTHING_LEFT, value=bench.brief.portioning.loss)
    if not bench.brief.balances:
        yield Hindrance(Why.NO_BALANCE)
    elif fill > 0 and portion_balance(bench.brief.balances, fill) is None:
        yield Hindrance(Why.PORTION_NOT_WEIGHED, value=fill)
    yield from _in_the_composition(bench, composition)


def _in_the_composition(bench: Bench, composition: Composition) -> Iterator[Hindrance]:
    used = [name for name, share in composition.parts.items() if share > TRACE]
    total = fsum(composition.parts.values())
    if abs(total - 1) > _WHOLE_WITHIN:
        yield Hindrance(Why.NOT_WHOLE, value=total)
    items = {item.material.name: item for item in bench.shelf}
    strange = tuple(name for name in composition.parts if name not in items)
    if strange:
        yield Hindrance(Why.NOT_ON_SHELF, strange)
        return
    gone = tuple(name for name in used if not items[name].available)
    if gone:
        yield Hindrance(Why.NOT_AVAILABLE, gone)
    broken = tuple(v.rule.id for v in judge(bench, composition) if not v.kept)
    if broken:
        yield Hindrance(Why.RULES_BROKEN, broken)


def _weighed(
    bench: Bench, composition: Composition, bars: int, fill: Fraction, deadline: Deadline
) -> Weighed | Unweighable | Stopped:
    return weigh(
        rows_of(bench, ionic_strength(bench, composition)),
        composition.parts,
        {item.material.name: item.price for item in bench.shelf},
        bench.brief.balances,
        float(exact_mix(bench, bars, fill)),
        bigger=[float(exact_mix(bench, more, fill)) for more in _more_bars(bars)],
        leftover=figure("leftover", Dimension.SHARE).span.typical,
        deadline=deadline,
    )


_A_FEW_MORE = 4  # bars, one by one, before multiples of them


def _more_bars(bars: int) -> tuple[int, ...]:
    """Numbers of bars to try where so many cannot be weighed, ascending."""
    few = range(bars + 1, bars + 1 + _A_FEW_MORE)
    many = (ceil(bars * times) for times in BIGGER)
    return tuple(sorted({*few, *(more for more in many if more > bars)}))


def _refused(found: Unweighable | Stopped, bench: Bench, bars: int, fill: Fraction) -> Refused:
    if isinstance(found, Stopped):
        return Refused((Hindrance(Why.STOPPED),), found)
    reason = Hindrance(Why.NO_WEIGHTS, found.too_little or found.clash, found.batch)
    masses = {float(exact_mix(bench, more, fill)): more for more in _more_bars(bars)}
    return Refused((reason,), found, None if found.bigger is None else masses[found.bigger])


def _phases(added: Mapping[str, Material], warm: Warmth | None) -> dict[str, Phase]:
    """When each material goes in."""
    later = {name for name, _, _ in warm.moved} if warm else set()
    return {
        name: Phase.COOL_DOWN if name in later else material.phase
        for name, material in added.items()
    }


def _in_working_order(
    phases: Mapping[str, Phase],
    composition: Composition,
    weighed: Weighed,
    into: Mapping[str, str],
) -> tuple[Weight, ...]:
    """By phase, and within a phase as the composition has it, after what they are stirred into."""
    order, written = list(Phase), list(composition.parts)

    def place(weight: Weight) -> tuple[int, int, bool, int]:
        name = weight.material
        with_ = root_of(name, into)
        with_ = with_ if phases[with_] is phases[name] else name
        return order.index(phases[name]), written.index(with_), with_ != name, written.index(name)

    return tuple(sorted(weighed.weights, key=place))


def _vessel_balance(bench: Bench, batch_kg: float) -> Balance | None:
    """The finest balance that holds the vessel with the whole batch in it."""
    load = batch_kg + (bench.brief.workshop.vessel or 0.0)
    holding = (balance for balance in bench.brief.balances if balance.capacity >= load)
    return min(holding, key=lambda balance: balance.step, default=None)


def _additions(
    bench: Bench,
    weights: Sequence[Weight],
    phases: Mapping[str, Phase],
    vessel: Balance | None,
    cautions: Sequence[tuple[Caution, tuple[str, ...]]],
) -> Iterator[Addition]:
    running, into = Fraction(), carriers(bench, phases)
    for weight in weights:
        material, carrier = bench.material(weight.material), into.get(weight.material)
        running += weight.exact
        yield Addition(
            phase=phases[material.name],
            weight=weight,
            apart=vessel is None or weight.balance != vessel.name,
            running=float(running),
            reading=_shown(running, vessel) if vessel else None,
            add_below=material.add_below,
            cautions=tuple(one.code for one, names in cautions if material.name in names),
            into=carrier if carrier and phases[carrier] is phases[material.name] else None,
        )


def _shown(mass: Fraction, balance: Balance) -> float:
    step = decimal(balance.step)
    return float(floor(mass / step + Fraction(1, 2)) * step)


def _portions(
    bench: Bench, bars: int, asked: float, balance: Balance, weighed: Weighed
) -> Portions:
    fill = in_steps(asked, balance)
    at_once = floor(decimal(balance.capacity) / fill)
    return Portions(
        fill=float(fill),
        asked=asked,
        balance=balance.name,
        readings=tuple(float(fill * (bar % at_once + 1)) for bar in range(bars)),
        left=float(decimal(weighed.batch) - bars * fill),
        dried=float(fill * (1 - decimal(bench.brief.portioning.drying))),
    )


def _short(costs: Costing) -> Iterator[tuple[str, float]]:
    for one in costs.purchases:
        if one.stock is not None and decimal(one.needed) > decimal(one.stock):
            yield one.material, float(decimal(one.needed) - decimal(one.stock))
