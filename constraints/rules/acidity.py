"""The predicted pH of the bar dispersed in water lies between limits."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import TYPE_CHECKING, ClassVar, Protocol

from ..model.frame import Same
from ..model.row import Bends, row
from ..model.rule import Concedes, Limited, Rule, Side
from ..model.verdict import Unsure, Verdict, asks_nothing, within
from ..values.table import Table
from ..values.units import Dimension
from .limits import kept_between
from .scene import Scene
from .selecting import on_shelf
from .written import LIMITS, Common, Written, limits_of

if TYPE_CHECKING:
    from ..acidity.cell import Cell
    from ..acidity.coefficients import End
    from ..acidity.prediction import Bracket
    from ..model.brief import Brief
    from ..model.frame import Frame
    from ..model.lots import Flags, Floats, Lots
    from ..model.mix import Mix
    from ..model.row import Row


class Charge(Protocol):
    """Coefficients of the net charge at a limit of pH, for the row of one side."""

    def __call__(self, limit: float, end: "End", *, at_least: bool) -> Sequence[float]:
        """One for each material, in shelf order [mol per kg of dispersion]."""


PH_TOLERANCE = 0.005
"""A pH band is broken when it is missed by more than this: a fifth of what a good meter reads."""


@dataclass(frozen=True, slots=True)
class Acidity(Limited):
    """The pH of the bar dispersed in water lies between the limits.

    ``dilution`` is the mass of bar in a mass of dispersion [kg/kg]. With ``when`` the limits matter
    only where that material is used: a preservative that works only in acid. ``corrected_by`` names
    the acid or base that the maker adds once a batch was read.
    """

    dilution: float
    when: str | None = None
    corrected_by: str | None = None

    dispersed: ClassVar[bool] = True
    corrected: ClassVar[bool] = True
    touching: ClassVar[float] = 2e-3

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """Net charge Q falls as pH rises: ``Q(low)·x ≥ 0`` and ``Q(high)·x ≤ 0``.

        A residual alkalinity that nobody knows counts for each side at the end that is worse for
        it, so that what is not known never helps to keep a rule.
        """
        from ..acidity.coefficients import (
            charge_coefficients,  # only a brief with a pH rule pays for it
        )

        def charge(limit: float, end: "End", *, at_least: bool) -> Sequence[float]:
            del at_least  # exact, whichever side
            key = (limit, self.dilution, ionic_strength, end)
            if key not in frame.charges:
                frame.charges[key] = charge_coefficients(
                    frame.materials, frame.substances, limit, self.dilution, ionic_strength, end=end
                )
            return frame.charges[key]

        return self._sides(frame, charge)

    def outer(self, frame: "Frame", cell: "Cell") -> "list[Row]":
        """Its rows with each coefficient at its kindest within a cell of ionic strength."""
        from ..acidity.span import charge_span, kindest

        def charge(limit: float, end: "End", *, at_least: bool) -> Sequence[float]:
            key = (limit, self.dilution, cell.salt, end, at_least)
            if key not in frame.charges:
                spans = charge_span(
                    frame.materials, frame.substances, limit, self.dilution, cell.salt, end=end
                )
                frame.charges[key] = kindest(spans, at_least=at_least)
            return frame.charges[key]

        return self._sides(frame, charge)

    def _sides(self, frame: "Frame", charge: "Charge") -> "list[Row]":
        ends: dict[Side, End] = {"low": "unknown low", "high": "unknown high"}
        return [
            self._side(side, charge(limit, ends[side], at_least=side == "low"), frame)
            for side, limit in self.limits().items()
        ]

    def _side(self, side: Side, values: Sequence[float], frame: "Frame") -> "Row":
        at_least = side == "low"
        part = "at least" if at_least else "at most"
        return conditional(self.id, part, values, frame, when=self.when, at_least=at_least)

    def bends(self, frame: "Frame", ionic_strength: float) -> "Bends":
        """A content brings the charge of its substance, and an alkalinity its own."""
        from ..acidity.coefficients import charge_slopes

        sides = tuple(self.limits())
        columns = range(len(frame.materials))

        def relaid(place: int, values: "Mapping[int, float]") -> "Row":
            return self._side(sides[place], [values.get(one, 0.0) for one in columns], frame)

        slopes = (
            charge_slopes(frame.materials, frame.substances, limit, self.dilution, ionic_strength)
            for limit in self.limits().values()
        )
        return Bends(tuple(dict(enumerate(one)) for one in slopes), relaid)

    def judged(self, mix: "Mix") -> Verdict:
        """The pH at which the dispersion's charge is nought, at its own ionic strength.

        Kept only for certain: for all that materials of unknown residual alkalinity may bring, and
        with no more salt than the prediction is trusted for.
        """
        if self._idle(mix):
            return asks_nothing(self)
        found = _bracket(Same(mix), self.dilution)
        lowest, highest = (
            within(self, found.low, PH_TOLERANCE),
            within(self, found.high, PH_TOLERANCE),
        )
        surely = lowest.kept and highest.kept
        unsure = None
        if not found.valid:
            unsure = Unsure.SALT
        elif not surely and within(self, found.ph, PH_TOLERANCE).kept:
            unsure = Unsure.UNKNOWN
        return Verdict(
            self,
            found.ph,
            surely and found.valid,
            lowest.room_low,
            highest.room_high,
            unsure=unsure,
        )

    def value_in(self, lots: "Lots") -> "Floats":
        """The pH of every lot at its own ionic strength."""
        from ..acidity.lots import predict_lots

        if self._idle(lots.mix):
            return lots.alike(None)
        return predict_lots(lots, self.dilution)[0]

    def kept_in(self, lots: "Lots") -> "Flags":
        """In its band."""
        return kept_between(self, self.value_in(lots), PH_TOLERANCE)

    def _idle(self, mix: "Mix") -> bool:
        return self.when is not None and self.when not in mix.used

    def uses(self) -> tuple[str, ...]:
        """The material under whose use it matters."""
        return () if self.when is None else (self.when,)

    def concedes(self) -> Concedes:
        """No pH on which a preservative depends gives way."""
        return Limited.concedes(self) if self.when is None else Concedes.NEVER

    def step(self, side: Side) -> float:
        """A tenth of a pH."""
        return 0.1

    def reach(self) -> tuple[float, float]:
        """The scale of pH in water."""
        return 0.0, 14.0

    def around(self, side: Side) -> tuple[float, float]:
        """A unit of pH either way."""
        standing = self.standing(side)
        return max(standing - 1.0, 0.0), min(standing + 1.0, 14.0)

    def place(self, side: Side) -> int | None:
        """None: the limit stands in every coefficient."""
        return None


@lru_cache(maxsize=8)  # so that rules on one dispersion ask for its pH once
def _bracket(mix: "Same[Mix]", dilution: float) -> "Bracket":
    from ..acidity.prediction import bracket  # only a brief with a pH rule pays for it

    return bracket(mix.thing.shares, mix.thing.substances, dilution)


def conditional(
    rule: str,
    part: str,
    values: Sequence[float],
    frame: "Frame",
    *,
    when: str | None,
    at_least: bool,
) -> "Row":
    """A sum over the shares on the right side of zero; with ``when``, where that material is used.

    Shares are at least 0 and add to one, so a sum never leaves the span of its coefficients: that
    span is the smallest constant that frees the row when the material is left out.
    """
    entries = dict(enumerate(values))
    if when is None:
        return row(rule, part, entries, *((0.0, inf) if at_least else (-inf, 0.0)))
    worst = min(0.0, *values) if at_least else max(0.0, *values)
    sides = (worst, inf) if at_least else (-inf, worst)
    return row(rule, part, entries | {frame.choices[when]: worst}, *sides)


def acidity_of(brief: "Brief") -> Acidity | None:
    """The first of a brief's rules on pH, or ``None`` in one that says nothing of it."""
    return next((rule for rule in brief.rules if isinstance(rule, Acidity)), None)


