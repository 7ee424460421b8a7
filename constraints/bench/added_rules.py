"""Rules that a brief brings unwritten: market limits, usual doses, what cannot be had."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ..catalogue import catalogue
from ..market.limit import Limit, named_by, rule_of, sides_of
from ..model.material import PRESERVATIVE
from ..model.rule import Counted, Kind, Pick, Rule, Selector
from ..model.shelf import Item
from ..rules.acidity import Acidity
from ..rules.counting import Counting
from ..rules.dose import Dose
from ..rules.scene import Scene
from ..rules.share import Share, none_of
from ..values.problem import Problem, Where
from ..values.table import Table
from ..values.units import shown
from .advice_rules import DOSE, advice_rules, dosed, worth_weighing
from .purpose_reading import check_purposes

if TYPE_CHECKING:
    from ..rules.written import Common


def added_rules(section: Table, own: tuple[Rule, ...], scene: Scene) -> tuple[Rule, ...]:
    """The rules to append to the maker's own; what stands in their way is noted.

    Args:
        section: ``[rules]`` of the brief.
        own: the maker's rules.
        scene: what rules may speak of.
    """
    working = tuple(_workings(scene))
    advised = advice_rules((*own, *working), scene)
    doses = tuple(_usual_doses(section, (*own, *working, *advised), scene))
    limits = tuple(_limits(section, scene))
    absent = tuple(_cannot_be_had(item) for item in scene.items if not item.available)
    added = (*doses, *working, *advised, *limits, *absent)
    for rule in added:
        if rule.id in section:
            section.refuse("a name that is given to an added rule", "another name", rule.id)
    return added


def _usual_doses(section: Table, rules: Iterable[Rule], scene: Scene) -> Iterator[Dose]:
    """The suppliers' dose of each material that may be chosen and that the maker gave none.

    A preservative may always be chosen, or left: less of it does nothing, more is not advised,
    whether or not a rule names it.
    """
    several = tuple(rules)
    dosed = {rule.dosed for rule in several}
    asked: dict[str, Rule] = {}
    for rule in several:
        for name in rule.uses():
            if name not in rule.unnamed():
                asked.setdefault(name, rule)
    unnamed = {name for rule in several for name in rule.unnamed()} - asked.keys() - dosed
    unnamed -= {name for rule in several for name in rule.ties()}
    items = {item.material.name: item for item in scene.items}
    for name, rule in asked.items():
        if name in dosed or name not in items:
            continue
        dose = items[name].material.dose
        if dose is None or dose[0] <= 0:
            expected = f'a rule with dose_of = "{shown(name)}", min and max'
            section.problems.append(Problem(rule.where, f"no dose of {shown(name)}", expected))
        else:
            yield _usual_dose(items[name], dose)
    for name, item in items.items():
        dose = item.material.dose
        keeps = PRESERVATIVE in item.material.classes
        known = dose is not None and dose[0] > 0
        if dose is not None and known and keeps and name not in dosed | asked.keys():
            yield _usual_dose(item, dose)
        elif name in unnamed:
            yield worth_weighing(item)


def _usual_dose(item: Item, dose: tuple[float, float]) -> Dose:
    return dosed(item, "usual dose", DOSE, dose, item.material.source_for("dose"))


def _workings(scene: Scene) -> Iterator[Acidity]:
    """A preservative that works only in acid, where the brief says how pH is read."""
    dilution = scene.dilution
    for item in scene.items if dilution is not None else ():
        highest = item.material.works_below_ph
        if highest is not None and dilution is not None:
            yield Acidity(
                id=f"{item.material.name} works",
                kind=Kind.ADVICE,
                because="above this pH it does not do its work",
                unit="pH",
                where=item.where,
                source=item.material.source_for("works_below_ph"),
                low=None,
                high=highest,
                dilution=dilution,
                when=item.material.name,
            )


def _cannot_be_had(item: Item) -> Share:
    common: Common = {
        "id": f"{item.material.name} cannot be had",
        "kind": Kind.HOUSE,
        "because": item.note or "the shelf says that it is not available",
        "where": item.where,
        "source": None,
    }
    return none_of(common, Selector(Pick.MATERIAL, item.material.name, Counted.SUPPLIED))


def _limits(section: Table, scene: Scene) -> Iterator[Rule]:
    """What the brief's markets set for substances that the shelf contains."""
    check_purposes(section.problems, scene)
    purposes = scene.purposes
    found = [
        limit
        for market in scene.markets
        for limit in catalogue.limits_naming(market, scene.substances)
        if limit.most is not None and named_by(limit, scene.substances, purposes)
    ]
    if found and scene.drying is None and "drying" not in scene.stated:
        expected = 'the water lost before sale, such as drying = "2 %" (or "0 %") under [product]'
        problem = Problem(Where(section.file, "product"), "market limits and no drying", expected)
        section.problems.append(problem)
        return
    for limit in found:
        rule = _limit_rule(limit, scene)
        if isinstance(rule, str):
            where = Where("materials.toml", f'substances."{shown(rule)}"')
            expected = f"a molar_mass, as {limit.name} counts it as {limit.counted_as}"
            section.problems.append(Problem(where, "no molar_mass", expected))
        else:
            yield from sides_of(rule)


def _limit_rule(limit: Limit, scene: Scene) -> Counting | str:
    molar_mass = limit.counted_molar_mass
    if limit.counted_as and molar_mass is None:
        molar_mass = scene.substance(limit.counted_as).molar_mass
    return rule_of(
        limit, scene.substances, molar_mass, scene.drying or 0.0, purposes=scene.purposes
    )
