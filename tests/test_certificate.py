"""A certificate convinces a stranger, and a changed one convinces nobody."""

import copy
import json
import random
from dataclasses import replace
from fractions import Fraction
from math import inf, isinf

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.outcome import Optimal, Program
from barwright.solver.proof.certificate import (
    Rejected,
    Verified,
    _digests,
    certificate,
    rational,
    verify,
)
from barwright.solver.proof.proof import prove, prove_infeasible
from barwright.solver.proof.proved import ProvedGap, Unproved
from hypothesis import given, settings
from hypothesis import strategies as st

CASES = (
    "winston_diet",
    "ampl_diet",
    "dantzig_alloy",
    "chvatal_polly",
    "lpsolve_sensitivity",
    "westerberg_steel",
    "martello_toth_change",
    "rounding_infeasible",
    "ampl_diet2_infeasible",
)
EACH = 150  # tamperings of each certificate


def hint(asked):
    return Optimal(0.0, asked.lower, (), (), None)


@pytest.fixture(scope="module")
def written(published):
    """Certificates as they come out of a file, each with its program."""

    def write(name):
        _, asked = published(name)
        refused = name.endswith("infeasible") and not any(asked.whole)
        proof = prove_infeasible(asked) if refused else prove(asked, hint(asked))
        return json.loads(json.dumps(certificate(asked, proof))), asked

    kept = {name: write(name) for name in CASES}
    return lambda name: (copy.deepcopy(kept[name][0]), kept[name][1])


def resealed(body):
    """What a forger does who knows how digests are made."""
    body["digests"] = _digests(body)
    return body


def places(value, path=()):
    """Every value inside a JSON value, containers too."""
    inside = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value)
        if isinstance(value, list)
        else ()
    )
    for key, part in inside:
        yield (*path, key)
        yield from places(part, (*path, key))


def reach(value, path):
    for key in path:
        value = value[key]
    return value


def changed(value, chance):
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + chance.choice((-1, 1))
    if isinstance(value, list):
        drop = chance.randrange(len(value)) if value else 0
        return [*value[:drop], *value[drop + 1 :]] if value else [0]
    if isinstance(value, dict):
        return {key: part for key, part in value.items() if key != min(value)}
    return changed_text(value, chance)


def changed_text(value, chance):
    if value.lstrip("-").startswith("0x"):
        above, _, below = value.partition("/")
        number = Fraction(int(above, 16), int(below or "1", 16))
        return rational(number + chance.choice((-1, 1)) * Fraction(1, 2 ** chance.randint(0, 60)))
    try:
        number = float(value)
    except ValueError:
        return value + "0"
    if isinf(number):
        return repr(1e9)
    return repr(number + chance.choice((-1.0, 2.0**-40, abs(number) * 2.0**-50 or 1.0)))


def tampered(body, within, chance):
    """A copy of a certificate with one thing changed at random below ``within``."""
    other = copy.deepcopy(body)
    path = chance.choice(list(places(reach(body, within))))
    parent = reach(other, (*within, *path[:-1]))
    parent[path[-1]] = changed(parent[path[-1]], chance)
    return other


@pytest.mark.parametrize("name", CASES)
def test_a_certificate_is_verified_alone_and_against_its_question(name, written):
    body, asked = written(name)
    alone, asked_for = verify(body), verify(body, asked)
    assert isinstance(alone, Verified)
    assert alone == asked_for


@pytest.mark.parametrize("name", CASES)
def test_any_single_change_is_rejected(name, written):
    body, _ = written(name)
    chance = random.Random(name)
    others = [tampered(body, (), chance) for _ in range(EACH)]
    really = [other for other in others if other != body]
    assert len(really) > 0.9 * EACH
    for other in really:
        assert isinstance(verify(other), Rejected), other


