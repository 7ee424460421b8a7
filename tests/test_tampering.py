"""Documents tampered with by one who knows how: none is accepted whose claim is not true.

Of proofs over cells of pH and ionic strength, with what stands beside them, alone and against
their bench. What is accepted is checked once more by fractions (``other_checker``). A few hundred
stand in the suite; BARWRIGHT_TAMPER=10000 tries so many.
"""

import copy
import json
import os
import random
from fractions import Fraction
from pathlib import Path

import pytest
from acid_benches import random_acid_bench
from barwright.cli.finding.as_json import proof_form
from barwright.cli.kit.as_json import finding_form, units
from barwright.cli.verify.comparing import against
from barwright.constraints.bench.reading import read_bench
from barwright.solver.answers.vouching import about_the_shelf, vouched
from barwright.solver.cheapest.cheapest import Finding, as_it_is, cheapest, written_for
from barwright.solver.prices.worth import proved
from barwright.solver.proof.form import Rejected
from barwright.solver.strength.proof import ProvedNowhere, ProvedWithin, prove_nowhere
from other_checker import sealed, untruth

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
MANY = int(os.environ.get("BARWRIGHT_TAMPER", "240"))
PARTS = 8


def document_of(bench):
    """What is printed of a bench, with its proof; nothing where it is not proved over cells."""
    found = cheapest(bench)
    if isinstance(found, Finding):
        found, proof = proved(bench, found)
        body = finding_form(bench, found)
    else:
        proof = prove_nowhere(bench, written_for(bench, as_it_is), found.parts)
        body = {"product": bench.brief.name, "status": "infeasible", "units": units(bench)}
    if not isinstance(proof, ProvedWithin | ProvedNowhere):
        return None
    form = proof_form(bench, found.program, found.rows, proof, proved=True)
    return json.loads(json.dumps({"schema": 1, "command": "cheapest", **body, **form}))


@pytest.fixture(scope="module")
def honest():
    """Benches and their documents: small ones, of one cell and of several, and an example."""
    made = []
    wanted = {("optimal", True): 3, ("optimal", False): 2, ("infeasible", True): 2}
    for seed in range(400):
        if not any(wanted.values()):
            break
        bench = random_acid_bench(seed)
        document = document_of(bench)
        if document is None or not document["certificate"]["cells"]:
            continue
        body = document["certificate"]
        sort = (body["kind"], len(body["cells"]) > 1)
        if wanted.get(sort, 0):
            wanted[sort] -= 1
            made.append((bench, document))
    assert not wanted["optimal", False]
    assert not wanted["infeasible", True]
    oily = read_bench(EXAMPLES / "oily-hair")
    return [*made, (oily, document_of(oily))]


def test_an_honest_document_is_accepted_by_both_checkers(honest):
    for bench, document in honest:
        assert accepted(document, None)
        assert accepted(document, bench)
        assert untruth(document, document) == ""
        resealed = copy.deepcopy(document)
        assert sealed(resealed) == document


# --- ways to tamper -------------------------------------------------------------------------------


def places(value, path=()):
    """Every plain value inside a JSON value."""
    if isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value)):
            yield from places(value[key], (*path, key))
    else:
        yield path


def reach(value, path):
    for key in path:
        value = value[key]
    return value


def nudged(value, dice):
    """A number, decimal or rational by a little; a text by a letter; true by false."""
    if isinstance(value, bool):
        return not value
    by = dice.choice([1e-12, 1e-9, 1e-7, 1e-5, 1e-3, 0.1]) * dice.choice([-1, 1])
    if isinstance(value, int):
        return value + dice.choice([-1, 1])
    if isinstance(value, float):
        return value * (1 + by) if value else by
    if value is None:
        return 0.5
    if value.lstrip("-").startswith("0x"):
        above, _, below = value.partition("/")
        number = Fraction(int(above, 16), int(below or "0x1", 16))
        moved = number * (1 + Fraction(by)) if number else Fraction(by)
        return f"{moved.numerator:#x}/{moved.denominator:#x}"
    try:
        number = float(value)
    except ValueError:
        return dice.choice([value + "s", value[1:], "another product"])
    return repr(number * (1 + by) if number else by)


def nudge_somewhere(document, dice):
    """One value of the certificate or of what stands beside it."""
    part = dice.choice(["certificate", "certificate", *document])
    paths = [path for path in places(document[part], (part,)) if len(path) > 1]
    if not paths:
        return
    path = dice.choice(paths)
    reach(document, path[:-1])[path[-1]] = nudged(reach(document, path), dice)


def nudge_what_matters(document, dice):
    """A share, the cost or the bound, here and there alike."""
    answer = document["certificate"]["answer"]
    key = dice.choice(sorted(answer))
    if key == "x":
        place = dice.randrange(len(answer["x"]))
        answer["x"][place] = nudged(answer["x"][place], dice)
    else:
        answer[key] = nudged(answer[key], dice)
    if key == "cost" and "cost" in document:
        above, _, below = answer["cost"].partition("/")
        document["cost"] = float(Fraction(int(above, 16), int(below or "0x1", 16)))


def swap_materials(document, dice):
    """Two materials in each other's place: in the composition, the columns or the costs."""
    where = dice.choice(["composition", "columns", "costs", "x", "all names"])
    program = document["certificate"]["program"]
    columns = document["proof"]["columns"]
    one, other = dice.sample(range(len(columns)), 2)
    if where == "columns":
        columns[one], columns[other] = columns[other], columns[one]
    elif where == "costs":
        costs = program["costs"]
        costs[one], costs[other] = costs[other], costs[one]
    elif where == "x" and "x" in document["certificate"]["answer"]:
        x = document["certificate"]["answer"]["x"]
        x[one], x[other] = x[other], x[one]
    elif len(document.get("composition", ())) > 1:
        a, b = dice.sample(document["composition"], 2)
        a["material"], b["material"] = b["material"], a["material"]
        if where == "all names":
            swap = {a["material"]: b["material"], b["material"]: a["material"]}
            document["proof"]["columns"] = [swap.get(name, name) for name in columns]


