"""Where pH is ruled, claims hold at every ionic strength that the model is trusted for.

Against a search of another make: SCIP over a grid of pH and ionic strength, with the charges worked
out form by form. What it finds must cost no less than what is proved, and a refusal must find it
with empty hands. A dozen benches stand in the suite; BARWRIGHT_BENCHES=1000 tries so many.
"""

import copy
import os
from dataclasses import replace
from fractions import Fraction

import pytest
from acid_benches import DILUTION, balances, material, random_acid_bench, search, substance
from acid_benches import IONISE as ALL
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.verdict import Unsure
from barwright.constraints.rules.acidity import Acidity
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.outer import acidity_rules, outer_rows, trusted
from barwright.solver.cheapest.cheapest import Finding, Refusal, as_it_is, cheapest, written_for
from barwright.solver.infeasible.reasons import reasons
from barwright.solver.prices.worth import is_proved, proved
from barwright.solver.program.outcome import Infeasible
from barwright.solver.proof.form import Rejected
from barwright.solver.strength.certificate import (
    Asked,
    VerifiedWithin,
    certificate_within,
    verify_within,
)
from barwright.solver.strength.proof import ProvedNowhere, ProvedWithin, prove_nowhere
from blends import bench, said, share_of
from other_checker import sealed

MANY = int(os.environ.get("BARWRIGHT_BENCHES", "12"))


def acid_bench(contents, prices, rules):
    """A bench of materials of one substance each, some with a second one."""
    made = bench([material(name, held) for name, held in contents.items()], prices, rules)
    return replace(made, substances={inci: substance(inci) for inci in ALL})


def band(low, high):
    return Acidity(**said("pH", unit="pH"), low=low, high=high, dilution=DILUTION)


@pytest.fixture(scope="module")
def salty():
    """A bench whose cheapest composition is a salty one.

    Rows at the ionic strength of little salt call for a dear acid that salt makes needless.
    """
    contents = {
        "phosphate": {"Sodium Phosphate": 1.0},
        "hydroxide": {"Sodium Hydroxide": 1.0},
        "salt": {"Sodium Chloride": 1.0},
        "acid": {"Lactic Acid": 1.0},
        "filler": {"Cetyl Alcohol": 1.0},
    }
    rules = [
        band(5.5, 5.86),
        share_of("Sodium Phosphate", 0.12, 0.12),
        share_of("Sodium Hydroxide", 0.004, 0.004),
        share_of("Sodium Chloride", 0.0, 0.2),
    ]
    return acid_bench(contents, [3.0, 2.0, 6.0, 900.0, 4.0], rules)


def written(made):
    return written_for(made, as_it_is)


@pytest.mark.reference
@pytest.mark.parametrize("seed", range(MANY))
def test_nothing_that_another_search_finds_undercuts_or_belies_a_claim(seed):
    made = random_acid_bench(seed)
    found, other = cheapest(made), search(made, places=4, salts=8 if MANY < 50 else 14)
    if isinstance(found, Refusal):
        assert isinstance(found.outcome, Infeasible) or other is None, found.outcome
        assert other is None, f"refused, yet {other} keeps the rules"
        assert isinstance(prove_nowhere(made, written(made), found.parts), ProvedNowhere)
        return
    _, proof = proved(made, found)
    assert isinstance(proof, ProvedWithin), proof
    assert all(verdict.kept for verdict in found.verdicts)
    if other is not None:
        assert other[0] >= float(proof.bound) - 1e-7
        if is_proved(proof):
            assert other[0] >= found.cost * (1 - 1e-4) - 1e-7


@pytest.mark.parametrize("seed", range(40, 40 + MANY))
def test_every_claim_is_verified_from_its_certificate_and_its_bench(seed):
    made = random_acid_bench(seed)
    found = cheapest(made)
    if isinstance(found, Refusal):
        proof = prove_nowhere(made, written(made), found.parts)
    else:
        _, proof = proved(made, found)
    document = certificate_within(made, proof)
    assert isinstance(verify_within(document), VerifiedWithin)
    checked = verify_within(document, Asked(made, written(made)))
    assert isinstance(checked, VerifiedWithin), checked
    assert checked.covered.salt == (0.0, 0.5)


