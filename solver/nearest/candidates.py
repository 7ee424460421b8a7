"""What to look for in the catalogue, when what is on the shelf does not do.

Each material is tried alone beside the shelf. A first round asks all of them how near a composition
with it can come by class; only the best of these are settled to the end. None is taken beyond the
dose that its suppliers advise.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import inf

from ...constraints.bench.changing import borne_by, with_free
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Row
from ...constraints.rules.rows import rows_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import ionic_strength
from ..program.outcome import Optimal, Stopped
from ..program.possible import not_ruled_out
from ..program.session import Session
from .distance import DISTANCES, Stage, counted
from .nearest import Near, nearest
from .nearness import Nearness

MAIN = 0.1
"""A material does what it holds so much of [kg/kg]."""

MEANS = frozenset({"water", "solvent"})
"""Functions that are never what a material is bought for."""

SCREENING = 0.5
"""So much of the time is for asking all of them a first time; the rest settles the best."""

TRACE = 1e-6
"""A material with no more than this plays no part [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A material that is not on the shelf and would help.

    Args:
        material: its name.
        near: the nearest composition with it; its cost leaves this one material out.
        share: how much of it that takes [kg/kg].
        worth: the price at which the bar would cost what it does today [money/kg]; negative where
            the rest is dearer already, ``None`` where today's cost is not known.
        usual: the dose that its suppliers advise [kg/kg], or ``None``.
    """

    material: str
    near: Near
    share: float
    worth: float | None
    usual: tuple[float, float] | None


@dataclass(frozen=True, slots=True, repr=False)
class Search(Told):
    """What was found in the catalogue.

    Args:
        tried: how many materials were tried.
        helping: how many of them help at all.
        best: the best of them, nearest first.
        cut: whether time ran out before all were tried.
    """

    tried: int
    helping: int
    best: tuple[Candidate, ...]
    cut: bool = False


def look_for(
    bench: Bench,
    formula: Composition,
    *,
    cost_today: float | None,
    nearer_than: Near | None = None,
    lost: Iterable[str] = (),
    most: int = 8,
    deadline: Deadline = NEVER,
) -> Search:
    """Rank materials by how near the best composition with each comes to a formula.

    Args:
        bench: beside whose shelf every other known material is tried.
        formula: shares today [kg/kg].
        cost_today: of the formula [money/kg]; ``None`` where a price is not known.
        nearer_than: what the shelf alone can do; only what comes nearer helps.
        lost: only what does something that these did is tried; without any, everything is.
        most: so many at most.
        deadline: when to leave the rest untried.
    """
    limit = inf if nearer_than is None else nearer_than.apart[Stage.CLASS] + TRACE
    names, wide = borne_by(bench, bench.off_the_shelf)
    gone = tuple(lost)
    names = kin(wide, names, gone) if gone else names
    tried = list(_screened(wide, names, formula, deadline.part(SCREENING)))
    known = [(one, name) for name, one in tried if one is not None]
    helping = sorted((apart, name) for apart, name in known if apart <= limit)
    settled = [
        found
        for _, name in helping[: 2 * most]
        if not deadline.passed()
        and isinstance(alone := with_free(bench, (name,)), Bench)
        and (found := _settled(alone, name, formula, cost_today, deadline)) is not None
    ]
    if nearer_than is not None:
        shelf = _nearness(nearer_than)
        settled = [one for one in settled if _nearness(one.near) < shelf]
    ranked = sorted(settled, key=lambda one: (_nearness(one.near), -(one.worth or 0.0)))
    cut = len(tried) < len(names) or deadline.passed()
    return Search(len(tried), len(helping), tuple(ranked[:most]), cut)


def kin(bench: Bench, names: Iterable[str], lost: Iterable[str]) -> tuple[str, ...]:
    """Those of some materials that do something that the lost ones did."""
    missing = frozenset[str]().union(*(_does(bench, name) for name in lost))
    return tuple(name for name in names if missing & _does(bench, name))


def _does(bench: Bench, name: str) -> frozenset[str]:
    """The functions of what a material holds a tenth of or more, or most of where that is nothing.

    Its water and solvents are a means only.
    """
    parts = counted(bench, Composition(name, {name: 1.0}), Stage.CLASS)
    acting = {word: share for word, share in parts.items() if word not in MEANS}
    main = max(acting.values(), default=0.0)
    return frozenset(word for word, share in acting.items() if share >= min(MAIN, main))


def _nearness(near: Near) -> tuple[float, ...]:
    """Distances to a hundredth of a per cent: what differs by less is as near."""
    return tuple(round(near.apart[stage], 4) for stage in DISTANCES)


def _screened(
    bench: Bench, names: Iterable[str], formula: Composition, deadline: Deadline
) -> Iterator[tuple[str, float | None]]:
    """How near a composition with each comes by class; ``None`` where it would not be used."""
    rows = rows_of(bench, ionic_strength(bench, formula))
    layout = Nearness(bench, formula, {}, (Stage.CLASS,))
    program = layout.plain(rows)
    first = len(program.rows)
    gates = [Row("", "gate", (rows.materials.index(name),), (1.0,), -inf, 0.0) for name in names]
    costs = layout.costs(Stage.CLASS)
    shut = replace(program, rows=(*program.rows, *gates))
    opened = {
        name: (first + place, replace(gate, high=bench.material(name).most_advised))
        for place, (name, gate) in enumerate(zip(names, gates, strict=True))
    }
    likely = not_ruled_out(shut, opened, deadline)
    session = Session(shut, deadline)
    for name, (place, gate) in opened.items():
        if name not in likely:
            yield name, None
            continue
        outcome = session.solve_for(costs, [(place, gate)])
        if isinstance(outcome, Stopped) and deadline.passed():
            return
        used = isinstance(outcome, Optimal) and outcome.x[gate.columns[0]] > TRACE
        yield name, outcome.cost if used and isinstance(outcome, Optimal) else None


def _settled(
    bench: Bench,
    name: str,
    formula: Composition,
    cost_today: float | None,
    deadline: Deadline,
) -> Candidate | None:
    usual = bench.material(name).dose
    within = {name: (0.0, bench.material(name).most_advised)}
    near = nearest(bench, formula, within=within, deadline=deadline)
    if isinstance(near, Refusal):
        return None
    share = near.composition.parts.get(name, 0.0)
    if share <= TRACE:
        return None
    rest = bench.cost_of(near.composition)
    worth = None if cost_today is None else (cost_today - rest) / share
    return Candidate(name, near, share, worth, usual)
