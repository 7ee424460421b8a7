"""What closeness costs: every corner point between the nearest composition and the cheapest.

With the yes/no choices made, the least cost at a distance is a convex chain of straight pieces. Its
corners are found by asking for the best point across the slope between two known ones until nothing
lies below. The frontier is the lower edge of such chains, one for each choice that matters; each
piece of it is then put to the question whether any other choice lies below, and is done only when
none does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Row, Rows
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.rules.rows import rows_of
from ...constraints.values.problem import CheckFailedError
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal, program_of
from ..cheapest.chosen import chosen
from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.fixed_point import ionic_strength, settled
from ..program.outcome import Optimal, Program, Stopped
from ..program.session import Session
from ..strength.composing import checked, composed
from .best_points import best_points
from .distance import DISTANCES, Stage, distance
from .lower_edge import BELOW, Chain, Piece, Point, bends, lower_edge
from .nearest import nearest
from .nearness import Nearness

MOST_CHOICES = 64
"""More choices on one frontier than this and the search is given up."""


@dataclass(frozen=True, slots=True, repr=False)
class Corner(Told):
    """A corner of the frontier.

    Args:
        apart: share of the bar that is something else than before [kg/kg].
        cost: materials in a kilogram of mix [money/kg].
        composition: what gives it.
        verdicts: every rule, in the order of the brief.
        used: the materials of yes/no choices that it uses.
    """

    apart: float
    cost: float
    composition: Composition
    verdicts: tuple[Verdict, ...]
    used: tuple[str, ...]


def frontier(
    bench: Bench,
    formula: Composition,
    stage: Stage = Stage.SUBSTANCE,
    *,
    deadline: Deadline = NEVER,
) -> tuple[Corner, ...] | Refusal:
    """The corner points between closeness and cost, nearest first.

    Closeness by class alone says little of cost, as one substance of a class may be had for half
    the price of another; so it is counted by substance where nothing else is asked.

    Args:
        bench: what was read; its shelf holds every material of the formula.
        formula: shares today [kg/kg].
        stage: the distance that counts.
        deadline: when to give up; corners found by then may not be all, so none is given.

    The pH rows are taken at the ionic strength of the nearest composition; a corner whose own pH
    then lies outside its limits is settled again at its own.

    Raises:
        CheckFailedError: when a corner breaks a rule by the independent check, or there are more
            choices than can be looked through.
    """
    near = nearest(bench, formula, deadline=deadline)
    if isinstance(near, Refusal):
        return near
    rows = rows_of(bench, ionic_strength(bench, near.composition))
    chart = _Chart(bench, formula, rows, stage, deadline)
    places = chart.corners()
    if places is None:
        return Refusal(Stopped(TIME_RAN_OUT), program_of(rows, bench.prices), rows)
    corners = [chart.corner(choice, apart) for choice, apart in places]
    return tuple(_on_the_edge(corners))


def _on_the_edge(corners: Sequence[Corner]) -> Iterator[Corner]:
    """Without corners that another is nearer and no dearer than, once each is settled."""
    least = inf
    for corner in sorted(corners, key=lambda one: (one.apart, one.cost)):
        if corner.cost < least - BELOW:
            least = corner.cost
            yield corner


class _Chart:
    """A bench, a formula and rows, asked for what lies lowest."""

    def __init__(
        self,
        bench: Bench,
        formula: Composition,
        rows: Rows,
        stage: Stage,
        deadline: Deadline = NEVER,
    ) -> None:
        self._bench, self._formula, self._stage = bench, formula, stage
        self._deadline = deadline
        self._layout = Nearness(bench, formula, {})
        self._rows = rows
        self._apart = self._layout.costs(stage)
        self._cost = self._layout.costs(Stage.COST)
        self._choices = range(len(rows.materials), len(rows.materials) + len(rows.choices))
        self._program = self._layout.plain(rows)

    def corners(self) -> list[tuple[tuple[float, ...], float]] | None:
        """Choice and distance of every corner, nearest first; ``None`` where time ran out."""
        chains = [self._chain(choice) for choice in self._ends()]
        while True:
            pieces = lower_edge(chains)
            found = self._missed(pieces, [chain.choice for chain in chains])
            if self._deadline.passed():
                return None
            if found is None:
                return _corner_points(pieces, chains)
            if len(chains) >= MOST_CHOICES:
                message = f"more than {MOST_CHOICES} choices lie on the frontier"
                raise CheckFailedError(message)
            chains.append(self._chain(found))

    def _ends(self) -> list[tuple[float, ...]]:
        """The choices of the nearest and of the cheapest, each once."""
        ends = [self._first(self._program, one) for one in (self._apart, self._cost)]
        return list(dict.fromkeys(self._choice(end) for end in ends))

    def _choice(self, optimal: Optimal) -> tuple[float, ...]:
        return tuple(float(round(optimal.x[column])) for column in self._choices)

    def _first(self, program: Program, costs: Sequence[float]) -> Optimal:
        outcome = Session(replace(program, costs=tuple(costs))).solve()
        if not isinstance(outcome, Optimal):
            message = f"a frontier's end is {type(outcome).__name__.lower()}"
            raise CheckFailedError(message)
        return outcome

    def _made(self, choice: tuple[float, ...], program: Program | None = None) -> Program:
        x = [0.0] * self._layout.columns
        for column, value in zip(self._choices, choice, strict=True):
            x[column] = value
        return chosen(program or self._program, x)

    def _chain(self, choice: tuple[float, ...]) -> Chain:
        program = self._made(choice)
        near = self._point(self._best(program, (self._apart, self._cost)))
        cheap = self._point(self._best(program, (self._cost, self._apart)))
        if cheap[0] - near[0] <= BELOW:
            return Chain(choice, (near,))
        between = list(self._between(Session(program), near, cheap))
        return Chain(choice, tuple(bends([near, *between, cheap])))

    def _best(self, program: Program, order: Sequence[Sequence[float]]) -> Optimal:
        for costs in order:
            found = self._first(program, costs)
            program = best_points(program, found)
        return found

    def _between(self, session: Session, left: Point, right: Point) -> Iterator[Point]:
        steep, flat = left[1] - right[1], right[0] - left[0]
        costs = [steep * d + flat * c for d, c in zip(self._apart, self._cost, strict=True)]
        outcome = session.solve_for(costs)
        if not isinstance(outcome, Optimal):
            message = "a chain of the frontier broke"
            raise CheckFailedError(message)
        point = self._point(outcome)
        line = left[1] - (point[0] - left[0]) * steep / flat
        if point[1] < line - BELOW:
            yield from self._between(session, left, point)
            yield point
            yield from self._between(session, point, right)

    def _point(self, optimal: Optimal) -> Point:
        return _total(self._apart, optimal.x), _total(self._cost, optimal.x)

    def _missed(
        self, pieces: Sequence["Piece"], known: Sequence[tuple[float, ...]]
    ) -> tuple[float, ...] | None:
        """A choice not known yet that lies below a piece, or ``None``."""
        if not self._choices:
            return None
        others = [self._other(choice) for choice in known]
        for piece in pieces:
            steep = piece.slope
            costs = [c - steep * d for d, c in zip(self._apart, self._cost, strict=True)]
            bound = self._within(piece.right[0])
            program = replace(self._program, rows=(*self._program.rows, *others, bound))
            outcome = Session(replace(program, costs=tuple(costs)), self._deadline).solve()
            line = piece.left[1] - steep * piece.left[0]
            if isinstance(outcome, Optimal) and outcome.cost < line - BELOW:
                return self._choice(outcome)
        return None

    def _other(self, choice: tuple[float, ...]) -> Row:
        """At least one choice is made otherwise."""
        made = [1.0 - 2.0 * value for value in choice]
        return Row("", "another choice", tuple(self._choices), tuple(made), 1.0 - sum(choice), inf)

    def _within(self, apart: float) -> Row:
        columns = tuple(column for column, value in enumerate(self._apart) if value)
        values = tuple(self._apart[column] for column in columns)
        return Row("", "no farther", columns, values, -inf, apart)

    def corner(self, choice: tuple[float, ...], apart: float) -> Corner:
        """The cheapest composition no farther than that, with the choice made."""
        found = self._composition(choice, apart, self._rows)
        if found is None or not all(verdict.kept for verdict in judge(self._bench, found)):
            found, _, _ = settled(
                self._bench,
                lambda rows: self._composition(choice, apart, rows),
                lambda made: made,
                self._rows.ionic_strength,
            )
        if found is None:
            message = f"no composition at a corner {apart:.6f} apart"
            raise CheckFailedError(message)
        return Corner(
            apart=distance(self._bench, self._formula, found, self._stage),
            cost=self._bench.cost_of(found),
            composition=found,
            verdicts=checked(self._bench, found),
            used=tuple(name for name in self._rows.choices if name in found.parts),
        )

    def _composition(
        self, choice: tuple[float, ...], apart: float, rows: Rows
    ) -> Composition | None:
        program = self._made(choice, self._layout.plain(rows))
        least = Session(replace(program, costs=self._apart)).solve()
        if not isinstance(least, Optimal):
            return None
        # a corner at the near end may lie a hair nearer than its own pH allows
        bound = self._within(max(apart, least.cost) + BELOW / 10)
        bounded = replace(program, rows=(*program.rows, bound))
        found = self._layout.on_faces(bounded, (Stage.COST, self._stage, *DISTANCES))
        return None if found is None else composed(self._bench, found)


def _corner_points(
    pieces: Sequence[Piece], chains: Sequence[Chain]
) -> list[tuple[tuple[float, ...], float]]:
    """Choice and distance of each end of a piece, where the edge bends, jumps or stops."""
    found = [(pieces[0].choice, pieces[0].left[0])]
    for piece, following in pairwise(pieces):
        jumps = piece.right[1] - following.left[1] > BELOW
        if jumps or abs(piece.slope - following.slope) > BELOW:
            found.append((following.choice, following.left[0]))
    last = pieces[-1]
    end = last.right[0]
    lowest = min(chains, key=lambda chain: chain.at(end))
    if last.right[1] - lowest.at(end) > BELOW:  # a choice that can be made only from here on
        found.append((lowest.choice, end))
    elif last.left[1] - last.right[1] > BELOW:
        found.append((last.choice, end))
    return found


def _total(costs: Sequence[float], x: Sequence[float]) -> float:
    return sum(cost * value for cost, value in zip(costs, x, strict=True) if cost)
