"""What stands beside a certificate, against what the certificate proves and against a bench."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ...solver.proof.form import Json

if TYPE_CHECKING:
    from ...solver.proof.certificate import Verified
    from ...solver.strength.certificate import VerifiedWithin

SAME = 1e-6
"""How near a written figure must be to the certificate's or the bench's [its own unit]."""

PER_BENCH = ("product", "units", "contents", "prediction", "rules")
"""Parts of a finding that a bench and the composition settle."""


@dataclass(frozen=True, slots=True)
class Fault:
    """Something beside a certificate that is not so: what was found, and what would be right."""

    found: str
    expected: str


def beside(
    document: Json, found: "Verified | VerifiedWithin", point: tuple[Fraction, ...]
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


def against(document: Json, bench: Bench) -> Iterator[Fault]:
    """What stands beside a certificate and is not so of a bench as it stands."""
    expected = _of_bench(document, bench)
    for part in PER_BENCH:
        if part in document and part in expected and not alike(document[part], expected[part]):
            yield Fault(f"other {part} than the bench's", f"{part} as the bench has them")


def _of_bench(document: Json, bench: Bench) -> Json:
    from ...constraints.rules.judging import judge
    from ..kit.as_json import acidity_form, composition_form, units, verdict_form

    form: Json = {"product": bench.brief.name, "units": units(bench)}
    if isinstance(document.get("composition"), list):
        parts = {part["material"]: part["share"] for part in document["composition"]}
        composition = Composition(bench.brief.name, parts)
        form |= composition_form(bench, composition)
        form["prediction"] = acidity_form(bench, composition)
        form["rules"] = [verdict_form(one) for one in judge(bench, composition)]
    read: Json = json.loads(json.dumps(form))
    return read


def alike(one: object, other: object) -> bool:
    """Whether two JSON values are the same, numbers within ``SAME``.

    >>> alike({"a": [1.0, "b"]}, {"a": [1.0000000001, "b"]})
    True
    """
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if _is_number(one) and _is_number(other):
        first, second = float(str(one)), float(str(other))
        return abs(first - second) <= SAME * max(1.0, abs(second))
    return type(one) is type(other) and one == other


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


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
