"""What is said of a changed formula, in the words of a colleague at the next bench."""

from collections.abc import Iterable, Iterator, Sequence

from ...constraints.model.brief import Bench, Composition
from ...solver.cheapest.cheapest import Refusal
from ...solver.nearest.distance import TOUCHED, Stage, counted
from ...solver.nearest.forcing import Forced
from ...solver.nearest.nearest import SOME, Near
from ...solver.program.outcome import Stopped
from ...workshop.changing.comparison import MOVED, PH_MOVED, Again, Change, Comparison, Due
from ...workshop.changing.replacing import Aside, Replacement
from ..kit.numbers import money, share

DUE = {
    Again.PH: "pH: measure it on a trial batch, at the dilution of the brief",
    Again.WORKING: "working: weigh, wet and heat it as its new form asks",
    Again.HARDNESS: "hardness: press a trial bar, and wait until it has dried",
    Again.LATHER: "lather: wash with a trial bar, in hard water too",
    Again.PRESERVATION: "preservation challenge test: on the changed bar, by a laboratory",
    Again.STABILITY: "stability: store bars warm and at room temperature, in their box",
    Again.LABEL: "label: the ingredients change, or their order; print it anew",
    Again.SAFETY: "safety assessment: a changed formula is a new product for it",
}

CAUTION = (
    "None of this replaces the safety assessment: a changed formula needs a new one before it is "
    "sold, by a qualified assessor and by the law of the place. Figures rest on the contents in "
    "the catalogue or on your certificates."
)


NOT_SENSIBLE = (
    "The rules leave no change that keeps to what is advised, is all worth weighing and pads "
    "nothing with water: this one only keeps the rules."
)

WORTH_NAMING = 0.05
"""A class with less than this in a material is not what the material is about [kg/kg]."""


def opening(answer: Replacement) -> str:
    """What was asked, and how far the answer is from today's formula."""
    near = answer.near
    if not near.touched:
        return "Nothing has to change: the formula keeps every rule as it is."
    count = len(near.touched)
    materials = "1 material changes" if count == 1 else f"{count} materials change"
    apart = near.changed
    return (
        f"{materials}. By class {share(apart[Stage.CLASS])} of the bar is something else than "
        f"before, by substance {share(apart[Stage.SUBSTANCE])}."
    )


def listed(words: Iterable[str]) -> str:
    """Words as a list in a sentence.

    >>> listed(["a", "b", "c"]), listed(["a"])
    ('a, b and c', 'a')
    """
    several = list(words)
    if len(several) < 2:
        return "".join(several)
    return f"{', '.join(several[:-1])} and {several[-1]}"


def points(by: float) -> str:
    """A change of a share, with its sign.

    >>> points(0.03), points(-0.0006)
    ('+3.00 %', '-0.060 %')
    """
    return f"{'+' if by > 0 else '-'}{share(abs(by))}" if abs(by) > TOUCHED else ""


def change_sentences(bench: Bench, comparison: Comparison) -> Iterator[str]:
    """What changed, one sentence for each thing: materials, contents, pH, cost."""
    currency = bench.brief.currency
    yield from _material_sentences(comparison.materials)
    yield from _class_sentences(comparison.classes, _concerned(bench, comparison.materials))
    yield _ph_sentence(comparison)
    yield cost_sentence(comparison, currency)


def recipe_sentence(changes: Sequence[Change]) -> str:
    """What to weigh for each 100 g of the one material that went; empty where several did."""
    less = [change for change in changes if change.by < -TOUCHED]
    more = [change for change in changes if change.by > TOUCHED]
    if len(less) != 1 or not more:
        return ""
    out = less[0]
    parts = [f"{100 * change.by / -out.by:.1f} g of {change.name}" for change in more]
    return f"For every 100 g of {out.name} that go, weigh {listed(parts)}."


