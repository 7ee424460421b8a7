"""From a solution to shares, and the check of them that is independent of the solver."""

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.mix import TRACE
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.values.problem import CheckFailedError
from ..program.outcome import Optimal


def composed(bench: Bench, optimal: Optimal) -> Composition:
    """The shares in a solution, without those too small to weigh on any balance."""
    shares = enumerate(optimal.x[: len(bench.shelf)])
    there = [(column, share) for column, share in shares if share > TRACE]
    parts = {bench.shelf[column].material.name: share for column, share in there}
    return Composition(bench.brief.name, parts)


def checked(bench: Bench, composition: Composition) -> tuple[Verdict, ...]:
    """Every rule's verdict on an answer, which must keep them all.

    Raises:
        CheckFailedError: when it does not.
    """
    verdicts = judge(bench, composition)
    broken = [verdict.rule.id for verdict in verdicts if not verdict.kept]
    if broken or not adds_up(composition):
        total = sum(composition.parts.values())
        message = f"an answer adding to {total!r} breaks: {', '.join(broken) or 'nothing else'}"
        raise CheckFailedError(message)
    return verdicts


def kept(bench: Bench, composition: Composition) -> bool:
    """Whether a composition, tried beside an answer, keeps every rule; if not, it is not shown."""
    return adds_up(composition) and all(one.kept for one in judge(bench, composition))


def adds_up(composition: Composition) -> bool:
    """Whether shares add to one, each allowed a trace."""
    total = sum(composition.parts.values())
    return abs(total - 1.0) <= TRACE * max(1, len(composition.parts)) * 10
