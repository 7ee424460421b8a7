"""Small benches built by hand, and the exact optimum of a small program by brute force."""

import shutil
from fractions import Fraction
from itertools import combinations
from math import inf
from pathlib import Path

from barwright.constraints.model.brief import Bench, Brief, Portioning
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.rule import Counted, Kind, Pick, Selector
from barwright.constraints.model.shelf import Item
from barwright.constraints.model.stores import Stores
from barwright.constraints.model.substance import Substance
from barwright.constraints.rules.share import Share
from barwright.constraints.values.problem import Source, SourceKind, Where

SOURCE = Source("built for a test", SourceKind.MEMORY)
HERE = Where("test")
EXAMPLES = Path(__file__).resolve().parent.parent / "examples"


def said(rule_id, kind=Kind.HOUSE, unit="%"):
    """What every rule says of itself."""
    return {
        "id": rule_id,
        "kind": kind,
        "because": "the test says so",
        "unit": unit,
        "where": HERE,
        "source": None,
    }


def common(rule_id, kind=Kind.HOUSE):
    """The same, for a kind of rule that knows its own unit."""
    return {key: value for key, value in said(rule_id, kind).items() if key != "unit"}


def substance(inci, classes=()):
    return Substance(inci, tuple(classes), (), None, None, 0.0, 7.0, "", SOURCE)


def material(name, contents, classes=(), tags=(), form=Form.SOLID, dose=None):
    """A material holding each substance at a share, or at a (low, typical, high) range."""
    spans = {
        inci: Span(*share) if isinstance(share, tuple) else Span(share, share, share)
        for inci, share in contents.items()
    }
    return Material(
        name=name,
        form=form,
        phase=Phase.MELT,
        classes=tuple(classes),
        tags=tuple(tags),
        contents=spans,
        dose=dose,
        add_below=None,
        alkalinity=Span(0.0, 0.0, 0.0),
        buffer=0.0,
        works_below_ph=None,
        density=None,
        heat=None,
        hazards=(),
        source=SOURCE,
    )


def bench(materials, prices, rules, classes=None, known=()):
    """A bench of these materials at these prices [money/kg] under these rules.

    Args:
        materials: the shelf.
        prices: of each [money/kg].
        rules: the brief.
        classes: substance -> its classes.
        known: materials that are not on the shelf.
    """
    classes = classes or {}
    contained = dict.fromkeys(inci for each in materials for inci in each.contents)
    return Bench(
        folder="test",
        brief=Brief(
            name="test bar",
            currency="EUR",
            markets=(),
            dilution=0.1,
            rules=tuple(rules),
            balances=(),
            portioning=Portioning(None, 0.0, 0.0, None, None),
            room=20.0,
        ),
        shelf=tuple(
            Item(each, price, 1.0, None, True, "", HERE)
            for each, price in zip(materials, prices, strict=True)
        ),
        substances={inci: substance(inci, classes.get(inci, ())) for inci in contained},
        stores=stores((*materials, *known), classes),
    )


def stores(materials, classes):
    """Nothing else is known."""
    contained = dict.fromkeys(inci for each in materials for inci in each.contents)
    substances = {inci: substance(inci, classes.get(inci, ())) for inci in contained}
    named = {each.name: each for each in materials}
    return Stores(named, substances, frozenset(), tuple(named), tuple(substances))


def standalone(folder):
    """The example bench for oily hair as a folder of its own, without a workshop above it."""
    shutil.copytree(EXAMPLES / "oily-hair", folder, dirs_exist_ok=True)
    for name in ("shelf.csv", "materials.toml"):
        shutil.copy(EXAMPLES / name, folder)
    return folder


def share_of(inci, low=None, high=None, rule_id=None):
    """A rule on the share of one substance."""
    of = Selector(Pick.SUBSTANCE, inci, Counted.ACTIVE)
    return Share(**said(rule_id or f"{inci} share"), low=low, high=high, of=of)


def least_cost(program):
    """The exact least cost over every vertex and every choice, or ``None`` where there is none.

    A vertex of a program with n columns lies where n of its sides meet. Rational arithmetic
    throughout; only for a handful of columns.
    """
    choices = [column for column, whole in enumerate(program.whole) if whole]
    costs = [
        cost
        for made in range(2 ** len(choices))
        if (cost := _least_vertex(program, {c: made >> k & 1 for k, c in enumerate(choices)}))
        is not None
    ]
    return min(costs, default=None)


def _least_vertex(program, held):
    free = [column for column in range(len(program.costs)) if column not in held]
    rows = [_reduced(row, free, held) for row in program.rows]
    units = [[Fraction(int(j == k)) for j in range(len(free))] for k in range(len(free))]
    rows += [
        (unit, _side(program.lower[column]), _side(program.upper[column]))
        for unit, column in zip(units, free, strict=True)
    ]
    sides = [
        (values, side) for values, low, high in rows for side in {low, high} - {None} if any(values)
    ]
    best = None
    for chosen in combinations(sides, len(free)):
        point = _meeting(chosen, len(free))
        if point is not None and _keeps(rows, point):
            cost = sum(Fraction(program.costs[c]) * x for c, x in zip(free, point, strict=True))
            best = cost if best is None else min(best, cost)
    return best


def _side(value):
    return None if value in {inf, -inf} else Fraction(value)


def _reduced(row, free, held):
    """A row over the free columns: values, low and high with the held columns moved across."""
    values = dict(zip(row.columns, map(Fraction, row.values), strict=True))
    fixed = sum(values.get(column, 0) * value for column, value in held.items())
    low, high = _side(row.low), _side(row.high)
    return (
        [values.get(column, Fraction(0)) for column in free],
        None if low is None else low - fixed,
        None if high is None else high - fixed,
    )


def _meeting(sides, width):
    table = [[*values, side] for values, side in sides]
    for column in range(width):
        pivot = next((r for r in range(column, width) if table[r][column] != 0), None)
        if pivot is None:
            return None
        table[column], table[pivot] = table[pivot], table[column]
        table[column] = [value / table[column][column] for value in table[column]]
        for r in range(width):
            if r != column and table[r][column] != 0:
                times = table[r][column]
                table[r] = [a - times * b for a, b in zip(table[r], table[column], strict=True)]
    return [line[width] for line in table]


def _keeps(rows, point):
    for values, low, high in rows:
        total = sum(a * x for a, x in zip(values, point, strict=True))
        if (low is not None and total < low) or (high is not None and total > high):
            return False
    return True