@pytest.mark.parametrize("seed", range(0, 4 * MANY, 4))
def test_a_composition_keeps_the_outer_rows_of_every_cell_it_lies_in(seed):
    made = random_acid_bench(seed)
    found = cheapest(made)
    if isinstance(found, Refusal):
        return
    state = equilibrium(in_water(made.parts_of(found.composition), made.substances, DILUTION))
    waiting = [trusted(made)]
    names = [item.material.name for item in made.shelf]
    shares = {place: found.composition.parts.get(name, 0.0) for place, name in enumerate(names)}
    for _ in range(24):
        cell = waiting.pop()
        for row in outer_rows(made, cell).rows:
            if all(column in shares for column in row.columns):
                value = sum(shares[c] * v for c, v in zip(row.columns, row.values, strict=True))
                slack = 1e-6 * max((1.0, *map(abs, row.values)))
                assert row.low - slack <= value <= row.high + slack, (cell, row.rule, row.part)
        waiting = [half for half in cell.halves if half.holds(*state)][:1]
        if not waiting:
            return


def test_a_saltier_composition_is_found_where_it_is_the_cheaper(salty):
    found = cheapest(salty)
    assert isinstance(found, Finding)
    _, proof = proved(salty, found)
    assert is_proved(proof)
    other = search(salty, places=9, salts=20)
    assert other is not None
    assert found.cost <= other[0] + 1e-6
    assert found.composition.parts["salt"] > 0.04
    assert found.composition.parts.get("acid", 0.0) < 1e-5


@pytest.mark.parametrize(
    "prices", [[0.0] * 5, [5.0, 5.0, 5.0, 5.0, 0.0], [0.0, 0.0, 20.0, 10.0, 0.0]]
)
def test_prices_that_tie_never_end_at_a_point_whose_ph_was_not_counted(salty, prices):
    shelf = tuple(replace(i, price=p) for i, p in zip(salty.shelf, prices, strict=True))
    found = cheapest(replace(salty, shelf=shelf))
    assert isinstance(found, Finding)
    assert all(verdict.kept for verdict in found.verdicts)


@pytest.mark.parametrize("seed", range(200, 200 + 2 * MANY))
def test_benches_of_tied_prices_are_answered_and_keep_their_rules(seed):
    made = random_acid_bench(seed)
    prices = [(0.0, 5.0, 10.0, 20.0)[(seed + place) % (1 + seed % 4)] for place in range(9)]
    shelf = tuple(replace(one, price=price) for one, price in zip(made.shelf, prices, strict=False))
    found = cheapest(replace(made, shelf=shelf))
    if isinstance(found, Finding):
        assert all(verdict.kept for verdict in found.verdicts)


def test_a_refusal_that_only_several_cells_show_still_names_a_clash():
    made = next(
        one
        for seed in range(400)
        if isinstance(found := cheapest(one := random_acid_bench(seed)), Refusal)
        and len(found.parts) > 1
    )
    found = cheapest(made)
    why = reasons(made, found, names=())
    assert isinstance(why.proof, ProvedNowhere)
    assert why.clashes.found
    assert why.clashes.found[0].rules


# --- what is not sure -----------------------------------------------------------------------------


def verdict_on(made, **shares):
    parts = {name.replace("_", " "): share for name, share in shares.items()}
    return next(v for v in judge(made, Composition("", parts)) if v.rule.id == "pH")


def test_more_salt_than_the_model_is_trusted_for_does_not_pass_as_kept():
    contents = {"salt": {"Sodium Chloride": 1.0}, "filler": {"Cetyl Alcohol": 1.0}}
    made = acid_bench(contents, [1.0, 1.0], [band(5.0, 9.0)])
    salty, plain = verdict_on(made, salt=0.9, filler=0.1), verdict_on(made, salt=0.1, filler=0.9)
    assert (salty.kept, salty.unsure) == (False, Unsure.SALT)
    assert (plain.kept, plain.unsure) == (True, None)


@pytest.fixture
def clay_bench():
    contents = {
        "citrate": {"Sodium Citrate": 1.0},
        "acid": {"Citric Acid": 1.0},
        "clay": {"Cetyl Alcohol": 1.0},
        "chalky filler": {"Cetyl Alcohol": 1.0},
    }
    made = acid_bench(
        contents, [8.0, 8.0, 0.1, 6.0], [band(5.0, 5.5), share_of("Sodium Citrate", 0.05, 0.1)]
    )
    unknown = replace(made.material("clay"), alkalinity=None, classes=("clay", "filler"))
    shelf = tuple(
        replace(one, material=unknown) if one.material.name == "clay" else one for one in made.shelf
    )
    return replace(made, shelf=shelf)


def test_a_clay_of_unknown_alkalinity_does_not_pass_as_kept(clay_bench):
    found = verdict_on(clay_bench, citrate=0.08, acid=0.035, clay=0.6, chalky_filler=0.285)
    assert (found.kept, found.unsure) == (False, Unsure.UNKNOWN)
    assert found.room_low < 0 or found.room_high < 0


