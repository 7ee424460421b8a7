"""Is what a document says true? Told by plain fractions, sharing nothing with the checker.

Weak duality straight from its definition, cells laid out as areas, seals worked out anew.
"""

import hashlib
import json
from fractions import Fraction

AS_GOOD = Fraction(1, 10_000)
"""Within this part of the cost a bound makes a composition the cheapest."""

SHOWN = Fraction(1, 10**6)
"""How near a figure beside a certificate stands to what is proved."""

SALT = "the salt in the water"
"""The rows that say how salty the water is: where the composition lies, not what it must keep."""

MISSED = Fraction(1, 10**7)
"""By how much a composition may miss a row."""


def sealed(document):
    """The document with the seals that its certificate would have had."""
    body = document["certificate"]
    parts = {key: _seal(value) for key, value in body.items() if key != "digests"}
    body["digests"] = {**parts, "whole": _seal(parts)}
    return document


def _seal(part):
    text = json.dumps(part, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def untruth(document, honest=None):
    """What in a document is not true, in a word; empty where all is.

    Args:
        document: as it was changed.
        honest: as it was made, where it is said to be of that bench too.
    """
    body = document["certificate"]
    return _unproved(body) or _beside(document) or ("" if honest is None else _of(document, honest))


def _number(text):
    """A number as it is written: a decimal, a hex rational, or without end."""
    if text in {"inf", "-inf"}:
        return None
    above, _, below = text.partition("/")
    if above.lstrip("-").startswith("0x"):
        return Fraction(int(above, 16), int(below or "0x1", 16))
    return Fraction(text)


def _unproved(body):
    bounds = [_least(body["program"], cell) for cell in body["cells"]]
    if not body["cells"] or not _whole(body["cells"]):
        return "cells leave something out"
    if body["kind"] == "infeasible":
        return "" if all(bound is None for bound in bounds) else "a point is not ruled out"
    if body["kind"] not in {"optimal", "gap"}:
        return f"a kind of its own: {body['kind']}"
    costs = [bound for bound in bounds if bound is not None]
    x = [_number(value) for value in body["answer"]["x"]]
    cost, bound = _number(body["answer"]["cost"]), _number(body["answer"]["bound"])
    if not costs or bound > min(costs):
        return "something may cost less than the bound"
    prices = [_number(price) for price in body["program"]["costs"]]
    if cost != sum((p * v for p, v in zip(prices, x, strict=True)), Fraction(0)):
        return "another cost than the point's"
    if body["kind"] == "optimal" and bound < cost - max(AS_GOOD * abs(cost), SHOWN):
        return "a gap called none"
    return _missed(body, x)


def _least(program, cell):
    """What a point of a cell costs at least; ``None`` where there is none."""
    rows = [*program["rows"], *cell["rows"]]
    ends = [
        (_number(a), _number(b)) for a, b in zip(program["lower"], program["upper"], strict=True)
    ]
    return _least_of(cell["tree"], 0, rows, ends, program)


def _least_of(tree, place, rows, ends, program):
    node = tree[place]
    if "ending" in node:
        return _least_of_leaf(node, rows, ends, program)
    column, at = node["column"], Fraction(node["at"])
    assert program["whole"][column], "a share was split"
    low, high = ends[column]
    below = [*ends[:column], (low, at if high is None else min(at, high)), *ends[column + 1 :]]
    above = [*ends[:column], (max(low, at + 1), high), *ends[column + 1 :]]
    found = [
        _least_of(tree, node["below"], rows, below, program),
        _least_of(tree, node["above"], rows, above, program),
    ]
    return min((one for one in found if one is not None), default=None)


def _least_of_leaf(leaf, rows, ends, program):
    limits = [(_number(row["low"]), _number(row["high"])) for row in rows]
    crossed = any(a is not None and b is not None and a > b for a, b in [*ends, *limits])
    if leaf["ending"] == "bounds cross":
        assert crossed, "bounds that do not cross"
        return None
    y = [_number(value) for value in leaf["y"]]
    none = leaf["ending"] == "no point"
    rest = [Fraction(0) if none else _number(cost) for cost in program["costs"]]
    for row, weight in zip(rows, y, strict=True):
        for column, value in zip(row["columns"], row["values"], strict=True):
            rest[column] -= weight * _number(value)
    total = Fraction(0)
    for weight, (low, high) in zip([*y, *rest], [*limits, *ends], strict=True):
        end = low if weight > 0 else high
        assert not weight or end is not None, "an open end"
        total += weight * (end or 0)
    if none:
        assert total > 0, "a leaf that is not shown to be empty"
        return None
    return total


def _whole(cells):
    """Whether the areas of cells add to that around them, none over another."""
    areas = [[tuple(map(Fraction, cell[side])) for side in ("ph", "salt")] for cell in cells]
    hull = [
        (min(area[side][0] for area in areas), max(area[side][1] for area in areas))
        for side in (0, 1)
    ]
    if areas == [hull]:  # be it a line only, which is what it then claims
        return True
    apart = all(
        _over(one, other) == 0 for place, one in enumerate(areas) for other in areas[place + 1 :]
    )
    return apart and sum(map(_size, areas)) == _size(hull) > 0


def _size(area):
    (a, b), (c, d) = area
    return (b - a) * (d - c)


def _over(one, other):
    sides = [min(a[1], b[1]) - max(a[0], b[0]) for a, b in zip(one, other, strict=True)]
    return max(sides[0], 0) * max(sides[1], 0)


def _missed(body, x):
    program = body["program"]
    for value, low, high, whole in zip(
        x, program["lower"], program["upper"], program["whole"], strict=True
    ):
        if not _between(value, _number(low), _number(high), 1):
            return "a column outside its bounds"
        if whole and abs(value - round(value)) > MISSED:
            return "a choice half made"
    for row in program["rows"]:
        if row["rule"] in {*body["acidity"], SALT}:
            continue
        values = [_number(value) for value in row["values"]]
        total = sum((x[j] * v for j, v in zip(row["columns"], values, strict=True)), Fraction(0))
        size = max([Fraction(1), *map(abs, values)])
        if not _between(total, _number(row["low"]), _number(row["high"]), size):
            return f"the row {row['rule']} {row['part']} broken"
    return ""


def _between(value, low, high, size):
    slack = MISSED * size
    return (low is None or value >= low - slack) and (high is None or value <= high + slack)


def _near(said, true):
    return isinstance(said, int | float) and abs(Fraction(said) - true) <= 2 * SHOWN


def _beside(document):
    """What stands beside the certificate, against the certificate."""
    body, proof = document["certificate"], document.get("proof", {})
    none = body["kind"] == "infeasible"
    if document.get("status", "infeasible" if none else "optimal") != (
        "infeasible" if none else "optimal"
    ):
        return "another status"
    if body["kind"] == "gap" and proof.get("proved") is not False:
        return "proved, with a gap"
    reach = proof.get("ionic_strength_up_to")
    salt = max(Fraction(cell["salt"][1]) for cell in body["cells"])
    if reach is not None and not _near(reach, salt):
        return "another reach"
    if none:
        return "a composition of nothing" if "composition" in document else ""
    cost, bound = _number(body["answer"]["cost"]), _number(body["answer"]["bound"])
    if "cost" in document and not _near(document["cost"], cost):
        return "another cost"
    least = proof.get("costs_at_least")
    if least is not None and not _near(least, bound):
        return "another bound"
    return _other_shares(document) if "composition" in document else ""


def _other_shares(document):
    x = [_number(value) for value in document["certificate"]["answer"]["x"]]
    columns = document["proof"]["columns"]
    named = {}
    for part in document["composition"]:
        if part["material"] in named or part["material"] not in columns:
            return "a material twice, or none of the columns"
        named[part["material"]] = part["share"]
    shown = dict(zip(columns, x, strict=True))
    wrong = [
        name
        for name, share in shown.items()
        if not name.startswith("use of ") and not _near(named.get(name, 0.0), share)
    ]
    return f"another share of {wrong[0]}" if wrong else ""


def _of(document, honest):
    """Against a document that is known to be of the bench."""
    mine, other = document["certificate"], honest["certificate"]
    for part in ("costs", "lower", "upper", "whole"):
        if mine["program"][part] != other["program"][part]:
            return f"other {part}"
    if {*mine["acidity"]} != {*other["acidity"]}:
        return "other rules on pH"
    if _rows(mine) != _rows(other):
        return "other rows or cells"
    if document.get("proof", {}).get("columns") != honest["proof"]["columns"]:
        return "other columns"
    if "x" in other["answer"]:
        pairs = zip(mine["answer"]["x"], other["answer"]["x"], strict=True)
        if any(abs(_number(a) - _number(b)) > SHOWN for a, b in pairs):
            return "a point whose pH nobody looked at"
    for part in ("product", "units", "composition", "contents", "prediction", "rules"):
        if part in document and not _alike(document[part], honest.get(part)):
            return f"other {part}"
    return ""


def _rows(body):
    """Each cell's ends with its rows, in any order."""
    common = body["program"]["rows"]
    return sorted(
        json.dumps([cell["ph"], cell["salt"], sorted(map(json.dumps, [*common, *cell["rows"]]))])
        for cell in body["cells"]
    )


def _alike(one, other):
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_alike, one, other))
    if isinstance(one, float) or isinstance(other, float):
        numbers = not isinstance(one, bool | str | None) and not isinstance(
            other, bool | str | None
        )
        return numbers and abs(one - other) <= 2 * float(SHOWN) * max(1.0, abs(other))
    return type(one) is type(other) and one == other
