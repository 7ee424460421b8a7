"""What to beware of: the one place where what is not sure of a composition comes in.

Each source gives sentences, the most serious first.
"""

from collections.abc import Iterator, Sequence

from ...constraints.market.second_look import Remark, second_look
from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.acidity import acidity_of
from ..kit.notices import noticed, pending_changes
from ..kit.numbers import limits, share
from ..kit.one_screen import shortened_all
from .second_look import said_of

MEASURE = "Measure the pH of every batch, and have the bar assessed before it is sold."
LEAST = "at the least dose"
MOST = "above the dose advised"
LESS = "below the dose advised"
NAME = 34


def looked(bench: Bench, composition: Composition) -> Iterator[str]:
    """What an experienced maker would stop at first: all that a second look finds grave."""
    remarks = second_look(bench, composition)
    lesser = {LEAST, MOST, LESS}
    grave = [one for one in remarks if one.name not in lesser and not one.name.startswith("pH")]
    yield from (ended(said) for said in said_of(grave))


def beware(bench: Bench, composition: Composition, *, said: bool = False) -> Iterator[str]:
    """What a maker has to look after before relying on a composition, the gravest first.

    Args:
        bench: its shelf holds every material of the composition.
        composition: what is to be made.
        said: whether what a second look finds grave was said already.
    """
    remarks = second_look(bench, composition)
    if not said:
        yield from looked(bench, composition)
    yield from _acidity(bench, composition)
    yield MEASURE
    yield from _beside_advice("More", "at most", [one for one in remarks if one.name == MOST])
    yield from _beside_advice("Less", "at least", [one for one in remarks if one.name == LESS])
    yield from _at_the_least([one for one in remarks if one.name == LEAST])
    yield from (noticed(one) for one in pending_changes(bench, composition))


def ended(said: str) -> str:
    """A sentence with its capital and its stop; pH keeps its small letter."""
    capital = said if said.startswith("pH") else said[0].upper() + said[1:]
    return f"{capital}."


def _beside_advice(word: str, limit: str, remarks: Sequence[Remark]) -> Iterator[str]:
    short = shortened_all(tuple(name for one in remarks for name in one.names), NAME)
    listed = "; ".join(
        f"{short[name]} at {share(one.value)} ({limit} {share(one.threshold)})"
        for one in remarks
        for name in one.names
    )
    if listed:
        yield f"{word} than suppliers advise: {listed}."


def _at_the_least(remarks: Sequence[Remark]) -> Iterator[str]:
    names = tuple(dict.fromkeys(name for one in remarks for name in one.names))
    if names:
        short = shortened_all(names, NAME)
        listed = "; ".join(short[name] for name in names)
        yield f"At the least dose advised, so weigh with care: {listed}."


def _acidity(bench: Bench, composition: Composition) -> Iterator[str]:
    """The pH to expect, and whether its range leaves the band."""
    rule = acidity_of(bench.brief)
    if rule is None:
        return
    from ...constraints.acidity.prediction import predict

    found = predict(bench.parts_of(composition), bench.substances, rule.dilution)
    said = f"pH about {found.ph:.1f}, {found.low:.1f} to {found.high:.1f} as its materials vary"
    low, high = rule.low, rule.high
    out = (low is not None and found.low < low) or (high is not None and found.high > high)
    said += f", where {limits(rule)} is asked" if out else ""
    if found.unknown:
        said += f"; not known for {', '.join(found.unknown)}"
    if not found.valid:
        said += "; saltier than the model is trusted for"
    yield f"{said}."
