"""Does a composition keep the rules? Judged from the rules themselves, not from rows.

This is the check that stands between a solver and the maker: each rule computes what it is about
straight from shares, contents and prices, and shares no code with the rows a solver was given.
"""

from collections.abc import Mapping
from functools import lru_cache

from ..model.brief import Bench, Composition
from ..model.frame import Same
from ..model.mix import Mix
from ..model.shelf import Item
from ..model.substance import Substance
from ..model.verdict import Verdict
from .holding import verdict_of


def mix_of(bench: Bench, composition: Composition) -> Mix:
    """A composition as a judge sees it.

    Raises:
        KeyError: when it names a material that is not on the shelf.
    """
    parts = tuple(composition.parts.items())
    return _mix_of(Same(bench.shelf), Same(bench.substances), parts)


@lru_cache(maxsize=32)  # what is worked out of a mix is remembered with it
def _mix_of(
    shelf: Same[tuple[Item, ...]],
    substances: Same[Mapping[str, Substance]],
    parts: tuple[tuple[str, float], ...],
) -> Mix:
    items = {item.material.name: item for item in shelf.thing}
    there = ((items[name], share) for name, share in parts)
    return Mix(tuple((one.material, one.price, share) for one, share in there), substances.thing)


def judge(bench: Bench, composition: Composition) -> tuple[Verdict, ...]:
    """Judge a composition by every rule of a bench, in the order of the brief.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    mix = mix_of(bench, composition)
    return tuple(verdict_of(rule, mix) for rule in bench.brief.rules)
