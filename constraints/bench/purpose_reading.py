"""Whether the purposes of a brief can be held against the law."""

from ..catalogue import catalogue
from ..data import data_of
from ..model.purpose import Purpose
from ..rules.scene import Scene
from ..values.names import nearest_names
from ..values.problem import Problem, Where
from ..values.units import shown


def check_purposes(problems: list[Problem], scene: Scene) -> None:
    """Note a purpose of what the shelf does not contain, and one that a market does not know.

    A purpose that no entry of a market names would free the substance of the limit that holds
    where nothing is said.
    """
    for inci, purpose in scene.purposes.items():
        where = Where("brief.toml", f'purposes."{shown(inci)}"')
        if inci not in scene.substances and scene.complete:
            near = nearest_names(inci, scene.substances)
            problems.append(Problem(where, inci, "a substance that the shelf contains", near))
        problems.extend(
            Problem(where, purpose.value, expected)
            for market in scene.markets
            if (expected := _unknown(market, inci, purpose))
        )


def _unknown(market: str, inci: str, purpose: Purpose) -> str:
    """What a market knows a substance as, where it is not as that; else empty."""
    naming = [limit for limit in catalogue.limits_naming(market, [inci]) if limit.purposes]
    told = [one for one in Purpose if any(one in limit.purposes for limit in naming)]
    taken_for_granted = any(limit.assumed for limit in naming)
    if purpose in told or not (taken_for_granted or purpose in _closed(market)):
        return ""
    return f"{' or '.join(told) or 'no such purpose of it'}, which is what {market} knows"


def _closed(market: str) -> tuple[Purpose, ...]:
    """Purposes that a market knows for the substances of its list and for no other."""
    written = data_of("labelling.toml")[market].get("closed_purposes", ())
    return tuple(map(Purpose, written))
