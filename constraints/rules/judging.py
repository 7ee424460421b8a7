"""Does a composition keep the rules? Judged from the rules themselves, not from rows.

This is the check that stands between a solver and the maker: each rule computes what it is about
straight from shares, contents and prices, and shares no code with the rows a solver was given.
"""

from ..model.brief import Bench, Composition
from ..model.mix import Mix
from ..model.verdict import Verdict
from .holding import verdict_of


def mix_of(bench: Bench, composition: Composition) -> Mix:
    """A composition as a judge sees it.

    Raises:
        KeyError: when it names a material that is not on the shelf.
    """
    items = ((bench.item(name), share) for name, share in composition.parts.items())
    return Mix(tuple((one.material, one.price, share) for one, share in items), bench.substances)


def judge(bench: Bench, composition: Composition) -> tuple[Verdict, ...]:
    """Judge a composition by every rule of a bench, in the order of the brief.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    mix = mix_of(bench, composition)
    return tuple(verdict_of(rule, mix) for rule in bench.brief.rules)