@pytest.mark.parametrize("name", CASES)
def test_a_resealed_change_of_the_question_is_rejected_by_the_question_asked(name, written):
    body, asked = written(name)
    chance = random.Random(name)
    for _ in range(EACH // 2):
        other = tampered(body, ("program",), chance)
        # a forgery may be too mangled to seal at all; those must be rejected unsealed
        sealed = resealed(other) if set(other["program"]) == set(body["program"]) else other
        assert other["program"] == body["program"] or isinstance(verify(sealed, asked), Rejected)


@pytest.mark.parametrize("name", ["winston_diet", "chvatal_polly", "lpsolve_sensitivity"])
def test_a_resealed_change_of_answer_or_multipliers_is_rejected_by_arithmetic(name, written):
    """These have one primal and one dual optimum: any other numbers prove something else."""
    body, _ = written(name)
    chance = random.Random(name)
    for _ in range(EACH):
        part = chance.choice((("answer",), ("tree", 0, "y")))
        other = tampered(body, part, chance)
        assert isinstance(verify(resealed(other)), Rejected), other


def test_a_moved_limit_that_binds_is_rejected_by_arithmetic(written):
    """Chocolate and sugar bind in Winston's diet; moving either makes the answer wrong."""
    body, _ = written("winston_diet")
    for row in (1, 2):
        for by in (-1.0, -(2.0**-40), 2.0**-40, 1.0):
            other = copy.deepcopy(body)
            low = float(other["program"]["rows"][row]["low"])
            other["program"]["rows"][row]["low"] = repr(low + by)
            assert isinstance(verify(resealed(other)), Rejected)


def test_a_changed_coefficient_of_what_is_used_is_rejected_by_arithmetic(written):
    """Ice cream (1) and cola (2) are eaten; chocolate (1) and sugar (2) bind."""
    body, _ = written("winston_diet")
    for row, column in ((1, 1), (2, 1), (2, 2)):
        other = copy.deepcopy(body)
        line = other["program"]["rows"][row]
        place = line["columns"].index(column)
        line["values"][place] = repr(float(line["values"][place]) * (1 + 2**-50))
        assert isinstance(verify(resealed(other)), Rejected)


def test_a_swapped_rule_is_named(written):
    body, asked = written("winston_diet")
    rows = body["program"]["rows"]
    rows[0]["rule"], rows[3]["rule"] = rows[3]["rule"], rows[0]["rule"]
    assert verify(body) == Rejected("row 0 is not the one that was written")
    assert verify(resealed(body), asked) == Rejected(
        "row 0, of rule 'calories', is another program's"
    )


def test_a_nearly_optimal_composition_is_rejected(written):
    """Half a cola and a quarter cheesecake-of-sugar more: kept, but dearer by a hair."""
    body, _ = written("winston_diet")
    more = Fraction(1, 10**12)
    body["answer"]["x"][1] = rational(3 + more)
    body["answer"]["cost"] = rational(90 + 20 * more)
    assert verify(resealed(body)) == Rejected("kind: cost and bound do not make it optimal")
    body["answer"]["bound"] = body["answer"]["cost"]
    assert verify(resealed(body)) == Rejected("bound: not what the multipliers show")


@pytest.mark.parametrize(
    "name", ["westerberg_steel", "martello_toth_change", "rounding_infeasible"]
)
def test_a_tree_with_a_part_missing_or_counted_twice_is_rejected(name, written):
    body, _ = written(name)
    splits = [k for k, node in enumerate(body["tree"]) if "column" in node]
    assert splits
    for k in splits:
        for spoil in (
            lambda node: node.update(above=node["below"]),
            lambda node: node.update(below=0),
            lambda node: node.update(column=len(body["program"]["costs"])),
            lambda node: node.update(above=len(body["tree"]) + 1),
        ):
            other = copy.deepcopy(body)
            spoil(other["tree"][k])
            assert verify(resealed(other)) == Rejected("tree: the tree leaves a choice out")
    shorter = {**body, "tree": body["tree"][:-1]}
    assert isinstance(verify(resealed(shorter)), Rejected)


@pytest.mark.parametrize(
    "name", ["westerberg_steel", "martello_toth_change", "rounding_infeasible"]
)
def test_a_choice_split_on_a_share_covers_nothing(name, written):
    body, _ = written(name)
    body["program"]["whole"] = [False] * len(body["program"]["whole"])
    assert verify(resealed(body)) == Rejected("tree: the tree leaves a choice out")


def test_an_empty_part_must_be_shown_empty(written):
    body, _ = written("ampl_diet2_infeasible")
    leaf = body["tree"][0]
    leaf["y"] = ["0x0"] * len(leaf["y"])
    rejected = Rejected("tree: a leaf said to be empty is not shown to be")
    assert verify(resealed(body)) == rejected
    body["tree"] = [{"ending": "bounds cross", "y": []}]
    assert verify(resealed(body)) == rejected


def test_a_refusal_is_not_read_as_an_answer_nor_an_answer_as_a_refusal(written):
    refused, _ = written("ampl_diet2_infeasible")
    answered, _ = written("winston_diet")
    for body, kinds in ((refused, ("optimal", "gap")), (answered, ("infeasible", "gap", "", None))):
        for kind in kinds:
            assert isinstance(verify(resealed({**body, "kind": kind})), Rejected)


def test_a_gap_says_no_more_than_it_proves(published):
    _, asked = published("martello_toth_change")
    proof = prove(asked, Optimal(5.0, (2.0, 0.0, 1.0, 0.0, 2.0), (), (), None), most_nodes=1)
    assert isinstance(proof, ProvedGap)
    body = json.loads(json.dumps(certificate(asked, proof)))
    # 29 in coins of 11 takes at least 29/11 of them; 11 + 11 + 5 + 1 + 1 is 5
    assert verify(body, asked) == Verified(
        "gap", Fraction(5), Fraction(29, 11), rows=len(asked.rows)
    )
    assert isinstance(verify(resealed({**body, "kind": "optimal"})), Rejected)


@pytest.mark.parametrize(
    "junk",
    [
        None,
        [],
        "certificate",
        {},
        {"schema": 1},
        {
            "schema": 1,
            "kind": "optimal",
            "program": {},
            "answer": {},
            "tree": [],
            "digests": {},
        },
    ],
)
def test_what_is_no_certificate_is_rejected(junk):
    assert isinstance(verify(junk), Rejected)


@pytest.mark.parametrize("number", ["nan", "1.5", "0x1.0p+9999", "-", 1.5, None, "0x1.g"])
def test_a_number_that_is_no_decimal_is_rejected(number, written):
    body, _ = written("winston_diet")
    body["program"]["costs"][0] = number
    assert isinstance(verify(resealed(body)), Rejected)


@pytest.mark.parametrize("number", ["0x1/0x0", "1/2", "0x1/-0x2", "", "0x", 1, None])
def test_a_number_that_is_no_rational_in_hex_is_rejected(number, written):
    body, _ = written("winston_diet")
    body["answer"]["x"][0] = number
    assert isinstance(verify(resealed(body)), Rejected)


@given(st.fractions())
def test_a_rational_is_read_as_it_was_written(value):
    above, _, below = rational(value).partition("/")
    assert Fraction(int(above, 16), int(below or "1", 16)) == value


small = st.integers(-3, 3)


@st.composite
def programs(draw):
    width = draw(st.integers(1, 4))
    rows = []
    for i in range(draw(st.integers(0, 4))):
        values = draw(st.lists(small, min_size=width, max_size=width))
        low, high = sorted((draw(st.integers(-4, 5)) / 4, draw(st.integers(-4, 5)) / 4))
        sides = draw(st.sampled_from([(low, inf), (-inf, high), (low, high), (low, low)]))
        rows.append(Row(f"row {i}", "", tuple(range(width)), tuple(map(float, values)), *sides))
    costs = draw(
        st.lists(st.floats(-2, 2).map(lambda v: round(v, 2)), min_size=width, max_size=width)
    )
    whole = draw(st.lists(st.booleans(), min_size=width, max_size=width))
    return Program(tuple(costs), (0.0,) * width, (2.0,) * width, tuple(whole), tuple(rows))


@given(programs(), st.sampled_from([1, 3, 1000]))
@settings(max_examples=150, deadline=None)
def test_whatever_is_proved_of_a_program_is_verified(asked, most_nodes):
    proof = prove(asked, hint(asked), most_nodes)
    if isinstance(proof, Unproved):
        assert most_nodes < 1000
        return
    body = json.loads(json.dumps(certificate(asked, proof)))
    checked = verify(body, asked)
    assert isinstance(checked, Verified)
    assert checked.cost == getattr(proof, "cost", None)
    other = replace(asked, costs=tuple(cost + 1.0 for cost in asked.costs))
    assert isinstance(verify(body, other), Rejected)