def bands_of(rules: "Iterable[Rule]") -> "tuple[Acidity, ...]":
    """The rules on pH that hold whatever is used."""
    return tuple(rule for rule in rules if isinstance(rule, Acidity) and rule.when is None)


def band_of(brief: "Brief") -> Acidity | None:
    """The first of a brief's rules on pH that hold whatever is used, or ``None``."""
    return next(iter(bands_of(brief.rules)), None)


def _read(entry: Table, scene: Scene, common: Common) -> Acidity | None:
    band = entry.table("ph")
    if band is None:
        return None
    band.only(LIMITS)
    low, high = limits_of(band, Dimension.PH)
    said = entry.text("corrected_by", "the name of an acid or base on the shelf")
    added = on_shelf(entry, "corrected_by", said, scene) if said else None
    if added is not None and not _adjusts(added, scene):
        entry.refuse(f'"{added}"', "an acid, a base or a buffer salt on the shelf", "corrected_by")
    when = entry.text("when", "the name of a material on the shelf")
    used = on_shelf(entry, "when", when, scene) if when else None
    if scene.dilution is None and "dilution" not in scene.stated:
        expected = 'the dilution in which pH is read, such as dilution = "10 %" under [product]'
        entry.refuse("a pH without a dilution", expected)
    if scene.dilution is None:
        return None
    return Acidity(
        **common,
        unit="pH",
        low=low,
        high=high,
        dilution=scene.dilution,
        when=used,
        corrected_by=added,
    )


def _adjusts(name: str, scene: Scene) -> bool:
    from ..acidity.adjusting import adjusters

    return any(one.name == name for one in adjusters(scene.materials, scene.substances))


WRITTEN = Written(
    key="ph",
    keys=("when", "corrected_by"),
    read=_read,
    rules=(Acidity,),
    example="ph = { min = 5.0, max = 5.5 }",
    says="the predicted pH at the stated `dilution`, with `when` only where that material is used;"
    " `corrected_by` names the acid or base that is added when a batch reads otherwise",
)
