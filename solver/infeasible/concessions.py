"""Rules that could give way, each tried on the bench itself, and what the bar then is."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.material import PRESERVATIVE
from ...constraints.model.row import Row
from ...constraints.model.rule import Concedes, Limited, Rule
from ...constraints.rules.holding import rows_held, verdict_of
from ...constraints.rules.judging import mix_of
from ...constraints.rules.rows import rows_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal, least, program_of, written_for
from ..cheapest.chosen import made_for
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import at_rest, ionic_strength, speaks_of_water
from ..program.outcome import Optimal
from ..program.relaxed import loosened
from ..program.session import solve
from ..strength.composing import composed, kept
from .remedy import give_way
from .steps import NEAR, Moved, Relaxable, WayOut

TRIED = 8
"""Concessions that may be tried on the bench, those that give least first."""

MOST_ROUNDS = 6
"""Rounds in which an ionic strength comes to rest, or every one is searched."""


@dataclass(frozen=True, slots=True, repr=False)
class Concession(Told):
    """Rules that give way, and the cheapest composition then.

    Args:
        moved: limits that move.
        dropped: rules given up whole.
        give: how much gives way, the sum over limits of the change relative to the limit [-].
        cost: of the composition [money/kg].
        composition: what could be made.
        far: whether it goes past what a maker would do: a limit moved to another kind of bar, or
            one that nothing preserves.
    """

    moved: tuple[Moved, ...]
    dropped: tuple[str, ...]
    give: float
    cost: float
    composition: Composition
    far: bool = False


def concessions(
    bench: Bench,
    refusal: Refusal,
    *,
    strength: float,
    most: int = 5,
    deadline: Deadline = NEVER,
) -> tuple[Concession, ...]:
    """The cheapest ways in which rules could give way; what a maker would not do only alone.

    Args:
        bench: what has no composition.
        refusal: what the solver was given.
        strength: the ionic strength at which to begin [mol/kg water].
        most: so many at most; a cap on cost that alone could be raised is always among them.
        deadline: when to stop.
    """
    asked = _Asked(bench, refusal, strength, most, deadline)
    cap = tuple(asked.cap_raised())
    for far in (False, True):
        for most_rules in (2, 3):
            found = {(way.moved, way.dropped): way for way in asked.found(most_rules, far=far)}
            alone = {(one.rule, one.side) for way in found.values() for one in _alone(way)}
            raised = [way for way in cap if (way.moved[0].rule, "high") not in alone]
            ways = sorted(found.values(), key=_order)[: max(most - len(raised), 0)]
            if ways or raised:
                return tuple(sorted((*ways, *raised), key=_order))
    return ()


def _alone(way: Concession) -> tuple[Moved, ...]:
    return way.moved if len(way.moved) == 1 and not way.dropped else ()


def _order(way: Concession) -> tuple[bool, float, float]:
    """What a maker would do, cheapest first."""
    return way.far, round(way.cost, 4), way.give


def strength_of_some(bench: Bench, refusal: Refusal) -> float:
    """The ionic strength of what could be made if pH were free [mol/kg water].

    Where even so nothing can be, that of the rows that were refused.
    """
    start = refusal.rows.ionic_strength
    if not speaks_of_water(bench.brief):
        return start
    rows = rows_of(bench, start)
    spoken = {rule.id for rule in bench.brief.rules if rule.dispersed}
    free = tuple(loosened(row) if row.rule in spoken else row for row in rows.rows)
    outcome = solve(program_of(replace(rows, rows=free), bench.prices))
    return (
        ionic_strength(bench, composed(bench, outcome)) if isinstance(outcome, Optimal) else start
    )


class _Asked:
    """A bench without an answer, asked again with some of its rules giving way."""

    def __init__(
        self, bench: Bench, refusal: Refusal, strength: float, most: int, deadline: Deadline
    ) -> None:
        self._bench, self._also, self._most = bench, refusal.also, most
        self._strength, self._deadline = strength, deadline
        self._rules = {rule.id: rule for rule in bench.brief.rules}
        self._frame = frame_of(bench)
        self._rows = rows_of(bench, strength)
        self._program = written_for(bench, refusal.also)(self._rows)

    def cap_raised(self) -> Iterator[Concession]:
        """Caps on what prices make up, raised alone as far as must be."""
        for rule in self._rules.values():
            if isinstance(rule, Limited) and rule.priced and rule.concedes() is Concedes.MOVES:
                high = rule.limits().get("high")
                if high is not None and rule.place("high") is not None:
                    yield from self._raised(rule, high)

    def _raised(self, rule: Limited, high: float) -> Iterator[Concession]:
        free = rule.moved("high", None)
        rules = tuple(free if one is rule else one for one in self._bench.brief.rules)
        composition = self._made(
            replace(self._bench, brief=replace(self._bench.brief, rules=rules))
        )
        if composition is None:
            return
        needed = verdict_of(rule, mix_of(self._bench, composition)).value
        if needed is None or needed <= high:
            return
        step = rule.step("high")
        new = max(ceil(needed / step - NEAR) * step, needed)
        cost = self._bench.cost_of(composition)
        moved = Moved(rule.id, "high", high, new, needed)
        yield Concession((moved,), (), (new - high) / (high or step), cost, composition)

    def found(self, most_rules: int, *, far: bool) -> Iterator[Concession]:
        """Concessions that stand their trial on the bench, those that cost least first."""
        ways = sorted(self._ways(most_rules, far=far), key=lambda way: (len(way.dropped), way.cost))
        count = 0
        for way in ways:
            composition = self._made(conceding(self._bench, way.moved, way.dropped))
            if composition is not None:
                count += 1
                cost = self._bench.cost_of(composition)
                yield Concession(way.moved, way.dropped, way.give, cost, composition, far)
            if count >= self._most or self._deadline.passed():
                return

    def _made(self, eased: Bench) -> Composition | None:
        """The cheapest of an eased bench; ``None`` where there is none that keeps every rule."""
        return self._at_rest(eased) or self._anywhere(eased)

    def _at_rest(self, eased: Bench) -> Composition | None:
        """Asked at one ionic strength, then at that of the answer, until it keeps every rule."""
        strength, written = self._strength, written_for(eased, self._also)
        for _ in range(MOST_ROUNDS):
            program = written(rows_of(eased, strength))
            outcome = solve(program, self._deadline)
            again = made_for(eased, program, outcome) if isinstance(outcome, Optimal) else None
            if again is None:
                return None
            composition = composed(eased, again)
            before, strength = strength, ionic_strength(eased, composition)
            if at_rest(strength, before):
                return composition if kept(eased, composition) else None
        return None

    def _anywhere(self, eased: Bench) -> Composition | None:
        """Asked whatever the ionic strength."""
        if not speaks_of_water(eased.brief):
            return None
        outcome, _, program = least(
            eased, also=self._also, start=self._strength, deadline=self._deadline
        )
        again = made_for(eased, program, outcome) if isinstance(outcome, Optimal) else None
        composition = None if again is None else composed(eased, again)
        return composition if composition is not None and kept(eased, composition) else None

    def _ways(self, most_rules: int, *, far: bool) -> tuple[WayOut, ...]:
        rules = self._rules.values()
        return give_way(
            self._program,
            tuple(relaxables(rules, far=far)),
            self._rows_with,
            droppable=frozenset(droppables(rules, self._preserving(far=far))),
            most=TRIED,
            most_rules=most_rules,
            deadline=self._deadline,
        )

    def _preserving(self, *, far: bool) -> Callable[[Rule], bool]:
        """Whether a rule sees to it that something preserves the bar; none does when all may go."""

        def sees_to_it(rule: Rule) -> bool:
            offered = [self._bench.material(name) for name in rule.offers()]
            return bool(offered) and all(PRESERVATIVE in one.classes for one in offered)

        return (lambda _: False) if far else sees_to_it

    def _rows_with(
        self, rule: str, low: float | None, high: float | None
    ) -> Sequence[tuple[int, Row]]:
        limited = self._rules[rule]
        assert isinstance(limited, Limited)  # noqa: S101  (only limits are relaxable)
        new = rows_held(replace(limited, low=low, high=high), self._frame, self._strength)
        old = self._rows.of(rule)
        return [(index, row) for (index, _), row in zip(old, new, strict=True)]


def relaxables(rules: Iterable[Rule], *, far: bool = False) -> Iterator[Relaxable]:
    """The rules whose limits may move: no law, and no pH on which a preservative depends.

    Args:
        rules: of the brief.
        far: whether past what a maker would do too.
    """
    for rule in rules:
        if isinstance(rule, Limited) and rule.concedes() is Concedes.MOVES:
            step = min(rule.step(side) for side in rule.limits())
            floor, ceiling = rule.reach()
            if not far:
                floor = rule.yields_to("low") if rule.low is not None else floor
                ceiling = rule.yields_to("high") if rule.high is not None else ceiling
            yield Relaxable(rule.id, rule.low, rule.high, step, floor=floor, ceiling=ceiling)


def droppables(
    rules: Iterable[Rule], but: Callable[[Rule], bool] = lambda _: False
) -> Iterator[str]:
    """The rules that may be given up whole: no law, and none of those excepted."""
    return (rule.id for rule in rules if rule.concedes() is Concedes.DROPS and not but(rule))


def conceding(bench: Bench, moved: Iterable[Moved], dropped: Iterable[str]) -> Bench:
    """The bench with some limits moved and some rules gone."""
    gone, limits = set(dropped), {(one.rule, one.side): one.new for one in moved}
    rules = tuple(_moved(rule, limits) for rule in bench.brief.rules if rule.id not in gone)
    return replace(bench, brief=replace(bench.brief, rules=rules))


def _moved(rule: Rule, limits: Mapping[tuple[str, str], float]) -> Rule:
    if not isinstance(rule, Limited):
        return rule
    low = limits.get((rule.id, "low"), rule.low)
    high = limits.get((rule.id, "high"), rule.high)
    return replace(rule, low=low, high=high)