def test_what_nobody_knows_is_never_favoured(clay_bench):
    """It costs next to nothing, and is used only as far as the band bears all that it may bring."""
    found = cheapest(clay_bench)
    assert isinstance(found, Finding)
    assert found.composition.parts.get("clay", 0.0) < 0.25
    known = tuple(
        replace(
            one, material=replace(one.material, alkalinity=clay_bench.shelf[0].material.alkalinity)
        )
        for one in clay_bench.shelf
    )
    measured = cheapest(replace(clay_bench, shelf=known))
    assert isinstance(measured, Finding)
    assert measured.composition.parts["clay"] > 0.5
    assert measured.cost < found.cost


def test_the_other_search_counts_as_the_model_does():
    """Its balances vanish where ours are at rest; a difference would make it no check."""
    made = random_acid_bench(3)
    shelf = [item.material for item in made.shelf]
    parts = [(one, 1.0 / len(shelf)) for one in shelf]
    ph, strength = equilibrium(in_water(parts, made.substances, DILUTION))
    both = [balances(one, ph, strength) for one, _ in parts]
    assert sum(charge for charge, _ in both) / len(shelf) == pytest.approx(0.0, abs=1e-9)
    assert sum(salt for _, salt in both) / len(shelf) == pytest.approx(0.0, abs=1e-6)


def test_rules_on_ph_at_several_dilutions_are_refused(salty):
    second = replace(band(5.0, 7.0), id="other", dilution=0.2)
    rules = (*salty.brief.rules, second)
    with pytest.raises(ValueError, match="dilutions"):
        acidity_rules(replace(salty, brief=replace(salty.brief, rules=rules)))


# --- what a certificate over cells is refused for ----------------------------------------------


@pytest.fixture(scope="module")
def two_cells():
    """A bench whose proof takes several cells, and its certificate."""
    for seed in range(400):
        made = random_acid_bench(seed)
        found = cheapest(made)
        if isinstance(found, Finding) and len(found.parts) > 1:
            _, proof = proved(made, found)
            if isinstance(proof, ProvedWithin) and len(proof.cells) > 1:
                return made, certificate_within(made, proof)
    raise AssertionError("no such bench")


@pytest.fixture(scope="module")
def nowhere():
    """The certificate of a refusal."""
    for seed in range(400):
        made = random_acid_bench(seed)
        found = cheapest(made)
        if isinstance(found, Refusal):
            proof = prove_nowhere(made, written(made), found.parts)
            if isinstance(proof, ProvedNowhere):
                return certificate_within(made, proof)
    raise AssertionError("no such bench")


def _put(document, *path_and_value):
    *path, key, value = path_and_value
    for step in path:
        document = document[step]
    document[key] = value


REFUSED = {
    "another schema": (("schema", 1), "schema: 2 expected"),
    "true for a schema": (("schema", True), "schema: 2 expected"),
    "no cells": (("cells", []), "cells: at least one expected"),
    "cells that are no list": (("cells", {}), "cells: a list expected"),
    "acidity of numbers": (("acidity", [3]), "acidity: names of rules expected"),
    "one end": (("cells", 0, "ph", ["5.0"]), "ph: two ends expected"),
    "an end that is no text": (("cells", 0, "salt", [0.0, 0.5]), "salt: two ends expected"),
    "an end that is no number": (("cells", 0, "ph", ["low", "5.0"]), "ph: two numbers expected"),
    "ends the wrong way": (("cells", 0, "ph", ["9.0", "5.0"]), "from the lower to the higher"),
    "an end without end": (("cells", 0, "ph", ["0.0", "inf"]), "from the lower to the higher"),
    "salt below nothing": (("cells", 0, "salt", ["-0.1", "0.5"]), "not below 0"),
    "another ending": (("cells", 0, "tree", 0, "ending", "enough"), "tree: an unknown ending"),
    "a tree of nothing": (("cells", 0, "tree", []), "tree: the tree leaves a choice out"),
    "too few multipliers": (("cells", 0, "tree", 0, "y", ["0x1"]), "one multiplier for each row"),
    "a share as a number": (("answer", "x", 0, 0.5), "x: a decimal expected"),
    "a share of words": (("answer", "x", 0, "half"), "x: a decimal expected"),
    "a long-winded share": (("answer", "x", 0, "0.50"), "x: a decimal expected, in its shortest"),
    "a share without end": (("answer", "x", 0, "inf"), "x: a decimal expected, in its shortest"),
    "a share too few": (("answer", "x", ["1.0"]), "x: one number for each column"),
    "another cost": (("answer", "cost", "0x1"), "cost: not that of x"),
    "a number too long": (("answer", "cost", "0x" + "1" * 100_001), "longer than any"),
    "another bound": (("answer", "bound", "0x1"), "bound: not what the multipliers show"),
    "another kind": (("kind", "best"), "kind: cost and bound do not make it 'best'"),
    "a gap for none": (("kind", "gap"), "kind: cost and bound do not make it 'gap'"),
    "a refusal of an answer": (("kind", "infeasible"), "a table with breach expected"),
}