def _material_sentences(changes: Sequence[Change]) -> Iterator[str]:
    gone = [one for one in changes if one.before > TOUCHED >= one.after]
    new = [one for one in changes if one.after > TOUCHED >= one.before]
    moved = [one for one in changes if one not in gone and one not in new and abs(one.by) > TOUCHED]
    if gone:
        yield f"Out goes {listed(f'{one.name} ({share(one.before)})' for one in gone)}."
    if new:
        yield f"In comes {listed(f'{one.name} ({share(one.after)})' for one in new)}."
    if moved:
        yield f"Change {listed(_step(one) for one in moved)}."
    recipe = recipe_sentence(changes)
    if recipe:
        yield recipe


def _step(change: Change) -> str:
    before, after = share(change.before), share(change.after)
    if before == after:
        return f"{change.name} by {points(change.by)}"
    return f"{change.name} from {before} to {after}"


def _concerned(bench: Bench, changes: Sequence[Change]) -> frozenset[str]:
    """Functions that the materials which change have any share in worth the name."""
    return frozenset(
        word
        for one in changes
        if abs(one.by) > TOUCHED
        for word, amount in counted(
            bench, Composition(one.name, {one.name: 1.0}), Stage.CLASS
        ).items()
        if amount >= WORTH_NAMING
    )


def _class_sentences(changes: Sequence[Change], concerned: frozenset[str]) -> Iterator[str]:
    kept = [one for one in changes if abs(one.by) < MOVED and one.name in concerned]
    moved = [one for one in changes if abs(one.by) >= MOVED]
    if kept:
        shown = (f"{one.name} ({share(one.after)})" for one in kept)
        yield f"As much as before, by class: {listed(shown)}."
    if moved:
        yield f"The bar then has {listed(_class_step(one) for one in moved)}."


def _class_step(change: Change) -> str:
    more = "more" if change.by > 0 else "less"
    left = f"{share(change.after)} in all" if change.after > TOUCHED else "none left"
    return f"{share(abs(change.by))} {more} {change.name} ({left})"


def _ph_sentence(comparison: Comparison) -> str:
    before, after = comparison.ph
    same = abs(after.ph - before.ph) < PH_MOVED
    said = f"stays at pH {after.ph:.2f}" if same else f"goes from {before.ph:.2f} to {after.ph:.2f}"
    span = f" (between {after.low:.2f} and {after.high:.2f}, by what its materials bring along)"
    unknown = (
        f", counting what the like of {listed(after.unknown)} may bring along"
        if after.unknown
        else ""
    )
    return f"The predicted pH {said}{span}{unknown}."


def cost_sentence(comparison: Comparison, currency: str) -> str:
    """What the change costs a kilogram and a bar."""
    before, after = comparison.cost
    if before is None:
        return f"The mix costs {money(after, currency)}; what it cost before is not known."
    more = "more" if after > before else "less"
    by = abs(after - before)
    if by < 5e-4:
        return f"The mix costs as much as before, {money(after, currency)}."
    said = f"The mix costs {money(by, currency)} {more}, {money(after, currency)} in all"
    if comparison.bar is None or comparison.bar[0] is None:
        return f"{said}."
    bar = abs(comparison.bar[1] - comparison.bar[0])
    return f"{said}; a bar {bar:.3f} {currency} {more}."


def exchange_sentences(answer: Replacement, currency: str) -> Iterator[str]:
    """Which rules stand in the way of the plain exchange, and what they cost."""
    ways = answer.in_the_way
    exchange = answer.exchange
    if exchange is None or not ways:
        return
    names = listed(f'"{name}"' for name in ways)
    yield f"The exchange alone, as near as the shelf allows, would break {names}."
    by = answer.near.cost - exchange.cost
    more = "more" if by > 0 else "less"
    apart = answer.near.changed[Stage.SUBSTANCE] - exchange.changed[Stage.SUBSTANCE]
    yield (
        f"To keep {'it' if len(ways) == 1 else 'them'} too, another {share(max(apart, 0.0))} of "
        f"the bar is changed by substance, and the mix costs {money(abs(by), currency)} {more}."
    )


