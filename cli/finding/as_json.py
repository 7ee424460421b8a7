"""Proofs, exact prices, choices and alternatives as JSON."""

from collections.abc import Mapping, Sequence

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Rows
from ...solver.choices.alternatives import Alternatives
from ...solver.choices.choices import Other
from ...solver.prices.worth import Slope, Worth
from ...solver.program.outcome import Program
from ...solver.proof.certificate import certificate
from ...solver.proof.proof import Proof, Unproved


def question_form(bench: Bench, rows: Rows) -> dict[str, object]:
    """What the columns of a certificate mean, and what its rows take as given."""
    acid = any(rule.dispersed for rule in bench.brief.rules)
    return {
        "columns": [*rows.materials, *(f"use of {name}" for name in rows.choices)],
        "ionic_strength": rows.ionic_strength if acid else None,
    }


def proof_form(
    bench: Bench, program: Program, rows: Rows, proof: Proof | None, *, proved: bool
) -> dict[str, object]:
    """Whether an answer is proved, and all that a stranger needs to check it."""
    if proof is None or isinstance(proof, Unproved):
        reason = "not asked for" if proof is None else proof.reason
        return {"proof": {"proved": False, "reason": reason}}
    return {
        "proof": {"proved": proved, "reason": None, **question_form(bench, rows)},
        "certificate": certificate(program, proof),
    }


def worth_form(worth: Worth) -> dict[str, object]:
    """Exact one-sided prices of limits and of what was left out."""
    return {
        "limit_prices": [_slope_form(slope) for slope in worth.slopes.values()],
        "enters_below": dict(worth.enters),
        "tied": list(worth.tied),
    }


def _slope_form(slope: Slope) -> dict[str, object]:
    return {
        "rule": slope.rule,
        "side": slope.side,
        "tighter_adds_per_unit": slope.tighter,
        "looser_saves_per_unit": slope.looser,
        "tighter_holds_to": slope.tightest,
        "looser_holds_to": slope.loosest,
        "nothing_past_tighter": slope.ends,
        "differs_here": slope.parts,
    }


def others_form(others: Sequence[Other]) -> list[dict[str, object]]:
    """Choices made the other way."""
    return [
        {
            "material": other.material,
            "used": other.used,
            "rule": other.rule,
            "premium": other.premium,
            "proved": other.proved,
            "composition": parts_form(other.composition),
        }
        for other in others
    ]


def alternatives_form(found: Alternatives | None) -> dict[str, object] | None:
    """Compositions that differ most within a premium."""
    if found is None:
        return None
    return {
        "within": found.within,
        "stopped": found.stopped,
        "found": [
            {
                "cost": one.cost,
                "premium": one.premium,
                "replaces": one.apart,
                "composition": parts_form(one.composition),
            }
            for one in found.found
        ],
    }


def parts_form(composition: Composition | None) -> list[dict[str, object]] | None:
    """Materials and shares, largest first."""
    if composition is None:
        return None
    parts: Mapping[str, float] = composition.parts
    return [
        {"material": name, "share": share}
        for name, share in sorted(parts.items(), key=lambda part: (-part[1], part[0]))
    ]