@pytest.mark.parametrize(("change", "reason"), REFUSED.values(), ids=REFUSED)
def test_a_certificate_over_cells_is_refused_for_what_is_wrong_with_it(change, reason, two_cells):
    _, document = two_cells
    other = copy.deepcopy(document)
    _put(other, *change)
    found = verify_within(sealed({"certificate": other})["certificate"])
    assert isinstance(found, Rejected), found
    assert reason in found.reason


def test_a_change_that_was_not_sealed_is_named_by_its_part(two_cells):
    _, document = two_cells
    for part, value in (("kind", "gap"), ("acidity", []), ("answer", {})):
        other = {**document, part: value}
        assert verify_within(other) == Rejected(f"{part}: not what was written")


def test_a_cell_that_stands_twice_is_refused(two_cells):
    _, document = two_cells
    other = copy.deepcopy(document)
    other["cells"].append(copy.deepcopy(other["cells"][0]))
    found = verify_within(sealed({"certificate": other})["certificate"])
    assert found == Rejected("cells: some are there twice")


def test_cells_are_refused_or_claim_less_when_one_is_gone(two_cells):
    _, document = two_cells
    whole = verify_within(document).covered
    for place in range(len(document["cells"])):
        other = copy.deepcopy(document)
        del other["cells"][place]
        found = verify_within(sealed({"certificate": other})["certificate"])
        if isinstance(found, VerifiedWithin):
            assert found.covered != whole
        else:
            assert "left out" in found.reason or "bound: not what" in found.reason


def test_a_point_that_breaks_a_row_or_a_bound_is_refused(two_cells):
    _, document = two_cells
    costs = [Fraction(price) for price in document["program"]["costs"]]
    for change in (lambda x: x * 2, lambda x: -x):
        other = copy.deepcopy(document)
        x = [change(float(value)) for value in other["answer"]["x"]]
        other["answer"]["x"] = [repr(value) for value in x]
        cost = sum((c * Fraction(repr(v)) for c, v in zip(costs, x, strict=True)), Fraction(0))
        other["answer"]["cost"] = f"{cost.numerator:#x}/{cost.denominator:#x}"
        found = verify_within(sealed({"certificate": other})["certificate"])
        assert isinstance(found, Rejected)
        assert "x breaks" in found.reason


def test_a_refusal_is_refused_for_another_breach_or_a_leaf_that_shows_nothing(nowhere):
    other = copy.deepcopy(nowhere)
    other["answer"]["breach"] = "0x1"
    found = verify_within(sealed({"certificate": other})["certificate"])
    assert found == Rejected("breach: not what the multipliers show")
    other = copy.deepcopy(nowhere)
    leaf = next(node for node in other["cells"][0]["tree"] if node.get("y"))
    leaf["y"] = ["0x0"] * len(leaf["y"])
    found = verify_within(sealed({"certificate": other})["certificate"])
    assert isinstance(found, Rejected)
    assert "said to be empty" in found.reason


def _moved(made, **changes):
    return replace(made, brief=replace(made.brief, **changes))


def test_a_certificate_of_another_bench_is_refused_by_what_differs(two_cells):
    made, document = two_cells
    dearer = replace(made, shelf=tuple(replace(one, price=one.price + 1.0) for one in made.shelf))
    without = _moved(
        made, rules=tuple(rule for rule in made.brief.rules if not isinstance(rule, Acidity))
    )
    fewer = _moved(
        made,
        rules=tuple(rule for rule in made.brief.rules if isinstance(rule, Acidity) or rule.whole),
    )
    for bench_, reason in (
        (dearer, "costs: another bench's"),
        (without, "acidity: other rules on pH"),
        (fewer, "is another bench's"),
    ):
        found = verify_within(document, Asked(bench_, written(bench_)))
        assert isinstance(found, Rejected)
        assert reason in found.reason


def test_cells_that_are_not_all_that_the_model_is_trusted_for_are_no_proof_of_a_bench(two_cells):
    made, document = two_cells
    other = copy.deepcopy(document)
    other["cells"] = other["cells"][:1]
    # one cell alone proves something, but of itself only
    found = verify_within(sealed({"certificate": other})["certificate"], Asked(made, written(made)))
    assert found == Rejected("cells: not all that the model is trusted for")
