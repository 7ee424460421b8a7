"""What is said of a batch: phases, temperatures, portions, stock, and what is in its way."""

from collections.abc import Iterator, Mapping, Sequence
from math import floor

from ...constraints.market.caution import Caution, Moment
from ...constraints.model.brief import Bench
from ...constraints.model.material import Phase
from ...workshop.batch.exactness import Slip
from ...workshop.batch.lines import Addition, Batch, Portions
from ...workshop.fill.fill import Fill
from ...workshop.heat.heat import Miss
from ...workshop.weighing.weight import decimal
from ..kit.numbers import amount, celsius, grams, money_sum, percent
from ..kit.one_screen import counted

PHASES = {
    Phase.WATER: "Water phase",
    Phase.MELT: "Melt phase",
    Phase.POWDER: "Powders",
    Phase.COOL_DOWN: "Cool-down",
}

MOMENTS = {
    Phase.WATER: Moment.WATER,
    Phase.MELT: Moment.MELT,
    Phase.POWDER: Moment.POWDER,
    Phase.COOL_DOWN: Moment.COOL_DOWN,
}


def marks(batch: Batch) -> Mapping[str, str]:
    """Code of each caution that is for some materials of its moment -> the letter beside them."""
    codes = [
        caution.code for caution, names in batch.cautions if not _for_all(batch, caution, names)
    ]
    return {code: _letter(number) for number, code in enumerate(codes)}


def _for_all(batch: Batch, caution: Caution, names: Sequence[str]) -> bool:
    """Whether it is for everything that goes in at its moment, or for no material at all."""
    phase = {moment: phase for phase, moment in MOMENTS.items()}.get(caution.at)
    there = {one.weight.material for one in batch.additions if one.phase is phase}
    return not names or (bool(there) and there <= set(names))


def _letter(number: int) -> str:
    rounds, place = divmod(number, 26)
    return chr(ord("a") + place) * (rounds + 1)


def cautions_at(batch: Batch, moment: Moment) -> list[tuple[str, str]]:
    """(letter, text) of the cautions of a moment; no letter where it is for all."""
    letters = marks(batch)
    return [(letters.get(one.code, ""), one.text) for one, _ in batch.cautions if one.at is moment]


def care(addition: Addition, letters: Mapping[str, str]) -> str:
    """The letters of the cautions for a material."""
    return "".join(sorted(letters[code] for code in addition.cautions if code in letters))


def phase_title(phase: Phase, batch: Batch) -> str:
    """A phase and what is done in it."""
    warmth = batch.warmth
    name = PHASES[phase]
    if warmth is None:
        return name
    mixing = warmth.mixing
    if phase is Phase.WATER:
        return f"{name}: heat to {celsius(warmth.heat_to)}, stir until dissolved"
    if phase is Phase.MELT:
        return f"{name}: melt at {celsius(warmth.heat_to)} until no wax is left solid"
    if phase is Phase.POWDER:
        sets = Miss.WAX_SETS in mixing.misses
        hint = ", too cold for wax: see Temperatures" if sets else ""
        return f"{name}: stir in; the mix comes to {celsius(mixing.temperature)}{hint}"
    if mixing.add_below is None:
        return name
    wait = "wait until it is" if Miss.TOO_HOT in mixing.misses else "go in"
    return f"{name}: {wait} below {celsius(mixing.add_below, side='most')}"


def weighing_sentences(bench: Bench, batch: Batch) -> Iterator[str]:
    """How to weigh, and what was looked after in rounding."""
    balances = sorted({addition.weight.balance for addition in batch.additions})
    if batch.vessel_balance is None:
        yield (
            "No balance holds the vessel with the whole batch: weigh each material in a cup of "
            "its own; under “vessel” stands what is in it by then."
        )
    else:
        yield (
            f"Tare the {batch.vessel_balance} balance once, with the empty vessel on it, and "
            "never again: under “vessel” stands what it shows when the material is in."
            f"{_vessel_limit(bench, batch)}"
        )
        cups = [name for name in balances if name != batch.vessel_balance]
        if cups:
            yield (
                f"What is weighed on the {' or '.join(cups)} balance goes into a cup of its own "
                "first; the reading is then a check. Steam lowers it: weigh before heating."
            )
    yield from _cups(bench, batch)
    yield from _rounding(batch)
    yield from exactness_sentences(batch)


