"""For which lots the rules of an answer hold, written beside its proof and read back.

A proof for lots is one at the ionic strength of its answer: its rows stand at the worst lots of a
share of every range, with room for what is added at the bench. With these few figures and a bench
the rows can be worked out anew.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import isfinite

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Rule
from ...constraints.model.uncertainty import Correction, Uncertainty
from ...constraints.rules.acidity import band_of
from ..proof.form import Json, Rejected, RejectionError


@dataclass(frozen=True, slots=True)
class HeldFor:
    """What a document says that its rules hold for, put to a bench.

    Args:
        bench: with its rules holding for these lots.
        strength: ionic strength at which its rows stand [mol/kg water].
    """

    bench: Bench
    strength: float

    @property
    def correction(self) -> Correction | None:
        """What is added at the bench; ``None`` where nothing is."""
        return _correction(_sets(self.bench).values())


def _sets(bench: Bench) -> Mapping[str, Uncertainty]:
    """The lots for which each rule holds that holds for more than typical ones."""
    return {rule.id: rule.within for rule in bench.brief.rules if rule.within is not None}


def _correction(sets: Iterable[Uncertainty]) -> Correction | None:
    return next((one.correction for one in sets if one.correction), None)


def held_for_form(bench: Bench, strength: float) -> Json | None:
    """For which lots the rules of a bench hold; ``None`` where they hold for typical ones alone.

    Args:
        bench: with rules that hold for whichever lot comes.
        strength: ionic strength at which its rows stand [mol/kg water].
    """
    within = _sets(bench)
    if not within:
        return None
    added = _correction(within.values())
    return {
        "ionic_strength": strength,
        "scales": {name: one.scale for name, one in within.items()},
        "correction": None
        if added is None
        else {"material": added.material.name, "most": added.most},
        "prices": dict(next(iter(within.values())).prices),
        "readings": any(one.cuts for one in within.values()),
    }


def held_for(document: Json, bench: Bench) -> HeldFor | Rejected | None:
    """The bench with its rules holding for the lots that a document names; ``None`` for none.

    Args:
        document: a finding or a certificate, as read from JSON.
        bench: as it stands.
    """
    proof = document.get("proof")
    said = proof.get("held_for") if isinstance(proof, dict) else None
    if said is None:
        return None
    try:
        return _read(said, bench)
    except RejectionError as fault:
        return Rejected(f"held_for: {fault}")


def _read(said: object, bench: Bench) -> HeldFor:
    keys = {"ionic_strength", "scales", "correction", "prices", "readings"}
    if not isinstance(said, dict) or said.keys() != keys or not isinstance(said["scales"], dict):
        raise RejectionError("it does not say for which lots")
    if said["readings"] is not False:
        raise RejectionError("lots that readings narrowed, which no bench holds")
    strength = _figure(said["ionic_strength"], 10.0)
    if strength is None:
        raise RejectionError("no ionic strength")
    known = Uncertainty(
        prices=_prices(said["prices"], bench), correction=_added(said["correction"], bench)
    )
    return HeldFor(bench.with_only(_rules(said["scales"], known, bench)), strength)


def _added(said: object, bench: Bench) -> Correction | None:
    """What is added at the bench: that which the brief names, and nothing else."""
    if said is None:
        return None
    band = band_of(bench.brief)
    named = None if band is None else band.corrected_by
    most = _figure(said.get("most"), 1.0) if isinstance(said, dict) else None
    if not isinstance(said, dict) or named is None or said.get("material") != named or most is None:
        raise RejectionError("a correction that the brief does not name")
    item = bench.item(named)
    return Correction(item.material, item.price, most)


def _prices(said: object, bench: Bench) -> Mapping[str, float]:
    """How far prices may move, material by material [1]."""
    if not isinstance(said, dict) or not said.keys() <= set(bench.material_names):
        raise RejectionError("prices of other materials than on the shelf")
    found = {name: _figure(value, 1.0) for name, value in said.items()}
    shares = {name: value for name, value in found.items() if value is not None}
    if len(shares) < len(found):
        raise RejectionError("prices that move by no share")
    return shares


def _rules(scales: Mapping[str, object], known: Uncertainty, bench: Bench) -> tuple[Rule, ...]:
    rules = []
    for rule in bench.brief.rules:
        scale = _figure(scales.get(rule.id, 0.0), 1.0)
        if scale is None:
            raise RejectionError(f"{rule.id!r} for no share of the ranges")
        if rule.within is not None and scale < 1.0:
            raise RejectionError(f"{rule.id!r} for fewer lots than its bench asks")
        within = replace(known, scale=scale) if rule.id in scales else None
        rules.append(replace(rule, within=within))
    if not scales.keys() <= {rule.id for rule in rules}:
        raise RejectionError("a rule that the bench has not")
    return tuple(rules)


def _figure(value: object, most: float) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if isfinite(value) and 0.0 <= value <= most else None
