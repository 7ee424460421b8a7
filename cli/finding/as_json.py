"""Proofs, exact prices, choices and alternatives as JSON."""

from collections.abc import Mapping, Sequence

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Rows
from ...solver.answers.held_for import held_for_form
from ...solver.cheapest.cheapest import Finding
from ...solver.choices.alternatives import Alternatives
from ...solver.choices.choices import Other
from ...solver.prices.worth import Slope, Worth
from ...solver.program.outcome import Program
from ...solver.proof.certificate import certificate
from ...solver.proof.proved import Proof, Unproved
from ...solver.strength.certificate import certificate_within
from ...solver.strength.proof import ProvedNowhere, ProvedWithin

AnyProof = Proof | ProvedWithin | ProvedNowhere


def question_form(rows: Rows) -> dict[str, object]:
    """What the columns of a certificate mean."""
    return {"columns": [*rows.materials, *(f"use of {name}" for name in rows.choices)]}


def proof_form(
    bench: Bench, program: Program, rows: Rows, proof: AnyProof | None, *, proved: bool
) -> dict[str, object]:
    """Whether an answer is proved, and all that a stranger needs to check it."""
    if proof is None or isinstance(proof, Unproved):
        reason = "not asked for" if proof is None else proof.reason
        return {"proof": {"proved": False, "reason": reason}}
    head = {"proved": proved, "reason": None, **question_form(rows)}
    if not isinstance(proof, ProvedWithin | ProvedNowhere):
        lots = held_for_form(bench, rows.ionic_strength)
        return {
            "proof": head | {"ionic_strength": None, "held_for": lots},
            "certificate": certificate(program, proof),
        }
    head["ionic_strength"] = rows.ionic_strength
    return {
        "proof": head | _cover_form(proof),
        "certificate": certificate_within(bench, proof),
    }


def _cover_form(proof: ProvedWithin | ProvedNowhere) -> dict[str, object]:
    """How far a claim reaches where pH is ruled."""
    return {
        "ionic_strength_up_to": max(cell.cell.salt[1] for cell in proof.cells),
        "costs_at_least": float(proof.bound) if isinstance(proof, ProvedWithin) else None,
    }


def worth_form(finding: Finding, worth: Worth) -> dict[str, object]:
    """Exact one-sided prices of limits and of what was left out."""
    return {
        "limit_prices": [_slope_form(slope) for slope in worth.slopes.values()],
        "enters_below": {left.material: left.enters_below for left in finding.left_out},
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