def _cups(bench: Bench, batch: Batch) -> Iterator[str]:
    """How heavy a cup each balance bears beside the heaviest load in it."""
    loads: dict[str, float] = {}
    for one in batch.additions:
        if one.apart:
            name = one.weight.balance
            loads[name] = max(loads.get(name, 0.0), *one.weight.loads)
    left = [
        f"{amount(balance.capacity - loads[balance.name])} on the {balance.name} balance"
        for balance in bench.brief.balances
        if balance.name in loads
    ]
    if left:
        yield f"The heaviest cup, tared or not: {', '.join(left)}."


def exactness_sentences(batch: Batch) -> Iterator[str]:
    """How far the weights are from the formula, and where half a step in doubt breaks a rule."""
    furthest = batch.departures[:_FURTHEST]
    if furthest:
        told = "; ".join(f"{name} {by * 100:+.2g} %" for name, by in furthest)
        yield f"Furthest from the formula: {told}."
    for over, word in ((False, "less"), (True, "more")):
        found = [one for one in batch.slips if one.over is over]
        if found:
            told = "; ".join(f"{one.material} ({_breaking(one)})" for one in found)
            yield f"Half a scale step {word} than shown breaks a rule, so weigh with care: {told}."
    if any(one.ph is not None for one in batch.slips):
        yield "Such a step moves the pH out of its band as predicted: read it before pressing."


def _breaking(one: Slip) -> str:
    ph = "" if one.ph is None else f", pH {one.ph:.2f}"
    return f"{', '.join(one.broken)}{ph}"


_FURTHEST = 3


def _vessel_limit(bench: Bench, batch: Batch) -> str:
    """How heavy a vessel the balance bears, where the brief does not say what it weighs."""
    if bench.brief.workshop.vessel is not None:
        return ""
    capacity = {one.name: one.capacity for one in bench.brief.balances}[batch.vessel_balance or ""]
    return f" An empty vessel of more than {amount(capacity - batch.weighed.batch)} overloads it."


def _rounding(batch: Batch) -> Iterator[str]:
    weighed = batch.weighed
    if decimal(weighed.batch) - decimal(weighed.asked) > max(
        decimal(one.weight.step) for one in batch.additions
    ):
        yield (
            f"{amount(batch.more)} more than these bars take, left over: just so much cannot be "
            "weighed in whole scale steps with every rule kept."
        )
    if weighed.plain_breaks:
        yield (
            f"Rounding each weight by itself would break {', '.join(weighed.plain_breaks)}; "
            "these weights keep every rule."
        )
    if batch.broken:
        yield f"As weighed it still misses: {', '.join(batch.broken)}. Read the pH before pressing."


def stirring_sentences(batch: Batch, phase: Phase) -> Iterator[str]:
    """What is stirred or dissolved into what before both go in, by the maker's word."""
    pairs: dict[str, list[str]] = {}
    for one in batch.additions:
        if one.phase is phase and one.into:
            pairs.setdefault(one.into, []).append(one.weight.material)
    for into, names in pairs.items():
        yield f"First into {into}: {'; '.join(names)}. They go in together."


def alone_sentences(batch: Batch) -> Iterator[str]:
    """What should go in with something that is not in this batch."""
    for name, into in batch.alone:
        yield f"{name} should go in with {into}, which is not in this batch: it goes in alone."


def weigh_cell(addition: Addition) -> str:
    """What to weigh [g], load by load."""
    step = addition.weight.step
    return " + ".join(grams(load, step) for load in addition.weight.loads)