def lose_or_double(document, dice):
    """A cell, a row, a rule, a part of the composition: gone, or there twice."""
    body = document["certificate"]
    lists = [body["cells"], body["program"]["rows"], body["acidity"]]
    lists += [cell[key] for cell in body["cells"] for key in ("rows", "tree")]
    lists += [document[key] for key in ("composition", "contents", "rules") if key in document]
    some = dice.choice([one for one in lists if one])
    if dice.random() < 0.5:
        some.pop(dice.randrange(len(some)))
    else:
        some.insert(dice.randrange(len(some)), copy.deepcopy(dice.choice(some)))


def leave_out(document, dice):
    """A part of what stands beside the certificate."""
    document.pop(dice.choice([key for key in document if key not in {"certificate", "proof"}]))


def move_a_row(document, dice):
    """A row among those of all cells, or of one cell only, multipliers and all."""
    body = document["certificate"]
    if not body["cells"]:
        return
    cell = dice.choice(body["cells"])
    common = body["program"]["rows"]
    if cell["rows"] and dice.random() < 0.5:
        common.append(cell["rows"].pop(dice.randrange(len(cell["rows"]))))
    elif common:
        cell["rows"].append(common.pop(dice.randrange(len(common))))


def widen_or_shift_a_cell(document, dice):
    """Cells that claim more, or something else, than was looked at."""
    if not document["certificate"]["cells"]:
        return
    cell = dice.choice(document["certificate"]["cells"])
    side, end = dice.choice(["ph", "salt"]), dice.randrange(2)
    cell[side][end] = repr(float(cell[side][end]) + dice.choice([-0.25, -1e-6, 1e-6, 0.25, 0.5]))
    if dice.random() < 0.5:
        document["proof"]["ionic_strength_up_to"] = max(
            float(one["salt"][1]) for one in document["certificate"]["cells"]
        )


def loosen_a_limit(document, dice):
    """A rule's limit, so that more, or less, would be allowed."""
    body = document["certificate"]
    row = dice.choice([*body["program"]["rows"], *(r for c in body["cells"] for r in c["rows"])])
    row[dice.choice(["low", "high"])] = dice.choice(["-inf", "inf", "0.0", "1.0"])


def call_it_otherwise(document, dice):
    """Another product, status, kind, or proved where it is not."""
    body = document["certificate"]
    match dice.randrange(5):
        case 0:
            document["product"] = "another product"
        case 1:
            document["status"] = dice.choice(["optimal", "infeasible", "gap"])
        case 2:
            body["kind"] = dice.choice(["optimal", "gap", "infeasible", "best"])
        case 3:
            document["proof"]["proved"] = not document["proof"]["proved"]
        case _:
            document["proof"]["costs_at_least"] = dice.choice([0.0, 1e9, None])


def change_a_leaf(document, dice):
    """Multipliers of another leaf, or none, or an ending of another kind."""
    leaves = [
        node for cell in document["certificate"]["cells"] for node in cell["tree"] if "y" in node
    ]
    if not leaves:
        return
    leaf = dice.choice(leaves)
    match dice.randrange(3):
        case 0:
            leaf["y"] = copy.deepcopy(dice.choice(leaves)["y"])
        case 1:
            leaf["y"] = ["0x0"] * len(leaf["y"])
        case _:
            leaf["ending"] = dice.choice(["costs no less", "no point", "bounds cross"])


WAYS = (
    nudge_somewhere,
    nudge_somewhere,
    nudge_what_matters,
    swap_materials,
    lose_or_double,
    leave_out,
    move_a_row,
    widen_or_shift_a_cell,
    loosen_a_limit,
    call_it_otherwise,
    change_a_leaf,
)


def tampered(document, dice):
    """A document with one to three things changed, mostly sealed anew."""
    other = copy.deepcopy(document)
    for _ in range(dice.choice([1, 1, 1, 2, 3])):
        dice.choice(WAYS)(other, dice)
    return sealed(other) if dice.random() < 0.9 else other


def accepted(document, bench):
    """Whether it passes all that ``verify`` asks, with a bench or without."""
    found = vouched(copy.deepcopy(document), bench)
    if isinstance(found, Rejected) or not found.holds:
        return False
    if bench is None:
        return True
    return about_the_shelf(document, bench) and not list(against(document, bench))


def believed(document, honest=None):
    """What is not true of a document, or what kept the other checker from telling."""
    try:
        return untruth(document, honest)
    except (AssertionError, ValueError, KeyError, IndexError, TypeError) as fault:
        return f"{type(fault).__name__}: {fault}"


@pytest.mark.reference
@pytest.mark.parametrize("part", range(PARTS))
def test_no_tampered_document_is_accepted_whose_claim_is_not_true(part, honest):
    dice = random.Random(f"tampering {part}")
    count = 0
    for number in range(-(-MANY // PARTS)):
        # the example is large: a few of it will do
        bench, document = honest[-1] if number % 30 == 29 else dice.choice(honest[:-1])
        other = tampered(document, dice)
        if other == document:
            continue
        for asked, of in ((None, None), (bench, document)):
            if accepted(other, asked):
                count += 1
                assert believed(other, of) == "", (part, number, asked is not None)
    assert count  # some changes leave all that is claimed true
