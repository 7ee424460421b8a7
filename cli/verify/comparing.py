"""What stands beside a certificate, against a bench."""

import json
from collections.abc import Iterator

from ...constraints.model.brief import Bench, Composition
from ...solver.answers.vouching import SAME, Fault
from ...solver.proof.form import Json

PER_BENCH = ("product", "units", "composition", "contents", "prediction", "rules")
"""Parts of a finding that a bench and the composition settle."""


def against(document: Json, bench: Bench) -> Iterator[Fault]:
    """What stands beside a certificate and is not so of a bench as it stands."""
    expected = _of_bench(document, bench)
    for part in PER_BENCH:
        if part in document and part not in expected:
            yield Fault(f"{part} of no composition", "the composition that they are of")
        elif part in document and not alike(document[part], expected[part]):
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
