"""Two bars side by side: what is weighed, what is inside, what it costs, and what is due again."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from ...constraints.acidity.prediction import Prediction, predict
from ...constraints.market.allergen import entries_of
from ...constraints.market.practice import worked_as
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.contents import contents_of
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.values.told import Told
from ...solver.nearest.distance import Stage, counted
from ...solver.nearest.nearest import touched

MOVED = 1e-4
"""A class or a substance that changes by less than this does not count as changed [kg/kg]."""

SLIGHT = 1e-9
"""A dose beyond its advice by no more than this is not [kg/kg]."""

PH_MOVED = 0.05
"""A predicted pH that changes by less than this is the same: a meter reads no finer."""


class Again(StrEnum):
    """What has to be done again with a changed formula."""

    PH = "pH"
    WORKING = "working"
    HARDNESS = "hardness"
    LATHER = "lather"
    PRESERVATION = "preservation challenge test"
    STABILITY = "stability"
    LABEL = "label"
    SAFETY = "safety assessment"


ALWAYS = (Again.PH, Again.STABILITY, Again.SAFETY)
"""What every change calls for, however small."""

TOUCHES: Mapping[Again, frozenset[str]] = {
    Again.HARDNESS: frozenset(
        {"fatty alcohol", "wax", "oil", "filler", "thickener", "emulsifier", "water", "humectant"}
    ),
    Again.LATHER: frozenset({"surfactant", "cationic", "fatty alcohol", "wax", "oil"}),
    Again.PRESERVATION: frozenset(
        {
            "preservative",
            "preservative booster",
            "chelant",
            "antioxidant",
            "water",
            "humectant",
            "solvent",
            "extract",
            "protein",
            "filler",
            "cationic",
            "surfactant",
        }
    ),
}
"""What a change of substances in a function puts in doubt: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Change:
    """A share before and after [kg/kg]."""

    name: str
    before: float
    after: float

    @property
    def by(self) -> float:
        """What was added, negative for what was taken away [kg/kg]."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Due:
    """Something to be done again, and the functions whose substances changed so that it is."""

    what: Again
    touched: tuple[str, ...]


@dataclass(frozen=True, slots=True, repr=False)
class Comparison(Told):
    """Two bars side by side.

    Args:
        before: the formula as it was.
        after: the formula as it would be.
        materials: every material of either, in the order of the shelf.
        classes: every function of either, those that changed most first.
        substances: every substance of either, in the same order.
        ph: predicted before and after.
        cost: of a kilogram of mix, before and after [money/kg]; the first ``None`` where a price
            is not known.
        bar: of the materials in a bar, before and after [money]; ``None`` where no net mass is
            declared.
        rules: every rule's verdict on either, in the order of the brief.
        due: what has to be done again.
        arriving: what the bar did not bear before: tags of its materials, allergens of the market
            lists by their names.
        beyond_advice: materials whose dose changed to one that their suppliers do not advise.
    """

    before: Composition
    after: Composition
    materials: tuple[Change, ...]
    classes: tuple[Change, ...]
    substances: tuple[Change, ...]
    ph: tuple[Prediction, Prediction]
    cost: tuple[float | None, float]
    bar: tuple[float | None, float] | None
    rules: tuple[tuple[Verdict, Verdict], ...]
    due: tuple[Due, ...]
    arriving: tuple[str, ...]
    beyond_advice: tuple[str, ...]


def compare(
    bench: Bench,
    before: Composition,
    after: Composition,
    unpriced: Iterable[str] = (),
) -> Comparison:
    """Set two compositions of a bench side by side.

    Args:
        bench: its shelf holds every material of both.
        before: the formula as it was.
        after: the formula as it would be.
        unpriced: materials whose price is not known.

    Raises:
        KeyError: when a material is not on the shelf.
    """
    substances = _changes(contents_of(bench, before), contents_of(bench, after))
    cost = (
        None if set(unpriced) & before.parts.keys() else bench.cost_of(before),
        bench.cost_of(after),
    )
    mix = mix_of_a_bar(bench)
    return Comparison(
        before=before,
        after=after,
        materials=tuple(_materials(bench, before, after)),
        classes=_changes(*(counted(bench, one, Stage.CLASS) for one in (before, after))),
        substances=substances,
        ph=(_ph(bench, before), _ph(bench, after)),
        cost=cost,
        bar=None if mix is None else (None if cost[0] is None else cost[0] * mix, cost[1] * mix),
        rules=tuple(zip(judge(bench, before), judge(bench, after), strict=True)),
        due=tuple(_due(bench, before, after)),
        arriving=tuple(_arriving(bench, before, after)),
        beyond_advice=tuple(_beyond_advice(bench, before, after)),
    )


def mix_of_a_bar(bench: Bench) -> float | None:
    """Mix weighed for a bar of the declared mass, drying and losses made good [kg].

    What is pressed on top for the spread of portions is not in it.
    """
    portioning = bench.brief.portioning
    if portioning.declared is None or portioning.drying >= 1 or portioning.loss >= 1:
        return None
    return portioning.declared / (1 - portioning.drying_until_declared) / (1 - portioning.loss)


def _materials(bench: Bench, before: Composition, after: Composition) -> Iterator[Change]:
    for item in bench.shelf:
        name = item.material.name
        if name in before.parts or name in after.parts:
            yield Change(name, before.parts.get(name, 0.0), after.parts.get(name, 0.0))


def _changes(before: Mapping[str, float], after: Mapping[str, float]) -> tuple[Change, ...]:
    names = dict.fromkeys((*before, *after))
    changes = [Change(name, before.get(name, 0.0), after.get(name, 0.0)) for name in names]
    return tuple(
        sorted(changes, key=lambda one: (-round(abs(one.by), 9), -one.after, -one.before, one.name))
    )


def _ph(bench: Bench, composition: Composition) -> Prediction:
    return predict(bench.parts_of(composition), bench.substances, bench.brief.dilution)


def _due(bench: Bench, before: Composition, after: Composition) -> Iterator[Due]:
    moved = _moved_functions(bench, before, after)
    listed = [contents_of(bench, one) for one in (before, after)]
    for what in Again:
        doubted = tuple(name for name in moved if name in TOUCHES.get(what, ()))
        if what is Again.WORKING and (pieces := _pieces(bench, before, after)):
            yield Due(what, pieces)
        renamed = what is Again.LABEL and _listed(listed[0]) != _listed(listed[1])
        if doubted or what in ALWAYS or renamed:
            yield Due(what, doubted)


def _pieces(bench: Bench, before: Composition, after: Composition) -> tuple[str, ...]:
    """Where one material takes the place of another of its kind in other pieces: what for what."""
    moved = [
        (bench.material(name), after.parts.get(name, 0.0) - before.parts.get(name, 0.0))
        for name in touched(bench, before, after)
    ]
    found = (
        f"{worked_as(come)} for {worked_as(gone)}"
        for gone, less in moved
        if less < 0
        for come, more in moved
        if more > 0 and worked_as(come) != worked_as(gone)
        if set(come.classes[:1]) & set(gone.classes)
        if come.name not in before.parts
    )
    return tuple(dict.fromkeys(found))


def _arriving(bench: Bench, before: Composition, after: Composition) -> Iterator[str]:
    """What a label or a customer minds, and was not in the bar before."""
    was, now = (_borne(bench, one) for one in (before, after))
    yield from (word for word in now if word not in was)


def _borne(bench: Bench, composition: Composition) -> tuple[str, ...]:
    materials = [bench.material(name) for name in composition.parts]
    tags = (tag for material in materials for tag in material.tags)
    named = (
        entry.label
        for inci in contents_of(bench, composition)
        for entry in entries_of(bench.substances[inci])
    )
    return tuple(dict.fromkeys((*tags, *named)))


def _moved_functions(bench: Bench, before: Composition, after: Composition) -> tuple[str, ...]:
    """Functions in which any substance changed, those that changed most first."""
    from ...constraints.market.similarity import function_of

    moved: dict[str, float] = {}
    for change in _changes(contents_of(bench, before), contents_of(bench, after)):
        if abs(change.by) >= MOVED:
            word = function_of(bench.substances[change.name])
            moved[word] = moved.get(word, 0.0) + abs(change.by)
    return tuple(sorted(moved, key=lambda word: (-moved[word], word)))


def _listed(contents: Mapping[str, float]) -> list[str]:
    """Substances in the order of their masses."""
    return sorted(contents, key=lambda inci: (-round(contents[inci], 9), inci))


def _beyond_advice(bench: Bench, before: Composition, after: Composition) -> Iterator[str]:
    for name in touched(bench, before, after):
        dose, share = bench.material(name).dose, after.parts.get(name, 0.0)
        if dose is not None and share > 0 and not dose[0] - SLIGHT <= share <= dose[1] + SLIGHT:
            yield name
