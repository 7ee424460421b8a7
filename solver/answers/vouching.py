"""A finding vouched for by the certificate in it: arithmetic alone, nothing solved or trusted."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.mix import TRACE
from ...constraints.rules.judging import judge
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import Finding, as_it_is, program_of, written_for
from ..prices.worth import proved
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import at_rest, ionic_strength, speaks_of_water
from ..proof.certificate import Verified, certificate, point_of, verify
from ..proof.form import Json, Rejected
from ..proof.proved import Unproved
from ..strength.certificate import (
    Asked,
    VerifiedWithin,
    certificate_within,
    shares_of,
    verify_within,
)
from ..strength.proof import ProvedWithin
from .held_for import HeldFor, held_for

SAME = 1e-6
"""How near a written figure must be to the certificate's or the bench's [its own unit]."""


@dataclass(frozen=True, slots=True)
class Vouched:
    """A certificate that adds up, and what stands beside it.

    Args:
        found: what the certificate proves.
        point: the composition in it, column by column [kg/kg]; empty where it shows none.
        faults: what stands beside the certificate and is not what it proves; without any, the
            figures of the finding are those that were proved.
        lots: the bench with its rules holding for the lots that the document names, if any.
    """

    found: Verified | VerifiedWithin
    point: tuple[Fraction, ...]
    faults: tuple["Fault", ...]
    lots: HeldFor | None = None

    @property
    def holds(self) -> bool:
        """Whether the certificate adds up and nothing beside it says otherwise."""
        return not self.faults


@dataclass(frozen=True, slots=True)
class Fault:
    """Something beside a certificate that is not so: what was found, and what would be right."""

    found: str
    expected: str


def beside(
    document: Json, found: Verified | VerifiedWithin, point: tuple[Fraction, ...]
) -> Iterator[Fault]:
    """What stands beside a certificate and is not what it proves."""
    proof = document.get("proof")
    said = proof.get("proved") if isinstance(proof, dict) else None
    if found.kind == "gap" and said is not False:
        yield Fault("proved, where the certificate leaves a gap", "not proved")
    kind = "infeasible" if found.kind == "infeasible" else "optimal"
    if document.get("status", kind) != kind:
        yield Fault(f"status {document['status']}", f"{kind}, as is proved")
    if "composition" in document and not _same_shares(document, point):
        yield Fault("a composition that is not the one proved", "the composition proved")
    if "cost" in document and not _near(document["cost"], found.cost):
        yield Fault(f"cost {document['cost']}", "the cost proved")
    least = proof.get("costs_at_least") if isinstance(proof, dict) else None
    if least is not None and not _near(least, found.bound):
        yield Fault(f"costs at least {least}", "the bound proved")
    covered = getattr(found, "covered", None)
    reach = proof.get("ionic_strength_up_to") if isinstance(proof, dict) else None
    if reach is not None and (covered is None or not _near(reach, Fraction(covered.salt[1]))):
        yield Fault(f"an ionic strength up to {reach}", "as far as the cells reach")


def vouched(document: Json, bench: Bench | None = None) -> Vouched | Rejected:
    """Check a certificate, or a finding with one in it, by exact arithmetic.

    Args:
        document: as read from JSON: a certificate, or what ``cheapest --format json`` printed.
        bench: also whether it is about this bench as it stands. Without one it is only known that
            the certificate proves what it says of the question in it.
    """
    written = certificate_in(document)
    if written is None:
        return Rejected("no certificate in it")
    if bench is not None and "proof" in document and not about_the_shelf(document, bench):
        return Rejected("other materials than on the shelf")
    lots = None if bench is None or "cells" in written else held_for(document, bench)
    if isinstance(lots, Rejected):
        return lots
    found = _checked(written, bench) if lots is None else _checked_for(written, lots)
    if isinstance(found, Rejected):
        return found
    point = shares_of(written) if "cells" in written else point_of(written)
    faults = () if document is written else tuple(beside(document, found, point))
    return Vouched(found, point, faults, lots)


def certificate_for(bench: Bench, found: Finding, deadline: Deadline = NEVER) -> Json | Unproved:
    """Prove a finding, and write the proof so that anyone can check it: see ``vouched``.

    Args:
        bench: what it is about.
        found: the cheapest composition.
        deadline: when to give up.
    """
    finding, proof = proved(bench, found, deadline)
    if isinstance(proof, Unproved):
        return proof
    if isinstance(proof, ProvedWithin):
        return certificate_within(bench, proof)
    return certificate(finding.program, proof)


def certificate_in(document: Json) -> Json | None:
    """The certificate inside a finding, or the document itself where it is a bare one."""
    if "digests" in document:
        return document
    written = document.get("certificate")
    return written if isinstance(written, dict) else None


def about_the_shelf(document: Json, bench: Bench) -> bool:
    """Whether its columns are said to mean what stands on the shelf."""
    return columns_of(document) == columns_for(bench)


def columns_for(bench: Bench) -> list[str]:
    """What the columns of a certificate about a bench mean."""
    rows = rows_of(bench)
    return [*rows.materials, *(f"use of {name}" for name in rows.choices)]


def _checked(written: Json, bench: Bench | None) -> Verified | VerifiedWithin | Rejected:
    """A certificate checked in the way it was made.

    Where pH is ruled, a proof at one ionic strength says nothing of the bench.
    """
    if "cells" in written:
        asked = None if bench is None else Asked(bench, written_for(bench, as_it_is))
        return verify_within(written, asked)
    if bench is not None and speaks_of_water(bench.brief):
        return Rejected("one ionic strength, of the document's own choosing")
    program = None if bench is None else program_of(rows_of(bench), bench.prices)
    return verify(written, program)


def _checked_for(written: Json, lots: HeldFor) -> Verified | Rejected:
    """A certificate at one ionic strength, for lots: its rows, and its point by every rule.

    The strength must be that of the point, which keeps the rules there; of others nothing is said.
    """
    bench = lots.bench
    found = verify(written, program_of(rows_of(bench, lots.strength), bench.prices))
    if isinstance(found, Rejected) or not speaks_of_water(bench.brief):
        return found
    point = point_of(written)
    if not point:
        return Rejected("a refusal at one ionic strength, which leaves the others open")
    made = made_of(bench, point)
    if not at_rest(ionic_strength(bench, made), lots.strength):
        return Rejected("another ionic strength than that of its composition")
    broken = [one.rule.id for one in judge(bench, made) if not one.kept]
    return Rejected(f"x breaks {', '.join(map(repr, broken))}") if broken else found


def made_of(bench: Bench, point: tuple[Fraction, ...]) -> Composition:
    """The composition in a certificate about a bench."""
    shares = zip(bench.material_names, map(float, point), strict=False)
    return Composition("", {name: share for name, share in shares if share > TRACE})


def _same_shares(document: Json, point: tuple[Fraction, ...]) -> bool:
    columns, parts = columns_of(document), document["composition"]
    if not isinstance(parts, list) or not all(isinstance(part, dict) for part in parts):
        return False
    named = [part.get("material") for part in parts]
    if not all(isinstance(name, str) for name in named) or len({*named}) != len(named):
        return False
    shares = {part["material"]: part.get("share") for part in parts}
    proved = dict(zip(columns, point, strict=False))
    names = [name for name in columns if not name.startswith("use of ")]
    return (
        len(columns) == len(point) == len(proved)
        and shares.keys() <= set(names)
        and all(_near(shares.get(name, 0.0), proved[name]) for name in names)
    )


def _near(said: object, proved: Fraction | None) -> bool:
    if isinstance(said, bool) or not isinstance(said, int | float) or proved is None:
        return False
    return abs(said) < 1 / SAME**3 and abs(float(said) - float(proved)) <= SAME


def columns_of(document: Json) -> list[str]:
    """What the columns of a certificate are said to mean."""
    proof = document.get("proof")
    columns = proof.get("columns") if isinstance(proof, dict) else None
    return [str(name) for name in columns] if isinstance(columns, list) else []