def instead_sentences(answer: Replacement, currency: str) -> Iterator[str]:
    """In one line each, what the nearest and the cheapest would be instead."""
    for said, near in (
        ("The nearest by what it contains", answer.nearest),
        ("The cheapest that keeps every rule", answer.cheapest),
    ):
        if near is not None:
            apart = share(near.changed[Stage.SUBSTANCE])
            yield (
                f"{said}: {len(near.touched)} materials change, {apart} of the bar by substance, "
                f"{money(near.cost, currency)}."
            )


def undone_sentence(undone: Iterable[Aside]) -> str:
    """What there was no time for."""
    return f"Left undone, as time ran out: {'; '.join(sorted(undone))}."


def forced_sentences(answer: Replacement) -> Iterator[str]:
    """Why more materials change than a formulator would like, and what was not heeded."""
    if not answer.near.sensible:
        yield NOT_SENSIBLE
    if answer.forced is not None:
        yield forced_sentence(answer.forced)


def forced_sentence(found: Forced) -> str:
    """Which rules force so many changes, and how many would do without them."""
    gone = f"{len(found.going)} materials go; " if len(found.going) > 1 else ""
    least = f"{gone}{found.fewest} at least have to change"
    if not found.rules:
        return f"{least}, whatever else the rules ask."
    names = listed(f'"{name}"' for name in found.rules)
    it, asks = ("it", "forces") if len(found.rules) == 1 else ("them", "force")
    return f"{least}: {names} {asks} that; without {it} {found.without} would do."


def absent_sentences(answer: Replacement) -> Iterator[str]:
    """What was to go and is not in the formula: another material may have been meant."""
    before = answer.comparison.before.parts
    for name in answer.start.without:
        if before.get(name, 0.0) <= TOUCHED:
            yield f"{name} is not in it."


def unused_sentence(bench: Bench, near: Near, name: str, other: Near | Refusal) -> str:
    """Why a material that might have come in did not."""
    some = share(SOME)
    if isinstance(other, Refusal) and isinstance(other.outcome, Stopped):
        return f"{name} does not come in; why was not settled: {other.outcome.reason}."
    if isinstance(other, Refusal):
        return f"{name} does not come in: with {some} of it nothing keeps the rules."
    farther = {
        stage: other.changed[stage] - near.changed[stage]
        for stage in (Stage.CLASS, Stage.SUBSTANCE)
    }
    by = other.cost - near.cost
    more = "more" if by > 0 else "less"
    return (
        f"{name} does not come in: with {some} of it the bar would be {_farther(farther)}; "
        f"the mix would cost {money(abs(by), bench.brief.currency)} {more}."
    )


def _farther(by: dict[Stage, float]) -> str:
    said = [f"{share(value)} farther by {stage}" for stage, value in by.items() if value > TOUCHED]
    return listed(said) if said else "as near by class and by substance, but touched in more places"


def due_sentence(due: Due) -> str:
    """One thing to be done again, and which functions moved so that it is."""
    if not due.touched:
        return f"{DUE[due.what]}."
    return f"{DUE[due.what]} (changed: {listed(due.touched)})."


def arriving_sentence(arriving: Sequence[str]) -> str:
    """What the bar bears now and did not before."""
    return (
        f"New in the bar: {listed(arriving)}. Look at what the box and the customers say of that."
    )


def in_the_way_sentence(rules: Sequence[str]) -> str:
    """Rules that ask for the very thing that is not to be used."""
    names = listed(f'"{name}"' for name in rules)
    return (
        f"What stands in the way is {names}: nothing on the shelf keeps "
        f"{'it' if len(rules) == 1 else 'them'} without what is not to be used. "
        "What follows leaves it aside where nothing does with it."
    )


def advice_sentence(bench: Bench, name: str, amount: float) -> str:
    """A dose that the suppliers of a material do not advise."""
    dose = bench.material(name).dose
    assert dose is not None  # noqa: S101  (asked only where there is one)
    low, high = (f"{end * 100:g}" for end in dose)
    return f"{name}: {share(amount)} is outside the {low}–{high} % that its suppliers advise."