def below_cell(addition: Addition, batch: Batch) -> str:
    """The hottest it may go in at [°C]; a star where there is a word on it."""
    if addition.add_below is None:
        return ""
    warm = batch.warmth
    told = {name for name, _, _ in (*warm.overheated, *warm.moved)} if warm else set()
    star = "*" if addition.weight.material in told else ""
    return f"{floor(addition.add_below)}{star}"


def portion_sentences(bench: Bench, batch: Batch, fill: Fill | None) -> Iterator[str]:
    """What to press, and how dry a bar has to be."""
    portions, step = batch.portions, _step(bench, batch)
    why = "as asked" if fill is None else _why(fill)
    yield (
        f"Press {counted(batch.bars, 'bar')} of {grams(portions.fill, step)} g on the "
        f"{portions.balance} balance ({why}). Without taring it shows [g]: "
        f"{readings(bench, batch)}."
    )
    drying = bench.brief.portioning.drying
    if drying > 0:
        yield (
            f"A bar is dry when {percent(drying)} of its weight is gone: at "
            f"{grams(portions.dried, step)} g. Weigh one each day until then."
        )
    declared = bench.brief.portioning.declared
    if fill is None and declared is not None and portions.dried < declared:
        yield f"Dry, it is lighter than the {amount(declared)} on the box: see barwright fill."


def _why(fill: Fill) -> str:
    return (
        f"the least that keeps {amount(fill.declared)} on the box in {fill.market}, "
        f"at a risk of {percent(fill.risk)}"
    )


def _step(bench: Bench, batch: Batch) -> float:
    names = {balance.name: balance.step for balance in bench.brief.balances}
    return names[batch.portions.balance]


def readings(bench: Bench, batch: Batch) -> str:
    """What the balance shows bar by bar, until the bars have to be taken off."""
    step, shown = _step(bench, batch), batch.portions.readings
    run = _run(batch.portions)
    figures = " · ".join(grams(reading, step) for reading in shown[:run])
    if run == len(shown):
        return figures
    return f"{figures}, then take them off and begin again, {run} at a time"


def _run(portions: Portions) -> int:
    """How many bars the balance holds at once."""
    first = portions.readings[0]
    later = (place for place, shown in enumerate(portions.readings) if place and shown == first)
    return next(later, len(portions.readings))


def yield_sentence(bench: Bench, batch: Batch) -> str:
    """What becomes of the mix."""
    loss = bench.brief.portioning.loss
    return (
        f"Of {amount(batch.weighed.batch)} weighed, {percent(batch.sold)} is sold as bars; "
        f"{amount(batch.portions.left)} stays in bowl, mould and trimmings "
        f"({percent(loss)} is reckoned with)."
    )


def stock_sentences(bench: Bench, batch: Batch) -> Iterator[str]:
    """What is short, with what to buy, and what nobody counted."""
    buying = {one.material: one for one in batch.costing.purchases}
    for name, missing in batch.short:
        one = buying[name]
        price = money_sum(one.money, bench.brief.currency)
        yield (
            f"Short: {amount(missing)} of {name} ({amount(one.needed)} needed, "
            f"{amount(one.stock or 0.0)} there). Buy {one.packs} × {amount(one.pack)}, {price}."
        )
    known = len(buying) - len(batch.not_counted)
    if not batch.short and known == 1:
        yield "The one material whose stock is counted is not short."
    elif not batch.short and known:
        yield f"Nothing is short among the {known} materials whose stock is counted."
    if batch.not_counted:
        yield f"Not counted, look for yourself: {_list(batch.not_counted)}."


def _list(names: Sequence[str]) -> str:
    return "; ".join(names)


def cost_sentence(bench: Bench, batch: Batch) -> str:
    """What the batch and a bar cost."""
    costs, currency = batch.costing, bench.brief.currency
    counted = ["materials used"]
    counted += ["packaging"] if costs.packaging is not None else []
    counted += ["labour"] if costs.labour is not None else []
    return (
        f"Cost: {money_sum(costs.total, currency)}, {costs.a_bar:.3f} {currency} a bar "
        f"({', '.join(counted)}); more in barwright price."
    )
