"""A rule: what must be true of a composition, and the questions that every kind of rule answers.

Each kind is one module of ``constraints/rules``. Whatever depends on the kind is answered there, by
the methods below; nothing else in the house asks which kind a rule is. Every limit is a float in
the canonical unit of its kind: shares in kg/kg, ratios in kg/kg, costs in money/kg. ``unit``
remembers how the maker wrote it, for showing it back.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, ClassVar, Self

from ..values.problem import Source, Where

if TYPE_CHECKING:
    from .frame import Frame
    from .lots import Flags, Floats, Lots
    from .mix import Mix
    from .row import Bends, Row
    from .uncertainty import Uncertainty
    from .verdict import Verdict

Side = str
"""Which limit of a rule: ``"low"`` or ``"high"``."""

SIDES: tuple[Side, Side] = ("low", "high")


class Kind(StrEnum):
    """Whose rule it is, hardest first; a law is never relaxed."""

    LAW = "law"
    ADVICE = "advice"
    PRACTICE = "practice"
    HOUSE = "house"


class Counted(StrEnum):
    """What of a material a share counts.

    ``SUPPLIED`` is the material as weighed where it bears the class or tag named, ``ACTIVE`` the
    substances named inside it, ``HOLDING`` the whole material as soon as any of them is in it: what
    a bar without something may not contain.
    """

    SUPPLIED = "supplied"
    ACTIVE = "active"
    HOLDING = "holding"


class Pick(StrEnum):
    """What a name in a rule picks."""

    CLASS = "class"
    SUBSTANCE = "substance"
    MATERIAL = "material"
    TAG = "tag"
    FORM = "form"
    PHASE = "phase"


BY_NAME = (Pick.CLASS, Pick.SUBSTANCE, Pick.MATERIAL, Pick.TAG)
"""What a bare name may pick; the others are written with their word before them."""


@dataclass(frozen=True, slots=True)
class Selector:
    """What a rule counts: a class, a substance, a material or a tag, and how it is counted.

    With ``also`` it counts whatever any of these picks, each thing once.
    """

    pick: Pick
    name: str
    counted: Counted
    also: tuple["Selector", ...] = ()

    @property
    def each(self) -> tuple["Selector", ...]:
        """What it is made up of, one by one."""
        return (replace(self, also=()), *self.also)

    @property
    def said(self) -> str:
        """Its name, or its names."""
        return " + ".join(one.name for one in self.each)

    @property
    def inside(self) -> bool:
        """Whether it counts substances inside materials, not the materials as weighed."""
        if self.pick is Pick.SUBSTANCE:
            return self.counted is not Counted.HOLDING
        return self.pick is Pick.CLASS and self.counted is Counted.ACTIVE


class Concedes(StrEnum):
    """How a rule can give way when no composition keeps all of them."""

    MOVES = "its limits move"
    DROPS = "it is given up whole"
    NEVER = "it stands"


@dataclass(frozen=True, slots=True)
class Rule(ABC):
    """What all rules have in common.

    Args:
        id: the name the maker gave it, unique in the brief; findings refer to rules by it.
        kind: whose rule it is.
        because: the maker's reason, shown back whenever the rule binds.
        unit: the unit the limits were written in ("%", "", "EUR/kg", "pH", …).
        where: where it is written.
        source: for a law or advice, the citation.
        within: the lots for which it must hold, whichever comes; ``None`` where typical lots count.
            Asked by ``constraints/rules/holding``, never by a kind.
    """

    id: str
    kind: Kind
    because: str
    unit: str
    where: Where
    source: Source | None
    within: "Uncertainty | None" = field(default=None, kw_only=True)

    priced: ClassVar[bool] = False
    """Whether the prices of materials stand in its rows. Rows are affine in each price."""

    dispersed: ClassVar[bool] = False
    """Whether its rows depend on the ionic strength of the bar dispersed in water."""

    varies: ClassVar[bool] = True
    """Whether what it says of a composition depends on the lots that it is made from."""

    corrected: ClassVar[bool] = False
    """Whether what is added at the bench after a reading is added for its sake."""

    whole: ClassVar[bool] = False
    """Whether it is about a whole number of materials, which moves by no small steps."""

    @property
    def word(self) -> str:
        """The kind in one word, as documents name it."""
        return type(self).__name__.lower()

    @abstractmethod
    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """The linear rows over a bench's columns; as many whatever the limits are.

        Args:
            frame: the columns.
            ionic_strength: of the dispersion in which pH is read [mol/kg water].
        """

    @abstractmethod
    def judged(self, mix: "Mix") -> "Verdict":
        """What the rule says of a composition, from shares and contents, never from rows."""

    def kept_in(self, lots: "Lots") -> "Flags":
        """[N] whether it is kept when the composition is made from each of these lots.

        Asked one by one here, which is right for any kind; a kind that many lots move answers for
        all of them at once.
        """
        if not self.varies:
            return lots.all_or_none(kept=self.judged(lots.mix).kept)
        return lots.flags(lambda mix: self.judged(mix).kept)

    @abstractmethod
    def uses(self) -> tuple[str, ...]:
        """The materials whose being used or left out the rule speaks of: each needs a dose."""

    @abstractmethod
    def limits(self) -> Mapping[Side, float]:
        """The limits that stand, by side; empty where the rule has no figure that moves."""

    @abstractmethod
    def concedes(self) -> Concedes:
        """How the rule may give way; a law never does."""

    @property
    def dosed(self) -> str | None:
        """The material of which it is the dose, if it is one."""
        return None

    def ties(self) -> tuple[str, ...]:
        """Those of ``uses`` whose being used it ties to their share, as a dose does."""
        return () if self.dosed is None else (self.dosed,)

    def unnamed(self) -> frozenset[str]:
        """Those of ``uses`` that it did not name one by one, but by a class.

        What has no dose of its own is then left out, or there in what is worth weighing.
        """
        return frozenset()

    def offers(self) -> tuple[str, ...]:
        """The materials that it lets be chosen among; empty where it offers no choice."""
        return ()

    def shuts_out(self) -> Selector | None:
        """What may not be used at all under this rule, if that is what it says."""
        return None


def material_shut_out(rule: Rule) -> str | None:
    """The material that a rule shuts out by its own name, or ``None``."""
    of = rule.shuts_out()
    alone = of is not None and not of.also and of.pick is Pick.MATERIAL
    return of.name if of is not None and alone else None


@dataclass(frozen=True, slots=True)
class Limited(Rule):
    """A rule with a lower limit, an upper limit or both; ``None`` where a side is free."""

    low: float | None
    high: float | None

    touching: ClassVar[float] = 1e-6
    """So near to a limit counts as standing at it, in the unit of the limits."""

    def value_in(self, lots: "Lots") -> "Floats":
        """[N] what it is about when made from each of these lots, in the unit of its limits.

        Not a number where there is no value. Asked one by one here, as in ``kept_in``.
        """
        if not self.varies:
            return lots.alike(self.judged(lots.mix).value)
        return lots.values(lambda mix: self.judged(mix).value)

    def bends(self, frame: "Frame", ionic_strength: float) -> "Bends | None":
        """How its rows bend with the lots; ``None`` where that is to be read off its rows."""
        return None

    @abstractmethod
    def step(self, side: Side) -> float:
        """How far one step moves a limit: what a maker would think of moving it by.

        Raises:
            ValueError: when that side is free.
        """

    @abstractmethod
    def reach(self) -> tuple[float, float]:
        """As far down and as far up as its limits can sensibly go."""

    @abstractmethod
    def place(self, side: Side) -> int | None:
        """Which of its rows has this limit as a plain figure of its side.

        ``None`` where the limit stands in coefficients instead: the cost is then no straight
        function of it, and a moved limit has to be solved anew.
        """

    def limit(self, side: Side) -> float | None:
        """The ``"low"`` or the ``"high"`` limit."""
        return self.low if side == "low" else self.high

    def limits(self) -> Mapping[Side, float]:
        """The limits that stand, by side."""
        standing = ((side, self.limit(side)) for side in SIDES)
        return {side: limit for side, limit in standing if limit is not None}

    def concedes(self) -> Concedes:
        """A limit moves, unless it is law."""
        return Concedes.NEVER if self.kind is Kind.LAW else Concedes.MOVES

    def moved(self, side: Side, limit: float | None) -> Self:
        """The same rule with one limit elsewhere."""
        return replace(self, low=limit) if side == "low" else replace(self, high=limit)

    def around(self, side: Side) -> tuple[float, float]:
        """Where a maker would look along a limit: half as much to half as much again."""
        standing = self.limits()[side]
        return (0.5 * standing, 1.5 * standing) if standing else (0.0, 0.1)

    def yields_to(self, side: Side) -> float:
        """As far as a maker would let a limit give way; what is past it makes another bar."""
        low, high = self.around(side)
        least, most = self.reach()
        return max(low, least) if side == "low" else min(high, most)

    def standing(self, side: Side) -> float:
        """Where a limit stands.

        Raises:
            ValueError: when that side is free.
        """
        limit = self.limit(side)
        if limit is None:
            message = f"{self.id} has no {side} limit"
            raise ValueError(message)
        return limit
