"""A certificate alone: which rows are on pH is the document's word, and is not taken for it."""

import json
from fractions import Fraction
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import read_bench
from barwright.solver.answers.vouching import certificate_for
from barwright.solver.cheapest.cheapest import cheapest
from barwright.solver.proof.form import Rejected, digest, rational
from barwright.solver.strength.certificate import VerifiedWithin, verify_within

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"


@pytest.fixture(scope="module")
def certificate():
    bench = read_bench(EXAMPLES / "oily-hair")
    return json.loads(json.dumps(certificate_for(bench, cheapest(bench))))


def signed(certificate, **changed):
    """The certificate with parts of it replaced, and digests that fit."""
    body = {**certificate, **changed}
    parts = {key: digest(value) for key, value in body.items() if key != "digests"}
    return {**body, "digests": {**parts, "whole": digest(parts)}}


def pure(certificate, column):
    """An answer that is one material alone, what it costs, and the kind that this makes."""
    width = len(certificate["program"]["costs"])
    x = ["1.0" if place == column else "0.0" for place in range(width)]
    cost = Fraction(certificate["program"]["costs"][column])
    return {**certificate["answer"], "x": x, "cost": rational(cost)}


def test_the_certificate_as_it_was_written_is_accepted_alone(certificate):
    assert isinstance(verify_within(signed(certificate)), VerifiedWithin)


def test_no_rule_is_got_round_by_calling_it_one_on_ph(certificate):
    rules = sorted({row["rule"] for row in certificate["program"]["rows"]})
    costs = [float(cost) for cost in certificate["program"]["costs"]]
    dearest = costs.index(max(costs))
    answer = pure(certificate, dearest)
    forged = signed(certificate, acidity=rules, kind="gap", answer=answer)
    assert isinstance(verify_within(forged), Rejected)
