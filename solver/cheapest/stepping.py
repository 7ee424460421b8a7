"""What a step of each limit costs, and what would bring in each material left out.

A step is priced by asking again with the limit moved, tighter and looser, with the same choice of
materials: a price read off a single solution can be wrong at a corner where more rules meet than
needed, which is the usual case in blending; the cost of a moved limit cannot. Break-even prices are
read off one exact basis.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from ...constraints.model.frame import Frame
from ...constraints.model.mix import TRACE
from ...constraints.model.row import Rows
from ...constraints.model.rule import Limited
from ...constraints.model.verdict import Verdict
from ...constraints.rules.holding import rows_held
from ...constraints.values.told import Told
from ..program.deadline import Deadline
from ..program.outcome import Optimal, Program
from ..program.session import Session
from ..proof.proved import Unproved
from ..sensitivity.columns import break_evens
from ..sensitivity.ground import Ground, ground_of

WORTH_SAYING = 1e-7
"""A difference in cost below this is none [money/kg]."""


@dataclass(frozen=True, slots=True, repr=False)
class Price(Told):
    """What one step of a limit costs, with the same choice of materials.

    Args:
        rule: id of the rule.
        side: which limit, "low" or "high".
        step: how far it was moved, in the canonical unit of the rule.
        tighter: cost added by one step tighter [money/kg]; ``None`` where nothing keeps the rules
            then, 0 for a material that is not to be used at all.
        looser: cost saved by one step looser [money/kg]; ``None`` where the limit cannot move so
            far.
    """

    rule: str
    side: str
    step: float
    tighter: float | None
    looser: float | None


@dataclass(frozen=True, slots=True, repr=False)
class LeftOut(Told):
    """A material on the shelf that the cheapest composition does without.

    Args:
        material: its name.
        price: what it costs now [money/kg].
        enters_below: its break-even price, below which it would come in, all else alike
            [money/kg]; ``None`` where a choice or a rule keeps it out at any price.
    """

    material: str
    price: float
    enters_below: float | None


def binding(verdict: Verdict) -> tuple[tuple[Limited, str], ...]:
    """The limits of a rule that leave no room, as the rule and its side."""
    rule = verdict.rule
    if not isinstance(rule, Limited):
        return ()
    rooms = ((side, verdict.room_on(side)) for side in rule.limits())
    return tuple((rule, side) for side, room in rooms if room is not None and room <= rule.touching)


class Asked:
    """A solved program kept at hand, to ask it what a change would cost."""

    def __init__(
        self, frame: Frame, rows: Rows, fixed: Program, optimal: Optimal, deadline: Deadline
    ) -> None:
        self._frame, self._rows, self._fixed = frame, rows, fixed
        self._optimal, self._deadline = optimal, deadline
        self._session = Session(fixed, deadline, bases=False)
        self.ground: Ground | None = None

    def prices(self, verdicts: Sequence[Verdict]) -> Iterator[Price | None]:
        """The price of each limit that binds; ``None`` and no more when time has run out."""
        for verdict in verdicts:
            for rule, side in binding(verdict):
                price = self._price(rule, side)
                if self._deadline.passed():
                    yield None
                    return
                if _matters(price):
                    yield price

    def _price(self, rule: Limited, side: str) -> Price:
        step = rule.step(side)
        inward = step if side == "low" else -step
        # What stands at the end of its reach cannot be tightened: that costs nothing.
        ends = rule.standing(side) == rule.reach()[0] and side == "high"
        tighter = self._optimal.cost if ends else self._moved(rule, side, inward)
        looser = self._moved(rule, side, -inward)
        return Price(
            rule=rule.id,
            side=side,
            step=step,
            tighter=None if tighter is None else _clean(tighter - self._optimal.cost),
            looser=None if looser is None else _clean(self._optimal.cost - looser),
        )

    def _moved(self, rule: Limited, side: str, by: float) -> float | None:
        limit = rule.standing(side) + by
        if limit < rule.reach()[0]:
            return None
        new = rows_held(rule.moved(side, limit), self._frame, self._rows.ionic_strength)
        old = self._rows.of(rule.id)
        changed = [(index, row) for (index, _), row in zip(old, new, strict=True)]
        outcome = self._session.solve_with(changed)
        return outcome.cost if isinstance(outcome, Optimal) else None

    def entries(self) -> Mapping[int, float | None] | None:
        """The break-even price of every material left out; ``None`` where none was reached."""
        ground = ground_of(self._fixed, self._optimal)
        if isinstance(ground, Unproved):
            return None
        self.ground = ground
        found = {}
        for column, price in break_evens(ground, self._fixed, self._out()):
            if self._deadline.passed():
                return None
            found[column] = None if price is None else float(price)
        return found

    def _out(self) -> list[int]:
        shares = range(len(self._frame.materials))
        return [column for column in shares if self._optimal.x[column] <= TRACE]

    def left_out(self, entries: Mapping[int, float | None]) -> Iterator[LeftOut]:
        """The materials left out, with the prices that are known."""
        for column in self._out():
            name = self._frame.materials[column].name
            yield LeftOut(name, self._frame.prices[column], entries.get(column))


def _matters(price: Price) -> bool:
    return price.tighter is None or max(price.tighter, price.looser or 0.0) > WORTH_SAYING


def weight(price: Price) -> float:
    """What a step costs, the dearest first; nothing is dearer than what has no way."""
    return inf if price.tighter is None else max(price.tighter, price.looser or 0.0)


def _clean(difference: float) -> float:
    return 0.0 if abs(difference) < WORTH_SAYING else difference
