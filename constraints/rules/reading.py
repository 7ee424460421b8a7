"""The maker's rules: each table of ``[rules]`` becomes a rule."""

from collections.abc import Iterable

from ..model.rule import Rule
from ..values.names import nearest_names
from ..values.table import Table
from ..values.units import shown
from .registry import kinds
from .scene import Scene
from .written import COMMON, common_of


def rules_of(section: Table, scene: Scene) -> tuple[Rule, ...]:
    """The maker's rules, in file order; what is wrong is noted in the table's problems."""
    read = (_rule(entry, scene) for entry in section.tables())
    rules = tuple(rule for rule in read if rule is not None)
    _refuse_second_doses(section, rules)
    return rules


def _rule(entry: Table, scene: Scene) -> Rule | None:
    if not entry.path[-1].strip():
        entry.refuse("a rule without a name", 'a name, such as [rules."wax to oil"]')
    known = {written.key: written for written in kinds()}
    leading = [key for key in entry.values if key in known]
    if len(leading) != 1:
        _refuse_leading(entry, leading, tuple(known))
        return None
    written = known[leading[0]]
    entry.only((written.key, *written.keys, *COMMON))
    before = len(entry.problems)
    rule = written.read(entry, scene, common_of(entry))
    return rule if len(entry.problems) == before else None


def _refuse_leading(entry: Table, leading: list[str], known: tuple[str, ...]) -> None:
    own = [key for key in entry.values if key not in COMMON]
    found = " and ".join(leading) or ", ".join(map(shown, own)) or "no leading key"
    near = (nearest_names(key, known, 1) for key in ([] if leading else own))
    nearest = tuple(dict.fromkeys(name for names in near for name in names))
    entry.refuse(found, f"just one of {', '.join(known)}", nearest=nearest)


def _refuse_second_doses(section: Table, rules: Iterable[Rule]) -> None:
    first: dict[str, str] = {}
    for rule in rules:
        material = rule.dosed
        if material is not None and first.setdefault(material, rule.id) != rule.id:
            found = f"a second dose of {shown(material)}"
            section.refuse(
                found, f'one dose for a material, as in "{shown(first[material])}"', rule.id
            )
