"""What is said of warming, mixing and cooling."""

from collections.abc import Iterator, Sequence

from ...constraints.model.brief import Bench
from ...constraints.model.material import Phase
from ...workshop.batch.lines import Batch
from ...workshop.heat.heat import Miss, Mixing
from ...workshop.heat.warming import Warmed, Way
from ...workshop.heat.warmth import Warmth
from ..kit.numbers import amount, celsius, percent

WIDE = 0.5  # a prediction that is wider than this is shown with its range [K]


def warmth_sentences(bench: Bench, batch: Batch) -> Iterator[str]:
    """What temperature the mix comes to, and what to change when it misses its window."""
    warmth = batch.warmth
    if warmth is None:
        yield "Nothing is heated, or it is not known what melts: no temperature is predicted."
        return
    mixing, room = warmth.mixing, bench.brief.room
    if warmth.cold_below is not None:
        yield (
            f"A room of {celsius(room)} is cold ({celsius(warmth.cold_below)} and more is usual): "
            "more heat is lost than is reckoned with here, and fats and syrups set or thicken in "
            "their jars. Stand jars, vessel and moulds in the warm beforehand, and work swiftly."
        )
    yield (
        f"With water and melt at {celsius(warmth.heat_to)} and the rest at {celsius(room)}, the "
        f"mix comes to {celsius(mixing.temperature)} before cool-down{_range(mixing)}."
    )
    if mixing.melts_by is not None and warmth.heat_to < mixing.melts_by:
        least = celsius(mixing.melts_by, side="least")
        yield f"So cool not every wax melts: heat to {least} at least, or lumps stay in the bar."
    yield from _window(mixing)
    yield from _ways(bench, warmth)
    yield from _overheated(batch, warmth)
    yield (
        f"After cool-down it is at {celsius(warmth.finished)}. Heat lost to the room is left out: "
        "go by the thermometer."
    )


def _range(mixing: Mixing) -> str:
    if mixing.high - mixing.low <= WIDE:
        return ""
    names = ", ".join(mixing.unknown)
    return f" ({celsius(mixing.low)} to {celsius(mixing.high)}, as the heat of {names} is guessed)"


def _window(mixing: Mixing) -> Iterator[str]:
    edges = []
    if mixing.melts_by is not None:
        edges.append(f"the waxes are all liquid above {celsius(mixing.melts_by, side='least')}")
    if mixing.add_below is not None:
        edges.append(f"cool-down goes in below {celsius(mixing.add_below, side='most')}")
    fits = "" if mixing.misses else ": it is in its window, nothing has to change"
    if edges:
        sentence = "; ".join(edges)
        yield f"{sentence[0].upper()}{sentence[1:]}{fits}."


def _ways(bench: Bench, warmth: Warmth) -> Iterator[str]:
    mixing = warmth.mixing
    sets, hot = Miss.WAX_SETS in mixing.misses, Miss.TOO_HOT in mixing.misses
    if sets:
        solid = "; ".join(
            f"{name}: {percent(round(part, 2))}" for name, part in mixing.setting if part >= 0.005
        )
        yield f"Wax sets before all is stirred in (solid by then: {solid})."
        yield _warmer(bench, mixing, warmth.together)
    if hot and sets:
        yield (
            f"Then wait until it is below {celsius(mixing.add_below or 0.0, side='most')} before "
            "cool-down: it is a dough by then, so knead these in."
        )
    elif hot:
        yield _cooler(mixing)


def _warmer(bench: Bench, mixing: Mixing, together: Warmed | None) -> str:
    ways = []
    if mixing.warm_to is not None:
        warm = celsius(mixing.warm_to, side="least")
        ways.append(f"warm the powders to {warm} first, covered, in an oven or over hot water")
    if mixing.bowl_at is not None:
        ways.append(f"warm the bowl to {celsius(mixing.bowl_at, side='least')}")
    if mixing.heat_to is not None:
        ways.append(f"heat water and melt to {celsius(mixing.heat_to, side='least')}")
    if ways:
        return f"{_either(ways)}{_bowl_unknown(bench)}"
    if together is None:
        return f"Nothing here can be warmed further: use less powder at once.{_bowl_unknown(bench)}"
    warmed = [f"{_WARMED[way]} {celsius(at, side='least')}" for way, at in together.ways]
    several = f"{', '.join(warmed[:-1])} and {warmed[-1]}" if len(warmed) > 1 else warmed[0]
    if together.enough:
        return f"No single warming is enough. Together: {several}.{_bowl_unknown(bench)}"
    return (
        f"Even together, {several} bring it only to {celsius(together.reaches)}: add the powders in"
        f" parts and keep the vessel on the water bath between them.{_bowl_unknown(bench)}"
    )


_WARMED = {
    Way.POWDERS: "warm the powders, covered, to",
    Way.BOWL: "warm the bowl to",
    Way.MELT: "heat water and melt to",
}


def _bowl_unknown(bench: Bench) -> str:
    if bench.brief.workshop.vessel is not None:
        return ""
    return (
        " The bowl is left out, and a cold one takes more heat: warm it too, or give its mass as "
        'vessel = "…" under [workshop] in brief.toml.'
    )


def _cooler(mixing: Mixing) -> str:
    edge = celsius(mixing.add_below or 0.0, side="most")
    ways = [f"wait until it is below {edge}"]
    if mixing.heat_to is not None:
        ways.append(f"heat water and melt to no more than {celsius(mixing.heat_to, side='most')}")
    if mixing.hold_back is not None:
        ways.append(
            f"keep {amount(mixing.hold_back)} of what is liquid cold out of the hot phases and "
            "stir it in at room temperature, last before cool-down"
        )
    return f"It is too hot for cool-down. {_either(ways)}"


def _either(ways: Sequence[str]) -> str:
    if len(ways) == 1:
        return f"{ways[0][0].upper()}{ways[0][1:]}."
    return f"Do one of these: {'; '.join(ways)}."


def _overheated(batch: Batch, warmth: Warmth) -> Iterator[str]:
    for name, limit, met in warmth.moved:
        yield (
            f"* {name} bears {celsius(limit, side='most')} and the water is at {celsius(met)}: it "
            "has been moved to cool-down. Dissolve it in the liquids that go in there, or in a "
            "spoonful of the water phase kept back for it."
        )
    phases = {one.weight.material: one.phase for one in batch.additions}
    for name, limit, met in warmth.overheated:
        edge = celsius(limit, side="most")
        what = (
            f"heat to no more, with --heat-to {edge.replace(' °C', 'degC')}"
            if phases[name] is Phase.MELT
            else f"let the mix cool to {edge} before it goes in"
        )
        yield f"* {name} bears {edge} and would meet {celsius(met)}: {what}."
